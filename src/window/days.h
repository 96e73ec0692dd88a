/* Days: what became of each local day's candidates, so that a day without a window can be told from
 * one without sunshine. One entry a day; candidates are counted where they start, in slots.
 */
#ifndef WINDOW_DAYS_H
#define WINDOW_DAYS_H

#include "base/faults.h"
#include "window/rules.h"
#include "window/verdict.h"

#include <stddef.h>
#include <stdint.h>

/* What the water took up and what the sun gave; days are only compared with each other. */
struct day_heat {
    double heat; /* sum of means, W times seconds; without a flow the rise, K, stands for it */
    double sun;  /* of the irradiance alike, W/m2 */
};

/* Candidates that were refused. */
struct day_share {
    double seconds;  /* a slot each */
    double rise_K_s; /* outlet less inlet, times that */
    double failed_s[RULE_LIMITS];
    struct day_heat heat;
};

struct day_found {
    int64_t day; /* as zone_day */
    size_t windows;
    double window_rise_K;   /* sum over the windows: outlet less inlet */
    struct day_heat window_heat;
    struct day_share sunny; /* with sunshine as strong as the rules ask */
    struct day_share dim;   /* weaker, and yet with a rise as large as they ask */
};

struct days {
    struct day_found *items; /* in time order */
    size_t n;
    size_t capacity;
};

void days_free(struct days *days);

/* A candidate of this day, refused or taken; slot_s: to the next one.
 * Returns: false with a machine fault */
bool days_candidate(struct days *days, int64_t day, double slot_s,
                    const struct candidate *candidate, const struct verdicts *verdicts,
                    struct faults *faults);

#endif
