/* Meters that give pulses, and meters that weigh, against hand arithmetic. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_folder.h"
#include "aid_log.h"
#include "aid_near.h"
#include "base/files.h"
#include "point/point.h"
#include "run/reduction.h"
#include "run/setup_point.h"
#include "window/derived.h"
#include "window/finder.h"
#include "window/pulses.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)

static struct faults faults;

/* Readings 10 s apart, 2.2 mL a pulse; the flow of each row in mL/s. NaN: not known. */
static void a_counter_gives_the_flow_of_each_row(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        enum pulse_form form;
        double number[4];
        double mL_s[4];
        size_t wraps, resets;
    } rows[] = {
        {"counter", PULSES_COUNTER, {1203, 1371, 1371, 1540}, {NAN, 36.96, 0, 37.18}, 0, 0},
        {"2^16", PULSES_COUNTER, {65301, 65470, 103, 271}, {NAN, 37.18, 37.18, 36.96}, 1, 0},
        {"2^32",
         PULSES_COUNTER,
         {4294967100, 4294967268, 141, 309},
         {NAN, 36.96, 37.18, 36.96},
         1,
         0},
        {"32767, then 0", PULSES_COUNTER, {32411, 32580, 35, 204}, {NAN, 37.18, 49.06, 37.18}, 1, 0},
        {"2^16 with a sign",
         PULSES_COUNTER,
         {32411, 32580, -32733, -32564},
         {NAN, 37.18, 49.06, 37.18},
         1,
         0},
        {"a sign, through 0", PULSES_COUNTER, {-201, -33, 136, 304}, {NAN, NAN, 37.18, 36.96}, 0, 0},
        {"2^32 with a sign",
         PULSES_COUNTER,
         {2147483311, 2147483480, -2147483648, -2147483480},
         {NAN, 37.18, 36.96, 36.96},
         1,
         0},
        {"a mark below 0", PULSES_COUNTER, {1203, -9999, -9999, 1707}, {NAN, NAN, NAN, 36.96}, 0, 0},
        {"an end of four digits", PULSES_COUNTER, {9712, 9880, 48, 217}, {NAN, 36.96, 36.96, 37.18}, 1, 0},
        {"reset, a few rows before an end of four digits",
         PULSES_COUNTER,
         {9100, 9268, 12, 180},
         {NAN, 36.96, NAN, 36.96},
         0,
         1},
        {"reset", PULSES_COUNTER, {31702, 31870, 0, 168}, {NAN, 36.96, NAN, 36.96}, 0, 1},
        {"reset near the end, to a number too high for a wrap",
         PULSES_COUNTER,
         {65301, 65470, 9301, 9469},
         {NAN, 37.18, NAN, 36.96},
         0,
         1},
        {"reset where the wrap would bring fifteen times the last rise",
         PULSES_COUNTER,
         {62801, 62970, 103, 271},
         {NAN, 37.18, NAN, 36.96},
         0,
         1},
        {"reset at the end, to a number above the lowest tenth",
         PULSES_COUNTER,
         {41000, 53000, 65000, 9000},
         {NAN, 2640, 2640, NAN},
         0,
         1},
        {"reset before the highest tenth",
         PULSES_COUNTER,
         {33000, 45000, 57000, 3000},
         {NAN, 2640, 2640, NAN},
         0,
         1},
        {"a bad row is bridged",
         PULSES_COUNTER,
         {1000, NAN, 1337, 1505},
         {NAN, NAN, 37.07, 36.96},
         0,
         0},
        {"a bad row between counts of one interval each",
         PULSES_PER_ROW,
         {168, NAN, 169, 168},
         {NAN, NAN, 37.18, 36.96},
         0,
         0},
        {"per interval", PULSES_PER_ROW, {168, 169, 0, 168}, {NAN, 37.18, 0, 36.96}, 0, 0},
        {"frequency", PULSES_RATE, {16.8, 16.9, 0, 16.8}, {36.96, 37.18, 0, 36.96}, 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct pulses pulses;
        struct pulse_meter meter = {rows[i].form, 2.2e-6, 0};
        pulses_init(&pulses, &meter);
        for (int k = 0; k < 4; k++) {
            double flow = pulses_next(&pulses, 10 * S * k, rows[i].number[k]);
            if (isnan(rows[i].mL_s[k]) != isnan(flow))
                fail_msg("%s, row %d: %g", rows[i].name, k, flow);
            if (!isnan(flow))
                aid_near(rows[i].name, 1e6 * flow, rows[i].mL_s[k], 1e-9);
        }
        if (pulses.wraps.n != rows[i].wraps || pulses.resets.n != rows[i].resets)
            fail_msg("%s: %zu wraps, %zu resets", rows[i].name, pulses.wraps.n, pulses.resets.n);
        pulses_restart(&pulses);
        assert_true(isnan(pulses_next(&pulses, 100 * S, 5)) == (rows[i].form != PULSES_RATE));
    }
}

