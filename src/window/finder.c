#include "window/finder.h"

#include "base/calendar.h"
#include "window/rules_text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool is_deviation(const struct rule_row *row)
{
    return row->statistic == RULE_DEVIATION || row->statistic == RULE_DEVIATION_RELATIVE;
}

/* Slots that a length takes, rounded up; the last bit of a quotient does not cost a slot. */
static size_t whole_slots(double length_s, double slot_s)
{
    double slots = ceil(length_s / slot_s - 1e-9);
    return slots < 1.0 ? 0 : (size_t)slots;
}

static void warn_few_slots(const struct finder *finder, double slot_s, struct faults *faults)
{
    char window[RULE_TEXT_SIZE];
    struct fault *fault = fault_new(faults, FAULT_WARNING, fault_at(NULL, 0, 0));
    fault_found(
        fault, "readings come every %.3g s: a window of %s holds %zu of them", slot_s,
        rule_value_text(RULE_WINDOW, &finder->rules.rule[RULE_WINDOW].value, window, sizeof window),
        finder->sliding.n_window);
    fault_expected(fault, "at least %d, or steadiness inside a window cannot be seen",
                   FINDER_FEW_SLOTS);
    fault_hint(fault, "log more often, or make 'window' longer");
}

static void note_lengths(struct finder *finder, bool first)
{
    const struct sliding *sliding = &finder->sliding;
    double window_s = (double)sliding->n_window * sliding->slot_s;
    if (!first && window_s >= finder->window_s)
        return;
    finder->window_s = window_s;
    finder->conditioning_s = (double)(sliding->n_total - sliding->n_window) * sliding->slot_s;
}

/* The length of slots is known, or another from here on. */
static bool take_ready(void *state, int64_t slot_us, struct faults *faults)
{
    struct finder *finder = state;
    bool first = !finder->sliding_ready;
    if (!first && !refusals_close(&finder->refusals, finder->last_end_us, 0, faults))
        return false;
    sliding_free(&finder->sliding);
    finder->sliding_ready = false;
    finder->readings.skip[CH_INCIDENCE] = finder->weigh_incidence;
    const struct rules *rules = &finder->rules;
    bool watched[CH_COUNT] = {false};
    for (int id = 0; id < RULE_LIMITS; id++)
        if (is_deviation(rule_row((enum rule_id)id)))
            watched[rule_row((enum rule_id)id)->channel] = true;
    const struct rule_value *conditioning = &rules->rule[RULE_CONDITIONING].value;
    double slot_s = (double)slot_us * 1e-6;
    size_t n_window = whole_slots(rules->rule[RULE_WINDOW].value.high, slot_s);
    size_t n_before = conditioning->on ? whole_slots(conditioning->high, slot_s) : 0;
    if (!sliding_init(&finder->sliding, n_window > 0 ? n_window : 1, n_before, slot_s,
                      finder->slots.present, watched, faults))
        return false;
    finder->sliding_ready = true;
    note_lengths(finder, first);
    if (first && finder->sliding.n_window < FINDER_FEW_SLOTS)
        warn_few_slots(finder, slot_s, faults);
    return true;
}

static bool take_span(void *state, const double *const value[CH_COUNT], size_t first, size_t n,
                      struct faults *faults)
{
    struct finder *finder = state;
    return window_noise_span(&finder->readings, value, first, n, faults);
}

static bool take_reading(void *state, const double *value, struct faults *faults)
{
    struct finder *finder = state;
    return window_noise_reading(&finder->readings, value, faults);
}

/* Room for one more window. */
static bool reserve_window(struct finder *finder, struct faults *faults)
{
    if (finder->n_windows < finder->capacity)
        return true;
    size_t capacity = finder->capacity == 0 ? 32 : 2 * finder->capacity;
    struct means *means = realloc(finder->means, capacity * sizeof *means);
    if (means != NULL)
        finder->means = means;
    struct verdicts *verdict = realloc(finder->verdict, capacity * sizeof *verdict);
    if (verdict != NULL)
        finder->verdict = verdict;
    if (means == NULL || verdict == NULL)
        return fault_memory(faults);
    finder->capacity = capacity;
    return true;
}

