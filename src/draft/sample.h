/* Sample: the header row and the first rows of some logs, as text.
 */
#ifndef DRAFT_SAMPLE_H
#define DRAFT_SAMPLE_H

#include "base/faults.h"
#include "base/text.h"
#include "ingest/header.h"

#include <stdbool.h>
#include <stddef.h>

enum { SAMPLE_ROWS = 1000, SAMPLE_CELL_SIZE = 80, SAMPLE_ROWS_LEAST = 20 };

struct sample {
    struct header header; /* of the first log */
    struct text cells;    /* NUL after each; a longer field is cut to SAMPLE_CELL_SIZE - 1 bytes */
    size_t *at;           /* n_rows * header.n offsets into cells; 0 is an empty cell */
    long *line;           /* of each row in its file */
    size_t n_rows;
    size_t capacity; /* rows for which there is room */
    size_t n_first;  /* rows of the first log: they follow each other in time */
    size_t n_logs;
    bool more;      /* a log goes on behind its last sampled row */
    size_t n_bad;   /* lines that could not be cut into fields */
    long first_bad; /* and the first of them */
    size_t n_wider; /* rows with more fields than the header row */
};

/* Reads the first rows of each log: SAMPLE_ROWS in all, shared evenly, at least SAMPLE_ROWS_LEAST
 * of each. Returns: false with all faults (draft/draft.h lists them); sample_free is due either
 * way. */
bool sample_read(struct sample *sample, const char *const *logs, size_t n, struct faults *faults);
void sample_free(struct sample *sample); /* safe twice */

/* Borrowed until sample_free. Outer blanks are cut. */
const char *sample_cell(const struct sample *sample, size_t row, size_t column);

/* Why a column cannot be named in a description; NULL if it can. `time`: in the line of the time,
 * where ',' and ' + ' part the words. */
const char *sample_name_trouble(const struct sample *sample, size_t column, bool time);

#endif