/* How many rows below 0 are no count of a register with a sign. */
static void marks_below_0_are_counted(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double number[5];
        size_t none;
    } rows[] = {
        {"a mark, three times", {1203, -9999, -9999, 1707, -9999}, 3},
        {"behind the end", {32411, 32580, -32733, -32564, -32396}, 0},
        {"from the start", {-32733, -32564, -32396, -32227, -32059}, 0},
        {"a mark before the start", {-9999, -9999, -32396, -32227, -32059}, 2},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct pulses pulses;
        struct pulse_meter meter = {PULSES_COUNTER, 2.2e-6, 0};
        pulses_init(&pulses, &meter);
        for (int k = 0; k < 5; k++)
            pulses_next(&pulses, 10 * S * k, rows[i].number[k]);
        if (pulses.negatives.n != rows[i].none)
            fail_msg("%s: %zu", rows[i].name, pulses.negatives.n);
    }
}

/* Pulses since the row before, of 2.2 mL, where rows are absent; times in s, flows in mL/s by hand.
 * 168 pulses in 10 s and as fast on are 336 in 20 s: half-way between is 252. */
static void absent_rows_take_pulses_along_or_not(void **unused)
{
    (void)unused;
    enum { ROWS = 6 };
    static const struct {
        const char *name;
        double s[ROWS], number[ROWS], mL_s[ROWS];
        size_t holes;
    } rows[] = {
        {"the logger skipped a row and counted on",
         {0, 10, 20, 40, 50, 60},
         {168, 168, 169, 336, 168, 169},
         {NAN, 36.96, 37.18, 36.96, 36.96, 37.18},
         0},
        {"the row was lost on its way",
         {0, 10, 20, 40, 50, 60},
         {168, 168, 168, 169, 168, 169},
         {NAN, 36.96, 36.96, NAN, 36.96, 37.18},
         1},
        {"more than one step, less than half of the rest",
         {0, 10, 20, 40, 50, 60},
         {168, 168, 168, 251, 168, 169},
         {NAN, 36.96, 36.96, NAN, 36.96, 37.18},
         1},
        {"half of the rest",
         {0, 10, 20, 40, 50, 60},
         {168, 168, 168, 252, 168, 169},
         {NAN, 36.96, 36.96, 27.72, 36.96, 37.18},
         0},
        {"jitter, 1.7 steps",
         {0, 10, 20, 37, 50, 60},
         {168, 168, 168, 168, 168, 169},
         {NAN, 36.96, 36.96, 369.6 / 17, 369.6 / 13, 37.18},
         0},
        {"1.75 steps",
         {0, 10, 20, 37.5, 50, 60},
         {168, 168, 168, 168, 168, 169},
         {NAN, 36.96, 36.96, NAN, 369.6 / 12.5, 37.18},
         1},
        {"every other row is lost from some time on",
         {0, 10, 30, 50, 70, 90},
         {168, 168, 168, 169, 168, 168},
         {NAN, 36.96, NAN, NAN, NAN, NAN},
         4},
        {"the logger is set to twice the step",
         {0, 10, 20, 40, 60, 80},
         {168, 168, 168, 336, 336, 337},
         {NAN, 36.96, 36.96, 36.96, 36.96, 37.07},
         0},
        {"few pulses: three in 20 s are no more than one step may bring after two in 10 s",
         {0, 10, 20, 40, 50, 60},
         {1, 2, 2, 3, 1, 2},
         {NAN, 0.44, 0.44, NAN, 0.22, 0.44},
         1},
        {"a row that is not good has its place: the next one is of one step",
         {0, 10, 20, 30, 40, 50},
         {NAN, 168, NAN, 168, 168, 169},
         {NAN, 36.96, NAN, 36.96, 36.96, 37.18},
         0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct pulses pulses;
        struct pulse_meter meter = {PULSES_PER_ROW, 2.2e-6, 0};
        pulses_init(&pulses, &meter);
        for (size_t k = 0; k < ROWS; k++) {
            double flow = pulses_next(&pulses, llround(rows[i].s[k] * 1e6), rows[i].number[k]);
            if (isnan(rows[i].mL_s[k]) != isnan(flow))
                fail_msg("%s, row %zu: %g", rows[i].name, k, flow);
            if (!isnan(flow))
                aid_near(rows[i].name, 1e6 * flow, rows[i].mL_s[k], 1e-9);
        }
        if (pulses.holes.n != rows[i].holes)
            fail_msg("%s: %zu holes", rows[i].name, pulses.holes.n);
    }
}

/* Ten rows of twice the step are told; then that is the usual one, and a gap forgets it all. */
static void a_longer_step_becomes_the_usual_one(void **unused)
{
    (void)unused;
    struct pulses pulses;
    struct pulse_meter meter = {PULSES_PER_ROW, 2.2e-6, 0};
    pulses_init(&pulses, &meter);
    for (int k = 0; k < 3; k++)
        pulses_next(&pulses, 10 * S * k, 168);
    for (int k = 0; k < 12; k++) {
        double flow = pulses_next(&pulses, 20 * S * (k + 2), 168);
        assert_true(isnan(flow) == (k < PULSES_LATE_ROWS));
    }
    assert_int_equal(pulses.holes.n, PULSES_LATE_ROWS);
    assert_int_equal(pulses.holes.first_us, 40 * S);
    pulses_restart(&pulses);
    pulses_next(&pulses, 1000 * S, 168);
    aid_near("after a gap", 1e6 * pulses_next(&pulses, 1090 * S, 168), 369.6 / 90, 1e-9);
}

/* The flow of a log is a counter of `litres` a pulse; true flow constant, the first pulse at a
 * time that is no row's. */
static void counter_log(struct aid_log *log, size_t n, int step_s, double m3_per_pulse,
                        double flow_m3_s, double phase)
{
    aid_log_init(log, n, 0, step_s * S);
    aid_log_set(log, CH_IRRADIANCE, 913);
    aid_log_set(log, CH_AMBIENT, 21.3);
    aid_log_set(log, CH_INLET, 40.2);
    aid_log_set(log, CH_OUTLET, 45.9);
    for (size_t i = 0; i < n; i++)
        log->value[CH_FLOW][i] =
            4711 + floor(flow_m3_s * (double)((int)i * step_s) / m3_per_pulse + phase);
}

static struct finder *find(const struct aid_log *log, const struct fluid *water,
                           enum pulse_form form, double m3_per_pulse)
{
    struct rules rules;
    struct derived derived;
    struct finder *finder = malloc(sizeof *finder);
    assert_non_null(finder);
    faults_init(&faults);
    assert_true(rules_init(&rules, "homemade rig", fault_at(NULL, 0, 0), &faults));
    assert_true(finder_init(finder, &rules, NULL, &faults));
    finder_count(finder, COUNTED_FLOW, m3_per_pulse);
    struct sink sink = finder_sink(finder);
    assert_true(derived_init(&derived, water, false, 0, &sink, 1, &faults));
    struct pulse_meter meter = {form, m3_per_pulse, 0};
    derived_count(&derived, COUNTED_FLOW, &meter);
    aid_log_feed(log, derived_sink(&derived), 300, 7);
    derived_free(&derived);
    return finder;
}

/* Windows' flows against the true one: within the width of two edges, and scattered as stated; the
 * heat goes with the flow. Fast meter: 2.2 mL, 12 pulses a second, rows of 15 s: an edge is known
 * to a pulse. Slow one: 0.5 L, a pulse in 17.2 s, rows of 10 s: to a row. In a slot of 60 s a
 * pulse is 0.13 % of the flow there, 28.7 % here: the limit of 6 % cannot be judged. */
static void a_window_takes_its_flow_between_edges(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        int step_s;
        double m3_per_pulse, edge_s;
        enum verdict_state state;
    } rows[] = {{"fast", 15, 2.2e-6, 2.2e-6 / 2.911e-5, VERDICT_MET},
                {"slow", 10, 5e-4, 10, VERDICT_TOO_COARSE}};
    struct fluid water;
    fluid_water(&water);
    const double flow = 2.911e-5;
    for (size_t r = 0; r < 2; r++) {
        double squares = 0, n = 0;
        for (int draw = 0; draw < 12; draw++) {
            struct aid_log log;
            counter_log(&log, 1500, rows[r].step_s, rows[r].m3_per_pulse, flow, 0.083 * draw);
            struct finder *finder = find(&log, &water, PULSES_COUNTER, rows[r].m3_per_pulse);
            assert_true(finder->n_windows > 20);
            for (size_t i = 0; i < finder->n_windows; i++) {
                const struct means *m = &finder->means[i];
                assert_true(m->has[CH_FLOW] && m->has[CH_HEAT]);
                double off = m->mean[CH_FLOW] / flow - 1;
                double width = rows[r].edge_s / 560; /* the edges are at least so far apart */
                if (!(fabs(off) <= width))
                    fail_msg("%s: off by %g, allowed %g", rows[r].name, off, width);
                aid_near(rows[r].name, m->u[CH_FLOW] / flow, rows[r].edge_s / sqrt(6) / 585,
                         0.05 * rows[r].edge_s / sqrt(6) / 585);
                squares += off * off / (m->u[CH_FLOW] * m->u[CH_FLOW] / flow / flow);
                n++;
                aid_near(rows[r].name, m->mean[CH_HEAT],
                         derived_heat_W(&water, m->mean[CH_FLOW], 40.2, 40.2, 45.9),
                         1e-6 * m->mean[CH_HEAT]);
                assert_int_equal(finder->verdict[i].state[RULE_FLOW_DEVIATION], rows[r].state);
            }
            finder_free(finder);
            free(finder);
            aid_log_free(&log);
        }
        /* Phases and rows beat: not independent draws, so only roughly one. */
        aid_near(rows[r].name, sqrt(squares / n), 0.8, 0.45);
    }
}