/* Each edge lies anywhere in the time between two rows, or between two pulses where these come
 * faster in every row: rectangular, and there are two of them. */
static double u_of_edges(const struct finder *finder, enum counted_kind counted,
                         const struct sliding_edges *edges)
{
    double rate = edges->came / edges->time_s;
    double edge_s = (double)finder->slots.step_us * 1e-6;
    if (!edges->held)
        edge_s = fmin(edge_s, finder->step[counted] / rate);
    return rate * edge_s / sqrt(6.0) / edges->time_s;
}

/* With a single edge the window's count stands, right to one pulse. */
static void take_edges(struct finder *finder, struct means *means)
{
    struct sliding_edges edges;
    if (!means->has[CH_FLOW])
        return;
    double span_s = sliding_least_span_s(&finder->sliding, COUNTED_FLOW);
    finder->span_s = finder->span_s > 0.0 ? fmin(finder->span_s, span_s) : span_s;
    if (!sliding_edges(&finder->sliding, COUNTED_FLOW, &edges)) {
        finder->few[COUNTED_FLOW]++;
        means->u[CH_FLOW] = finder->step[COUNTED_FLOW] / sqrt(6.0) / finder_window_s(finder);
        return;
    }
    double flow_m3_s = edges.came / edges.time_s;
    if (means->has[CH_HEAT] && means->mean[CH_FLOW] > 0.0)
        means->mean[CH_HEAT] *= flow_m3_s / means->mean[CH_FLOW];
    means->mean[CH_FLOW] = flow_m3_s;
    means->u[CH_FLOW] = u_of_edges(finder, COUNTED_FLOW, &edges);
}

static void take_metered(struct finder *finder, struct means *means)
{
    struct sliding_edges edges;
    if (!means->has[CH_METERED])
        return;
    bool told = sliding_edges(&finder->sliding, COUNTED_HEAT, &edges);
    finder->few[COUNTED_HEAT] += !told;
    means->has[CH_METERED] = told && !edges.holed;
    if (!means->has[CH_METERED])
        return;
    means->mean[CH_METERED] = edges.came / edges.time_s;
    means->u[CH_METERED] = u_of_edges(finder, COUNTED_HEAT, &edges);
    means->metered_J = edges.came;
    means->metered_s = edges.time_s;
}

static void fill_means(struct finder *finder, const struct candidate *candidate,
                       struct means *means)
{
    memset(means, 0, sizeof *means);
    calendar_iso(candidate->start_us, 0, means->name, sizeof means->name);
    means->timed = true;
    means->start_us = candidate->start_us;
    means->end_us = candidate->end_us;
    means->session = zone_day(finder->zone, candidate->start_us);
    sliding_readings(&finder->sliding, &means->readings, &means->set_aside);
    means->drift_K_s = sliding_fluid_drift_K_s(&finder->sliding);
    memcpy(means->has, candidate->has, sizeof means->has);
    memcpy(means->mean, candidate->mean, sizeof means->mean);
    if (finder->step[COUNTED_FLOW] > 0.0)
        take_edges(finder, means);
    if (finder->step[COUNTED_HEAT] > 0.0)
        take_metered(finder, means);
    if (finder->weigh_incidence && means->has[CH_INCIDENCE])
        means->mean[CH_INCIDENCE] = sliding_beam_mean(&finder->sliding, CH_INCIDENCE);
}

static bool accept(struct finder *finder, const struct candidate *candidate,
                   const struct verdicts *verdicts, struct faults *faults)
{
    if (!refusals_close(&finder->refusals, candidate->start_us, finder->sliding.n_window, faults))
        return false;
    if (!reserve_window(finder, faults))
        return false;
    fill_means(finder, candidate, &finder->means[finder->n_windows]);
    finder->verdict[finder->n_windows] = *verdicts;
    finder->n_windows++;
    uint64_t first_row = sliding_first_row(&finder->sliding);
    if (!window_noise_window(&finder->readings, first_row, candidate->mean, faults))
        return false;
    finder->free_from_us = candidate->end_us;
    refusals_open(&finder->refusals, candidate->end_us);
    return true;
}

