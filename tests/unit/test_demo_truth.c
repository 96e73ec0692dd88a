/* The truth behind the demo, and tests drawn at the level of points. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "demo/truth.h"
#include "aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;

static const char *name_of(enum demo_collector c)
{
    return demo_collector_row(c)->name;
}

/* All nominal conditions of a test and their truth. */
static size_t nominal(enum demo_collector c, const struct fluid *fluid,
                      struct plant_conditions at[DEMO_POINTS_MAX],
                      struct demo_truth truth[DEMO_POINTS_MAX])
{
    size_t n = demo_point_count(c);
    for (size_t k = 0; k < n; k++)
        demo_point_conditions(c, k, &at[k]);
    assert_true(demo_truth(c, fluid, at, n, truth, &faults));
    return n;
}

static void the_nominal_test_spans_what_a_test_should(void **unused)
{
    (void)unused;
    static const struct {
        enum demo_collector collector;
        size_t n;
        double least_T, most_T; /* where the largest T* lies */
    } rows[] = {{DEMO_PLATE_A, 16, 0.060, 0.070},
                {DEMO_PLATE_B, 16, 0.060, 0.070},
                {DEMO_RIG, 12, 0.035, 0.045},
                {DEMO_BUCKET, 12, 0.035, 0.045}};
    struct fluid water;
    fluid_water(&water);
    for (size_t r = 0; r < DEMO_COLLECTORS; r++) {
        struct plant_conditions at[DEMO_POINTS_MAX];
        struct demo_truth truth[DEMO_POINTS_MAX];
        size_t n = nominal(rows[r].collector, &water, at, truth);
        double most = 0.0;
        assert_int_equal(n, rows[r].n);
        for (size_t k = 0; k < n; k++) {
            most = fmax(most, truth[k].reduced_m2K_W);
            assert_true(at[k].g_W_m2 >= 700.0);
            assert_true(truth[k].t_out_degC - at[k].t_in_degC > 3.0);
            /* The coolest level: mean water within 3 K of the air. */
            if (k < n / 4)
                assert_true(fabs(truth[k].t_mean_degC - at[k].t_ambient_degC) < 3.0);
        }
        if (!(most > rows[r].least_T && most < rows[r].most_T))
            fail_msg("%s: largest T* %.4f", name_of(rows[r].collector), most);
    }
}

/* Efficiency by the definition, from outlet and inlet alone. */
static double efficiency(enum demo_collector c, const struct fluid *fluid, const double *mean)
{
    return mean[CH_FLOW] * fluid_density(fluid, mean[CH_INLET]) *
           fluid_enthalpy_rise(fluid, mean[CH_INLET], mean[CH_OUTLET]) /
           (demo_collector_row(c)->gross_m2 * mean[CH_IRRADIANCE]);
}

static void without_errors_the_points_are_the_truth(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    for (enum demo_collector c = DEMO_PLATE_A; c < DEMO_COLLECTORS; c++) {
        struct plant_conditions at[DEMO_POINTS_MAX];
        struct demo_truth truth[DEMO_POINTS_MAX];
        struct means means[DEMO_POINTS_MAX];
        size_t n = nominal(c, &water, at, truth);
        assert_true(demo_points(c, &water, 0, means, &faults));
        for (size_t k = 0; k < n; k++) {
            const double *mean = means[k].mean;
            aid_near(means[k].name, efficiency(c, &water, mean), truth[k].efficiency, 1e-12);
            aid_near(means[k].name, 0.5 * (mean[CH_INLET] + mean[CH_OUTLET]), truth[k].t_mean_degC,
                     1e-12);
            aid_near(means[k].name, mean[CH_AMBIENT], at[k].t_ambient_degC, 0.0);
            aid_near(means[k].name, truth[k].heat_W,
                     truth[k].efficiency * at[k].g_W_m2 * demo_collector_row(c)->gross_m2, 1e-9);
            assert_true(means[k].has[CH_WIND] == (c == DEMO_PLATE_A || c == DEMO_PLATE_B));
            assert_false(means[k].has[CH_HEAT]);
            assert_int_equal(means[k].session, demo_point_day(c, k));
            assert_true(means[k].u[CH_FLOW] > 0.0);
        }
    }
}

/* The same of what the sun sensor's kind knows beside what is written. */
static double bounds(const struct sensor_row *sun, const double *mean)
{
    const struct sensor_bounds *b = sun->bounds;
    if (b == NULL)
        return 0.0;
    double beam = mean[CH_IRRADIANCE] - mean[CH_DIFFUSE];
    double side = sin(mean[CH_INCIDENCE]) * fmin(1.0, beam / 1000.0 / cos(mean[CH_INCIDENCE]));
    double parts[] = {b->ageing * SENSOR_YEARS,
                      b->linearity,
                      b->spectrum,
                      b->temperature,
                      b->tilt,
                      b->signal / mean[CH_IRRADIANCE],
                      b->direction * side / mean[CH_IRRADIANCE]};
    double sum = 0.0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        sum += parts[i] * parts[i] / 3.0;
    return sqrt(sum);
}

