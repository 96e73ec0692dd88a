/* The finder against a plain reference that judges every stretch afresh from its readings. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_log.h"
#include "base/text.h"
#include "window/finder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The clock's zone. */
static const struct zone winter = {.offset_s = 3600};

#define S INT64_C(1000000)
#define START_US (INT64_C(1782000000) * S) /* 2026-06-21T00:00:00Z */

enum { SEEDS = 60 };

static struct faults *faults;

static int set_up(void **state)
{
    (void)state;
    faults = calloc(1, sizeof *faults);
    if (faults != NULL)
        faults_init(faults);
    return faults == NULL;
}

static int tear_down(void **state)
{
    (void)state;
    free(faults);
    return 0;
}

static void near(const char *name, double found, double expected, double tolerance)
{
    if (!(fabs(found - expected) <= tolerance))
        fail_msg("%s: found %.15g, expected %.15g", name, found, expected);
}

static void set_rule(struct rules *rules, const char *key, const char *value)
{
    if (!rules_override(rules, key, value, fault_at(NULL, 0, 0), faults))
        fail_msg("%s = %s: %s", key, value, faults->items[0].found);
}

/* Short stretches, so that random logs hold many of them. */
static struct rules short_rules(int64_t slot_s)
{
    struct rules rules;
    char slot[32];
    snprintf(slot, sizeof slot, "%d s", (int)slot_s);
    assert_true(rules_init(&rules, "homemade rig", fault_at(NULL, 0, 0), faults));
    set_rule(&rules, "window", "3.2 min");
    set_rule(&rules, "conditioning", "2.5 min");
    set_rule(&rules, "slot", slot);
    set_rule(&rules, "irradiance deviation", "45 W/m2");
    set_rule(&rules, "ambient deviation", "0.3 K");
    set_rule(&rules, "inlet deviation", "0.3 K");
    set_rule(&rules, "outlet deviation", "0.5 K");
    set_rule(&rules, "outlet drift", "0.11 K/min");
    set_rule(&rules, "flow deviation", "2.5 %");
    set_rule(&rules, "flow waver", "0.058 L/min");
    set_rule(&rules, "wind", "1.5 to 2.6 m/s");
    set_rule(&rules, "diffuse share at most", "21 %");
    set_rule(&rules, "rise at least", "6.3 K");
    set_rule(&rules, "irradiance at least", "650 W/m2");
    return rules;
}

static void run(const struct aid_log *log, const struct rules *rules, size_t most_rows,
                uint32_t cut, struct finder *finder)
{
    assert_true(finder_init(finder, rules, &winter, faults));
    aid_log_feed(log, finder_sink(finder), most_rows, cut);
}

/* Steady values with noise, slow wander, clouds, jumps of the inlet and a pump that changes. */
static void fill_random(struct aid_log *log, uint32_t *seed)
{
    double cloud = 0.0, t_in = 30.0, wander = 0.0, flow = 4e-5, target = 30.0;
    double pulse = 0.0; /* of the outlet: a bubble passes */
    double shade = 0.0; /* of the air's thermometer */
    for (size_t i = 0; i < log->n; i++) {
        if (aid_uniform(seed) < 0.0015)
            cloud = 350.0 * aid_uniform(seed);
        if (aid_uniform(seed) < 0.01)
            cloud = 0.0;
        if (aid_uniform(seed) < 0.001)
            target = 25.0 + 20.0 * aid_uniform(seed);
        if (aid_uniform(seed) < 0.001)
            flow = 4e-5 * (0.7 + 0.6 * aid_uniform(seed));
        pulse = aid_uniform(seed) < 0.003 ? 1.5 * aid_uniform(seed)
                : aid_uniform(seed) < 0.2 ? 0.0
                                          : pulse;
        t_in += (target - t_in) * 0.1;
        if (aid_uniform(seed) < 0.004)
            shade = aid_uniform(seed) < 0.5 ? 0.0 : 0.8 * aid_uniform(seed);
        wander += 0.02 * aid_normal(seed);
        double t_out = t_in + 6.8 + 0.2 * wander;
        log->value[CH_IRRADIANCE][i] =
            705.0 - cloud + 80.0 * sin((double)i / 300.0) + 5.0 * aid_normal(seed);
        log->value[CH_AMBIENT][i] = 20.0 - shade + 0.3 * wander + 0.08 * aid_normal(seed);
        log->value[CH_INLET][i] = t_in + 0.06 * aid_normal(seed);
        log->value[CH_OUTLET][i] = t_out - 0.004 * cloud + pulse + 0.08 * aid_normal(seed);
        log->value[CH_FLOW][i] = flow * (1.0 + 0.008 * aid_normal(seed));
        log->value[CH_WIND][i] = 2.3 + 0.4 * sin((double)i / 400.0) + 0.3 * aid_normal(seed);
        log->value[CH_DIFFUSE][i] = 135.0 + 30.0 * cos((double)i / 500.0) + aid_normal(seed);
        log->value[CH_HEAT][i] = 165.0 * (t_out - t_in) + 20.0 * aid_normal(seed);
    }
}

