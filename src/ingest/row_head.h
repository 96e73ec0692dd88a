/* Row head: rows in the middle of a log that hold neither a stamp nor a number where the log has
 * numbers: heads of a part that was put behind another.
 *
 *     units       half or more of the words are units of their columns; another unit than the one
 *                 so far makes every number below it wrong
 *     other head  words in more than half of the columns that are used and in that of the time, no
 *                 two of them alike: names in another language, perhaps in another order
 */
#ifndef INGEST_ROW_HEAD_H
#define INGEST_ROW_HEAD_H

#include "ingest/row.h"

/* Of a row without a stamp, below one that has one. Out: rows->other_head; with ROWS_UNITS_OTHER
 * rows->moved. Returns: ROWS_HEADER_AGAIN for units that are those so far, ROWS_UNITS_OTHER,
 * ROWS_BAD_STAMP */
enum row_status row_head_inside(struct rows *rows);

/* Adds the fault of a ROWS_UNITS_OTHER. Returns: false. */
bool row_head_complain_units(const struct rows *rows, struct faults *faults);

/* Adds the fault of another head in this line, below which stand rows. Returns: false. */
bool row_head_complain(const struct rows *rows, long line, const char *text, struct faults *faults);

#endif