/* 20 L a pulse: one in 687 s. A window of 600 s holds one, whose flow is then right to one pulse
 * (20 L/600 s, / sqrt 6), or none, and is none. */
static void a_single_pulse_says_little(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    struct aid_log log;
    counter_log(&log, 1500, 10, 0.02, 2.911e-5, 0.37);
    struct finder *finder = find(&log, &water, PULSES_COUNTER, 0.02);
    assert_true(finder->n_windows > 10);
    for (size_t i = 0; i < finder->n_windows; i++) {
        const struct means *m = &finder->means[i];
        assert_true(m->has[CH_FLOW]);
        aid_near_relative("flow", m->mean[CH_FLOW], 0.02 / 600, 1e-9);
        aid_near_relative("u(flow)", m->u[CH_FLOW], 1.36083e-5, 1e-5);
    }
    finder_free(finder);
    free(finder);
    aid_log_free(&log);
}

/* A real wander beyond limit and one pulse is refused all the same. */
static void what_pulses_can_tell_is_told(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    struct aid_log log;
    counter_log(&log, 400, 15, 2.2e-6, 2.911e-5, 0);
    double sum = 0;
    for (size_t i = 0; i < log.n; i++) { /* 12 % up and down, two minutes each */
        sum += 198.5 * (i / 8 % 2 == 0 ? 1.12 : 0.88);
        log.value[CH_FLOW][i] = floor(sum);
    }
    struct finder *finder = find(&log, &water, PULSES_COUNTER, 2.2e-6);
    assert_int_equal(finder->n_windows, 0);
    finder_free(finder);
    free(finder);
    aid_log_free(&log);
}