/* Bad readings, rows lost without and with a gap. Incidence is never measured. */
static void damage(struct aid_log *log, uint32_t *seed)
{
    static const enum channel shared[] = {CH_WIND, CH_DIFFUSE, CH_HEAT};
    for (size_t i = 0; i < 3; i++)
        log->present[shared[i]] = true;
    for (int k = 0; k < 4; k++) {
        size_t at = (size_t)(aid_uniform(seed) * (double)log->n);
        enum channel c = (enum channel)(aid_uniform(seed) * 7.0);
        log->flag[c][at] = (uint8_t)(1 + (int)(aid_uniform(seed) * 4.0));
        log->value[c][at] = NAN;
    }
    for (int k = 0; k < 3; k++) {
        size_t at = 1 + (size_t)(aid_uniform(seed) * (double)(log->n - 40));
        size_t lost = 1 + (size_t)(aid_uniform(seed) * 14.0);
        aid_log_remove(log, at, lost);
        log->gap[at] = k == 0;
    }
}

/* A slot of the reference: rows first to end - 1. */
struct plain_slot {
    size_t first, end;
    int64_t start_us;
    bool broken, opens_segment;
};

static bool is_watched(const struct aid_log *log, int c)
{
    return log->present[c]; /* every channel of these logs has a limit or is needed */
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
            slot.broken = slot.end == slot.first;
            for (size_t i = slot.first; i < slot.end; i++)
                for (int c = 0; c < CH_COUNT; c++)
                    if (is_watched(log, c) && log->flag[c][i] != FLAG_GOOD)
                        slot.broken = true;
            at = slot.end;
            slots[n++] = slot;
        }
    }
    return n;
}

static double mean_of_rows(const struct aid_log *log, enum channel c, size_t first, size_t end)
{
    long double sum = 0.0L;
    for (size_t i = first; i < end; i++)
        sum += log->value[c][i];
    return (double)(sum / (long double)(end - first));
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

/* What the reference found; room for what these logs can hold. */
struct plain {
    size_t n_windows, judged, failed[RULE_LIMITS];
    int64_t start_us[200], end_us[200];
    double mean[200][CH_COUNT];
    double statistic[200][RULE_LIMITS];
    size_t readings[200];
    bool near_found[RULE_LIMITS];
    double near_statistic[RULE_LIMITS];
    double near_ratio[RULE_LIMITS];
    double slots_s; /* time in slots */
};

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
    plain->readings[w] = window[n_window - 1].end - window[0].first;
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

static void plain_find(const struct aid_log *log, const struct rules *rules, int64_t slot_us,
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
    assert_int_equal(means->readings, plain->readings[w]);
    for (int c = 0; c < CH_COUNT; c++) {
        assert_int_equal(means->has[c], c < CH_INCIDENCE || c == CH_HEAT);
        if (means->has[c])
            near(name, means->mean[c], plain->mean[w][c], 1e-10 * fabs(plain->mean[w][c]));
    }
    for (int id = 0; id < RULE_LIMITS; id++) {
        const struct kept_verdict *verdict = &finder->verdict[w].of[id];
        enum verdict_state state = id == RULE_INCIDENCE_MOST ? VERDICT_NOT_MEASURED : VERDICT_MET;
        assert_int_equal(verdict->state, state);
        if (state == VERDICT_MET) {
            near(rule_row((enum rule_id)id)->key, verdict->statistic, plain->statistic[w][id],
                 1e-9 * fabs(plain->statistic[w][id]) + 1e-12);
            assert_true(rule_meets((enum rule_id)id, &finder->rules.rule[id].value,
                                   verdict->statistic));
        }
    }
}

static void compare(const char *name, const struct finder *finder, const struct plain *plain)
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
            near(rule_row((enum rule_id)id)->key, refusals->alone[id].statistic,
                 plain->near_statistic[id], 1e-9 * fabs(plain->near_statistic[id]));
    }
}

/* Steps of 5 s and slots of 15 or 20 s; or steps as long as slots, where every reading is a slot.
 */
