/* Checks of the instruments: what each kind finds against hand arithmetic, what is corrected, and
 * which rows of the registry it replaces. Numbers worked by hand stand beside the rows. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "run/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/aid_near.h"

static struct faults faults;
static struct test_setup setup;

static const char head[] = "[collector]\ngross area = 1.10 m2\n\n[log]\nfile = log.csv\n"
                           "time = Time, ISO 8601, UTC+1\n\n"
                           "[instrument sun]\nmeasures = irradiance\ncolumn = G\nunit = kW/m2\n"
                           "calibration = 5 % limit\nzero = 7 W/m2 limit\n\n"
                           "[instrument air]\nmeasures = ambient\ncolumn = A\nunit = degC\n"
                           "calibration = 0.5 K limit\n\n"
                           "[instrument inlet]\nmeasures = inlet\ncolumn = I\nunit = degC\n"
                           "calibration = 0.3 K standard\nresolution = 0.1 K\n\n"
                           "[instrument outlet]\nmeasures = outlet\ncolumn = O\nunit = degF\n"
                           "calibration = 0.4 K standard\n";
static const char meter[] = "\n[instrument flow]\nmeasures = flow\ncolumn = F\nunit = L/min\n"
                            "calibration = 10 % limit\n";
static const char pulse_meter[] = "\n[instrument flow]\nmeasures = flow\ncolumn = F\n"
                                  "litres per pulse = 0.0022 L\nunit = pulses\n"
                                  "calibration = 10 % limit\n";

static bool parse(const char *flow, const char *run)
{
    char bytes[4096];
    int n = snprintf(bytes, sizeof bytes, "%s%s\n%s", head, flow, run);
    assert_true(n > 0 && (size_t)n < sizeof bytes);
    faults_init(&faults);
    setup_init(&setup);
    return setup_parse("test.txt", bytes, (size_t)n, &setup, &faults);
}

static void start(const char *flow, const char *run)
{
    if (!parse(flow, run))
        fail_msg("%s (%s)", faults.items[0].found, faults.items[0].hint);
}

static const struct error_source *row_of(const char *id)
{
    for (size_t i = 0; i < setup.errors.n; i++)
        if (strcmp(setup.errors.rows[i].id, id) == 0)
            return &setup.errors.rows[i];
    return NULL;
}

static double u_of(const char *id)
{
    const struct error_source *row = row_of(id);
    if (row == NULL)
        fail_msg("no row '%s'", id);
    return row->u;
}

/* y 1.2 1.5 1.1 1.8 over x 0 2 3 7: mean 1.4, s^2 = 0.3/3, u = sqrt(0.1/4); slope 2.1/26; rest 0.3
 * - 2.1^2/26 = 0.130385, its variance over 2, slope's u = sqrt(0.0651923/26); over a span of 7. */
static void samples_as_by_hand(void **state)
{
    (void)state;
    double x[] = {0, 2, 3, 7}, y[] = {1.2, 1.5, 1.1, 1.8};
    struct check_sample s = check_sample(x, y, 4);
    aid_near("mean", s.mean, 1.4, 1e-14);
    aid_near("u", s.u, 0.158113883, 1e-9);
    aid_near("change", s.change, 0.565384615, 1e-9);
    aid_near("u of change", s.u_change, 0.350517, 1e-6);
}

/* Offsets to the inlet: 0.5 0.7 0.6 0.6 -> 0.6, s = 0.0816497, u = 0.0408248, 3 degrees of freedom.
 * Left: a fifth of sqrt(0.3^2 + 0.4^2) = 0.1 and a step of 0.1/sqrt 12 = 0.0288675: 0.1040833. */
static void offsets_to_one_of_them(void **state)
{
    (void)state;
    start(meter, "[run both]\nkind = thermometers together\nthermometers = inlet, outlet\n"
                 "reference = inlet\n"
                 "compared = 20.1 degC, 20.6 degC\ncompared = 20.1 degC, 20.8 degC\n"
                 "compared = 20.2 degC, 20.8 degC\ncompared = 20.2 degC, 20.8 degC\n");
    struct check_result result;
    together_find(&setup, &setup.runs[0], NULL, &result);
    assert_true(result.found);
    const struct check_probe *outlet = &result.probes[1];
    aid_near("offset", outlet->offset_K, 0.6, 1e-12);
    aid_near("u", outlet->u_K, 0.0408248, 1e-7);
    aid_near("dof", outlet->dof, 3, 0);
    aid_near("left", outlet->u_left_K, 0.1040833, 1e-7);
    aid_near("before", outlet->u_before_K, 0.5, 1e-12);
    aid_near("common", result.u_common_K, 0.3, 1e-12);
    assert_true(checks_apply(&setup, &result, 1, &faults));
    /* 0.6 K in degF: 1.08. */
    aid_near("add", setup.instruments[3].add_value, -1.08, 1e-12);
    aid_near("add of the reference", setup.instruments[2].add_value, 0, 0);
    assert_null(row_of("outlet.calibration"));
    assert_null(row_of("inlet.calibration"));
    assert_null(row_of("inlet.check"));
    aid_near("outlet.check", u_of("outlet.check"), 0.0408248, 1e-7);
    aid_near("its dof", row_of("outlet.check")->dof, 3, 0);
    aid_near("outlet.left", u_of("outlet.left"), 0.1040833, 1e-7);
    aid_near("common row", u_of("check both.reference"), 0.3, 1e-12);
    assert_int_equal(row_of("check both.reference")->n_targets, 2);
    aid_near("air stays", u_of("air.calibration"), 0.5 / sqrt(3), 1e-12);
    aid_near("steps stay", u_of("inlet.resolution"), 0.1 / sqrt(12), 1e-12);
    setup_free(&setup);
}

