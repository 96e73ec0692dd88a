/* fit/curve: published fits with errors in both variables, and what must be refused. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdbool.h>

#include "aid_near.h"
#include "aid_points.h"
#include "aid_table.h"
#include "fit/combine.h"
#include "fit/curve.h"
#include "fit/distributions.h"
#include "fit/scale.h"

enum { MAX_POINTS = 60 };

static size_t load_pearson(struct fit_point *points, bool swapped)
{
    struct aid_table table;
    aid_table_read(&table, "testdata/published/pearson-york.csv");
    size_t n = table.n_rows;
    for (size_t i = 0; i < n; i++) {
        double x = aid_table_number(&table, i, "x"), y = aid_table_number(&table, i, "y");
        double u_x = 1.0 / sqrt(aid_table_number(&table, i, "wx"));
        double u_y = 1.0 / sqrt(aid_table_number(&table, i, "wy"));
        points[i] = (struct fit_point){{x, 800.0, 0.0}, y, u_y, u_x, 0.0};
        if (swapped)
            points[i] = (struct fit_point){{y, 800.0, 0.0}, x, u_x, u_y, 0.0};
    }
    aid_table_free(&table);
    return n;
}

static void fit_line(const struct fit_point *points, size_t n, struct fit_curve *curve)
{
    enum fit_status status = fit_curve_fit(fit_form_find("line"), points, n, curve);
    if (status != FIT_OK)
        fail_msg("line refused: %s", fit_status_text(status));
}

/* The form "line" is eta0 - a1 x, so a1 is minus the published slope, and covariances of the two
 * change sign.
 *
 * Data: K. Pearson, Phil. Mag. 2 (1901); weights: D. York, Can. J. Phys. 44 (1966). Estimate and
 * chi2 as computed by York's iteration, direct minimisation and scipy.odr. */
static void test_pearson_york(void **state)
{
    (void)state;
    struct fit_point points[MAX_POINTS];
    struct fit_curve curve;
    size_t n = load_pearson(points, false);
    fit_line(points, n, &curve);
    aid_near_relative("intercept", curve.coef[0], 5.47991022403287, 1e-12);
    aid_near_relative("slope", -curve.coef[1], -0.48053340744620, 1e-12);
    aid_near_relative("chi2", curve.chi2, 11.866353194061, 1e-12);
    double coef[FIT_FORM_MAX_COEF];
    assert_int_equal(fit_curve_coef(fit_form_find("line"), points, n, coef), FIT_OK);
    aid_near_relative("intercept alone", coef[0], 5.47991022403287, 1e-12);
    assert_memory_equal(coef, curve.coef, 2 * sizeof *coef);
    aid_near_relative("birge", curve.birge * curve.birge, 1.483294149258, 1e-11);
    aid_near("p", fit_chi2_above(curve.chi2, (double)curve.dof), 0.157267228691, 5.1e-13);
    assert_int_equal(curve.dof, 8);
    assert_false(curve.equal_weights);
    fit_curve_free(&curve);
    fit_curve_free(&curve);

    n = load_pearson(points, true);
    fit_line(points, n, &curve);
    aid_near_relative("swapped intercept", curve.coef[0], 11.4038069759934, 1e-12);
    aid_near_relative("swapped slope", -curve.coef[1], -2.08102076672360, 1e-12);
    fit_curve_free(&curve);
}

/* Definition A: York et al., Am. J. Phys. 72 (2004), unscaled, and scaled by sqrt(chi2/dof).
 * Definition B: Kalantar, Meas. Sci. Technol. 3 (1992), by finite differences to nine digits. */
static void test_pearson_york_errors(void **state)
{
    (void)state;
    struct fit_point points[MAX_POINTS];
    struct fit_curve curve;
    double cov[4];
    size_t n = load_pearson(points, false);
    fit_line(points, n, &curve);
    assert_int_equal(fit_curve_cov_adjusted(&curve, points, cov), FIT_OK);
    aid_near("A u(a)", sqrt(cov[0]), 0.294970735493, 1e-11);
    aid_near("A u(b)", sqrt(cov[3]), 0.057985009001, 1e-11);
    aid_near("A cov", -cov[1], -0.016472544658, 1e-11);
    aid_near("A rho", -fit_correlation(cov, 2, 0, 1), -0.963088137508, 1e-11);
    aid_near("A scaled u(a)", curve.birge * sqrt(cov[0]), 0.359246522551, 1e-11);
    aid_near("A scaled u(b)", curve.birge * sqrt(cov[3]), 0.070620269529, 1e-11);
    aid_near("B u(a)", sqrt(curve.cov_reading[0]), 0.291933502, 1e-9);
    aid_near("B u(b)", sqrt(curve.cov_reading[3]), 0.057616742, 1e-9);
    aid_near("B cov", -curve.cov_reading[1], -0.0161861965, 1e-9);
    fit_curve_free(&curve);
}

