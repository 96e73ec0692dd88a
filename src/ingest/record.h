/* Record: the next line of a log that holds text, cut into fields. A quoted field may run over a
 * line's end: then the record is made of several lines.
 *
 * A quote that is never closed costs its own line and no more: at most RECORD_LINES_MAX lines are
 * looked at, none that holds as many separators as a row, and the lines after the first are then
 * read again, each for itself.
 */
#ifndef INGEST_RECORD_H
#define INGEST_RECORD_H

#include "ingest/csv.h"
#include "ingest/lines.h"

enum { RECORD_LINES_MAX = 20 };

struct record {
    struct line line; /* of all its lines; number is the first's */
    enum line_status line_status;
    enum csv_status csv_status; /* counts when line_status is LINE_TEXT */
    size_t at;                  /* byte of the line where a fault stands */
};

/* Cuts a line that lines_next gave (LINE_TEXT). Fields may be taken more than once: the last time
 * counts. In:      fields  of a row; a line with so many is not the rest of a field. 0: not known
 * Returns: false with a fault (LINE_FAILED, or out of memory). */
bool record_cut(struct record *record, struct lines *lines, struct csv *csv, size_t fields,
                struct faults *faults);

#endif