/* The mean of 20 and 21 is 20.5, of 20.2 and 21.4 20.8: offsets -0.5 and -0.6 of the inlet, mean
 * -0.55, s/sqrt 2 = 0.05; times sqrt(2/1), since half of its own scatter is in the mean. Known of
 * the mean: sqrt(0.3^2 + 0.4^2)/2 = 0.25. */
static void offsets_to_the_mean(void **state)
{
    (void)state;
    start(meter, "[run both]\nkind = thermometers together\nthermometers = inlet, outlet\n"
                 "compared = 20 degC, 21 degC\ncompared = 20.2 degC, 21.4 degC\n"
                 "left = 0.07 K standard\n");
    struct check_result result;
    together_find(&setup, &setup.runs[0], NULL, &result);
    aid_near("inlet", result.probes[0].offset_K, -0.55, 1e-12);
    aid_near("outlet", result.probes[1].offset_K, 0.55, 1e-12);
    aid_near("u", result.probes[0].u_K, 0.05 * sqrt(2), 1e-12);
    aid_near("left", result.probes[1].u_left_K, 0.07, 1e-12);
    aid_near("common", result.u_common_K, 0.25, 1e-12);
    setup_free(&setup);
}

static void a_better_thermometer_from_outside(void **state)
{
    (void)state;
    start(meter,
          "[run bath]\nkind = thermometers together\nthermometers = inlet, best, outlet, air\n"
          "reference = best\nreference error = 0.1 K k=2\n"
          "compared = 20 degC, 20.2 degC, 21 degC, 19 degC\n"
          "compared = 20.1 degC, 20.3 degC, 21.1 degC, 19.1 degC\n");
    struct check_result result;
    together_find(&setup, &setup.runs[0], NULL, &result);
    assert_true(checks_apply(&setup, &result, 1, &faults));
    aid_near("inlet", setup.instruments[2].add_value, 0.2, 1e-12);
    aid_near("air", setup.instruments[1].add_value, 1.2, 1e-12);
    aid_near("common", u_of("check bath.reference"), 0.05, 1e-12);
    assert_int_equal(row_of("check bath.reference")->n_targets, 3);
    assert_null(row_of("air.calibration"));
    setup_free(&setup);
}

/* A matched pair that was checked is a pair of its own check: the statement goes. */
static void a_stated_match_gives_way(void **state)
{
    (void)state;
    start(
        "\n[instrument flow]\nmeasures = flow\ncolumn = F\nunit = L/min\ncalibration = 1 % limit\n",
        "[run both]\nkind = thermometers together\nthermometers = inlet, outlet\n"
        "reference = inlet\ncompared = 20 degC, 21 degC\ncompared = 20 degC, 21.2 degC\n"
        "apply = no\n");
    struct instrument *outlet = &setup.instruments[3];
    memset(&outlet->calibration, 0, sizeof outlet->calibration);
    outlet->matched_to.at.given = outlet->pair.at.given = true;
    strcpy(outlet->matched_to.text, "inlet");
    outlet->pair.u = 0.2;
    struct check_result result;
    together_find(&setup, &setup.runs[0], NULL, &result);
    aid_near("before", result.probes[1].u_before_K, 0.2, 1e-12);
    assert_true(checks_apply(&setup, &result, 1, &faults));
    assert_true(outlet->matched_to.at.given); /* apply = no */
    aid_near("not corrected", outlet->add_value, 0, 0);
    setup.runs[0].check.applied = true;
    assert_true(checks_apply(&setup, &result, 1, &faults));
    assert_false(outlet->matched_to.at.given);
    assert_null(row_of("outlet.pair"));
    assert_non_null(row_of("outlet.left"));
    setup_free(&setup);
}

