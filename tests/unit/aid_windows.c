#include "aid_windows.h"

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "window/rules_override.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The clock's zone. */
static const struct zone winter = {.offset_s = 3600};

void aid_set_rule(struct rules *rules, const char *key, const char *value, struct faults *faults)
{
    if (!rules_override(rules, key, value, fault_at(NULL, 0, 0), faults))
        fail_msg("%s = %s: %s", key, value, faults->items[0].found);
}

void aid_find_windows(const struct aid_log *log, const struct rules *rules, size_t most_rows,
                      uint32_t cut, struct finder *finder, struct faults *faults)
{
    assert_true(finder_init(finder, rules, &winter, faults));
    aid_log_feed(log, finder_sink(finder), most_rows, cut);
}

/* A slot of the reference: rows first to end - 1, those of which a reading is bad set aside. */
struct plain_slot {
    size_t first, end;
    int64_t start_us;
    bool broken, opens_segment;
};

static bool is_watched(const struct aid_log *log, int c)
{
    return log->present[c]; /* every channel of these logs has a limit or is needed */
}

static bool row_is_good(const struct aid_log *log, size_t i)
{
    for (int c = 0; c < CH_COUNT; c++)
        if (is_watched(log, c) && log->flag[c][i] != FLAG_GOOD)
            return false;
    return true;
}

/* Slots of a log with equal steps: pieces of slot_us from each segment's first row; the last one
 * only if its last reading is there. Returns: how many */
static size_t plain_slots(const struct aid_log *log, int64_t slot_us, int64_t step_us,
                          struct plain_slot *slots)
{
    size_t n = 0;
    for (size_t first = 0, end; first < log->n; first = end) {
        end = first + 1;
        while (end < log->n && !log->gap[end])
            end++;
        int64_t full_us = log->time_us[end - 1] + step_us - log->time_us[first];
        size_t at = first;
        for (int64_t k = 0; (k + 1) * slot_us <= full_us; k++) {
            int64_t slot_end = log->time_us[first] + (k + 1) * slot_us;
            struct plain_slot slot = {at, at, slot_end - slot_us, false, k == 0};
            while (slot.end < end && log->time_us[slot.end] < slot_end)
                slot.end++;
            size_t good = 0;
            for (size_t i = slot.first; i < slot.end; i++)
                good += row_is_good(log, i);
            slot.broken = good == 0 || (double)good < 0.75 * (double)(slot.end - slot.first);
            at = slot.end;
            slots[n++] = slot;
        }
    }
    return n;
}

static double mean_of_rows(const struct aid_log *log, enum channel c, size_t first, size_t end)
{
    long double sum = 0.0L, n = 0.0L;
    for (size_t i = first; i < end; i++) {
        if (!row_is_good(log, i))
            continue;
        sum += log->value[c][i];
        n += 1.0L;
    }
    return (double)(sum / n);
}

static double slot_mean(const struct aid_log *log, enum channel c, const struct plain_slot *slot)
{
    return mean_of_rows(log, c, slot->first, slot->end);
}

static double worst(const struct aid_log *log, enum channel c, const struct plain_slot *slots,
                    size_t n, double mean)
{
    double largest = 0.0;
    for (size_t k = 0; k < n; k++)
        largest = fmax(largest, fabs(slot_mean(log, c, &slots[k]) - mean));
    return largest;
}

/* |slope| of a straight line through the slot means, by the textbook's centred sums. */
static double drift(const struct aid_log *log, const struct plain_slot *slots, size_t n,
                    double slot_s)
{
    double middle = 0.5 * (double)(n - 1), sxx = 0.0, sxy = 0.0;
    for (size_t k = 0; k < n; k++) {
        double x = (double)k - middle;
        sxx += x * x;
        sxy += x * slot_mean(log, CH_OUTLET, &slots[k]);
    }
    return fabs(sxy / sxx / slot_s);
}

