/* Sample: some logs' rows as cells of text, with all that was found of how they are written.
 */
#ifndef DRAFT_SAMPLE_H
#define DRAFT_SAMPLE_H

#include "base/faults.h"
#include "base/text.h"
#include "draft/dialect.h"
#include "draft/excerpt.h"
#include "draft/head_rows.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SAMPLE_CELL_SIZE = 80, SAMPLE_CELLS_MAX = 2000000 };

struct sample_row {
    long line; /* in its file; 0: not counted (middle or end of a long log) */
    uint32_t log;
    uint32_t run; /* rows of one run follow each other in one file */
};

struct sample {
    struct dialect dialect;
    struct head_rows head; /* of the first log */
    struct text cells;     /* NUL after each; a longer field is cut to SAMPLE_CELL_SIZE - 1 bytes */
    uint32_t *at;          /* n_rows * head.n offsets into cells; 0 is an empty cell */
    struct sample_row *row;
    size_t n_rows;
    size_t capacity; /* rows for which there is room */
    size_t n_logs;
    size_t *column; /* of the log that is read: field -> column of the head; head.n: passed over */
    size_t n_fields;
    bool more;            /* a log holds rows that were not looked at */
    bool converted;       /* some line was not UTF-8 and was read as Latin-1 */
    size_t n_bad;         /* lines that could not be cut into fields */
    long first_bad;       /* and the first of them; 0: not in the counted part */
    size_t n_wider;       /* rows with more fields than there are names */
    size_t n_surplus;     /* of these, with something in a field that has no name */
    long first_surplus;   /* line of the first */
    bool surplus;         /* in the row that is being cut */
    size_t n_heads_again; /* header rows that stand between the rows once more */
};

/* Reads an excerpt of each log.
 * In:      pinned   separator and decimal sign as far as the user has said them; may be NULL
 * Returns: false with all faults (draft/draft.h lists them); sample_free is due either way. */
bool sample_read(struct sample *sample, const char *const *logs, size_t n,
                 const struct dialect *pinned, struct faults *faults);
void sample_free(struct sample *sample); /* safe twice */

/* Borrowed until sample_free. Outer blanks are cut. */
const char *sample_cell(const struct sample *sample, size_t row, size_t column);

/* A cell as a number. Returns: false if it is none. */
bool sample_number(const struct sample *sample, size_t row, size_t column, double *value);

/* Why a column cannot be named in a description; NULL if it can. `time`: in the line of the time,
 * where ',' and ' + ' part the words. */
const char *sample_name_trouble(const struct sample *sample, size_t column, bool time);

#endif
