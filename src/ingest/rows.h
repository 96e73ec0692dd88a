/* Rows: one file -> its rows, with stamps and numbers read. Only the plan's columns are converted.
 */
#ifndef INGEST_ROWS_H
#define INGEST_ROWS_H

#include "base/calendar.h"
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
    struct row_scale {
        double gain; /* value in SI = (gain * number + add) * scale + offset, see base/units.h */
        double add;
        double scale;
        double offset;
        double least_si;
        double most_si;
    } scale[CH_LOGGED]; /* by column of the plan */
};

/* Returns: false with an input fault: time format, separator equal to the decimal sign, no time
 * column, a column or a channel twice, a channel that no log carries, too many markers. */
bool row_form_init(struct row_form *form, const struct log_plan *plan, struct faults *faults);

enum row_status {
    ROWS_ROW,
    ROWS_END,
    ROWS_BAD_LINE,     /* said by rows_complain while the line is current */
    ROWS_BAD_STAMP,    /* rows->stamp_status says why */
    ROWS_HEADER_AGAIN, /* the header row, or another head row, once more */
    ROWS_HEADER_OTHER, /* a header row of another order: said by rows_complain_header */
    ROWS_HEAD,         /* units or the like below the header row */
    ROWS_CUT,          /* the file ends inside this row */
    ROWS_FILLED,       /* begins or ends with NUL or 0xFF bytes */
    ROWS_FAILED        /* a machine fault was added */
};

/* The last stamp that ended in two digits of seconds: one that differs from it in these digits
 * alone is read from them alone. */
struct row_minute {
    bool known;
    char stamp[STAMP_BYTES_MAX]; /* of the last column of the time */
    size_t stamp_n;
    char first[STAMP_BYTES_MAX]; /* of the first of two columns */
    size_t first_n;
    int64_t start_us; /* at 0 seconds */
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
    long moved; /* ROWS_HEADER_OTHER: column of the plan that stands in another field, or is absent
                 */
    int heads_below; /* rows below the names that were head rows */
    bool any_row;    /* a row with a stamp was read */
    bool surplus;    /* a field beyond the header's that is not empty */
    char stamp[STAMP_BYTES_MAX];
    size_t stamp_n; /* of the first column's text */
    char stamp_second[STAMP_BYTES_MAX];
    size_t stamp_second_n;
    enum stamp_status stamp_status;
    int64_t time_us;
    int64_t again_us; /* the clock shows the stamp again then; = time_us if it does not */
    struct row_minute minute;
    bool time_known; /* for ingest/quick.h: time_us was read with the seconds alone */
    double value_si[CH_LOGGED]; /* by column of the plan; NaN where not good */
    uint8_t flag[CH_LOGGED];
};

/* Roles of a field that are no column of the plan. */
enum { ROLE_NONE = -1, ROLE_TIME = -2, ROLE_TIME_SECOND = -3 };

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

/* The same for one that was ROWS_HEADER_OTHER. */
bool rows_complain_header(const struct rows *rows, struct faults *faults);

void rows_close(struct rows *rows); /* safe twice */

/* For ingest/quick.h and ingest/batch.h. */

/* A field of the plan's column k, outer blanks cut. Out: value_si, NaN where the flag is not good.
 */
enum reading_flag row_reading(const struct row_form *form, size_t k, const char *bytes, size_t n,
                              double *value_si);

/* The same for a field that is the number `number`. */
enum reading_flag row_value(const struct row_form *form, size_t k, double number, double *value_si);

/* The value in SI of a column's number. */
static inline double row_scaled(const struct row_scale *to, double number)
{
    return (to->gain * number + to->add) * to->scale + to->offset;
}

static inline bool row_in_range(const struct row_scale *to, double value_si)
{
    return value_si >= to->least_si && value_si <= to->most_si;
}

/* Keeps the text of a stamp's field, outer blanks cut, for row_time. */
void row_stamp(struct rows *rows, int role, const char *bytes, size_t n);

/* Reads two digits of seconds that follow on the last minute. Returns: false if they are none. */
static inline bool row_seconds(struct rows *rows, const char *digits)
{
    unsigned tens = (unsigned)digits[0] - '0';
    if (tens > 5)
        return false; /* digits[1] may lie behind the buffer's end */
    unsigned ones = (unsigned)digits[1] - '0';
    if (ones > 9)
        return false;
    rows->time_us = rows->minute.start_us + (int64_t)(10 * tens + ones) * US_PER_S;
    rows->again_us = rows->time_us;
    return true;
}

/* Reads the kept stamp into time_us. */
enum stamp_status row_time(struct rows *rows);

#endif
