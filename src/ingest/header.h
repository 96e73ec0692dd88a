/* Header row: the first line that is neither blank nor a '#' comment -> the columns' names.
 */
#ifndef INGEST_HEADER_H
#define INGEST_HEADER_H

#include "base/faults.h"
#include "ingest/csv.h"
#include "ingest/lines.h"

#include <stdbool.h>
#include <stddef.h>

struct header {
    char **names; /* UTF-8, outer blanks cut */
    size_t n;
    long line;
    char *raw; /* the row as it stands in the file, to know it again */
    size_t raw_n;
    bool converted; /* names were not UTF-8 and were taken as Windows-1252 */
    bool failed;    /* out of memory while taking names */
};

/* Reads lines up to the header row.
 * Returns: false with an input fault (no such line, or it is a bad line) or a machine fault. */
bool header_read(struct header *header, struct lines *lines, char separator, struct faults *faults);
void header_free(struct header *header); /* safe twice */

/* Column of a name. Returns: how many columns bear it; *column is the first. */
size_t header_find(const struct header *header, const char *name, size_t *column);

/* True for a line that is read over: a '#' comment. */
bool line_is_comment(const struct line *line);

#endif