/* 8.05 kg on a scale: 8.05 * 1.00105 = 8.058453 kg; water at 18 degC weighs 998.595 kg/m3 (Tanaka
 * et al., Metrologia 38 (2001) 301, from memory): 8.069791 L. Over 3609 pulses of 2.2 mL, 7.9398 L:
 * 1.016372. Second fill: 7.93 L over 3600 pulses, 7.92 L: 1.001263. Mean 1.008817, s/sqrt 2 =
 * 0.0075545. */
static void pulses_against_a_scale(void **state)
{
    (void)state;
    start(pulse_meter, "[run fills]\nkind = bucket and stopwatch\nwater = 18 degC\n"
                       "bucket error = 0.2 % standard\n"
                       "fill = 8.05 kg, 300 s, 3609 pulses\nfill = 7.93 L, 3600 pulses\n");
    struct check_result result;
    bucket_find(&setup, &setup.runs[0], &result);
    assert_true(result.found);
    aid_near("first", result.meter.each[0], 1.016372, 3e-6);
    aid_near("second", result.meter.each[1], 1.001263, 1e-6);
    aid_near("gain", result.meter.gain, 1.008817, 3e-6);
    aid_near("u", result.meter.u, 0.0075545 / 1.008817, 3e-6);
    aid_near("dof", result.meter.dof, 1, 0);
    /* A fifth of 10 %/sqrt 3, and 0.2 %. */
    aid_near("left", result.meter.u_left, hypot(0.02 / sqrt(3), 0.002), 1e-12);
    assert_true(checks_apply(&setup, &result, 1, &faults));
    aid_near("litres per pulse", setup.instruments[4].m3_per_pulse.value, 2.2e-6 * 1.008817, 1e-11);
    assert_null(row_of("flow.calibration"));
    assert_non_null(row_of("flow.check"));
    setup_free(&setup);
}

/* A flow read off: 1.6 L/min for 300 s is 8 L. Equal fills scatter by nothing, so the hand on the
 * watch counts: 0.6 s/300 s / sqrt 2. */
static void a_flow_against_a_bucket(void **state)
{
    (void)state;
    start(meter, "[run fills]\nkind = bucket and stopwatch\nstopwatch error = 0.6 s standard\n"
                 "fill = 8.2 L, 5 min, 1.6 L/min\nfill = 8.2 L, 300 s, 1.6 L/min\n");
    struct check_result result;
    bucket_find(&setup, &setup.runs[0], &result);
    aid_near("gain", result.meter.gain, 1.025, 1e-12);
    aid_near("u", result.meter.u, 0.002 / sqrt(2), 1e-12);
    assert_true(isinf(result.meter.dof) && result.meter.counts_stated);
    assert_true(checks_apply(&setup, &result, 1, &faults));
    aid_near("gain of the column", setup.instruments[4].gain_value, 1.025, 1e-12);
    setup_free(&setup);
}

static void a_wrong_unit_is_no_calibration(void **state)
{
    (void)state;
    start(meter, "[run fills]\nkind = bucket and stopwatch\n"
                 "fill = 8.2 L, 300 s, 1.6 L/h\nfill = 8.2 L, 300 s, 1.6 L/h\n");
    struct check_result result;
    bucket_find(&setup, &setup.runs[0], &result);
    assert_false(result.found);
    assert_non_null(strstr(result.why, "61.5 times"));
    assert_true(checks_apply(&setup, &result, 1, &faults));
    assert_non_null(row_of("flow.calibration"));
    setup_free(&setup);
}

static const char dark[] = "[run dark]\nkind = zero check\nfrom = 2026-06-19T22:00:00+01:00\n"
                           "to = 2026-06-19T22:20:00+01:00\n";

/* 20 parts of a minute: the outlet 0.7 K above the inlet, 0.02 K to either side in turn; the water
 * 4 K above the air, warming by 0.01 K a minute; the sun sensor at 2 W/m2. */
static void fill_parts(struct check_parts *parts)
{
    memset(parts, 0, sizeof *parts);
    parts->n = CHECK_PARTS;
    for (size_t k = 0; k < parts->n; k++) {
        parts->time_s[k] = 30 + 60.0 * (double)k;
        double *mean = parts->mean[k];
        double t_degC = 20 + 0.01 * (double)k, side_K = k % 2 == 0 ? 0.02 : -0.02;
        mean[CH_INLET] = t_degC - 0.35 - 0.5 * side_K;
        mean[CH_OUTLET] = t_degC + 0.35 + 0.5 * side_K;
        mean[CH_AMBIENT] = 16 + 0.01 * (double)k;
        mean[CH_FLOW] = 1.6e-3 / 60;
        mean[CH_IRRADIANCE] = k % 2 == 0 ? 1 : 3;
    }
}