/* u(efficiency)/efficiency of one point by hand from the stated figures. */
static double budget(enum demo_collector c, const struct means *means, double rise_K)
{
    const double *mean = means->mean;
    const struct sensor_row *sun = sensor_row(sensor_of(c, CH_IRRADIANCE));
    const struct sensor_row *flow = sensor_row(sensor_of(c, CH_FLOW));
    const struct sensor_row *in = sensor_row(sensor_of(c, CH_INLET));
    const struct sensor_row *out = sensor_row(sensor_of(c, CH_OUTLET));
    double pair_K = out->matched_to != NULL ? out->pair.u : hypot(in->offset.u, out->offset.u);
    double read_K = hypot(hypot(means->u[CH_INLET], means->u[CH_OUTLET]),
                          sqrt(2.0 / 12.0) * sensor_step(sensor_of(c, CH_INLET)));
    double parts[] = {sun->gain.u,
                      bounds(sun, mean),
                      sun->drift.u,
                      flow->drift.u,
                      sun->zero.u / mean[CH_IRRADIANCE],
                      means->u[CH_IRRADIANCE] / mean[CH_IRRADIANCE],
                      flow->gain.u,
                      means->u[CH_FLOW] / mean[CH_FLOW],
                      sensor_step(sensor_of(c, CH_FLOW)) / sqrt(12.0) / mean[CH_FLOW],
                      pair_K / rise_K,
                      read_K / rise_K,
                      DEMO_AREA_U};
    double sum = 0.0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        sum += parts[i] * parts[i];
    return sqrt(sum);
}

enum { DRAWS = 2000 };

/* The scatter of n draws is known to 1/sqrt(2n), 1.6 %; five times that, and 1 % for what the
 * budget leaves out by being linear. */
static void drawn_points_scatter_as_their_budget_says(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    for (enum demo_collector c = DEMO_PLATE_A; c < DEMO_COLLECTORS; c++) {
        struct plant_conditions at[DEMO_POINTS_MAX];
        struct demo_truth truth[DEMO_POINTS_MAX];
        struct means means[DEMO_POINTS_MAX], exact[DEMO_POINTS_MAX];
        double sum[DEMO_POINTS_MAX] = {0}, squares[DEMO_POINTS_MAX] = {0};
        size_t n = nominal(c, &water, at, truth);
        assert_true(demo_points(c, &water, 0, exact, &faults));
        for (uint64_t d = 1; d <= DRAWS; d++) {
            assert_true(demo_points(c, &water, d, means, &faults));
            for (size_t k = 0; k < n; k++) {
                double off = efficiency(c, &water, means[k].mean) / truth[k].efficiency - 1.0;
                sum[k] += off;
                squares[k] += off * off;
            }
        }
        for (size_t k = 0; k < n; k++) {
            double want = budget(c, &exact[k], truth[k].t_out_degC - at[k].t_in_degC);
            char name[120];
            snprintf(name, sizeof name, "%.60s, %.40s", name_of(c), exact[k].name);
            aid_near(name, sum[k] / DRAWS, 0.0, 5.0 * want / sqrt(DRAWS) + want * want);
            aid_near(name, sqrt(squares[k] / DRAWS), want, want * (5.0 / sqrt(2.0 * DRAWS) + 0.01));
        }
    }
}

static void plates_share_their_sun_and_not_their_flow_meters(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    struct means a[DEMO_POINTS_MAX], b[DEMO_POINTS_MAX], exact[DEMO_POINTS_MAX];
    assert_true(demo_points(DEMO_PLATE_A, &water, 0, exact, &faults));
    double sun = 0.0, flow = 0.0, suns[2] = {0}, flows[2] = {0};
    for (uint64_t d = 1; d <= 400; d++) {
        assert_true(demo_points(DEMO_PLATE_A, &water, d, a, &faults));
        assert_true(demo_points(DEMO_PLATE_B, &water, d, b, &faults));
        double s[2] = {a[0].mean[CH_IRRADIANCE] - exact[0].mean[CH_IRRADIANCE],
                       b[0].mean[CH_IRRADIANCE] - exact[0].mean[CH_IRRADIANCE]};
        double f[2] = {a[0].mean[CH_FLOW] - exact[0].mean[CH_FLOW],
                       b[0].mean[CH_FLOW] - exact[0].mean[CH_FLOW]};
        sun += s[0] * s[1];
        flow += f[0] * f[1];
        for (int i = 0; i < 2; i++) {
            suns[i] += s[i] * s[i];
            flows[i] += f[i] * f[i];
        }
    }
    assert_true(sun / sqrt(suns[0] * suns[1]) > 0.99);
    assert_true(fabs(flow / sqrt(flows[0] * flows[1])) < 5.0 / sqrt(400.0));
}

static void a_level_beyond_the_fluid_is_refused(void **unused)
{
    (void)unused;
    const double t[] = {15.0, 60.0}, density[] = {998.0, 983.0}, cp[] = {4180.0, 4180.0};
    struct fluid narrow;
    struct means means[DEMO_POINTS_MAX];
    assert_true(fluid_table(&narrow, "narrow", t, density, cp, 2, "none", &faults));
    faults_init(&faults);
    assert_false(demo_points(DEMO_PLATE_A, &narrow, 3, means, &faults));
    assert_int_equal(faults.n, 1);
    assert_string_equal(faults.items[0].expected, "15 to 60 degC");
    faults_init(&faults);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nominal_test_spans_what_a_test_should),
        cmocka_unit_test(without_errors_the_points_are_the_truth),
        cmocka_unit_test(drawn_points_scatter_as_their_budget_says),
        cmocka_unit_test(plates_share_their_sun_and_not_their_flow_meters),
        cmocka_unit_test(a_level_beyond_the_fluid_is_refused),
    };
    faults_init(&faults);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
