/* Rows: one file -> its rows, with stamps and numbers read. Only the plan's columns are converted.
 *
 * A plain line is read by ingest/quick.h, any other cut by ingest/record.h, and what is no row of
 * readings is told by ingest/row_kind.h. What they fill is ingest/row.h.
 */
#ifndef INGEST_ROWS_H
#define INGEST_ROWS_H

#include "base/faults.h"
#include "ingest/header.h"
#include "ingest/lines.h"
#include "ingest/log_plan.h"
#include "ingest/row.h"

#include <stdbool.h>
#include <stddef.h>

/* Opens a file and reads its header; path is borrowed.
 * Returns: false with faults for everything that is wrong with the header. */
bool rows_open(struct rows *rows, const struct row_form *form, const char *path, bool hashing,
               struct faults *faults);
bool rows_open_memory(struct rows *rows, const struct row_form *form, const char *name,
                      const char *bytes, size_t n, struct faults *faults);

/* Reads up to the head that names the plan's columns; the caller frees the header either way.
 * Returns: false with the faults of header_search. */
bool rows_head(struct header *header, struct lines *lines, const struct log_plan *plan,
               struct faults *faults);

/* Blank lines and comments are read over. */
enum row_status rows_next(struct rows *rows, struct faults *faults);

/* Adds the fault of a row that was ROWS_BAD_LINE. Returns: false. */
bool rows_complain(const struct rows *rows, struct faults *faults);

void rows_close(struct rows *rows); /* safe twice */

#endif
