#include "window/refusals.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define S_PER_US 1e-6

void refusals_init(struct refusals *refusals, const struct rules *rules)
{
    memset(refusals, 0, sizeof *refusals);
    refusals->rules = rules;
    for (int id = 0; id < RULE_LIMITS; id++)
        refusals->reach[id].impossible = INFINITY;
}

void refusals_free(struct refusals *refusals)
{
    free(refusals->kept);
    free(refusals->pending);
    refusals->kept = NULL;
    refusals->pending = NULL;
    refusals->n_kept = refusals->capacity = 0;
    refusals->n_pending = refusals->pending_capacity = 0;
}

void refusals_open(struct refusals *refusals, int64_t start_us)
{
    refusals->open = (struct refusal){.start_us = start_us,
                                      .end_us = start_us,
                                      .limit = RULE_COUNT,
                                      .broken_channel = CH_COUNT,
                                      .broken_flag = FLAG_MISSING};
    refusals->is_open = true;
}

bool refusals_border(struct refusals *refusals, int64_t time_us, bool excluded,
                     struct faults *faults)
{
    if (!refusals_close(refusals, time_us, 0, faults))
        return false;
    refusals_open(refusals, time_us);
    refusals->open.excluded = excluded;
    return true;
}

void refusals_slot(struct refusals *refusals, bool broken, enum channel channel,
                   enum reading_flag flag)
{
    struct refusal *open = &refusals->open;
    open->slots++;
    if (broken && open->broken++ == 0) {
        open->broken_channel = channel;
        open->broken_flag = flag;
    }
}

/* The first of these limits, which goes out of the set. */
static enum rule_id next_of(uint32_t *limits)
{
    enum rule_id id = (enum rule_id)__builtin_ctz(*limits);
    *limits &= *limits - 1;
    return id;
}

static double ratio_of(const struct refusals *refusals, enum rule_id id,
                       const struct verdicts *verdicts)
{
    return rule_ratio(id, &refusals->rules->rule[id].value, verdicts->statistic[id]);
}

/* Whether the rules accept a figure that would admit a limit that is not met. */
static bool can_be_met(struct refusals *refusals, enum rule_id id, const struct verdicts *verdicts,
                       double ratio)
{
    struct refusal_reach *reach = &refusals->reach[id];
    bool one_end = rule_row(id)->sense != RULE_BETWEEN;
    if (one_end && ratio <= reach->possible)
        return isfinite(ratio);
    if (one_end && ratio >= reach->impossible)
        return false;
    struct rule_value loosened;
    const struct rule_value *value = &refusals->rules->rule[id].value;
    bool possible = rule_loosen(id, value, verdicts->statistic[id], &loosened);
    if (possible)
        reach->possible = ratio;
    else
        reach->impossible = ratio;
    return possible && isfinite(ratio);
}

/* A candidate that fails this limit alone. */
static void note_alone(struct refusals *refusals, const struct refusal_pending *pending,
                       enum rule_id id)
{
    const struct verdicts *verdicts = &pending->verdicts;
    struct near_miss *miss = &refusals->alone[id];
    double ratio = ratio_of(refusals, id, verdicts);
    if ((miss->found && !(ratio < miss->ratio)) || !can_be_met(refusals, id, verdicts, ratio))
        return;
    *miss = (struct near_miss){true,
                               ratio,
                               verdicts->statistic[id],
                               pending->start_us,
                               pending->end_us,
                               verdicts->in_conditioning[id]};
}

static void note_closest(struct refusals *refusals, const struct refusal_pending *pending)
{
    struct refusal *open = &refusals->open;
    double largest = 0.0;
    for (uint32_t limits = pending->verdicts.not_met; limits != 0;) {
        enum rule_id id = next_of(&limits);
        double ratio = ratio_of(refusals, id, &pending->verdicts);
        if ((open->closest_found && ratio >= open->closest_ratio) ||
            !can_be_met(refusals, id, &pending->verdicts, ratio))
            return;
        largest = fmax(largest, ratio);
    }
    open->closest_found = true;
    open->closest_ratio = largest;
    open->closest_start_us = pending->start_us;
    open->closest_end_us = pending->end_us;
    open->closest = pending->verdicts;
}

/* A candidate that no window overlaps. */
static void note(struct refusals *refusals, const struct refusal_pending *pending)
{
    uint32_t limits = pending->verdicts.not_met;
    if ((limits & (limits - 1)) == 0)
        note_alone(refusals, pending, next_of(&limits));
    note_closest(refusals, pending);
}

/* Notes the pending candidates that end by `until_us`: windows to come start later. */
static void note_until(struct refusals *refusals, int64_t until_us)
{
    while (refusals->n_pending > 0 &&
           refusals->pending[refusals->pending_first].end_us <= until_us) {
        note(refusals, &refusals->pending[refusals->pending_first]);
        refusals->pending_first = (refusals->pending_first + 1) % refusals->pending_capacity;
        refusals->n_pending--;
    }
}

static bool grow_pending(struct refusals *refusals, struct faults *faults)
{
    size_t capacity = refusals->pending_capacity == 0 ? 32 : 2 * refusals->pending_capacity;
    struct refusal_pending *pending = malloc(capacity * sizeof *pending);
    if (pending == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < refusals->n_pending; i++)
        pending[i] = refusals->pending[(refusals->pending_first + i) % refusals->pending_capacity];
    free(refusals->pending);
    refusals->pending = pending;
    refusals->pending_capacity = capacity;
    refusals->pending_first = 0;
    return true;
}

