/* Timing: from what the clock of a log showed to the instant for which a row's readings stand.
 *
 * Everything here is stated in the description; without a statement a row's stamp is that instant.
 *
 *     counts since the start   are placed by the instant of each power-up. A fall of the count is
 *                              the next power-up, unless it is the wrap of a 32-bit count of
 *                              milliseconds: 2^32 ms on, and no gap between. Rows after a power-up
 *                              of which no instant is stated cannot be placed.
 *     rows per stamp           rows that share a stamp are spread evenly over the step from stamp
 *                              to stamp. At the beginning of a stretch it is not known which part of
 *                              its step the first stamp's rows are of: they are not used.
 *     clock set                rows before the clock was set are corrected by as much. That the
 *                              stamps make that leap is checked.
 *     stamps at start or end   of the interval over which the logger averages: a mean stands for
 *                              the middle of its interval, half of it after or before the stamp.
 */
#ifndef INGEST_TIMING_H
#define INGEST_TIMING_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/row.h"

#include <stdbool.h>
#include <stdint.h>

struct timing {
    const struct log_plan *plan;
    bool counts; /* since the start: timing_place is needed */
    bool moves;  /* timing_move is needed */

    bool counted;         /* a count has come */
    int64_t count_us;     /* the last one */
    int64_t base_us;      /* instant of count 0 */
    size_t power_up;      /* from 0 */

    bool any;             /* a row has come */
    int64_t clock_us;     /* the last row's instant by the clock */
    struct log_place last;

    size_t set;           /* clock sets behind */
    int64_t ahead_us;     /* sum of the sets that are still ahead */
    bool contradicted;    /* one of them is not what the stamps show */

    int64_t group_us;     /* the stamp that the last rows share */
    unsigned in_group;    /* of them so far */
    bool whole_group;     /* all of them were seen */

    int64_t shift_us;     /* to the middle of the interval */
};

/* In:      account  its step between stamps is taken; with rows per stamp it becomes that between
 *                   rows. Shift and step of the stamps are noted there. */
void timing_init(struct timing *timing, const struct row_form *form, struct log_account *account);

/* Places a count since the start (counts is set): rows->time_us becomes an instant by the clock.
 * Returns: false if its power-up is not stated. */
bool timing_place(struct timing *timing, struct rows *rows, struct log_account *account);

/* Moves rows->time_us (moves is set) from the clock's instant to that of the readings.
 * Out:     refusal  why a row cannot be used: ROW_DUPLICATE (more than the stated rows share a
 *                   stamp) or ROW_PART; untouched if it can
 * Returns: whether the row can be used. A clock that was not set as stated adds an input fault. */
bool timing_move(struct timing *timing, struct rows *rows, struct log_account *account,
                 struct log_place now, enum row_refusal *refusal, struct faults *faults);

/* After the last row: a start or a clock set that is not in the log. Returns: false with an input
 * fault; also if there was one before. */
bool timing_end(struct timing *timing, const struct log_account *account, struct faults *faults);

#endif
