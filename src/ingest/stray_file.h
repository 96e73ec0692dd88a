/* Stray file: the rows of a file whose stamps run ahead (ingest/stray.h). The file is read once
 * more for it, so it is asked only of one that gives reason to.
 */
#ifndef INGEST_STRAY_FILE_H
#define INGEST_STRAY_FILE_H

#include "base/faults.h"
#include "ingest/row_form.h"
#include "ingest/stray.h"

#include <stdbool.h>
#include <stdint.h>

/* Whether the stamps of a form tell the order of its rows by themselves. */
bool stray_can_tell(const struct row_form *form);

/* The step is the file's own: the median of those between its first 256 rows.
 * In:      path     of a file that could be opened before
 * Out:     stray    initialised here; nothing is found in a file with rows of an hour that its
 *                   clock shows twice. stray_free may follow either way
 * Returns: false with a machine fault */
bool stray_file(struct stray *stray, const struct row_form *form, const char *path,
                struct faults *faults);

#endif
