/* Excluded stretches: `exclude = START to END, reason` of [log]. No window is formed that touches
 * one.
 */
#ifndef RUN_EXCLUSION_H
#define RUN_EXCLUSION_H

#include "base/zone.h"
#include "description/value.h"

#include <stdbool.h>
#include <stdint.h>

struct exclusion {
    int64_t start_us;
    int64_t end_us; /* > start_us */
    char reason[VALUE_SIZE];
};

/* Takes one apart. Both stamps are ISO 8601, with their zone or by the log's clock (zone; NULL:
 * they must carry theirs). Returns: false with an input fault */
bool exclusion_read(const char *text, const struct zone *zone, struct place at,
                    struct exclusion *exclusion, struct faults *faults);

#endif
