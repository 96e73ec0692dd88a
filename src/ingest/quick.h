/* Quick rows: the plain case of a log's line, read in one pass over its bytes.
 *
 * A line is plain if all of it is in the buffer, it holds no quote and no NUL, does not begin with
 * a blank or '#', ends with LF or CR LF, has as many fields as the header and a stamp that can be
 * read. Its fields may be anything. Whatever is not plain is left untouched for ingest/csv.h, which
 * reads the line from its beginning: the result is the same either way, only the time differs
 * (about fivefold).
 */
#ifndef INGEST_QUICK_H
#define INGEST_QUICK_H

#include "ingest/row.h"

#include <stdbool.h>

/* Takes the next line as the current row (ROWS_ROW) if it is plain.
 * Returns: false if it is not; then nothing was taken. */
bool quick_row(struct rows *rows);

#endif