/* What a slot's flow may lie off the window's by, though both are one: each is right to one pulse,
 * or to what a display brings at once that stands still between its rows. */
static double flow_step_m3_s(const struct finder *finder)
{
    struct sliding_edges edges;
    double step_m3 = finder->step[COUNTED_FLOW];
    if (!(step_m3 > 0.0))
        return 0.0;
    if (sliding_edges(&finder->sliding, COUNTED_FLOW, &edges) && edges.held)
        step_m3 = fmax(step_m3, edges.most);
    return step_m3 / sliding_least_span_s(&finder->sliding, COUNTED_FLOW) +
           step_m3 / ((double)finder->sliding.n_window * finder->sliding.slot_s);
}

static bool judge(struct finder *finder, struct faults *faults)
{
    struct candidate *candidate = &finder->candidate;
    struct verdicts verdicts;
    if (!sliding_full(&finder->sliding) ||
        sliding_start_us(&finder->sliding) < finder->free_from_us)
        return true;
    sliding_candidate(&finder->sliding, candidate);
    candidate->flow_step_m3_s = flow_step_m3_s(finder);
    bool good = verdict_judge(&finder->rules, candidate, &verdicts);
    if (!days_candidate(&finder->days, zone_day(finder->zone, candidate->start_us),
                        finder->sliding.slot_s, candidate, &verdicts, faults))
        return false;
    if (good)
        return accept(finder, candidate, &verdicts, faults);
    return refusals_candidate(&finder->refusals, candidate, &verdicts, faults);
}

/* Whether the description excludes any of the slot; its readings are counted where they are. */
static bool is_excluded(struct finder *finder, const struct slot *slot)
{
    bool excluded = false;
    for (size_t i = 0; i < finder->n_excluded; i++) {
        struct finder_excluded *stretch = &finder->excluded[i];
        if (slot->start_us >= stretch->end_us || slot->end_us <= stretch->start_us)
            continue;
        stretch->readings += slot->readings + slot->lost;
        excluded = true;
    }
    return excluded;
}

static bool take_slot(void *state, const struct slot *slot, struct faults *faults)
{
    struct finder *finder = state;
    if (slot->opens_segment) {
        if (!refusals_close(&finder->refusals, finder->last_end_us, 0, faults))
            return false;
        sliding_restart(&finder->sliding);
        refusals_open(&finder->refusals, slot->start_us);
        finder->free_from_us = slot->start_us;
    }
    finder->last_end_us = slot->end_us;
    bool excluded = is_excluded(finder, slot);
    if (excluded != finder->refusals.open.excluded &&
        !refusals_border(&finder->refusals, slot->start_us, excluded, faults))
        return false;
    refusals_slot(&finder->refusals, slot->broken, slot->broken_channel, slot->broken_flag);
    if (slot->broken || excluded) {
        sliding_restart(&finder->sliding);
        window_noise_forget(&finder->readings, finder->readings.rows);
        return true;
    }
    sliding_push(&finder->sliding, slot);
    if (!judge(finder, faults))
        return false;
    if (finder->sliding.length >= finder->sliding.n_window)
        window_noise_forget(&finder->readings, sliding_first_row(&finder->sliding));
    return true;
}

/* Channels without which a slot says nothing: the reduction's own, and those of limits that are on.
 */
static void settle_needs(const struct rules *rules, bool *needs)
{
    for (int c = 0; c < CH_COUNT; c++)
        needs[c] = channel_row((enum channel)c)->needed;
    needs[CH_HEAT] = true;
    for (int id = 0; id < RULE_LIMITS; id++)
        if (rules->rule[id].value.on)
            needs[rule_row((enum rule_id)id)->channel] = true;
}