/* Weights 1/v with v held from the last round settle elsewhere: not a minimum of chi2. */
static void test_frozen_weights_go_elsewhere(void **state)
{
    (void)state;
    const struct fit_form *form = fit_form_find("line");
    struct fit_point points[MAX_POINTS];
    struct fit_curve curve;
    struct fit_linear frozen = {0};
    double x[2 * MAX_POINTS], y[MAX_POINTS], w[MAX_POINTS];
    size_t n = load_pearson(points, false);
    for (int round = 0; round < 60; round++) {
        for (size_t i = 0; i < n; i++) {
            form->terms(&points[i].at, x + 2 * i);
            y[i] = points[i].eta;
            w[i] = 1.0 / fit_curve_variance(form, frozen.coef, &points[i]);
        }
        assert_int_equal(fit_linear(x, y, w, n, 2, &frozen), FIT_OK);
    }
    fit_line(points, n, &curve);
    assert_true(fabs(frozen.coef[1] - curve.coef[1]) > 1e-3);
    assert_true(frozen.rss > curve.chi2);
    fit_curve_free(&curve);
}

/* E. Mathioulakis, V. Belessiotis, Meas. Sci. Technol. 11 (2000) 771: both definitions agree. */
static void test_thermometer(void **state)
{
    (void)state;
    struct fit_point points[MAX_POINTS];
    struct fit_curve curve;
    struct aid_table table;
    double cov[4];
    aid_table_read(&table, "testdata/published/thermometer-errors-both.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        points[i] = (struct fit_point){.at = {.x = aid_table_number(&table, i, "t"), .g = 800.0},
                                       .eta = aid_table_number(&table, i, "tref"),
                                       .u_eta = aid_table_number(&table, i, "u_tref"),
                                       .u_x = aid_table_number(&table, i, "u_t")};
    }
    fit_line(points, table.n_rows, &curve);
    assert_int_equal(fit_curve_cov_adjusted(&curve, points, cov), FIT_OK);
    aid_near("a", curve.coef[0], 0.0990342421, 5.1e-11);
    aid_near("b", -curve.coef[1], 0.9783964125, 5.1e-11);
    aid_near("chi2", curve.chi2, 23.54921040, 5.1e-9);
    aid_near("A u(a)", sqrt(cov[0]), 0.012307, 5.1e-7);
    aid_near("A u(b)", sqrt(cov[3]), 0.00023664, 5.1e-9);
    aid_near("B u(a)", sqrt(curve.cov_reading[0]), 0.012307, 5.1e-7);
    aid_near("B u(b)", sqrt(curve.cov_reading[3]), 0.00023664, 5.1e-9);
    aid_near("A cov", -cov[1], -2.4152e-6, 5.1e-11);
    aid_near("B cov", -curve.cov_reading[1], -2.4152e-6, 1e-10);
    aid_table_free(&table);
    fit_curve_free(&curve);
}

/* JCGM 100:2008 (GUM), H.3: no uncertainty stated, scale from the scatter. Full digits from exact
 * rational arithmetic; a common offset of 0.005 degC is carried beside. */
static void test_gum_h3(void **state)
{
    (void)state;
    struct fit_point points[MAX_POINTS];
    struct fit_curve curve;
    struct aid_table table;
    double cov[4] = {0.0};
    const double t30[2] = {1.0, -10.0}, offset[2] = {0.005, 0.0};
    aid_table_read(&table, "testdata/published/gum-h3.csv");
    for (size_t i = 0; i < table.n_rows; i++)
        points[i] = (struct fit_point){.at.x = aid_table_number(&table, i, "t_degC") - 20.0,
                                       .eta = aid_table_number(&table, i, "b_degC")};
    fit_line(points, table.n_rows, &curve);
    assert_true(curve.equal_weights);
    assert_true(isnan(curve.birge));
    double scale = fit_scale_factor(&curve, FIT_SCALE_ESTIMATED);
    fit_cov_add(cov, 2, curve.cov_reading, scale);
    aid_near_relative("y1", curve.coef[0], -0.171203790131350, 1e-12);
    aid_near_relative("y2", -curve.coef[1], 0.00218269773988728, 1e-12);
    aid_near_relative("u(y1)", sqrt(cov[0]), 0.00287759783515995, 1e-12);
    aid_near_relative("u(y2)", sqrt(cov[3]), 0.000667938773227832, 1e-12);
    aid_near_relative("r", -fit_correlation(cov, 2, 0, 1), -0.930429603093446, 1e-12);
    aid_near_relative("s", sqrt(scale), 0.00349756396350528, 1e-12);
    aid_near_relative("rss", curve.chi2, 0.000110096583109, 1e-11);
    aid_near_relative("b(30)", fit_dot(t30, curve.coef, 2), -0.149376812732477, 1e-12);
    aid_near_relative("u(b(30))", sqrt(fit_variance(t30, cov, 2)), 0.00413859575285494, 1e-12);
    fit_cov_add_outer(cov, 2, offset);
    aid_near("u(y1), offset", sqrt(cov[0]), 0.00576893138, 5.1e-12);
    aid_near("dof", fit_scale_dof(&curve, FIT_SCALE_STATED), 9.0, 0.0);
    aid_table_free(&table);
    fit_curve_free(&curve);
}