static const char head[] = "[collector]\ngross area = 2.05 m2\n"
                           "[fluid]\nname = water\nmeter at = outlet\n"
                           "[log]\nfile = l.csv\ntime = t, ISO 8601, UTC\n"
                           "[steady state]\nrules = homemade rig\n[run c]\nkind = efficiency\n"
                           "[instrument sun]\nmeasures = irradiance\ncolumn = g\nunit = W/m2\n"
                           "kind = pyranometer class A\n"
                           "[instrument air]\nmeasures = ambient\ncolumn = a\nunit = degC\n"
                           "kind = digital thermometer\n"
                           "[instrument cold]\nmeasures = inlet\ncolumn = i\nunit = degC\n"
                           "kind = digital thermometer\n"
                           "[instrument hot]\nmeasures = outlet\ncolumn = o\nunit = degC\n"
                           "kind = digital thermometer\n";

static void put_file(const char *folder, const char *name, const char *bytes)
{
    char path[400];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    assert_true(file_write_new(path, bytes, strlen(bytes), &faults));
}

/* A description and a log of 45 min in steps of 15 s whose column f is what `number` says of 0.03
 * kg/s. */
static struct reduction *reduce(const char *meter, double per_row, bool adds, char **folder)
{
    char text[4000];
    struct text log = {0};
    faults_init(&faults);
    *folder = aid_folder();
    assert_non_null(*folder);
    snprintf(text, sizeof text, "%s[instrument meter]\nmeasures = %s", head, meter);
    put_file(*folder, "t.txt", text);
    text_add(&log, "t,g,a,i,o,f\n");
    for (int k = 0; k <= 180; k++)
        text_addf(&log, "2026-06-21T10:%02d:%02d,913,21.3,40.2,45.9,%.6f\n", k / 4, k % 4 * 15,
                  adds ? k * per_row : per_row);
    put_file(*folder, "l.csv", text_string(&log));
    text_free(&log);
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    reduction_init(r);
    snprintf(text, sizeof text, "%s/t.txt", *folder);
    if (!reduction_describe(r, text, &faults) || !reduction_read(r, &faults))
        fail_msg("%s", faults.items[0].found);
    return r;
}

