/* Screen: readings that can be, but cannot be believed, get their flag before anyone uses them.
 *
 *   error code: a number of ingest/error_codes.h that the channel can have, in at most 59 rows, far
 *     (screen_limits' jump) from the reading before and from the one after. One of the two may be
 *     absent (the first row after power-up, a gap), not both.
 *
 *   spike: one reading that is far, to the same side, from the readings before and after it, while
 *     those two are no further apart than half of that.
 *
 *   saturated: 30 rows and 10 minutes, or more, of exactly the same number, at the highest reading so
 *     far, and at 400 W/m2 or more, of a sun sensor whose steps are fine. If the log's first rows
 *     hold a higher one, such a run is stuck.
 *
 *   stuck: 60 rows and 30 minutes, or more, of exactly the same number where the channel is not at
 *     rest and its steps are fine; 4,096 such rows are enough whatever their time. A time that the
 *     description states holds whatever the steps, from 3 rows on, and then nothing is saturated.
 *
 * Before and after mean the rows next to it, good, within two minutes and in the same segment; a
 * reading that was set aside is no neighbour and ends a run. The steps are the stated resolution, or
 * else the smallest change between two rows: of the log's first rows (ingest/steps.h), and of every
 * 16th row up to the run's first.
 *
 * Of the runs that are not set aside because the steps were not fine then, the longest is kept: it
 * was stuck if they are found to be fine later (screen_still).
 *
 * It works on whole blocks and holds one of them back, so that a run or a spike that ends in the
 * next block is still set aside from its first reading (of a run that takes more rows to tell than a
 * block holds, which only a stated time can ask for, the last 3,840 before at least). Where nothing happens
 * it costs one look at each step of a thermometer and at every 15th reading of the others.
 */
#ifndef INGEST_SCREEN_H
#define INGEST_SCREEN_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/block.h"
#include "ingest/log_plan.h"
#include "ingest/screen_limits.h"
#include "ingest/steps.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* From a column to the next one. Columns a whole number of pages apart would crowd out each other's
 * rows of the processor's cache. */
enum { SCREEN_STRIDE = BLOCK_ROWS + 40 };

/* Rows of the plan's columns with their places; the arrays of its block are these. The flags of a
 * column that is not marked are all FLAG_GOOD, up to BLOCK_ROWS: good rows need not write them. */
struct screen_rows {
    struct block block;
    size_t n_columns;
    double *values; /* column k from k * SCREEN_STRIDE on */
    uint8_t *flags;
    bool marked[CH_LOGGED]; /* by column: some flags of it may be others */
    int64_t *times_us;
    struct row_place *place;
};

/* Empty rows. Returns: false if there is no memory; screen_rows_free may follow either way. */
bool screen_rows_init(struct screen_rows *rows, const struct log_plan *plan);
void screen_rows_free(struct screen_rows *rows); /* safe twice, and on {0} */

void screen_rows_exchange(struct screen_rows *a, struct screen_rows *b);

/* No rows, and no column is marked. */
void screen_rows_clear(struct screen_rows *rows);

/* Column k of n rows from `first` on is good. */
void screen_rows_good(struct screen_rows *rows, size_t k, size_t first, size_t n);

/* n rows of `from` to another place of `to`, which may be the same. */
void screen_rows_move(struct screen_rows *to, size_t at, const struct screen_rows *from,
                      size_t first, size_t n);

struct screen_run {
    double value; /* NaN: there is no run */
    uint64_t n;
    int64_t first_us;
    struct row_place place; /* of its first row */
    double step_si;         /* smallest so far when it began */
    enum reading_flag flag; /* set from now on; FLAG_GOOD: none yet */
};

struct screen_column {
    enum channel channel;
    const struct log_column *column;
    const struct screen_limits *limits;
    double jump_si;    /* 0: not looked at */
    double spike_si;   /* 0: none is a spike */
    double code_si[2]; /* codes that the channel can have; NaN where there is none */
    bool runs;         /* looked at */
    size_t stride;     /* no run to be told is missed by comparing readings this far apart */
    uint64_t rows_least;
    int64_t stuck_us;
    bool open_jump; /* the last row held may be the end of something that began with a jump */
    unsigned phase; /* rows of the segment so far, modulo 16 */
    double step_si; /* INFINITY before the first */
    double first_most_si; /* highest reading of the log's first rows; NaN: not known */
    struct screen_run run;
    struct screen_run still; /* the longest that would be stuck if the steps were fine; n 0: none */
    int64_t still_us;        /* how long it lasted */
    struct screen_first { /* of each flag that is set here */
        bool any;
        struct row_place place;
        double value_si;
    } first[FLAG_COUNT];
};

struct screen {
    const struct log_account *account; /* its ranges are those of the rows handed on */
    struct screen_column column[CH_LOGGED];
    size_t n;
    struct screen_rows held;  /* judged but for its last row */
    struct screen_rows fresh;
};

/* In:      plan, account   borrowed
 * Returns: false with a machine fault; screen_free may follow either way */
bool screen_init(struct screen *screen, const struct log_plan *plan,
                 const struct log_account *account, struct faults *faults);
void screen_free(struct screen *screen);

/* What is known of the columns before the first row. */
void screen_know_steps(struct screen *screen, const struct steps *steps);

/* Takes rows as the fresh ones, of which there were none; `rows` is empty afterwards. */
void screen_take(struct screen *screen, struct screen_rows *rows);

/* `fresh` is full: judges it together with what is held. Afterwards the held rows are settled. */
void screen_judge(struct screen *screen);

/* The held rows were handed on: holds the fresh ones; `fresh` is empty. */
void screen_hold(struct screen *screen);

/* The segment ends with the held rows (`fresh` is empty): they are settled. */
void screen_settle(struct screen *screen);

/* The held rows were handed on, and what comes begins a segment. */
void screen_restart(struct screen *screen);

/* After the last row, of the plan's column k: the longest run that was used although, by the steps
 * of the whole log, it was stuck. Returns: false if there is none. */
bool screen_still(const struct screen *screen, size_t k, struct log_still *still);

#endif