static void random_log(struct aid_log *log, uint32_t seed, int64_t *slot_s, int64_t *step_s)
{
    static const int64_t slots[] = {15, 20, 10, 15};
    static const int64_t steps[] = {5, 5, 10, 15};
    *slot_s = slots[seed % 4];
    *step_s = steps[seed % 4];
    uint32_t random = seed * 7919u + 13u;
    aid_log_init(log, 2400, START_US + (int64_t)seed * 17 * S, *step_s * S);
    fill_random(log, &random);
    damage(log, &random);
}

static void windows_are_those_of_the_plain_reference(void **state)
{
    (void)state;
    size_t windows = 0, failed[RULE_LIMITS] = {0}, alone[RULE_LIMITS] = {0};
    struct plain *plain = malloc(sizeof *plain);
    assert_non_null(plain);
    for (uint32_t seed = 0; seed < SEEDS; seed++) {
        struct aid_log log;
        struct finder finder;
        int64_t slot_s, step_s;
        char name[32];
        snprintf(name, sizeof name, "seed %u", seed);
        random_log(&log, seed, &slot_s, &step_s);
        struct rules rules = short_rules(slot_s);
        plain_find(&log, &rules, slot_s * S, step_s * S, plain);
        run(&log, &rules, 3 + 97 * seed, seed, &finder);
        compare(name, &finder, plain);
        windows += plain->n_windows;
        for (int id = 0; id < RULE_LIMITS; id++) {
            failed[id] += plain->failed[id];
            alone[id] += plain->near_found[id];
        }
        finder_free(&finder);
        aid_log_free(&log);
    }
    free(plain);
    print_message("%zu windows compared\n", windows);
    assert_true(windows > 200); /* the comparison was about something */
    for (int id = 0; id < RULE_LIMITS; id++)
        if (id != RULE_INCIDENCE_MOST && (failed[id] == 0 || alone[id] == 0))
            fail_msg("%s: never failed, or never alone", rule_row((enum rule_id)id)->key);
}

/* To the last bit. */
static void same_window(const struct finder *cut, const struct finder *whole, size_t w)
{
    const struct means *a = &cut->means[w], *b = &whole->means[w];
    assert_string_equal(a->name, b->name);
    assert_true(a->end_us == b->end_us);
    assert_memory_equal(a->mean, b->mean, sizeof a->mean);
    assert_memory_equal(a->u, b->u, sizeof a->u);
    for (int id = 0; id < RULE_LIMITS; id++) {
        const struct kept_verdict *x = &cut->verdict[w].of[id], *y = &whole->verdict[w].of[id];
        assert_memory_equal(&x->statistic, &y->statistic, sizeof x->statistic);
        assert_int_equal(x->state, y->state);
        assert_int_equal(x->in_conditioning, y->in_conditioning);
    }
}

static void cuts_change_nothing(void **state)
{
    (void)state;
    static const size_t most_rows[] = {1, 2, 7, 100, 999, 4096};
    struct aid_log log;
    int64_t slot_s, step_s;
    random_log(&log, 5, &slot_s, &step_s);
    struct rules rules = short_rules(slot_s);
    struct finder whole;
    run(&log, &rules, 1000000, 1, &whole);
    assert_true(whole.n_windows > 2);
    for (size_t k = 0; k < sizeof most_rows / sizeof most_rows[0]; k++) {
        struct finder cut;
        run(&log, &rules, most_rows[k], (uint32_t)k, &cut);
        assert_int_equal(cut.n_windows, whole.n_windows);
        for (size_t w = 0; w < whole.n_windows; w++)
            same_window(&cut, &whole, w);
        assert_int_equal(cut.refusals.n_kept, whole.refusals.n_kept);
        for (size_t i = 0; i < whole.refusals.n_kept; i++) {
            assert_true(cut.refusals.kept[i].start_us == whole.refusals.kept[i].start_us);
            assert_true(cut.refusals.kept[i].end_us == whole.refusals.kept[i].end_us);
            assert_int_equal(cut.refusals.kept[i].limit, whole.refusals.kept[i].limit);
        }
        finder_free(&cut);
    }
    finder_free(&whole);
    aid_log_free(&log);
}