/* The inlet is 3.65 K above the air. m = 998.1 kg/m3 * 1.6e-3/60 = 0.026616 kg/s at 19.7 degC, c_p
 * 4184 J/(kg K): 111.36 W/K. The collector gives off 1.1 (6 * 3.65 + 8000 * 0.01015/60) = 25.579 W,
 * so the outlet was 0.22969 K colder than the thermometers tell: offset 0.7 + 0.22969. Of that:
 * 1.1/111.36 * root of (6/sqrt 3 * 3.65)^2 + (6 * u(level))^2 + (4000 * 0.01/60)^2, with u(level)^2
 * = 0.3^2 + (0.5/sqrt 3)^2. The capacity is 8 +- 4 kJ/(m2 K) where the description knows none.
 * Scatter: s = 0.02 sqrt(20/19), over sqrt 20. The inlet's 0.01 K to either side in turn adds 10 *
 * 0.01/665 to its slope of 0.01 K a minute (665 = sum of the squares of -9.5 to 9.5). */
static void a_zero_check_as_by_hand(void **state)
{
    (void)state;
    start(meter, dark);
    struct check_parts parts;
    struct check_result result;
    fill_parts(&parts);
    zero_check_find(&setup, &setup.runs[0], &parts, &result);
    assert_true(result.found);
    const struct check_probe *outlet = &result.probes[1];
    aid_near("above air", result.loop.above_air_K, 3.65, 1e-9);
    aid_near("drift", 60 * result.loop.drift_K_s, 0.01 + 0.1 / 665, 1e-9);
    aid_near("rise", result.loop.rise_K, -0.22969, 3e-4);
    aid_near("offset", outlet->offset_K, 0.92969, 3e-4);
    aid_near("u", outlet->u_K, 0.02 / sqrt(19), 1e-9);
    aid_near("dof", outlet->dof, 19, 0);
    double level = sqrt(0.09 + 0.25 / 3);
    double u_rise = 1.1 / 111.36 *
                    sqrt(pow(6 * 3.65 / sqrt(3), 2) + pow(6 * level, 2) + pow(40.0 / 60, 2));
    aid_near("u of rise", result.loop.u_rise_K, u_rise, 3e-4);
    aid_near("left", outlet->u_left_K, hypot(hypot(0.1, 0.1 / sqrt(12)), u_rise), 3e-4);
    aid_near("zero", result.zero.value_W_m2, 2, 1e-9);
    aid_near("zero u", result.zero.u_W_m2, 1 / sqrt(19), 1e-9);
    aid_near("zero left", result.zero.u_left_W_m2, 3.5 / sqrt(3), 1e-9);
    assert_true(checks_apply(&setup, &result, 1, &faults));
    aid_near("sun, in kW/m2", setup.instruments[0].add_value, -0.002, 1e-12);
    assert_null(row_of("sun.zero"));
    assert_int_equal(row_of("sun.zero left")->kind, ERROR_SESSION);
    assert_non_null(row_of("sun.calibration"));
    setup_free(&setup);
}

static void a_zero_check_that_is_none(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum channel channel;
        double value;
        size_t parts;
        const char *why;
    } rows[] = {
        {"lit", CH_IRRADIANCE, 130, 20, "the sun sensor shows 130 W/m2 in it"},
        {"standing", CH_FLOW, 0, 20, "there is no flow in it"},
        {"warm", CH_AMBIENT, 1.3, 20, "the water is 18.8 K warmer than the air"},
        {"no reading", CH_FLOW, 2e-5, 4, "only 4 of the 20 parts"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct check_parts parts;
        struct check_result result;
        start(meter, dark);
        fill_parts(&parts);
        parts.n = rows[i].parts;
        for (size_t k = 0; k < parts.n; k++)
            parts.mean[k][rows[i].channel] = rows[i].value;
        zero_check_find(&setup, &setup.runs[0], &parts, &result);
        if (result.found || strstr(result.why, rows[i].why) == NULL)
            fail_msg("%s: found %d, '%s'", rows[i].name, result.found, result.why);
        assert_true(checks_apply(&setup, &result, 1, &faults));
        assert_non_null(row_of("outlet.calibration"));
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(samples_as_by_hand),
        cmocka_unit_test(offsets_to_one_of_them),
        cmocka_unit_test(offsets_to_the_mean),
        cmocka_unit_test(a_better_thermometer_from_outside),
        cmocka_unit_test(a_stated_match_gives_way),
        cmocka_unit_test(pulses_against_a_scale),
        cmocka_unit_test(a_flow_against_a_bucket),
        cmocka_unit_test(a_wrong_unit_is_no_calibration),
        cmocka_unit_test(a_zero_check_as_by_hand),
        cmocka_unit_test(a_zero_check_that_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
