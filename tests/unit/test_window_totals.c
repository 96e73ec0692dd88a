/* Totals: a meter's total volume as a column. What falls, stands still or jumps; what a window's
 * flow is sure to. */
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

static struct faults faults;

enum { ROWS = 4 };

/* Readings 10 s apart of a total in m3; flows in mL/s worked out by hand: a rise of 0.0004 m3 in 10
 * s is 40 mL/s. NaN: not known. */
static void a_total_gives_the_flow_of_each_row(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double step_m3, per_number;
        double total[ROWS];
        double mL_s[ROWS];
        size_t wraps, resets, plays;
    } rows[] = {
        {"rises, stands, rises",
         1e-4,
         1,
         {1234.5671, 1234.5675, 1234.5675, 1234.5680},
         {NAN, 40, 0, 50},
         0,
         0,
         0},
        {"over 9999.9999",
         1e-4,
         1,
         {9999.9993, 9999.9997, 0.0001, 0.0006},
         {NAN, 40, 40, 50},
         1,
         0,
         0},
        {"over 999.99 kL of a log in litres",
         1e-2,
         1e-3,
         {999.53, 999.85, 0.17, 0.49},
         {NAN, 3.2e4, 3.2e4, 3.2e4},
         1,
         0,
         0},
        {"over 2^16 steps of 0.1 L",
         1e-4,
         1,
         {6.5530, 6.5534, 0.0002, 0.0006},
         {NAN, 40, 40, 40},
         1,
         0,
         0},
        {"over 2^16 of the log's numbers, a gain of 0.002 m3",
         1e-4,
         2e-3,
         {131.0712, 131.0716, 0.0, 0.0004},
         {NAN, 40, 40, 40},
         1,
         0,
         0},
        {"over 2^32 steps",
         1e-6,
         1,
         {4294.967284, 4294.967288, 0.0, 0.000004},
         {NAN, 0.4, 0.8, 0.4},
         1,
         0,
         0},
        {"reset", 1e-4, 1, {1234.5671, 1234.5675, 0, 0.0004}, {NAN, 40, NAN, 40}, 0, 1, 0},
        {"reset in the upper tenth, of what the flow cannot bring",
         1e-4,
         1,
         {9.7000, 9.7004, 0.0001, 0.0005},
         {NAN, 40, NAN, 40},
         0,
         1,
         0},
        {"to a lower number that is no beginning",
         1e-4,
         1,
         {9.7000, 9.7004, 5.2, 5.2004},
         {NAN, 40, NAN, 40},
         0,
         1,
         0},
        {"falls at its end before any rise is known",
         1e-4,
         1,
         {9999.9995, 0.0001, 0.0005, 0.0009},
         {NAN, NAN, 40, 40},
         0,
         1,
         0},
        {"its last digit plays",
         1e-4,
         1,
         {5.0004, 5.0008, 5.0007, 5.0012},
         {NAN, 40, 0, 40},
         0,
         0,
         1},
        {"two steps down are no play",
         1e-4,
         1,
         {5.0004, 5.0008, 5.0006, 5.0010},
         {NAN, 40, NAN, 40},
         0,
         1,
         0},
        {"a missing row is bridged",
         1e-4,
         1,
         {5.0004, NAN, 5.0012, 5.0017},
         {NAN, NAN, 40, 50},
         0,
         0,
         0},
        {"over its end while a row is missing",
         1e-4,
         1,
         {9.9992, 9.9996, NAN, 0.0004},
         {NAN, 40, NAN, 40},
         1,
         0,
         0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct pulses pulses;
        struct pulse_meter meter = {PULSES_TOTAL, rows[i].step_m3, rows[i].per_number};
        pulses_init(&pulses, &meter);
        for (int k = 0; k < ROWS; k++) {
            double flow = pulses_next(&pulses, 10 * S * k, rows[i].total[k]);
            if (isnan(rows[i].mL_s[k]) != isnan(flow))
                fail_msg("%s, row %d: %g", rows[i].name, k, flow);
            if (!isnan(flow))
                aid_near(rows[i].name, 1e6 * flow, rows[i].mL_s[k], 1e-6);
        }
        if (pulses.wraps.n != rows[i].wraps || pulses.resets.n != rows[i].resets ||
            pulses.plays.n != rows[i].plays)
            fail_msg("%s: %zu wraps, %zu resets, %zu plays", rows[i].name, pulses.wraps.n,
                     pulses.resets.n, pulses.plays.n);
        pulses_restart(&pulses);
        assert_true(isnan(pulses_next(&pulses, 100 * S, 6)));
    }
}

/* The first of each kind is told by its time. */
static void what_happened_first_is_known(void **unused)
{
    (void)unused;
    struct pulses pulses;
    struct pulse_meter meter = {PULSES_TOTAL, 1e-4, 1};
    static const double total[] = {9.9992, 9.9996, 0.0, 0.0004, 7.1, 3.2, 3.2004, 1.1, 1.0999};
    pulses_init(&pulses, &meter);
    for (int k = 0; k < 9; k++)
        pulses_next(&pulses, 10 * S * k, total[k]);
    assert_int_equal(pulses.wraps.n, 1);
    assert_int_equal(pulses.wraps.first_us, 20 * S);
    assert_int_equal(pulses.resets.n, 2);
    assert_int_equal(pulses.resets.first_us, 50 * S);
    assert_int_equal(pulses.plays.n, 1);
    assert_int_equal(pulses.plays.first_us, 80 * S);
    assert_int_equal(pulses.good, 9);
    aid_near("finest step", pulses.finest, 4e-4, 1e-9);
}