/* Excluding time does to windows what bad readings there would do; only the reason differs. */
static void excluded_time_is_as_bad_readings(void **state)
{
    (void)state;
    size_t windows = 0, lost = 0;
    double excluded_s = 0.0;
    for (uint32_t seed = 0; seed < SEEDS; seed++) {
        struct aid_log log;
        struct finder whole, excluded, bad;
        int64_t slot_s, step_s;
        random_log(&log, seed, &slot_s, &step_s);
        struct rules rules = short_rules(slot_s);
        run(&log, &rules, 500, seed, &whole);
        size_t first = 300 + 11 * seed, last = first + 90 + seed;
        assert_true(finder_init(&excluded, &rules, &winter, faults));
        for (size_t k = 0; k < 2; k++) /* two that overlap */
            assert_true(finder_exclude(&excluded, log.time_us[first + 40 * k],
                                       log.time_us[last - 20 * (1 - k)] + 1, faults));
        aid_log_feed(&log, finder_sink(&excluded), 77, seed);
        for (size_t i = first; i <= last; i++)
            log.flag[CH_INLET][i] = FLAG_OUT_OF_RANGE;
        run(&log, &rules, 500, seed, &bad);
        assert_int_equal(excluded.n_windows, bad.n_windows);
        for (size_t w = 0; w < bad.n_windows; w++) {
            assert_true(excluded.means[w].start_us == bad.means[w].start_us);
            assert_memory_equal(excluded.means[w].mean, bad.means[w].mean,
                                sizeof bad.means[w].mean);
            assert_true(excluded.means[w].end_us <= log.time_us[first] ||
                        excluded.means[w].start_us > log.time_us[last]);
        }
        assert_int_equal(excluded.refusals.judged, bad.refusals.judged);
        near("refused", excluded.refusals.seconds, bad.refusals.seconds, 1e-6);
        assert_true(excluded.refusals.stretches_excluded >= 1);
        assert_true(excluded.excluded[0].readings >= 20);
        windows += bad.n_windows;
        lost += whole.n_windows - bad.n_windows;
        excluded_s += excluded.refusals.seconds_excluded;
        finder_free(&whole);
        finder_free(&excluded);
        finder_free(&bad);
        aid_log_free(&log);
    }
    assert_true(windows > 100 && lost > 10 && excluded_s > 3600.0);
}

/* A steady hour of 30 s rows; what is excluded shows as a stretch of its own, to the slot. */
static void an_excluded_stretch_stands_alone(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules;
    aid_log_init(&log, 121, START_US, 30 * S);
    aid_log_set(&log, CH_IRRADIANCE, 903.7);
    aid_log_set(&log, CH_AMBIENT, 21.3);
    aid_log_set(&log, CH_INLET, 33.1);
    aid_log_set(&log, CH_OUTLET, 41.9);
    aid_log_set(&log, CH_FLOW, 3.9e-5);
    assert_true(rules_init(&rules, NULL, fault_at(NULL, 0, 0), faults));
    set_rule(&rules, "window", "5 min");
    set_rule(&rules, "conditioning", "5 min");
    assert_true(finder_init(&finder, &rules, NULL, faults));
    int64_t from_us = START_US + 22 * 60 * S + 7 * S, to_us = START_US + 31 * 60 * S;
    assert_true(finder_exclude(&finder, from_us, to_us, faults));
    assert_true(finder_exclude(&finder, START_US - 900 * S, START_US - 600 * S, faults));
    aid_log_feed(&log, finder_sink(&finder), 50, 1);
    static const int64_t starts_min[] = {5, 10, 15, 36, 41, 46, 51};
    assert_int_equal(finder.n_windows, 7);
    for (size_t w = 0; w < 7; w++)
        assert_true(finder.means[w].start_us == START_US + starts_min[w] * 60 * S);
    const struct refusal *kept = NULL;
    for (size_t i = 0; i < finder.refusals.n_kept; i++)
        if (finder.refusals.kept[i].reason == REFUSAL_EXCLUDED)
            kept = &finder.refusals.kept[i];
    assert_non_null(kept);
    assert_int_equal(finder.refusals.stretches_excluded, 1);
    assert_true(kept->start_us == START_US + 22 * 60 * S); /* its slot begins 7 s before */
    assert_true(kept->end_us == to_us);
    assert_int_equal(finder.excluded[0].readings, 18);
    assert_int_equal(finder.excluded[1].readings, 0);
    assert_int_equal(finder.slots.n_broken, 0);
    finder_free(&finder);
    finder_free(&finder);
    aid_log_free(&log);
}

