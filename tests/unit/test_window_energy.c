/* A heat meter's total of energy as a column: what falls, stands still or jumps; what a window's
 * heat is and how sure, and which windows have none. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "domain/fluid.h"
#include "tests/unit/aid_log.h"
#include "tests/unit/aid_near.h"
#include "window/derived.h"
#include "window/finder.h"
#include "window/pulses.h"

#include <math.h>
#include <stdlib.h>

#define S INT64_C(1000000)
#define KWH 3.6e6

static struct faults faults;

enum { ROWS = 4 };

/* Readings 10 s apart; heats worked out by hand: a rise of 0.004 kWh = 14.4 kJ in 10 s is 1440 W.
 */
static void a_total_gives_the_heat_of_each_row(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double step, number; /* J, and J of 1 in the log */
        double total[ROWS];  /* as in the log */
        double heat_W[ROWS];
        size_t wraps, resets, plays;
    } rows[] = {
        {"rises, stands, rises",
         1e-3 * KWH,
         KWH,
         {812.345, 812.349, 812.349, 812.354},
         {NAN, 1440, 0, 1800},
         0,
         0,
         0},
        {"over 9999.999 kWh",
         1e-3 * KWH,
         KWH,
         {9999.993, 9999.997, 0.001, 0.006},
         {NAN, 1440, 1440, 1800},
         1,
         0,
         0},
        {"over 99999 MJ of a log in MJ",
         0.01e6,
         1e6,
         {99999.98, 99999.99, 0.01, 0.02},
         {NAN, 1000, 2000, 1000},
         1,
         0,
         0},
        {"reset", 1e-3 * KWH, KWH, {812.345, 812.349, 0, 0.004}, {NAN, 1440, NAN, 1440}, 0, 1, 0},
        {"its last digit plays",
         1e-3 * KWH,
         KWH,
         {5.004, 5.008, 5.007, 5.012},
         {NAN, 1440, 0, 1440},
         0,
         0,
         1},
        {"a missing row is bridged",
         1e-3 * KWH,
         KWH,
         {5.004, NAN, 5.012, 5.017},
         {NAN, NAN, 1440, 1800},
         0,
         0,
         0},
        {"steps of 0.1 therm",
         0.1 * 105480400,
         105480400,
         {3.2, 3.2, 3.3, 3.3},
         {NAN, 0, 1054804, 0},
         0,
         0,
         0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct pulses pulses;
        struct pulse_meter meter = {PULSES_TOTAL, rows[i].step, rows[i].number};
        pulses_init(&pulses, &meter);
        for (int k = 0; k < ROWS; k++) {
            double heat = pulses_next(&pulses, 10 * S * k, rows[i].number * rows[i].total[k]);
            if (isnan(rows[i].heat_W[k]) != isnan(heat))
                fail_msg("%s, row %d: %g", rows[i].name, k, heat);
            if (!isnan(heat))
                aid_near(rows[i].name, heat, rows[i].heat_W[k], 1e-4);
        }
        if (pulses.wraps.n != rows[i].wraps || pulses.resets.n != rows[i].resets ||
            pulses.plays.n != rows[i].plays)
            fail_msg("%s: %zu wraps, %zu resets, %zu plays", rows[i].name, pulses.wraps.n,
                     pulses.resets.n, pulses.plays.n);
    }
}

/* A heat that is constant, counted in steps and shown every `shown_s`, beside a steady flow. */
static void energy_log(struct aid_log *log, size_t n, int step_s, int shown_s, double step_J,
                       double heat_W, double phase)
{
    aid_log_init(log, n, 0, step_s * S);
    aid_log_set(log, CH_IRRADIANCE, 913);
    aid_log_set(log, CH_AMBIENT, 21.3);
    aid_log_set(log, CH_INLET, 40.2);
    aid_log_set(log, CH_OUTLET, 45.9);
    aid_log_set(log, CH_FLOW, 3.911e-5);
    aid_log_set(log, CH_METERED, 0);
    for (size_t i = 0; i < n; i++) {
        int at_s = (int)i * step_s / shown_s * shown_s;
        log->value[CH_METERED][i] = step_J * (4711 + floor(heat_W * at_s / step_J + phase));
    }
}

static struct finder *find(const struct aid_log *log, double step_J, bool needed)
{
    struct rules rules;
    struct derived derived;
    struct fluid water;
    struct finder *finder = malloc(sizeof *finder);
    assert_non_null(finder);
    fluid_water(&water);
    faults_init(&faults);
    assert_true(rules_init(&rules, "homemade rig", fault_at(NULL, 0, 0), &faults));
    assert_true(finder_init(finder, &rules, NULL, &faults));
    finder_count(finder, COUNTED_HEAT, step_J);
    if (needed)
        finder_need(finder, CH_METERED);
    struct sink sink = finder_sink(finder);
    assert_true(derived_init(&derived, &water, false, 0, &sink, 1, &faults));
    struct pulse_meter meter = {PULSES_TOTAL, step_J, KWH};
    derived_count(&derived, COUNTED_HEAT, &meter);
    aid_log_feed(log, derived_sink(&derived), 300, 7);
    derived_free(&derived);
    return finder;
}

static void drop(struct finder *finder, struct aid_log *log)
{
    finder_free(finder);
    free(finder);
    aid_log_free(log);
}

