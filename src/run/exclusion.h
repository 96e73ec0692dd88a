/* Excluded stretches: `exclude = START to END, reason` of [log]. No window is formed that touches
 * one.
 */
#ifndef RUN_EXCLUSION_H
#define RUN_EXCLUSION_H

#include "description/value.h"

#include <stdbool.h>
#include <stdint.h>

struct exclusion {
    int64_t start_us;
    int64_t end_us; /* > start_us */
    char reason[VALUE_SIZE];
};

/* A stamp by itself: ISO 8601 with its zone. time_us is untouched on failure.
 * Returns: false with an input fault */
bool zoned_stamp_read(const char *stamp, struct place at, int64_t *time_us, struct faults *faults);

/* Takes one apart. Both stamps are ISO 8601 and carry their zone, so that neither the logger's
 * clock nor a summer time can move them. Returns: false with an input fault */
bool exclusion_read(const char *text, struct place at, struct exclusion *exclusion,
                    struct faults *faults);

#endif