static void windows_and_refusals_fill_the_log(void **state)
{
    (void)state;
    struct plain *plain = malloc(sizeof *plain);
    assert_non_null(plain);
    for (uint32_t seed = 0; seed < SEEDS; seed++) {
        struct aid_log log;
        struct finder finder;
        int64_t slot_s, step_s;
        random_log(&log, seed, &slot_s, &step_s);
        struct rules rules = short_rules(slot_s);
        plain_find(&log, &rules, slot_s * S, step_s * S, plain);
        run(&log, &rules, 500, seed, &finder);
        double windows_s = (double)finder.n_windows * finder_window_s(&finder);
        near("seconds", windows_s + finder.refusals.seconds, plain->slots_s, 1e-6);
        double parts_s = finder.refusals.seconds_short + finder.refusals.seconds_broken +
                         finder.refusals.seconds_conditioning;
        size_t judged = 0;
        size_t parts = finder.refusals.stretches_short + finder.refusals.stretches_broken +
                       finder.refusals.stretches_conditioning;
        for (int id = 0; id < RULE_LIMITS; id++) {
            parts_s += finder.refusals.seconds_limit[id];
            parts += finder.refusals.stretches_limit[id];
        }
        for (size_t i = 0; i < finder.refusals.n_kept; i++)
            judged += finder.refusals.kept[i].judged;
        near("seconds by reason", parts_s, finder.refusals.seconds, 1e-6);
        assert_int_equal(parts, finder.refusals.stretches);
        assert_int_equal(finder.refusals.n_kept, finder.refusals.stretches);
        assert_int_equal(judged, finder.refusals.judged);
        finder_free(&finder);
        aid_log_free(&log);
    }
    free(plain);
}

/* Windows that changed rules find in all; fails the test if none of them takes time from the
 * stretch from start to end. */
static size_t windows_with(const struct aid_log *log, const struct rules *rules, int64_t start_us,
                           int64_t end_us, const char *lines)
{
    struct finder finder;
    bool found = false;
    run(log, rules, 700, 3, &finder);
    for (size_t w = 0; w < finder.n_windows; w++)
        found = found || (finder.means[w].start_us < end_us &&
                          finder.means[w].end_us > start_us);
    if (!found)
        fail_msg("'%s' admits nothing where it was said to", lines);
    size_t n = finder.n_windows;
    finder_free(&finder);
    return n;
}

/* Pastes "key = value" lines as a user would. */
static void paste(struct rules *rules, const char *lines)
{
    while (*lines != '\0') {
        char key[64], value[64];
        assert_int_equal(sscanf(lines, "%63[^=]= %63[^\n]", key, value), 2);
        set_rule(rules, text_trim(key), value);
        lines += strcspn(lines, "\n");
        lines += *lines == '\n';
    }
}

/* n: windows that were found before any change. Each pasted line must give more. */
static size_t check_near_misses(const struct aid_log *log, const struct rules *rules,
                                const struct near_miss *alone, size_t n)
{
    size_t checked = 0;
    for (int id = 0; id < RULE_LIMITS; id++) {
        char line[RULE_TEXT_SIZE];
        const struct near_miss *miss = &alone[id];
        if (!near_miss_line(miss, rules, (enum rule_id)id, line, sizeof line))
            continue;
        struct rules changed = *rules;
        paste(&changed, line);
        if (windows_with(log, &changed, miss->start_us, miss->end_us, line) <= n)
            fail_msg("'%s' adds no window", line);
        checked++;
    }
    return checked;
}

static size_t check_closest(const struct aid_log *log, const struct rules *rules,
                            const struct refusal *refusal, size_t n)
{
    struct text lines = {0};
    size_t checked = refusal_lines(refusal, rules, &lines) > 0;
    if (checked) {
        struct rules changed = *rules;
        paste(&changed, text_string(&lines));
        if (windows_with(log, &changed, refusal->closest_start_us, refusal->closest_end_us,
                         text_string(&lines)) <= n)
            fail_msg("together these add no window: %s", text_string(&lines));
    }
    text_free(&lines);
    return checked;
}

static void pasted_lines_admit_one_more(void **state)
{
    (void)state;
    size_t single = 0, combined = 0;
    for (uint32_t seed = 0; seed < SEEDS / 3; seed++) {
        struct aid_log log;
        struct finder finder;
        int64_t slot_s, step_s;
        random_log(&log, seed, &slot_s, &step_s);
        struct rules rules = short_rules(slot_s);
        run(&log, &rules, 700, 3, &finder);
        const struct refusals *refusals = &finder.refusals;
        single += check_near_misses(&log, &rules, refusals->alone, finder.n_windows);
        for (size_t i = 0; i < refusals->n_kept; i++) {
            const struct refusal *refusal = &refusals->kept[i];
            combined += check_closest(&log, &rules, refusal, finder.n_windows);
        }
        finder_free(&finder);
        aid_log_free(&log);
    }
    print_message("%zu single lines, %zu groups of lines pasted\n", single, combined);
    assert_true(single > 60);
    assert_true(combined > 60);
}