/* Points exactly on a curve come back exactly, whatever the uncertainties, stated or not. */
static void test_exact_data(void **state)
{
    (void)state;
    const double truth[3] = {0.783, 3.29, 0.0131};
    const struct fit_form *form = fit_form_find("second order");
    for (int stated = 0; stated < 3; stated++) {
        struct fit_point points[MAX_POINTS];
        struct fit_curve curve;
        size_t n = aid_points_make(points);
        for (size_t i = 0; i < n; i++) {
            points[i].eta = fit_form_value(form, truth, &points[i].at);
            if (stated == 0)
                points[i].u_eta = points[i].u_x = points[i].cov_eta_x = 0.0;
            if (stated == 2)
                points[i].u_eta *= 1e-9, points[i].u_x *= 1e-9, points[i].cov_eta_x *= 1e-18;
        }
        assert_int_equal(fit_curve_fit(form, points, n, &curve), FIT_OK);
        assert_int_equal(curve.equal_weights, stated == 0);
        aid_near("eta0", curve.coef[0], truth[0], 1e-13);
        aid_near("a1", curve.coef[1], truth[1], 1e-11);
        aid_near("a2", curve.coef[2], truth[2], 1e-12);
        fit_curve_free(&curve);
    }
}

/* Weighted mean by hand: weights 1/u^2. x does not matter: u_x alone counts as nothing stated. */
static void test_mean(void **state)
{
    (void)state;
    struct fit_point points[3] = {{{0.031, 811.0, 0.0}, 0.643, 0.004, 0.001, 0.0},
                                  {{0.032, 845.0, 0.0}, 0.651, 0.007, 0.001, 0.0},
                                  {{0.033, 872.0, 0.0}, 0.637, 0.005, 0.001, 0.0}};
    struct fit_curve curve;
    double w[3] = {1.0 / 16.0, 1.0 / 49.0, 1.0 / 25.0}, sum = w[0] + w[1] + w[2];
    assert_int_equal(fit_curve_fit(fit_form_find("mean"), points, 3, &curve), FIT_OK);
    aid_near("mean", curve.coef[0], (w[0] * 0.643 + w[1] * 0.651 + w[2] * 0.637) / sum, 1e-14);
    aid_near("u", sqrt(curve.cov_reading[0]), 0.001 / sqrt(sum), 1e-15);
    fit_curve_free(&curve);
    for (size_t i = 0; i < 3; i++)
        points[i].u_eta = 0.0;
    assert_int_equal(fit_curve_fit(fit_form_find("mean"), points, 3, &curve), FIT_OK);
    assert_true(curve.equal_weights);
    aid_near("plain mean", curve.coef[0], 1.931 / 3.0, 1e-15);
    fit_curve_free(&curve);
}

/* R 4.2.2 lm(dist ~ speed, cars): what a spreadsheet would print. */
static void test_plain(void **state)
{
    (void)state;
    struct fit_point points[MAX_POINTS];
    struct fit_linear plain;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/cars.csv");
    for (size_t i = 0; i < table.n_rows; i++)
        points[i] =
            (struct fit_point){.at = {.x = aid_table_number(&table, i, "speed"), .g = 800.0},
                               .eta = aid_table_number(&table, i, "dist"),
                               .u_eta = 0.3 + (double)i};
    const struct fit_form *form = fit_form_find("line");
    assert_int_equal(fit_curve_plain(form, points, table.n_rows, &plain), FIT_OK);
    aid_near_relative("a", plain.coef[0], -17.5790948905109, 1e-13);
    aid_near_relative("b", -plain.coef[1], 3.9324087591241, 1e-13);
    aid_near_relative("u(a)", fit_linear_std_error(&plain, 0), 6.7584401693792, 1e-13);
    aid_near_relative("u(b)", fit_linear_std_error(&plain, 1), 0.4155127766571, 1e-12);
    aid_near("cov", -plain.s * plain.s * plain.cov_unit[1], -2.658823360506, 1e-11);
    aid_near_relative("s", plain.s, 15.3795867488, 1e-11);
    aid_table_free(&table);
}

struct refusal {
    const char *name, *form;
    size_t n;
    struct fit_point points[4];
    enum fit_status status;
    size_t undetermined;
};