/* The same water, 1.8 kg/min at 45.9 degC (989.8 kg/m3, IAPWS-95), by every kind of meter: the same
 * heat. 15 s bring 0.45 kg = 0.45464 L = 206.65 pulses of 2.2 mL. */
static void every_meter_gives_the_same_heat(void **unused)
{
    (void)unused;
    static const struct {
        const char *name, *meter;
        double per_row;
        bool adds;
        double tolerance; /* relative */
    } rows[] = {
        {"mass", "mass flow\ncolumn = f\nunit = kg/min\nkind = calibrated flow meter\n", 1.8, false,
         1e-9},
        {"volume", "flow\ncolumn = f\nunit = L/min\nkind = calibrated flow meter\n", 1.818549,
         false, 1e-4},
        {"counter",
         "flow\ncolumn = f\nunit = pulses\nlitres per pulse = 0.0022 L\ncalibration = 1 % k=2\n",
         206.6533, true, 1e-4},
        {"per interval",
         "flow\ncolumn = f\nunit = pulses per interval\nlitres per pulse = 2.2 mL\n"
         "calibration = 1 % k=2\n",
         206.6533, false, 1e-4},
        {"total in litres",
         "flow\ncolumn = f\nunit = L\nresolution = 0.000001 L\ncalibration = 1 % k=2\n", 0.454637,
         true, 1e-4},
        {"total in m3, the logger in litres",
         "flow\ncolumn = f\nunit = m3\ngain = 0.001\nresolution = 0.000001 L\n"
         "calibration = 1 % k=2\n",
         0.454637, true, 1e-4},
        {"total in US gallons",
         "flow\ncolumn = f\nunit = gal\nresolution = 0.000001 gal\ncalibration = 1 % k=2\n",
         0.454637 / 3.785411784, true, 1e-4},
        {"frequency",
         "flow\ncolumn = f\nunit = Hz\nlitres per pulse = 0.0022 L\ncalibration = 1 % k=2\n",
         13.776887, false, 1e-4},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *folder;
        struct reduction *r = reduce(rows[i].meter, rows[i].per_row, rows[i].adds, &folder);
        assert_true(r->means.n >= 2);
        struct point_setup setup = setup_point(&r->setup, BASIS_MEAN);
        for (size_t k = 0; k < r->means.n; k++) {
            struct point_value value;
            assert_int_equal(point_evaluate(&r->means.items[k], &setup, NULL, &value), POINT_OK);
            aid_near_relative(rows[i].name, value.mass_kg_s, 0.03, rows[i].tolerance);
            aid_near_relative(rows[i].name, value.heat_W,
                              0.03 * fluid_enthalpy_rise(&r->setup.fluid, 40.2, 45.9),
                              rows[i].tolerance);
            /* Weighed: neither density nor a thermometer in the meter moves the mass. */
            struct shifts shifts;
            memset(&shifts, 0, sizeof shifts);
            shifts.density = 0.01;
            struct point_value moved;
            assert_int_equal(point_evaluate(&r->means.items[k], &setup, &shifts, &moved), POINT_OK);
            aid_near_relative(rows[i].name, moved.mass_kg_s / value.mass_kg_s, i == 0 ? 1 : 1.01,
                              1e-12);
            memset(&shifts, 0, sizeof shifts);
            shifts.gain[CH_MASS_FLOW] = shifts.gain[CH_FLOW] = 0.02;
            assert_int_equal(point_evaluate(&r->means.items[k], &setup, &shifts, &moved), POINT_OK);
            aid_near_relative(rows[i].name, moved.mass_kg_s / value.mass_kg_s, 1.02, 1e-12);
        }
        reduction_free(r);
        free(r);
        aid_remove(folder);
        free(folder);
    }
}

