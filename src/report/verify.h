/* A kept result against the same one computed anew: is every number the same, and if not, what
 * changed?
 *
 * Numbers are compared as doubles, to the last bit; texts letter by letter. A number that differs
 * at the level of rounding alone is one that differs, and is told apart from the others: another
 * processor or library does that. Everything of results.json is compared, and where that is the
 * same to the byte, so is every file of the folder that can be written again without gnuplot (all
 * but the pictures).
 */
#ifndef REPORT_VERIFY_H
#define REPORT_VERIFY_H

#include "base/faults.h"
#include "base/text.h"
#include "report/kept.h"
#include "report/verify_found.h"
#include "result/document.h"

#include <stdbool.h>
#include <stddef.h>

/* Rounding: a difference of at most this share of the larger value, or of the largest that stands
 * beside it (a column's, a number's own): some 10^4 times the last bit of a double, and far below
 * what any input is known to. Our own figure. */
#define VERIFY_ROUNDING 1e-12

enum { VERIFY_WORDS = 120 };

/* Compares.
 * Out:     verify  verify_free is due, also after a failure
 * Returns: false when memory is short or a file of the folder cannot be read. */
bool verify_result(struct verify *verify, const struct kept *kept, const struct document *doc,
                   struct faults *faults);

/* Whether the kept result stands: no number differs, no file was changed, and texts differ only
 * where an input or the program is another (a new version may say the same in better words). */
bool verify_same(const struct verify *verify);

/* Appends what was found, 80 columns; the verdict painted if `colour`. name: of the folder. */
void verify_tell(const struct verify *verify, const char *name, bool colour, struct text *out);

/* The same as one clause: "12 of 5,324 numbers differ". size >= VERIFY_WORDS. Returns: out. */
const char *verify_words(const struct verify *verify, char *out, size_t size);

#endif
