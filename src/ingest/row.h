/* Row: a file that is open for its rows, and the row that was read last, as all see it that read
 * rows or judge them. ingest/rows.h opens, fills and closes it.
 */
#ifndef INGEST_ROW_H
#define INGEST_ROW_H

#include "ingest/block.h"
#include "ingest/csv.h"
#include "ingest/header.h"
#include "ingest/lines.h"
#include "ingest/row_form.h"
#include "ingest/stamp.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum row_status {
    ROWS_ROW,
    ROWS_END,
    ROWS_BAD_LINE,     /* said by rows_complain while the line is current */
    ROWS_BAD_STAMP,    /* rows->stamp_status says why */
    ROWS_HEADER_AGAIN, /* the header row, or another head row, once more */
    ROWS_HEADER_OTHER, /* a header row of another order: said by row_complain_header */
    ROWS_UNITS_OTHER,  /* a row of other units: said by row_head_complain_units */
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
    size_t time_field[TIME_COLUMNS_MAX];
    size_t field[CH_LOGGED]; /* by column of the plan: field of the header, from 0 */

    /* The current line and row. */
    struct line line;
    enum line_status line_status;
    enum csv_status csv_status;
    size_t bad_at;
    long moved; /* ROWS_HEADER_OTHER: column of the plan that stands in another field, or is absent;
                   ROWS_UNITS_OTHER: that has another unit */
    bool names_again; /* of a ROWS_HEADER_AGAIN: it is the names row */
    bool other_head; /* of a ROWS_BAD_STAMP: it looks like a head (ingest/row_head.h) */
    int heads_below; /* rows below the names that were head rows */
    bool any_row;    /* a row with a stamp was read */
    size_t fields;   /* of the row */
    bool surplus;    /* a field beyond the header's that is not empty */
    struct row_part { /* of the stamp, by column of the time */
        char text[STAMP_BYTES_MAX];
        size_t n; /* its bytes; those beyond the text are not kept */
    } part[TIME_COLUMNS_MAX];
    enum stamp_status stamp_status;
    int64_t time_us;
    int64_t again_us; /* the clock shows the stamp again then; = time_us if it does not */
    struct row_minute minute;
    bool time_known;            /* for ingest/quick.h: time_us was read with the seconds alone */
    double value_si[CH_LOGGED]; /* by column of the plan; NaN where not good */
    uint8_t flag[CH_LOGGED];
};

/* Roles of a field that are no column of the plan: part i of the time is ROLE_TIME - i. */
enum { ROLE_NONE = -1, ROLE_TIME = -2 };

#endif