bool finder_init(struct finder *finder, const struct rules *rules, const struct zone *zone,
                 struct faults *faults)
{
    memset(finder, 0, sizeof *finder);
    finder->rules = *rules;
    finder->zone = zone;
    candidate_clear(&finder->candidate);
    refusals_init(&finder->refusals, &finder->rules);
    window_noise_init(&finder->readings);
    bool needs[CH_COUNT];
    settle_needs(rules, needs);
    int64_t slot_us = (int64_t)llround(rules->rule[RULE_SLOT].value.high * 1e6);
    struct slots_user user = {finder, take_ready, take_reading, take_span, take_slot};
    return slots_init(&finder->slots, slot_us, needs, user, faults);
}

bool finder_exclude(struct finder *finder, int64_t start_us, int64_t end_us,
                    struct faults *faults)
{
    struct finder_excluded *grown =
        realloc(finder->excluded, (finder->n_excluded + 1) * sizeof *grown);
    if (grown == NULL)
        return fault_memory(faults);
    finder->excluded = grown;
    finder->excluded[finder->n_excluded++] = (struct finder_excluded){start_us, end_us, 0};
    return true;
}

void finder_count(struct finder *finder, enum counted_kind counted, double step)
{
    finder->step[counted] = step;
    finder->slots.counts[counted] = step > 0.0;
}

void finder_need(struct finder *finder, enum channel channel)
{
    finder->slots.needs[channel] = true;
}

void finder_free(struct finder *finder)
{
    free(finder->means);
    free(finder->verdict);
    finder->means = NULL;
    finder->verdict = NULL;
    free(finder->excluded);
    finder->excluded = NULL;
    finder->n_excluded = 0;
    finder->n_windows = finder->capacity = 0;
    days_free(&finder->days);
    refusals_free(&finder->refusals);
    slots_free(&finder->slots);
    sliding_free(&finder->sliding);
    window_noise_free(&finder->readings);
}

static bool take_block(void *state, const struct block *block, struct faults *faults)
{
    struct finder *finder = state;
    return slots_take(&finder->slots, block, faults) &&
           window_noise_keep(&finder->readings, faults);
}

/* Of the slope through n equally spaced readings: s sqrt(12/(n (n^2 - 1)))/step, which is
 * sqrt(12)/length times the standard uncertainty of their mean for all but the smallest n. */
static double drift_error_K_s(const struct means *means)
{
    double length_s = (double)(means->end_us - means->start_us) * 1e-6;
    if (!isfinite(means->drift_K_s) || !(length_s > 0))
        return 0;
    return sqrt(12.0) * 0.5 * hypot(means->u[CH_INLET], means->u[CH_OUTLET]) / length_s;
}

/* Whether a window's edges have told its reading error. */
static bool is_counted(const struct finder *finder, int channel)
{
    for (int k = 0; k < COUNTED; k++)
        if (finder->step[k] > 0.0 && (int)counted_channel((enum counted_kind)k) == channel)
            return true;
    return false;
}

/* Every window's reading errors come from the noise of all windows together. */
static void fill_reading_errors(struct finder *finder)
{
    for (int c = 0; c < CH_COUNT; c++)
        finder->noise[c] = window_noise_result(&finder->readings, (enum channel)c);
    for (size_t i = 0; i < finder->n_windows; i++) {
        struct means *means = &finder->means[i];
        for (int c = 0; c < CH_COUNT; c++)
            if (!is_counted(finder, c))
                means->u[c] = means->has[c]
                              ? channel_noise_of_mean(&finder->noise[c], (double)means->readings)
                              : 0.0;
        means->u_drift_K_s = drift_error_K_s(means);
    }
}

static bool finish(void *state, struct faults *faults)
{
    struct finder *finder = state;
    if (!slots_finish(&finder->slots, faults) ||
        !refusals_close(&finder->refusals, finder->last_end_us, 0, faults))
        return false;
    refusals_finish(&finder->refusals);
    fill_reading_errors(finder);
    return true;
}

struct sink finder_sink(struct finder *finder)
{
    return (struct sink){finder, take_block, finish};
}

double finder_window_s(const struct finder *finder)
{
    return finder->window_s;
}

double finder_conditioning_s(const struct finder *finder)
{
    return finder->conditioning_s;
}