/* Everything steady, but for what a test changes. */
static void steady_log(struct aid_log *log, size_t n, int64_t step_us)
{
    aid_log_init(log, n, START_US + 9 * 3600 * S, step_us);
    aid_log_set(log, CH_IRRADIANCE, 913.0);
    aid_log_set(log, CH_AMBIENT, 21.7);
    aid_log_set(log, CH_INLET, 33.3);
    aid_log_set(log, CH_OUTLET, 41.9);
    aid_log_set(log, CH_FLOW, 3.7e-5);
    aid_log_set(log, CH_WIND, 2.9);
}

static struct rules standard_rules(void)
{
    struct rules rules;
    assert_true(rules_init(&rules, NULL, fault_at(NULL, 0, 0), faults));
    return rules;
}

static void steady_log_gives_windows_back_to_back(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    steady_log(&log, 60 * 60, S); /* an hour: 15 min, then 4 windows and 5 min */
    run(&log, &rules, 800, 2, &finder);
    assert_int_equal(finder.n_windows, 4);
    for (size_t w = 0; w < 4; w++) {
        const struct means *means = &finder.means[w];
        assert_true(means->start_us == log.time_us[0] + (900 + 600 * (int64_t)w) * S);
        assert_true(means->end_us == means->start_us + 600 * S);
        assert_int_equal(means->readings, 600);
        assert_true(means->session == START_US / (86400 * S));
        near("irradiance", means->mean[CH_IRRADIANCE], 913.0, 1e-9);
        near("drift", means->drift_K_s, 0.0, 1e-12);
        near("error", means->u[CH_INLET], 0.0, 1e-12);
        assert_int_equal(finder.verdict[w].of[RULE_WIND].state, VERDICT_MET);
        assert_int_equal(finder.verdict[w].of[RULE_DIFFUSE_MOST].state, VERDICT_NOT_MEASURED);
        assert_int_equal(finder.verdict[w].of[RULE_OUTLET_DRIFT].state, VERDICT_OFF);
    }
    assert_string_equal(finder.means[0].name, "2026-06-21T09:15:00Z");
    assert_int_equal(finder.refusals.stretches, 2);
    assert_int_equal(finder.refusals.stretches_conditioning, 1);
    assert_int_equal(finder.refusals.stretches_short, 1);
    near("refused", finder.refusals.seconds, 20.0 * 60.0, 1e-9);
    finder_free(&finder);
    aid_log_free(&log);
}

/* After a jump of 400 W/m2 the outlet follows with a time constant of 120 s; the first window must
 * not begin before the conditioning stretch has passed since the jump. */
static void no_window_right_after_a_cloud(void **state)
{
    (void)state;
    enum { JUMP = 2000 };
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    steady_log(&log, 2 * 3600, S);
    for (size_t i = 0; i < log.n; i++) {
        double since_s = (double)i - JUMP;
        bool cloud = i < JUMP;
        log.value[CH_IRRADIANCE][i] = cloud ? 513.0 : 913.0;
        log.value[CH_OUTLET][i] = cloud ? 38.0 : 41.9 - 3.9 * exp(-since_s / 120.0);
    }
    run(&log, &rules, 4096, 2, &finder);
    assert_true(finder.n_windows > 0);
    int64_t first_s = (finder.means[0].start_us - log.time_us[0]) / S;
    /* The slot that holds the jump starts at 1980 s; conditioning may start with the one after. */
    assert_int_equal(first_s, 2010 + 900);
    near("outlet", finder.means[0].mean[CH_OUTLET], 41.9, 0.01);

    /* Without conditioning the deviations alone would admit a window that is still warming up. */
    set_rule(&rules, "conditioning", "off");
    struct finder hasty;
    run(&log, &rules, 4096, 2, &hasty);
    assert_true(hasty.n_windows > 0);
    first_s = (hasty.means[0].start_us - log.time_us[0]) / S;
    assert_true(first_s > JUMP && first_s < JUMP + 400);
    assert_true(hasty.means[0].mean[CH_OUTLET] < 41.85);
    finder_free(&hasty);
    finder_free(&finder);
    aid_log_free(&log);
}

