/* Header: the row that names a log's columns, and the head rows beside it.
 *
 * Many loggers put lines about the station and the program above the names, and rows of units and
 * of processing below them. The names row is the first one that holds more than half of the names
 * that are looked for; where none are, the first line that is neither blank nor a '#' comment. A
 * '#' before the names does not matter. It can be stated instead, and so can that there is none:
 * then the columns are called "1", "2", ...
 */
#ifndef INGEST_HEADER_H
#define INGEST_HEADER_H

#include "base/faults.h"
#include "ingest/csv.h"
#include "ingest/lines.h"

#include <stdbool.h>
#include <stddef.h>

/* HEAD_LINES_MAX lines with text are searched for the names, HEAD_KEPT_MAX head rows of at most
 * HEAD_KEPT_BYTES are known again later. */
enum { HEAD_LINES_MAX = 50, HEAD_KEPT_MAX = 8, HEAD_KEPT_BYTES = 4096 };

struct header {
    char **names; /* UTF-8, outer blanks cut, a line break inside is a blank */
    size_t n;
    long line; /* 0: the log has no names */
    char *raw; /* the row as it stands in the file, to know it again */
    size_t raw_n;
    bool converted; /* names were not UTF-8 and were taken as Windows-1252 */
    bool failed;    /* out of memory while taking names */
    struct head_line {
        char *bytes;
        size_t n;
    } kept[HEAD_KEPT_MAX]; /* lines above the names and rows of units below them */
    size_t n_kept;
    char **units; /* of the first row below the names; NULL: there is none */
    long units_line; /* where that row stands */
};

/* What is known of the names before the file is opened. */
struct header_wish {
    const char *const *names; /* borrowed; n 0: the first row is taken */
    size_t n;
    long line;    /* the names stand in this line of the file; 0: not stated */
    bool none;    /* the log has no names */
    size_t least; /* with none: columns that must be there at least */
};

/* Reads lines up to the header row (with none: no line).
 * Returns: false with an input fault (no such line, or it is a bad line) or a machine fault. */
bool header_read(struct header *header, struct lines *lines, char separator, struct faults *faults);
bool header_search(struct header *header, struct lines *lines, char separator,
                   const struct header_wish *wish, struct faults *faults);
void header_free(struct header *header); /* safe twice */

/* Column of a name. Where several bear one, "T (2)" is the second of them. Returns: how many columns bear it; *column is the first. */
size_t header_find(const struct header *header, const char *name, size_t *column);

/* Keeps a head row, if there is room, to be known again. Returns: false when out of memory. */
bool header_keep(struct header *header, const struct line *line);

/* Whether a line is the names row once more. */
bool header_is_names(const struct header *header, const struct line *line);

/* Whether a line is the names row or a kept head row once more. */
bool header_knows(const struct header *header, const struct line *line);

/* Keeps the row below the names as units, cut at `separator`. Returns: false when out of memory. */
bool header_take_units(struct header *header, const struct line *line, char separator);

/* Any bytes as a name or a unit: UTF-8, outer blanks cut. converted, failed: as in the header.
 * Returns: NULL when out of memory; the caller frees. */
char *header_text(const char *bytes, size_t n, bool *converted);

/* True for a line that is read over: a '#' comment. */
bool line_is_comment(const struct line *line);

#endif