static const struct refusal refusals[] = {
    {"too few", "second order", 2, {{{.01, 800, 0}, .7, .01, 0, 0}, {{.03, 800, 0}, .6, .01, 0, 0}},
     FIT_TOO_FEW, FIT_NO_COLUMN},
    {"one temperature", "line", 3,
     {{{.03, 800, 0}, .7, .01, 0, 0}, {{.03, 820, 0}, .71, .01, 0, 0},
      {{.03, 870, 0}, .69, .01, 0, 0}},
     FIT_RANK, 1},
    {"two temperatures", "second order", 4,
     {{{.03, 800, 0}, .7, .01, 0, 0}, {{.03, 800, 0}, .71, .01, 0, 0},
      {{.05, 800, 0}, .62, .01, 0, 0}, {{.05, 800, 0}, .61, .01, 0, 0}}, FIT_RANK, 2},
    {"NaN", "line", 2, {{{.01, 800, 0}, NAN, .01, 0, 0}, {{.03, 800, 0}, .6, .01, 0, 0}},
     FIT_NOT_FINITE, FIT_NO_COLUMN},
    {"infinite uncertainty", "line", 2,
     {{{.01, 800, 0}, .7, INFINITY, 0, 0}, {{.03, 800, 0}, .6, .01, 0, 0}}, FIT_NOT_FINITE,
     FIT_NO_COLUMN},
    {"negative uncertainty", "line", 2,
     {{{.01, 800, 0}, .7, -.01, 0, 0}, {{.03, 800, 0}, .6, .01, 0, 0}}, FIT_RANGE, FIT_NO_COLUMN},
    {"covariance too large", "line", 2,
     {{{.01, 800, 0}, .7, .01, .001, 1.1e-5}, {{.03, 800, 0}, .6, .01, .001, 0}}, FIT_RANGE,
     FIT_NO_COLUMN},
    {"one point without uncertainty", "line", 3,
     {{{.01, 800, 0}, .7, .01, 0, 0}, {{.03, 800, 0}, .6, 0, 0, 0}, {{.05, 800, 0}, .5, .01, 0, 0}},
     FIT_RANGE, FIT_NO_COLUMN},
    /* efficiency spreads far, x within its error: level is a saddle, the best line upright */
    {"no minimum", "line", 4,
     {{{.030, 800, 0}, .5, .001, .01, 0}, {{.034, 800, 0}, .5, .001, .01, 0},
      {{.030, 800, 0}, .9, .001, .01, 0}, {{.034, 800, 0}, .9, .001, .01, 0}},
     FIT_NOT_CONVERGED, FIT_NO_COLUMN},
};

static void test_refusals(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof refusals / sizeof refusals[0]; k++) {
        const struct refusal *row = &refusals[k];
        struct fit_curve curve;
        double coef[FIT_FORM_MAX_COEF];
        const struct fit_form *form = fit_form_find(row->form);
        enum fit_status alone = fit_curve_coef(form, row->points, row->n, coef);
        if (alone != row->status || !isnan(coef[0]))
            fail_msg("%s: coefficients alone: %s, %g", row->name, fit_status_text(alone), coef[0]);
        enum fit_status status = fit_curve_fit(form, row->points, row->n, &curve);
        if (status != row->status || curve.undetermined != row->undetermined)
            fail_msg("%s: '%s', column %zu", row->name, fit_status_text(status),
                     curve.undetermined);
        assert_true(isnan(curve.coef[0]) && isnan(curve.chi2));
        assert_null(curve.d_coef_d_eta);
        fit_curve_free(&curve);
    }
}

/* As many points as coefficients: the curve goes through them, nothing is known of the scatter. */
static void test_no_freedom(void **state)
{
    (void)state;
    const struct fit_point points[2] = {{{.0113, 800, 0}, .7, .01, .001, 0},
                                        {{.0347, 800, 0}, .6, .02, .001, 0}};
    struct fit_curve curve;
    fit_line(points, 2, &curve);
    aid_near_relative("a1", curve.coef[1], 0.1 / 0.0234, 1e-12);
    assert_true(isnan(curve.birge));
    assert_int_equal(curve.dof, 0);
    aid_near("scale", fit_scale_factor(&curve, FIT_SCALE_AT_LEAST), 1.0, 0.0);
    assert_true(isnan(fit_scale_factor(&curve, FIT_SCALE_ESTIMATED)));
    fit_curve_free(&curve);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_pearson_york),
        cmocka_unit_test(test_pearson_york_errors),
        cmocka_unit_test(test_frozen_weights_go_elsewhere),
        cmocka_unit_test(test_thermometer),
        cmocka_unit_test(test_gum_h3),
        cmocka_unit_test(test_exact_data),
        cmocka_unit_test(test_mean),
        cmocka_unit_test(test_plain),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_no_freedom),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