/* A disturbance that lies in the conditioning stretch is said to lie there. */
static void verdicts_tell_conditioning_from_window(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    steady_log(&log, 26 * 60, S);
    for (size_t i = 300; i < 330; i++)
        log.value[CH_IRRADIANCE][i] = 913.0 - 71.5; /* in the conditioning of all candidates */
    run(&log, &rules, 4096, 2, &finder);
    assert_int_equal(finder.n_windows, 0);
    const struct near_miss *miss = &finder.refusals.alone[RULE_IRRADIANCE_DEVIATION];
    assert_true(miss->found);
    assert_true(miss->in_conditioning);
    near("deviation", miss->statistic, 71.5, 1e-9);
    char line[RULE_TEXT_SIZE];
    assert_true(near_miss_line(miss, &rules, RULE_IRRADIANCE_DEVIATION, line, sizeof line));
    assert_string_equal(line, "irradiance deviation = 71.5 W/m2");
    assert_int_equal(finder.refusals.stretches, 1);
    assert_int_equal(finder.refusals.kept[0].reason, REFUSAL_LIMIT);
    assert_int_equal(finder.refusals.kept[0].limit, RULE_IRRADIANCE_DEVIATION);
    finder_free(&finder);
    aid_log_free(&log);
}

static void gaps_and_bad_readings_restart_conditioning(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        bool gap;
        int64_t first_s; /* of the first window after the disturbance at 1234 s */
    } rows[] = {
        /* Slots start again with the first row after the gap of 100 s. */
        {"gap", true, 1334 + 900},
        /* Slots go on: the broken one is 1230 to 1260 s. */
        {"bad reading", false, 1260 + 900},
    };
    for (size_t k = 0; k < 2; k++) {
        struct aid_log log;
        struct finder finder;
        struct rules rules = standard_rules();
        steady_log(&log, 3600, S);
        if (rows[k].gap) {
            aid_log_remove(&log, 1234, 100);
            log.gap[1234] = true;
        } else {
            log.flag[CH_FLOW][1234] = FLAG_OUT_OF_RANGE;
            log.value[CH_FLOW][1234] = NAN;
        }
        run(&log, &rules, 600, 4, &finder);
        assert_true(finder.n_windows >= 1); /* none fits before: 900 + 600 s > 1234 s */
        int64_t first_s = (finder.means[0].start_us - log.time_us[0]) / S;
        if (first_s != rows[k].first_s)
            fail_msg("%s: first window at %lld s", rows[k].name, (long long)first_s);
        if (!rows[k].gap) {
            assert_int_equal(finder.slots.broken_by[CH_FLOW][FLAG_OUT_OF_RANGE], 1);
            assert_int_equal(finder.refusals.kept[0].reason, REFUSAL_BROKEN);
            assert_int_equal(finder.refusals.kept[0].broken_channel, CH_FLOW);
            assert_int_equal(finder.refusals.kept[0].broken_flag, FLAG_OUT_OF_RANGE);
        }
        finder_free(&finder);
        aid_log_free(&log);
    }
}

/* White noise of known size on 20 windows: the error of a mean is s / sqrt(n), and drift inside the
 * windows is no part of it. */
static void reading_errors_come_from_noise_alone(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    uint32_t seed = 99;
    steady_log(&log, 4 * 3600, S);
    for (size_t i = 0; i < log.n; i++) {
        double wave = sin((double)i / 900.0);
        log.value[CH_IRRADIANCE][i] = 900.0 + 20.0 * wave + 4.0 * aid_normal(&seed);
        log.value[CH_INLET][i] = 33.3 + 0.03 * wave + 0.05 * aid_normal(&seed);
    }
    run(&log, &rules, 4096, 4, &finder);
    assert_true(finder.n_windows >= 20);
    /* 12,000 readings: the estimate of s is good to about 1.5 %; 8 % leaves five times that. */
    near("irradiance", finder.means[3].u[CH_IRRADIANCE], 4.0 / sqrt(600.0),
         0.08 * 4.0 / sqrt(600.0));
    near("inlet", finder.means[3].u[CH_INLET], 0.05 / sqrt(600.0),
         0.08 * 0.05 / sqrt(600.0));
    assert_true(finder.noise[CH_INLET].known);
    near("reading", finder.noise[CH_INLET].s, 0.05, 0.004);
    finder_free(&finder);
    aid_log_free(&log);
}

/* A rig without wind, diffuse or incidence; a window with a sparse anemometer whose limit is off.
 */