/* Statistic of every limit for the window of n slots at `window`, with p slots before it. */
static void plain_statistics(const struct aid_log *log, const struct plain_slot *window, size_t n,
                             size_t p, double slot_s, double *statistic, double *mean)
{
    size_t first = window[0].first, end = window[n - 1].end;
    for (int c = 0; c < CH_COUNT; c++)
        mean[c] = log->present[c] ? mean_of_rows(log, (enum channel)c, first, end) : NAN;
    const struct plain_slot *all = window - p;
    statistic[RULE_IRRADIANCE_LEAST] = mean[CH_IRRADIANCE];
    statistic[RULE_IRRADIANCE_DEVIATION] =
        worst(log, CH_IRRADIANCE, all, n + p, mean[CH_IRRADIANCE]);
    statistic[RULE_AMBIENT_DEVIATION] = worst(log, CH_AMBIENT, all, n + p, mean[CH_AMBIENT]);
    statistic[RULE_INLET_DEVIATION] = worst(log, CH_INLET, all, n + p, mean[CH_INLET]);
    statistic[RULE_OUTLET_DEVIATION] = worst(log, CH_OUTLET, window, n, mean[CH_OUTLET]);
    statistic[RULE_OUTLET_DRIFT] = drift(log, window, n, slot_s);
    statistic[RULE_FLOW_DEVIATION] = worst(log, CH_FLOW, all, n + p, mean[CH_FLOW]) / mean[CH_FLOW];
    statistic[RULE_FLOW_WAVER] = worst(log, CH_FLOW, all, n + p, mean[CH_FLOW]);
    statistic[RULE_WIND] = mean[CH_WIND];
    statistic[RULE_DIFFUSE_MOST] = mean[CH_DIFFUSE] / mean[CH_IRRADIANCE];
    statistic[RULE_INCIDENCE_MOST] = NAN; /* never measured */
    statistic[RULE_RISE_LEAST] = mean[CH_OUTLET] - mean[CH_INLET];
}

static bool plain_meets(enum rule_id id, const struct rule_value *value, double x)
{
    if (!value->on || isnan(x))
        return true;
    double least = rule_row(id)->sense == RULE_AT_MOST ? -INFINITY : value->low * (1.0 - 1e-9);
    double most = rule_row(id)->sense == RULE_AT_LEAST ? INFINITY : value->high * (1.0 + 1e-9);
    return x >= least && x <= most;
}

/* A refused stretch of the reference. */
struct plain_refused {
    size_t at; /* slot at which it starts */
    double statistic[RULE_LIMITS];
};

static size_t count_failed(const struct rules *rules, const double *statistic)
{
    size_t n = 0;
    for (int id = 0; id < RULE_LIMITS; id++)
        n += !plain_meets((enum rule_id)id, &rules->rule[id].value, statistic[id]);
    return n;
}

/* Counts what a refused stretch fails; `free_standing` says that no window overlaps it. */
static void plain_refuse(struct plain *plain, const struct rules *rules, const double *statistic,
                         bool free_standing)
{
    bool alone = free_standing && count_failed(rules, statistic) == 1;
    plain->judged++;
    for (int id = 0; id < RULE_LIMITS; id++) {
        const struct rule_value *value = &rules->rule[id].value;
        if (plain_meets((enum rule_id)id, value, statistic[id]))
            continue;
        plain->failed[id]++;
        double ratio = rule_ratio((enum rule_id)id, value, statistic[id]);
        if (alone && (!plain->near_found[id] || ratio < plain->near_ratio[id])) {
            plain->near_found[id] = true;
            plain->near_ratio[id] = ratio;
            plain->near_statistic[id] = statistic[id];
        }
    }
}

/* Whether conditioning and window are one unbroken run of slots. */
static bool plain_whole(const struct plain_slot *window, size_t n_window, size_t n_before)
{
    const struct plain_slot *first = window - n_before;
    for (size_t k = 0; k < n_window + n_before; k++)
        if (first[k].broken || (first[k].opens_segment && k > 0))
            return false;
    return true;
}

static void plain_accept(struct plain *plain, const struct plain_slot *window, size_t n_window,
                         int64_t slot_us, const double *mean, const double *statistic)
{
    size_t w = plain->n_windows++;
    assert_true(w < 200);
    plain->start_us[w] = window[0].start_us;
    plain->end_us[w] = window[n_window - 1].start_us + slot_us;
    plain->rows[w] = window[n_window - 1].end - window[0].first;
    memcpy(plain->mean[w], mean, sizeof plain->mean[w]);
    memcpy(plain->statistic[w], statistic, sizeof plain->statistic[w]);
}