bool refusals_candidate(struct refusals *refusals, const struct candidate *candidate,
                        const struct verdicts *verdicts, struct faults *faults)
{
    refusals->open.judged++;
    for (uint32_t limits = verdicts->not_met; limits != 0;)
        refusals->open.failed[next_of(&limits)]++;
    note_until(refusals, candidate->start_us);
    if (refusals->n_pending == refusals->pending_capacity && !grow_pending(refusals, faults))
        return false;
    size_t at = (refusals->pending_first + refusals->n_pending++) % refusals->pending_capacity;
    refusals->pending[at] =
        (struct refusal_pending){candidate->start_us, candidate->end_us, *verdicts};
    return true;
}

static void settle_reason(struct refusal *refusal, bool window_follows)
{
    size_t most = 0;
    for (int id = 0; id < RULE_LIMITS; id++)
        if (refusal->failed[id] > most) {
            most = refusal->failed[id];
            refusal->limit = (enum rule_id)id;
        }
    if (refusal->excluded)
        refusal->reason = REFUSAL_EXCLUDED;
    else if (refusal->broken > most)
        refusal->reason = REFUSAL_BROKEN;
    else if (refusal->judged > 0)
        refusal->reason = REFUSAL_LIMIT;
    else
        refusal->reason = window_follows ? REFUSAL_CONDITIONING : REFUSAL_SHORT;
}

static double seconds_of(const struct refusal *refusal)
{
    return (double)(refusal->end_us - refusal->start_us) * S_PER_US;
}

static void count(struct refusals *refusals, const struct refusal *refusal)
{
    double seconds = seconds_of(refusal);
    refusals->stretches++;
    refusals->seconds += seconds;
    refusals->judged += refusal->judged;
    for (int id = 0; id < RULE_LIMITS; id++)
        refusals->failed[id] += refusal->failed[id];
    if (refusal->reason == REFUSAL_LIMIT) {
        refusals->stretches_limit[refusal->limit]++;
        refusals->seconds_limit[refusal->limit] += seconds;
    } else if (refusal->reason == REFUSAL_BROKEN) {
        refusals->stretches_broken++;
        refusals->seconds_broken += seconds;
    } else if (refusal->reason == REFUSAL_EXCLUDED) {
        refusals->stretches_excluded++;
        refusals->seconds_excluded += seconds;
    } else if (refusal->reason == REFUSAL_CONDITIONING) {
        refusals->stretches_conditioning++;
        refusals->seconds_conditioning += seconds;
    } else {
        refusals->stretches_short++;
        refusals->seconds_short += seconds;
    }
}

static void find_shortest(struct refusals *refusals)
{
    refusals->shortest = 0;
    for (size_t i = 1; i < refusals->n_kept; i++)
        if (seconds_of(&refusals->kept[i]) < seconds_of(&refusals->kept[refusals->shortest]))
            refusals->shortest = i;
}

/* Keeps it if there is room, or instead of the shortest one if it is longer. */
static bool keep(struct refusals *refusals, const struct refusal *refusal, struct faults *faults)
{
    if (refusals->n_kept == REFUSALS_KEPT) {
        if (seconds_of(refusal) > seconds_of(&refusals->kept[refusals->shortest])) {
            refusals->kept[refusals->shortest] = *refusal;
            find_shortest(refusals);
        }
        return true;
    }
    if (refusals->n_kept == refusals->capacity) {
        size_t capacity = refusals->capacity == 0 ? 16 : 2 * refusals->capacity;
        struct refusal *kept = realloc(refusals->kept, capacity * sizeof *kept);
        if (kept == NULL)
            return fault_memory(faults);
        refusals->kept = kept;
        refusals->capacity = capacity;
    }
    refusals->kept[refusals->n_kept++] = *refusal;
    if (refusals->n_kept == REFUSALS_KEPT)
        find_shortest(refusals);
    return true;
}

bool refusals_close(struct refusals *refusals, int64_t end_us, size_t slots_after,
                    struct faults *faults)
{
    struct refusal *open = &refusals->open;
    if (!refusals->is_open)
        return true;
    refusals->is_open = false;
    note_until(refusals, end_us);
    refusals->n_pending = 0; /* the window overlaps the others */
    if (end_us <= open->start_us)
        return true;
    open->end_us = end_us;
    open->slots -= slots_after;
    settle_reason(open, slots_after > 0);
    count(refusals, open);
    return keep(refusals, open, faults);
}

static int compare_starts(const void *a, const void *b)
{
    const struct refusal *x = a, *y = b;
    return (x->start_us > y->start_us) - (x->start_us < y->start_us);
}

void refusals_finish(struct refusals *refusals)
{
    if (refusals->n_kept > 0)
        qsort(refusals->kept, refusals->n_kept, sizeof *refusals->kept, compare_starts);
    find_shortest(refusals);
}

bool near_miss_line(const struct near_miss *miss, const struct rules *rules, enum rule_id id,
                    char *out, size_t size)
{
    struct rule_value loosened;
    if (!miss->found || !rule_loosen(id, &rules->rule[id].value, miss->statistic, &loosened))
        return false;
    rule_line(id, &loosened, out, size);
    return true;
}

size_t refusal_lines(const struct refusal *refusal, const struct rules *rules, struct text *out)
{
    size_t lines = 0;
    for (int id = 0; refusal->closest_found && id < RULE_LIMITS; id++) {
        struct rule_value loosened;
        char line[RULE_TEXT_SIZE];
        if ((refusal->closest.not_met >> id & 1U) == 0)
            continue;
        if (!rule_loosen((enum rule_id)id, &rules->rule[id].value, refusal->closest.statistic[id],
                         &loosened))
            return 0; /* the other lines would admit nothing without it */
        text_addf(out, "%s\n", rule_line((enum rule_id)id, &loosened, line, sizeof line));
        lines++;
    }
    return lines;
}
