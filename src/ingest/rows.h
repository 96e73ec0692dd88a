/* Rows: one file -> its rows, with stamps and numbers read. Only the plan's columns are converted.
 */
#ifndef INGEST_ROWS_H
#define INGEST_ROWS_H

#include "base/faults.h"
#include "domain/channel.h"
#include "ingest/block.h"
#include "ingest/csv.h"
#include "ingest/header.h"
#include "ingest/lines.h"
#include "ingest/log_plan.h"
#include "ingest/stamp.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { MARKERS_MAX = 32 };

/* A plan made ready for reading; borrows from it. */
struct row_form {
    const struct log_plan *plan;
    struct stamp_format stamp;
    const char *word_marker[MARKERS_MAX]; /* missing markers that are no numbers */
    size_t n_words;
    double number_marker[MARKERS_MAX];
    size_t n_numbers;
    double least_si[CH_LOGGED]; /* by column of the plan */
    double most_si[CH_LOGGED];
};

/* Returns: false with an input fault: time format, separator equal to the decimal sign, no time
 * column, a column or a channel twice, a channel that no log carries, too many markers. */
bool row_form_init(struct row_form *form, const struct log_plan *plan, struct faults *faults);

enum row_status {
    ROWS_ROW,
    ROWS_END,
    ROWS_BAD_LINE,     /* said by rows_complain while the line is current */
    ROWS_BAD_STAMP,    /* rows->stamp_status says why */
    ROWS_HEADER_AGAIN, /* the header row once more */
    ROWS_FAILED        /* a machine fault was added */
};

struct rows {
    const struct row_form *form;
    const char *path;
    struct lines lines;
    struct csv csv;
    struct header header;
    int *role; /* by field of the header: column of the plan, or below 0 */
    size_t time_field[2];
    size_t field[CH_LOGGED]; /* by column of the plan: field of the header, from 0 */

    /* The current line and row. */
    struct line line;
    enum line_status line_status;
    enum csv_status csv_status;
    size_t bad_at;
    bool surplus; /* a field beyond the header's that is not empty */
    char stamp[STAMP_BYTES_MAX];
    size_t stamp_n; /* of the first column's text */
    char stamp_second[STAMP_BYTES_MAX];
    size_t stamp_second_n;
    enum stamp_status stamp_status;
    int64_t time_us;
    double value_si[CH_LOGGED]; /* by column of the plan; NaN where not good */
    uint8_t flag[CH_LOGGED];
};

/* Opens a file and reads its header; path is borrowed.
 * Returns: false with faults for everything that is wrong with the header. */
bool rows_open(struct rows *rows, const struct row_form *form, const char *path, bool hashing,
               struct faults *faults);
bool rows_open_memory(struct rows *rows, const struct row_form *form, const char *name,
                      const char *bytes, size_t n, struct faults *faults);

/* Blank lines and comments are read over. */
enum row_status rows_next(struct rows *rows, struct faults *faults);

/* Adds the fault of a row that was ROWS_BAD_LINE. Returns: false. */
bool rows_complain(const struct rows *rows, struct faults *faults);

void rows_close(struct rows *rows); /* safe twice */

#endif
