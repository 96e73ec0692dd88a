/* Draft: the first description of a test, made from the log itself.
 *
 * Looks at beginning, middle and end of the logs, says what was understood, and writes a
 * description in which every guess is marked "# guess: ..." and every place that no file can tell,
 * or that could be two things, "# FILL IN: ...". Guesses come from the columns' names, the units
 * there and in a units row, and from the numbers where these leave one answer. A table of points is
 * known as such.
 */
#ifndef DRAFT_DRAFT_H
#define DRAFT_DRAFT_H

#include "base/faults.h"
#include "base/text.h"
#include "draft/dialect.h"

#include <stdbool.h>
#include <stddef.h>

/* In:      logs, n      paths, at least one; each has the first one's columns
 *          pinned       separator and decimal sign as far as the user has said them; NULL: nothing
 *          beside       the path at which the description will stand, since its `file` lines name
 *                       the logs from there; NULL: beside the first log
 * Out:     understood   appended: what a person should look through before going on
 *          description  appended: complete once the FILL IN places are filled in
 *          json         appended: the same for programs (docs/results.md); may be NULL
 * Returns: false with input faults: a log absent, a directory, empty, binary, header only, of one
 *          column, to be read in two ways (draft/dialect.h), without
 *          a column of the first log; or a machine fault */
bool draft_write(const char *const *logs, size_t n, const struct dialect *pinned,
                 const char *beside, struct text *understood, struct text *description,
                 struct text *json, struct faults *faults);

/* Appends a blank points table: comments, heads with units, an example row commented out. */
bool draft_points(struct text *out, struct faults *faults);

/* Appends a page to print and to fill in with a pencil: HTML that stands alone, A4 or Letter. */
bool draft_points_page(struct text *out, struct faults *faults);

#endif