static void what_is_wrong_is_said(void **unused)
{
    (void)unused;
    static const struct {
        const char *name, *meter, *found;
    } rows[] = {
        {"litres of a thermometer", "mass flow\ncolumn = f\nunit = kg/s\nlitres per pulse = 1 L\n",
         "'litres per pulse' is of a meter of volume, not of mass flow"},
        {"no pulse unit", "flow\ncolumn = f\nunit = L/min\nlitres per pulse = 1 L\n",
         "'L/min' is a unit of volume flow, not of pulses"},
        {"pulses without litres", "flow\ncolumn = f\nunit = pulses\n",
         "[instrument meter] counts pulses ('unit = pulses') and has no 'litres per pulse'"},
        {"litres left empty", "flow\ncolumn = f\nunit = pulses per interval\nlitres per pulse =\n",
         "'litres per pulse' has no value"},
        {"litres mistyped", "flow\ncolumn = f\nunit = Hz\nlitres per pulse = 0.5 L/min\n",
         "'L/min' is a unit of volume flow, not of volume"},
        {"two meters",
         "flow\ncolumn = f\nunit = L/min\n"
         "[instrument scale]\nmeasures = mass flow\ncolumn = m\nunit = kg/s\n",
         "'meter' measures flow and 'scale' mass flow"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[4000];
        struct test_setup setup;
        setup_init(&setup);
        faults_init(&faults);
        int n = snprintf(text, sizeof text, "%s[instrument meter]\nmeasures = %s", head,
                         rows[i].meter);
        assert_false(setup_parse("t.txt", text, (size_t)n, &setup, &faults));
        bool said = false;
        for (size_t k = 0; k < faults.n; k++)
            said = said || strcmp(faults.items[k].found, rows[i].found) == 0;
        if (!said || faults.n != 1)
            fail_msg("%s: %zu faults, the first '%s'", rows[i].name, faults.n,
                     faults.n > 0 ? faults.items[0].found : "");
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_counter_gives_the_flow_of_each_row),
        cmocka_unit_test(marks_below_0_are_counted),
        cmocka_unit_test(absent_rows_take_pulses_along_or_not),
        cmocka_unit_test(a_longer_step_becomes_the_usual_one),
        cmocka_unit_test(a_window_takes_its_flow_between_edges),
        cmocka_unit_test(a_single_pulse_says_little),
        cmocka_unit_test(what_pulses_can_tell_is_told),
        cmocka_unit_test(every_meter_gives_the_same_heat),
        cmocka_unit_test(what_is_wrong_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
