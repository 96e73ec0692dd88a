#include "window/days.h"

#include <math.h>
#include <stdlib.h>

/* What counts as sunshine, and as warming, where the rules have no limit: our own figures. */
#define SUNNY_W_M2 400.0
#define WARMED_K 1.0

void days_free(struct days *days)
{
    free(days->items);
    *days = (struct days){0};
}

/* The entry of a day, the last one or a new one; NULL with a machine fault. */
static struct day_found *entry(struct days *days, int64_t day, struct faults *faults)
{
    if (days->n > 0 && days->items[days->n - 1].day == day)
        return &days->items[days->n - 1];
    if (days->n == days->capacity) {
        size_t capacity = days->capacity == 0 ? 8 : 2 * days->capacity;
        struct day_found *items = realloc(days->items, capacity * sizeof *items);
        if (items == NULL) {
            fault_memory(faults);
            return NULL;
        }
        days->items = items;
        days->capacity = capacity;
    }
    days->items[days->n] = (struct day_found){.day = day};
    return &days->items[days->n++];
}

static bool is_met(const struct verdicts *verdicts, enum rule_id id, double value, double least)
{
    return verdicts->state[id] == VERDICT_OFF ? value >= least : verdicts->state[id] == VERDICT_MET;
}

static void add_heat(struct day_heat *to, double slot_s, const double *mean)
{
    double heat = mean[CH_HEAT];
    to->heat += slot_s * (isfinite(heat) ? heat : mean[CH_OUTLET] - mean[CH_INLET]);
    to->sun += slot_s * mean[CH_IRRADIANCE];
}

static void add(struct day_share *share, double slot_s, const double *mean,
                const struct verdicts *verdicts)
{
    share->seconds += slot_s;
    share->rise_K_s += slot_s * (mean[CH_OUTLET] - mean[CH_INLET]);
    add_heat(&share->heat, slot_s, mean);
    for (int id = 0; id < RULE_LIMITS; id++)
        if (verdicts->state[id] == VERDICT_NOT_MET)
            share->failed_s[id] += slot_s;
}

bool days_candidate(struct days *days, int64_t day, double slot_s,
                    const struct candidate *candidate, const struct verdicts *verdicts,
                    struct faults *faults)
{
    const double *mean = candidate->mean;
    double rise_K = mean[CH_OUTLET] - mean[CH_INLET];
    struct day_found *to = entry(days, day, faults);
    if (to == NULL)
        return false;
    if (!isfinite(rise_K))
        return true;
    if (verdicts->not_met == 0) {
        to->windows++;
        to->window_rise_K += rise_K;
        add_heat(&to->window_heat, slot_s, mean);
    } else if (is_met(verdicts, RULE_IRRADIANCE_LEAST, mean[CH_IRRADIANCE], SUNNY_W_M2)) {
        add(&to->sunny, slot_s, mean, verdicts);
    } else if (is_met(verdicts, RULE_RISE_LEAST, rise_K, WARMED_K)) {
        add(&to->dim, slot_s, mean, verdicts);
    }
    return true;
}
