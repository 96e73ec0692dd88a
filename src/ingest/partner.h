/* Partner: the rows of a log that another one's slots are filled from.
 *
 * A slot is the time around a row of the slower log: from half its length before to half after. Of
 * the partner's readings in it
 *
 *   the mean   of the good ones is the slot's reading; a row exactly at an end is of two slots and
 *              counts half in each. Directions take the short way round
 *   counters   that of its last row, if that is good and the slot ends within 1.5 steps of it
 *   counts     of pulses since the row before: their sum from the end of the slot before to the end
 *              of this one, if each is good and within 1.5 steps of the one before
 *
 * A slot of whose time less than half is covered, each row standing for one step, has no reading,
 * and so has a channel less than half of which is good. Nothing is carried over or interpolated.
 */
#ifndef INGEST_PARTNER_H
#define INGEST_PARTNER_H

#include "ingest/feed.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Most rows that are held for one slot. */
enum { PARTNER_ROWS = 8192 };

struct partner_rows { /* in time order, from `from` on */
    size_t from;
    size_t n;
    int64_t *time_us;
    int64_t *since_us; /* since the row before; INT64_MAX: there is none in its segment */
    bool *used;        /* in a slot */
    double *value;     /* column k from k * 2 * PARTNER_ROWS on */
    uint8_t *flag;
};

struct partner {
    const struct log_plan *plan;
    const struct log_account *account;
    struct feed *feed;
    int64_t ahead_us;
    int64_t half_us;           /* half a slot */
    const struct block *block; /* NULL: all was taken */
    size_t at;                 /* next row of it */
    int64_t first_us;          /* of the rows so far, by the common clock */
    int64_t last_us;
    bool any;
    bool counts; /* one of its columns holds counts since the row before */
    struct partner_rows rows;
    uint64_t used; /* its rows that were in a slot */
};

/* A slot. */
struct slot_time {
    int64_t time_us;
    bool follows;      /* on another one without a gap */
    int64_t before_us; /* that one's time */
};

/* In:      feed     of the log; block its first one, or NULL
 *          ahead_us what its clock shows more than the common one
 *          slot_us  length of a slot
 * Returns: false if memory is short. partner_free must follow either way. */
bool partner_init(struct partner *partner, struct feed *feed, const struct block *block,
                  int64_t ahead_us, int64_t slot_us);
void partner_free(struct partner *partner); /* safe twice, and on {0} */

/* Whether the slot lies before its first or after its last row: nothing of it can be known. Fills
 * `outside` after taking all rows up to the slot's end.
 * Returns: false if more than PARTNER_ROWS rows would have to be held */
bool partner_reach(struct partner *partner, const struct slot_time *slot, bool *outside);

/* The slot's readings, one a column of its plan, after partner_reach.
 * Out:     value, flag  as in a block: NaN where the flag is not good
 * Returns: false if the slot has no reading (all are then missing) */
bool partner_mean(struct partner *partner, const struct slot_time *slot, double *value,
                  uint8_t *flag);

/* No slot needs the rows that are held any more. */
void partner_settle(struct partner *partner);

#endif
