/* The finder on logs of which the windows are known: conditioning, gaps, bad readings, reading
 * errors. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_windows.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)
#define START_US (INT64_C(1782000000) * S) /* 2026-06-21T00:00:00Z */

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

static void run(const struct aid_log *log, const struct rules *rules, size_t most_rows,
                uint32_t cut, struct finder *finder)
{
    aid_find_windows(log, rules, most_rows, cut, finder, faults);
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
        aid_near("irradiance", means->mean[CH_IRRADIANCE], 913.0, 1e-9);
        aid_near("drift", means->drift_K_s, 0.0, 1e-12);
        aid_near("error", means->u[CH_INLET], 0.0, 1e-12);
        assert_int_equal(finder.verdict[w].state[RULE_WIND], VERDICT_MET);
        assert_int_equal(finder.verdict[w].state[RULE_DIFFUSE_MOST], VERDICT_NOT_MEASURED);
        assert_int_equal(finder.verdict[w].state[RULE_OUTLET_DRIFT], VERDICT_OFF);
    }
    assert_string_equal(finder.means[0].name, "2026-06-21T09:15:00Z");
    assert_int_equal(finder.refusals.stretches, 2);
    assert_int_equal(finder.refusals.stretches_conditioning, 1);
    assert_int_equal(finder.refusals.stretches_short, 1);
    aid_near("refused", finder.refusals.seconds, 20.0 * 60.0, 1e-9);
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
    aid_near("outlet", finder.means[0].mean[CH_OUTLET], 41.9, 0.01);

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
    aid_near("deviation", miss->statistic, 71.5, 1e-9);
    char line[RULE_TEXT_SIZE];
    assert_true(near_miss_line(miss, &rules, RULE_IRRADIANCE_DEVIATION, line, sizeof line));
    assert_string_equal(line, "irradiance deviation = 71.5 W/m2");
    assert_int_equal(finder.refusals.stretches, 1);
    assert_int_equal(finder.refusals.kept[0].reason, REFUSAL_LIMIT);
    assert_int_equal(finder.refusals.kept[0].limit, RULE_IRRADIANCE_DEVIATION);
    finder_free(&finder);
    aid_log_free(&log);
}

/* Seven of a slot's 30 rows are lost: the windows stay, and say so. */
static void a_window_stands_lost_rows(void **state)
{
    (void)state;
    struct aid_log log;
    struct finder finder;
    struct rules rules = standard_rules();
    steady_log(&log, 3600, S);
    for (size_t i = 1000; i < 1007; i++) {
        log.flag[CH_INLET][i] = FLAG_SPIKE;
        log.value[CH_IRRADIANCE][i] = 100.0; /* not used: the row is lost */
    }
    run(&log, &rules, 800, 2, &finder);
    assert_int_equal(finder.n_windows, 4);
    assert_int_equal(finder.means[0].readings, 593);
    assert_int_equal(finder.means[0].set_aside, 7);
    aid_near("irradiance", finder.means[0].mean[CH_IRRADIANCE], 913.0, 1e-9);
    assert_int_equal(finder.means[1].readings, 600);
    assert_int_equal(finder.means[1].set_aside, 0);
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
        {"bad readings", false, 1260 + 900},
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
            for (size_t i = 1234; i < 1242; i++) { /* 8 of 30: more than one in four */
                log.flag[CH_FLOW][i] = FLAG_OUT_OF_RANGE;
                log.value[CH_FLOW][i] = NAN;
            }
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
    aid_near("irradiance", finder.means[3].u[CH_IRRADIANCE], 4.0 / sqrt(600.0),
         0.08 * 4.0 / sqrt(600.0));
    aid_near("inlet", finder.means[3].u[CH_INLET], 0.05 / sqrt(600.0),
         0.08 * 0.05 / sqrt(600.0));
    assert_true(finder.noise[CH_INLET].known);
    aid_near("reading", finder.noise[CH_INLET].s, 0.05, 0.004);
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
    aid_near("wind", finder.means[0].mean[CH_WIND], 2.9, 1e-12);
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
    aid_near("all", refusals.seconds, seconds, 1e-6);
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
        cmocka_unit_test_setup_teardown(steady_log_gives_windows_back_to_back, set_up, tear_down),
        cmocka_unit_test_setup_teardown(no_window_right_after_a_cloud, set_up, tear_down),
        cmocka_unit_test_setup_teardown(verdicts_tell_conditioning_from_window, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_window_stands_lost_rows, set_up, tear_down),
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
