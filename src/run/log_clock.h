/* The keys of [log] that say more of the clock than its form and zone: `start`, `stamps`,
 * `interval`, `rows per stamp`, `clock set`. What comes of them: ingest/timing.h.
 */
#ifndef RUN_LOG_CLOCK_H
#define RUN_LOG_CLOCK_H

#include "base/zone.h"
#include "description/value.h"
#include "ingest/log_plan.h"

#include <stdbool.h>

/* `stamps`, in the order of enum stamp_side. */
enum { STAMP_SIDES = 4 };
extern const char *const stamp_side_words[STAMP_SIDES]; /* "end of interval" */

struct log_clock {
    struct stated_list start;    /* stamps */
    struct stated_choice stamps; /* enum stamp_side */
    struct stated_number interval_s;
    struct stated_number rows_per_stamp;
    struct stated_list set; /* `STAMP by AMOUNT` */

    /* Settled by log_clock_settle. */
    struct log_timing timing; /* its arrays are owned here */
};

void log_clock_free(struct log_clock *clock); /* safe twice */

/* In:      form     of the stamps, as in `time`
 *          zone     of the clock; NULL: each stamp carries its own
 *          file     the description, kept as long as the clock
 *          time_at  where `time` stands
 * Returns: false with input faults: a stamp or an amount that cannot be read, starts or sets out of
 *          order, a key that the form does not take, a count without 'start', an interval without
 *          'stamps' */
bool log_clock_settle(struct log_clock *clock, const char *form, const struct zone *zone,
                      const char *file, struct place time_at, struct faults *faults);

#endif