static void plain_refuse_all(struct plain *plain, const struct rules *rules,
                             const struct plain_refused *refused, size_t n,
                             const struct plain_slot *slots, size_t n_window)
{
    for (size_t i = 0; i < n; i++) {
        int64_t start_us = slots[refused[i].at].start_us;
        int64_t last_us = slots[refused[i].at + n_window - 1].start_us;
        bool free_standing = true;
        for (size_t w = 0; w < plain->n_windows; w++)
            if (plain->start_us[w] <= last_us && plain->end_us[w] > start_us)
                free_standing = false;
        plain_refuse(plain, rules, refused[i].statistic, free_standing);
    }
}

void plain_find(const struct aid_log *log, const struct rules *rules, int64_t slot_us,
                       int64_t step_us, struct plain *plain)
{
    /* lost rows leave slots empty where each reading is one: 42 at most */
    struct plain_slot *slots = calloc(log->n + 100, sizeof *slots);
    struct plain_refused *refused = calloc(log->n + 100, sizeof *refused);
    assert_non_null(slots);
    assert_non_null(refused);
    double slot_s = (double)slot_us * 1e-6;
    size_t n = plain_slots(log, slot_us, step_us, slots), n_refused = 0;
    size_t n_window = (size_t)ceil(192.0 / slot_s), n_before = (size_t)ceil(150.0 / slot_s);
    memset(plain, 0, sizeof *plain);
    plain->slots_s = (double)n * slot_s;
    size_t free_from = 0; /* slot from which the next window may start */
    for (size_t at = n_before; at + n_window <= n; at++) {
        double mean[CH_COUNT];
        if (at < free_from || !plain_whole(&slots[at], n_window, n_before))
            continue;
        struct plain_refused *this = &refused[n_refused];
        this->at = at;
        plain_statistics(log, &slots[at], n_window, n_before, slot_s, this->statistic, mean);
        if (count_failed(rules, this->statistic) > 0) {
            n_refused++;
            continue;
        }
        plain_accept(plain, &slots[at], n_window, slot_us, mean, this->statistic);
        free_from = at + n_window;
    }
    plain_refuse_all(plain, rules, refused, n_refused, slots, n_window);
    free(refused);
    free(slots);
}

static void compare_window(const char *name, const struct finder *finder, const struct plain *plain,
                           size_t w)
{
    const struct means *means = &finder->means[w];
    assert_true(means->start_us == plain->start_us[w]);
    assert_true(means->end_us == plain->end_us[w]);
    assert_int_equal(means->readings + means->set_aside, plain->rows[w]);
    for (int c = 0; c < CH_COUNT; c++) {
        assert_int_equal(means->has[c], c < CH_INCIDENCE || c == CH_HEAT);
        if (means->has[c])
            aid_near(name, means->mean[c], plain->mean[w][c], 1e-10 * fabs(plain->mean[w][c]));
    }
    for (int id = 0; id < RULE_LIMITS; id++) {
        const struct verdicts *verdicts = &finder->verdict[w];
        enum verdict_state state = id == RULE_INCIDENCE_MOST ? VERDICT_NOT_MEASURED : VERDICT_MET;
        assert_int_equal(verdicts->state[id], state);
        if (state == VERDICT_MET) {
            aid_near(rule_row((enum rule_id)id)->key, verdicts->statistic[id], plain->statistic[w][id],
                 1e-9 * fabs(plain->statistic[w][id]) + 1e-12);
            assert_true(rule_meets((enum rule_id)id, &finder->rules.rule[id].value,
                                   verdicts->statistic[id]));
        }
    }
}

void plain_compare(const char *name, const struct finder *finder, const struct plain *plain)
{
    if (finder->n_windows != plain->n_windows)
        fail_msg("%s: %zu windows, expected %zu", name, finder->n_windows, plain->n_windows);
    for (size_t w = 0; w < plain->n_windows; w++)
        compare_window(name, finder, plain, w);
    const struct refusals *refusals = &finder->refusals;
    assert_int_equal(refusals->judged, plain->judged);
    for (int id = 0; id < RULE_LIMITS; id++) {
        assert_int_equal(refusals->failed[id], plain->failed[id]);
        assert_int_equal(refusals->alone[id].found, plain->near_found[id]);
        if (plain->near_found[id])
            aid_near(rule_row((enum rule_id)id)->key, refusals->alone[id].statistic,
                 plain->near_statistic[id], 1e-9 * fabs(plain->near_statistic[id]));
    }
}
