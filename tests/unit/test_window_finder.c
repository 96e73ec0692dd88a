/* The finder against a plain reference that judges every stretch afresh from its readings. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_windows.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)
#define START_US (INT64_C(1782000000) * S) /* 2026-06-21T00:00:00Z */

enum { SEEDS = 60 };

/* The clock's zone. */
static const struct zone winter = {.offset_s = 3600};

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

static void set_rule(struct rules *rules, const char *key, const char *value)
{
    aid_set_rule(rules, key, value, faults);
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
    aid_find_windows(log, rules, most_rows, cut, finder, faults);
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
        plain_compare(name, &finder, plain);
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
    const struct verdicts *x = &cut->verdict[w], *y = &whole->verdict[w];
    assert_memory_equal(x->statistic, y->statistic, sizeof x->statistic);
    assert_memory_equal(x->state, y->state, sizeof x->state);
    assert_memory_equal(x->in_conditioning, y->in_conditioning, sizeof x->in_conditioning);
    assert_int_equal(x->not_met, y->not_met);
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

/* The slot of a row, counted from the first row of its segment. */
static int64_t slot_of(const struct aid_log *log, size_t row, int64_t slot_us)
{
    size_t first = row;
    while (first > 0 && !log->gap[first])
        first--;
    return (log->time_us[row] - log->time_us[first]) / slot_us;
}

/* Spoils the rows first to last and all others of the slots that these touch. */
static void spoil_slots(struct aid_log *log, size_t first, size_t last, int64_t slot_us)
{
    while (first > 0 && !log->gap[first] &&
           slot_of(log, first - 1, slot_us) == slot_of(log, first, slot_us))
        first--;
    while (last + 1 < log->n && !log->gap[last + 1] &&
           slot_of(log, last + 1, slot_us) == slot_of(log, last, slot_us))
        last++;
    for (size_t i = first; i <= last; i++)
        log->flag[CH_INLET][i] = FLAG_OUT_OF_RANGE;
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
        spoil_slots(&log, first, last, slot_s * S);
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
        aid_near("refused", excluded.refusals.seconds, bad.refusals.seconds, 1e-6);
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
        aid_near("seconds", windows_s + finder.refusals.seconds, plain->slots_s, 1e-6);
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
        aid_near("seconds by reason", parts_s, finder.refusals.seconds, 1e-6);
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
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