static void unwatched_channels_may_have_holes(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    set_rule(&rules, "wind", "off");
    steady_log(&log, 3600, S);
    for (size_t i = 0; i < log.n; i++)
        if (i % 10 != 0) {
            log.flag[CH_WIND][i] = FLAG_MISSING;
            log.value[CH_WIND][i] = NAN;
        }
    run(&log, &rules, 4096, 4, &finder);
    assert_int_equal(finder.n_windows, 4);
    assert_true(finder.means[0].has[CH_WIND]);
    near("wind", finder.means[0].mean[CH_WIND], 2.9, 1e-12);
    finder_free(&finder);

    struct rules watching = standard_rules();
    run(&log, &watching, 4096, 4, &finder);
    assert_int_equal(finder.n_windows, 0);
    assert_int_equal(finder.slots.broken_by[CH_WIND][FLAG_MISSING], 120);
    finder_free(&finder);
    aid_log_free(&log);
}

static void nothing_comes_of_nothing(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    steady_log(&log, 1, S);
    run(&log, &rules, 10, 4, &finder);
    assert_int_equal(finder.n_windows, 0);
    assert_int_equal(finder.refusals.stretches, 0);
    assert_int_equal(finder.slots.n_dropped, 1);
    finder_free(&finder);
    finder_free(&finder);
    assert_true(finder_init(&finder, &rules, NULL, faults));
    struct sink sink = finder_sink(&finder);
    assert_true(sink.finish(sink.state, faults)); /* no block at all */
    assert_int_equal(finder.n_windows, 0);
    finder_free(&finder);
    aid_log_free(&log);
}

/* Flow of nought: no mean to compare with, so no figure can admit it. */
static void a_pump_that_stands_still_is_refused(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    steady_log(&log, 3600, S);
    aid_log_set(&log, CH_FLOW, 0.0);
    run(&log, &rules, 4096, 4, &finder);
    assert_int_equal(finder.n_windows, 0);
    assert_true(finder.refusals.judged > 0);
    assert_int_equal(finder.refusals.failed[RULE_FLOW_DEVIATION], finder.refusals.judged);
    assert_false(finder.refusals.alone[RULE_FLOW_DEVIATION].found);
    assert_false(finder.refusals.kept[0].closest_found);
    finder_free(&finder);
    aid_log_free(&log);
}

/* More stretches than are kept: the longest stay, all are counted. */
static void the_longest_refusals_are_kept(void **state)
{
    (void)state;
    enum { STRETCHES = REFUSALS_KEPT + 300 };
    struct refusals refusals;
    refusals_init(&refusals, NULL);
    double seconds = 0.0;
    for (int i = 0; i < STRETCHES; i++) {
        int64_t length_s = 1 + (i * 379) % STRETCHES; /* each length from 1 to STRETCHES once */
        int64_t start_us = START_US + (int64_t)i * 2000 * S;
        refusals_open(&refusals, start_us);
        refusals_slot(&refusals, false, CH_COUNT, FLAG_GOOD);
        assert_true(refusals_close(&refusals, start_us + length_s * S, 0, faults));
        seconds += (double)length_s;
    }
    refusals_finish(&refusals);
    assert_int_equal(refusals.stretches, STRETCHES);
    assert_int_equal(refusals.n_kept, REFUSALS_KEPT);
    near("all", refusals.seconds, seconds, 1e-6);
    for (size_t i = 0; i < refusals.n_kept; i++) {
        assert_true(refusals.kept[i].end_us - refusals.kept[i].start_us > 300 * S);
        assert_true(i == 0 || refusals.kept[i].start_us > refusals.kept[i - 1].start_us);
    }
    refusals_free(&refusals);
    refusals_free(&refusals);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(windows_are_those_of_the_plain_reference, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(cuts_change_nothing, set_up, tear_down),
        cmocka_unit_test_setup_teardown(excluded_time_is_as_bad_readings, set_up, tear_down),
        cmocka_unit_test_setup_teardown(an_excluded_stretch_stands_alone, set_up, tear_down),
        cmocka_unit_test_setup_teardown(windows_and_refusals_fill_the_log, set_up, tear_down),
        cmocka_unit_test_setup_teardown(pasted_lines_admit_one_more, set_up, tear_down),
        cmocka_unit_test_setup_teardown(steady_log_gives_windows_back_to_back, set_up, tear_down),
        cmocka_unit_test_setup_teardown(no_window_right_after_a_cloud, set_up, tear_down),
        cmocka_unit_test_setup_teardown(verdicts_tell_conditioning_from_window, set_up, tear_down),
        cmocka_unit_test_setup_teardown(gaps_and_bad_readings_restart_conditioning, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(reading_errors_come_from_noise_alone, set_up, tear_down),
        cmocka_unit_test_setup_teardown(unwatched_channels_may_have_holes, set_up, tear_down),
        cmocka_unit_test_setup_teardown(nothing_comes_of_nothing, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_pump_that_stands_still_is_refused, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_longest_refusals_are_kept, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
