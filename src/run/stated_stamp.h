/* Stamps that stand in the description by themselves: ISO 8601, with their zone or by the log's
 * clock.
 */
#ifndef RUN_STATED_STAMP_H
#define RUN_STATED_STAMP_H

#include "base/faults.h"
#include "base/zone.h"

#include <stdbool.h>
#include <stdint.h>

/* In:      stamp    "2026-06-16 10:00:00+01:00", or without a zone as the log's clock shows it; a
 *                   blank or T between date and time, seconds may be left out
 *          zone     of the log's clock; NULL: there is none to go by, and the stamp must carry its own
 * Out:     time_us  untouched on failure
 * Returns: false with an input fault: no such stamp, no zone, a reading that the clock skips or
 *          shows twice */
bool stated_stamp_read(const char *stamp, const struct zone *zone, struct place at,
                       int64_t *time_us, struct faults *faults);

/* The same for a text that may be something else, without a fault: a reading that the clock shows
 * twice is its first instant. Returns: false if it is no stamp. */
bool stated_stamp_try(const char *text, const struct zone *zone, int64_t *time_us);

#endif
