/* Row kind: what a line of a log is when no reading can be taken from it as it stands.
 */
#ifndef INGEST_ROW_KIND_H
#define INGEST_ROW_KIND_H

#include "ingest/row.h"

/* At most this many rows below the names are units, processing and the like; SUMMARY_ROWS_MAX rows
 * below the last reading are means and the like. More is a log of another form. */
enum { HEADS_BELOW_MAX = 3, SUMMARY_ROWS_MAX = 10 };

/* Whether the row holds all that is used of it. A file may end inside a row: then its last number
 * may lack digits, and a row with fewer fields than the header is not used at all. Rows with a line
 * end are whole. */
bool row_is_whole(const struct rows *rows);

/* Whether a line that is no text, or a bad one, begins or ends with a run of NUL or 0xFF bytes. */
bool row_is_filled(const struct rows *rows);

/* The kind of a row that could not be read or is not whole. Returns: ROWS_FAILED when out of
 * memory. */
enum row_status row_kind(struct rows *rows, struct faults *faults);

/* Of a ROWS_BAD_STAMP: nothing stands where the stamp should be, or a word. */
bool row_has_no_stamp(const struct rows *rows);

/* Adds the fault of a ROWS_HEADER_OTHER. Returns: false. */
bool row_complain_header(const struct rows *rows, struct faults *faults);

#endif