/* A total of steps of `step_m3` shown every `shown_s`, at a true flow that is constant. */
static void total_log(struct aid_log *log, size_t n, int step_s, int shown_s, double step_m3,
                      double flow_m3_s, double phase)
{
    aid_log_init(log, n, 0, step_s * S);
    aid_log_set(log, CH_IRRADIANCE, 913);
    aid_log_set(log, CH_AMBIENT, 21.3);
    aid_log_set(log, CH_INLET, 40.2);
    aid_log_set(log, CH_OUTLET, 45.9);
    for (size_t i = 0; i < n; i++) {
        int at_s = (int)i * step_s / shown_s * shown_s;
        log->value[CH_FLOW][i] = step_m3 * (4711 + floor(flow_m3_s * at_s / step_m3 + phase));
    }
}

static struct finder *find(const struct aid_log *log, const struct fluid *water, double step_m3)
{
    struct rules rules;
    struct derived derived;
    struct finder *finder = malloc(sizeof *finder);
    assert_non_null(finder);
    faults_init(&faults);
    assert_true(rules_init(&rules, "homemade rig", fault_at(NULL, 0, 0), &faults));
    assert_true(finder_init(finder, &rules, NULL, &faults));
    finder_count(finder, COUNTED_FLOW, step_m3);
    struct sink sink = finder_sink(finder);
    assert_true(derived_init(&derived, water, false, 0, &sink, 1, &faults));
    struct pulse_meter meter = {PULSES_TOTAL, step_m3, 1};
    derived_count(&derived, COUNTED_FLOW, &meter);
    aid_log_feed(log, derived_sink(&derived), 300, 7);
    derived_free(&derived);
    return finder;
}

/* Windows' flows against the true one, at many phases: never further off than two edges can be, and
 * scattered as stated. Fine: 1 mL steps, a rise in every row; each edge is known to a step, 1e-6 /
 * 2.911e-5 = 0.034 s. Coarse: 0.5 L, a step in 17.2 s; an edge is known to a row, 10 s.
 * Held: 1 mL steps, but shown once in 50 s: an edge is known to a row, and a slot of 60 s holds one
 * display or two. Uneven: rows of 40 s, so that a slot of 60 s holds two or one; 1 L, a step in 34.4
 * s, two in some rows: 72 % more than the flow in a slot that spans 40 s, where a step in 60 s is 57 %. */
static void a_window_takes_its_flow_between_steps(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        int row_s, shown_s;
        double step_m3, edge_s, apart_s;
        enum verdict_state state;
    } rows[] = {{"fine", 10, 10, 1e-6, 1e-6 / 2.911e-5, 570, VERDICT_MET},
                {"coarse", 10, 10, 5e-4, 10, 560, VERDICT_TOO_COARSE},
                {"held", 10, 50, 1e-6, 10, 530, VERDICT_TOO_COARSE},
                {"uneven", 40, 40, 1e-3, 1e-3 / 2.911e-5, 520, VERDICT_TOO_COARSE}};
    struct fluid water;
    fluid_water(&water);
    const double flow = 2.911e-5;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        size_t n = 0;
        for (int draw = 0; draw < 12; draw++) {
            struct aid_log log;
            total_log(&log, 1500, rows[r].row_s, rows[r].shown_s, rows[r].step_m3, flow, 0.083 * draw);
            struct finder *finder = find(&log, &water, rows[r].step_m3);
            /* One after the other, but for the conditioning before the first. */
            if ((int)finder->n_windows < 1500 * rows[r].row_s / 600 - 3)
                fail_msg("%s: %zu windows", rows[r].name, finder->n_windows);
            for (size_t i = 0; i < finder->n_windows; i++) {
                const struct means *m = &finder->means[i];
                double off = m->mean[CH_FLOW] / flow - 1;
                if (!(fabs(off) <= rows[r].edge_s / rows[r].apart_s))
                    fail_msg("%s: off by %g", rows[r].name, off);
                aid_near(rows[r].name, m->u[CH_FLOW] / flow, rows[r].edge_s / sqrt(6) / 585,
                         0.11 * rows[r].edge_s / sqrt(6) / 585);
                if (finder->verdict[i].state[RULE_FLOW_DEVIATION] != rows[r].state)
                    fail_msg("%s: verdict %d", rows[r].name,
                             finder->verdict[i].state[RULE_FLOW_DEVIATION]);
                aid_near(rows[r].name, m->mean[CH_HEAT],
                         derived_heat_W(&water, m->mean[CH_FLOW], 40.2, 40.2, 45.9),
                         1e-6 * m->mean[CH_HEAT]);
                n++;
            }
            finder_free(finder);
            free(finder);
            aid_log_free(&log);
        }
        assert_true(n > 240);
    }
}

/* A flow that really wanders is refused, however fine the total. */
static void what_a_total_can_tell_is_told(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    struct aid_log log;
    total_log(&log, 800, 10, 10, 1e-6, 2.911e-5, 0);
    double sum = 3.1;
    for (size_t i = 0; i < log.n; i++) { /* 12 % up and down, two minutes each */
        sum += 2.911e-4 * (i / 12 % 2 == 0 ? 1.12 : 0.88);
        log.value[CH_FLOW][i] = 1e-6 * floor(sum * 1e6);
    }
    struct finder *finder = find(&log, &water, 1e-6);
    assert_int_equal(finder->n_windows, 0);
    finder_free(finder);
    free(finder);
    aid_log_free(&log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_total_gives_the_flow_of_each_row),
        cmocka_unit_test(what_happened_first_is_known),
        cmocka_unit_test(a_window_takes_its_flow_between_steps),
        cmocka_unit_test(what_a_total_can_tell_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
