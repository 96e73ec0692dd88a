/* Complaint first: what a file's rows have been refused for, and how a complaint about them begins:
 * at the first row of its kind, with how many there are and how grave that is.
 */
#ifndef INGEST_COMPLAINT_FIRST_H
#define INGEST_COMPLAINT_FIRST_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/log_plan.h"
#include "ingest/stamp.h"
#include "ingest/stray.h"
#include "ingest/swap.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { QUOTED_SIZE = 48 };

/* Rows of fewer fields are told from so many in a row on, and that nothing explains them if so many
 * whole ones stand before. Our own figures. */
enum { FEWER_LEAST = 3, FEWER_BEHIND = 10 };

/* The first thing of a kind, kept while the counting goes on. */
struct first_seen {
    size_t file;
    long line;              /* 0: none */
    long column;            /* in characters */
    size_t field;           /* from 1 */
    char text[QUOTED_SIZE]; /* as it stands, cut */
};

/* What a file's rows have been refused for. */
struct stamp_troubles {
    const char *path;
    const struct log_plan *plan;
    const struct stamp_format *format;
    uint64_t rows_read;
    uint64_t rows_used;
    int64_t step_us; /* between rows; 0: not known */
    bool contradicted; /* a stated setting of the clock was complained of: it explains rows that run
                          backwards */
    bool merged; /* rows of other files were taken by turns with its own */
    const char *apart; /* why files of the log were not merged where they met (ingest/turns.h) */
    uint64_t count[ROW_REFUSALS];
    struct first_seen first[ROW_REFUSALS];
    uint64_t names_again;        /* of the header rows that stand again, those with the names */
    long unfinished;             /* line of a used row without a line end, or 0 */
    enum stamp_status first_bad; /* why the first bad stamp is bad */
    int64_t backward_us;         /* the first backward stamp */
    struct falls {               /* of backward rows behind the row before, used or not */
        uint64_t n;
        int64_t last_us; /* of the last backward row */
        uint64_t used;   /* rows of the file that were used up to it */
        bool oldest;     /* all of them are older than the log's first row */
    } falls;
    char now_separator; /* what parts the line of the first bad stamp instead; NUL: nothing */
    struct fewer_fields { /* rows of a run that have fewer fields than the row before it */
        uint64_t n; /* below FEWER_LEAST: nothing is to be said */
        size_t fields;
        size_t before;
        long line;       /* the first of them */
        long last_whole; /* the row before */
        uint64_t at_row; /* rows of the file up to the last one of the run */
        bool rare;       /* many rows stand before it, and hardly any of them is short */
    } fewer;
    uint64_t stray_leaps; /* times that stamps ran ahead, of one row or more */
    struct stray_found stray; /* the first of them; line 0: none */
    struct stray_found lone;  /* a last row alone; line 0: none */
    int64_t unset_us;            /* the first stamp of a clock that was not set */
    struct row_before {
        int64_t us; /* stamp of the last used row before the first refused one */
        const char *path;
        long line;             /* 0: there is none */
    } before[ROW_REFUSALS];    /* of backward, skipped and bad stamps; of rows that stand in an
                                  earlier file, the first such row there */
    struct swap_seen {
        uint64_t count;
        enum swap_kind kind; /* of the first, and all below */
        struct row_before before;
        int64_t now_us;
        int64_t meant_us[2];
        struct first_seen now;
    } mixed, leap; /* rows that run backwards unless day and month are exchanged; leaps forward
                      that would be none */
};

/* A fault at the first row that was refused for `refusal`, with its field and the time's names. */
struct fault *complain_at_first(const struct stamp_troubles *t, enum row_refusal refusal,
                                enum fault_kind kind, struct faults *faults);

/* More than 1 in 100 is more than stray damage: the log as a whole is not what it is said to be.
 * Returns: FAULT_INPUT then, or if no row is used; else FAULT_WARNING */
enum fault_kind complain_kind(uint64_t count, const struct stamp_troubles *t);

/* "3 of 3,600 rows; this is the first". Returns: out */
const char *complain_share(uint64_t count, uint64_t of, char out[96]);

/* "12,345". Returns: out */
const char *count_text(uint64_t count, char out[32]);

/* "'Date' + 'Time'". Returns: out */
const char *complain_time_names(const struct log_plan *plan, char out[FAULT_FIELD_SIZE]);

#endif