/* By hand: 0.02 kWh = 72 kJ every 60 s are 1200 W, whatever the phase. A window of 600 s holds ten
 * steps, nine between the first and the last: 648 kJ in 540 s. Each edge lies within a row of 10 s:
 * u = 1200 W 10 s / sqrt 6 / 540 s = 9.072 W. */
static void the_heat_of_a_window_is_that_between_its_steps(void **unused)
{
    (void)unused;
    for (int draw = 0; draw < 6; draw++) {
        struct aid_log log;
        energy_log(&log, 600, 10, 10, 72e3, 1200, 0.05 + 0.16 * draw);
        struct finder *finder = find(&log, 72e3, false);
        assert_true(finder->n_windows >= 8);
        for (size_t i = 0; i < finder->n_windows; i++) {
            const struct means *m = &finder->means[i];
            assert_true(m->has[CH_METERED]);
            aid_near("heat", m->mean[CH_METERED], 1200, 1e-6);
            aid_near("u", m->u[CH_METERED], 9.072, 1e-3);
            aid_near("energy", m->metered_J, 648e3, 1e-3);
            aid_near("time", m->metered_s, 540, 1e-9);
            aid_near("flow", m->mean[CH_FLOW], 3.911e-5, 1e-12);
        }
        assert_int_equal(finder->few[COUNTED_HEAT], 0);
        drop(finder, &log);
    }
}

/* Heats that fit no step, at many phases: never further off than two edges can be, and scattered
 * about as stated. Fine: 1 Wh, a rise in every row; held: shown once in 50 s. */
static void a_window_is_sure_to_its_edges(void **unused)
{
    (void)unused;
    const double heat = 1163.7;
    static const struct {
        const char *name;
        int shown_s;
        double step_J, edge_s, apart_s;
    } rows[] = {{"fine", 10, 3.6e3, 3.6e3 / 1163.7, 570},
                {"coarse", 10, 36e3, 10, 540},
                {"held", 50, 3.6e3, 10, 530}};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        double squares = 0;
        size_t n = 0;
        for (int draw = 0; draw < 12; draw++) {
            struct aid_log log;
            energy_log(&log, 1500, 10, rows[r].shown_s, rows[r].step_J, heat, 0.083 * draw);
            struct finder *finder = find(&log, rows[r].step_J, draw % 2 == 0);
            for (size_t i = 0; i < finder->n_windows; i++, n++) {
                const struct means *m = &finder->means[i];
                double off = m->mean[CH_METERED] / heat - 1;
                if (!m->has[CH_METERED] || !(fabs(off) <= rows[r].edge_s / rows[r].apart_s))
                    fail_msg("%s: off by %g", rows[r].name, off);
                squares += pow((m->mean[CH_METERED] - heat) / m->u[CH_METERED], 2);
            }
            drop(finder, &log);
        }
        if (n < 240 || !(sqrt(squares / (double)n) < 1.3))
            fail_msg("%s: %zu windows scatter by %g of what is stated", rows[r].name, n,
                     sqrt(squares / (double)n));
    }
}

/* 1 kWh takes 51 min at 1163.7 W: in a window of ten there is one step at most. */
static void a_window_without_two_steps_has_no_heat(void **unused)
{
    (void)unused;
    struct aid_log log;
    energy_log(&log, 900, 10, 10, KWH, 1163.7, 0.4);
    struct finder *finder = find(&log, KWH, true);
    assert_true(finder->n_windows >= 10);
    for (size_t i = 0; i < finder->n_windows; i++)
        assert_false(finder->means[i].has[CH_METERED]);
    assert_int_equal(finder->few[COUNTED_HEAT], finder->n_windows);
    drop(finder, &log);
}

/* A row without a number is bridged by the total; that the window's heat is then of another time
 * than its flow is not seen, so it has none. Where the heat is needed the row breaks its slot, as
 * of a flow. */
static void a_row_without_a_number_takes_the_heat_of_its_window(void **unused)
{
    (void)unused;
    for (int needed = 0; needed < 2; needed++) {
        struct aid_log log;
        energy_log(&log, 900, 10, 10, 3.6e3, 1163.7, 0.4);
        log.flag[CH_METERED][430] = FLAG_MISSING;
        log.value[CH_METERED][430] = NAN;
        struct finder *finder = find(&log, 3.6e3, needed);
        size_t without = 0;
        for (size_t i = 0; i < finder->n_windows; i++) {
            const struct means *m = &finder->means[i];
            bool holds = m->start_us <= 4300 * S && m->end_us > 4300 * S;
            if (m->has[CH_METERED] == holds)
                fail_msg("window %zu", i);
            without += holds;
        }
        assert_int_equal(without, needed ? 0 : 1);
        assert_int_equal(finder->slots.n_broken, needed ? 2 : 0); /* the log's first row, too */
        drop(finder, &log);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_total_gives_the_heat_of_each_row),
        cmocka_unit_test(the_heat_of_a_window_is_that_between_its_steps),
        cmocka_unit_test(a_window_is_sure_to_its_edges),
        cmocka_unit_test(a_window_without_two_steps_has_no_heat),
        cmocka_unit_test(a_row_without_a_number_takes_the_heat_of_its_window),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
