/* The efficiency run's numbers: which form is taken, what is carried when the curvature is left
 * out, how scatter widens, what is refused. Designs are chosen so that least squares has a closed
 * form. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "fit/distributions.h"
#include "run/efficiency.h"
#include "run/efficiency_doubts.h"

#include <math.h>
#include <string.h>

static struct reduced_test test;

/* Four points each at 0, h and 2h above the air, one irradiance, one uncertainty; within a level
 * the points lie `scatter` above and below by turns. Then a2 = -(eta(0) - 2 eta(h) + eta(2h)) / (2
 * G h^2),  u(a2) = sqrt(6/4) u / (2 G h^2), chi2 = 12 (scatter/u)^2 about the second order. */
static const double G = 900, h = 25.0 / 900, u_eta = 0.002, eta0 = 0.761, a1 = 4.317;

static double u_a2(void)
{
    return sqrt(1.5) * u_eta / (2 * G * h * h);
}

static void three_levels(double a2, double scatter, double u)
{
    reduced_init(&test);
    for (int k = 0; k < 12; k++) {
        double x = h * (k / 4);
        double eta = eta0 - a1 * x - a2 * G * x * x + (k % 2 == 0 ? scatter : -scatter);
        reduced_add(&test, G, x, eta, u);
    }
}

static bool fit(const char *form, enum fit_scale scale, struct efficiency *e)
{
    struct efficiency_request request = {.form = form, .scale = scale, .drop_below = 2};
    return efficiency_fit(e, test.points, test.n, &test.setup, &test.none, &request, &test.faults);
}

static void the_term_rule(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double ratio; /* true a2 in units of its uncertainty; data without scatter */
        enum term_verdict verdict;
    } rows[] = {
        {"far below zero", -6.3, TERM_NEGATIVE},
        {"just below zero", -0.01, TERM_NEGATIVE},
        {"weak", 0.8, TERM_WEAK},
        {"just weak", 1.99, TERM_WEAK},
        {"just indicated", 2.01, TERM_INDICATED},
        {"indicated", 2.99, TERM_INDICATED},
        {"kept", 3.01, TERM_KEPT},
        {"strong", 17, TERM_KEPT},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct efficiency e;
        double a2 = rows[i].ratio * u_a2();
        three_levels(a2, 0, u_eta);
        assert_true(fit("automatic", FIT_SCALE_AT_LEAST, &e));
        if (e.term.verdict != rows[i].verdict)
            fail_msg("%s: verdict %d", rows[i].name, (int)e.term.verdict);
        bool kept = rows[i].verdict == TERM_INDICATED || rows[i].verdict == TERM_KEPT;
        assert_int_equal(e.form->n_coef, kept ? 3 : 2);
        aid_near(rows[i].name, e.term.value, a2, 1e-12);
        aid_near_relative(rows[i].name, e.term.u, u_a2(), 1e-9);
        aid_near(rows[i].name, e.term.ratio, rows[i].ratio, 1e-8);
        /* One-sided 95 % of the normal distribution: 1.644853627 (JCGM 100:2008, table G.1: 1.645).
         */
        aid_near_relative(rows[i].name, e.term.upper, fmax(0, a2) + 1.644853627 * u_a2(), 1e-9);
        efficiency_free(&e);
        efficiency_free(&e);
    }
}

/* The best line through x^2 at 0, h, 2h is 2 h x - h^2/3: a second order left out moves eta0 by a2
 * G h^2/3 and a1 by 2 a2 G h. It may be anything from 0 to its upper limit, evenly: root mean
 * square limit/sqrt 3. */
static void curvature_left_out_is_carried(void **unused)
{
    (void)unused;
    struct efficiency e, fixed;
    double a2 = 0.8 * u_a2();
    three_levels(a2, 0, u_eta);
    assert_true(fit("automatic", FIT_SCALE_STATED, &e));
    double rms = e.term.upper / sqrt(3.0);
    aid_near_relative("eta0", e.curve.coef[0], eta0 + a2 * G * h * h / 3, 1e-10);
    aid_near_relative("a1", e.curve.coef[1], a1 + 2 * a2 * G * h, 1e-10);
    aid_near_relative("shift of eta0", fabs(e.d_curvature[0]), rms * G * h * h / 3, 1e-8);
    aid_near_relative("shift of a1", fabs(e.d_curvature[1]), rms * 2 * G * h, 1e-8);
    /* Along a line at 0, h, 2h: var(a1) = u^2/(8 h^2), var(eta0) = 5 u^2/(6 * 4). */
    aid_near_relative("reading, eta0", e.reading[0], 5 * u_eta * u_eta / 24, 1e-9);
    aid_near_relative("reading, a1", e.reading[3], u_eta * u_eta / (8 * h * h), 1e-9);
    double u, dof;
    efficiency_combined(&e, 1, &u, &dof);
    aid_near_relative("u(a1)", u, hypot(u_eta / (h * sqrt(8)), rms * 2 * G * h), 1e-8);
    assert_true(isinf(dof));
    assert_true(fit("line", FIT_SCALE_STATED, &fixed));
    efficiency_combined(&fixed, 1, &u, &dof);
    aid_near_relative("a1, form fixed", fixed.curve.coef[1], e.curve.coef[1], 1e-12);
    aid_near_relative("u(a1), form fixed", u, u_eta / (h * sqrt(8)), 1e-9);
    assert_int_equal(fixed.term.verdict, TERM_NOT_TRIED);
    efficiency_free(&fixed);
    efficiency_free(&e);
}

/* chi2 = 12 (scatter/u)^2 on 9 degrees of freedom. */
static void scatter_widens_and_never_narrows(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double scatter, u;
        enum fit_scale scale;
        double factor, dof;
    } rows[] = {
        {"small, at least", 0.001, 0.002, FIT_SCALE_AT_LEAST, 1, INFINITY},
        {"small, stated", 0.001, 0.002, FIT_SCALE_STATED, 1, INFINITY},
        {"small, estimated", 0.001, 0.002, FIT_SCALE_ESTIMATED, 12 * 0.25 / 9, 9},
        {"large, at least", 0.005, 0.002, FIT_SCALE_AT_LEAST, 12 * 6.25 / 9, 9},
        {"large, stated", 0.005, 0.002, FIT_SCALE_STATED, 1, INFINITY},
        {"none stated", 0.005, 0, FIT_SCALE_AT_LEAST, 12 * 25e-6 / 9, 9},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct efficiency e;
        three_levels(0.01, rows[i].scatter, rows[i].u);
        assert_true(fit("second order", rows[i].scale, &e));
        aid_near_relative(rows[i].name, e.scale_factor, rows[i].factor, 1e-9);
        assert_true(e.scale_dof == rows[i].dof);
        double v = rows[i].factor * (rows[i].u > 0 ? rows[i].u * rows[i].u : 1);
        double a2 = sqrt(1.5 * v) / (2 * G * h * h);
        aid_near_relative(rows[i].name, sqrt(e.reading[8]), a2, 1e-9);
        aid_near_relative(rows[i].name, e.new_window.reading_variance, v, 1e-9);
        aid_near(rows[i].name, e.new_window.session_variance, 0, 0);
        efficiency_free(&e);
    }
}

/* Scatter counts when the term is judged: with chi2/9 = 4 the ratio halves, and the upper limit
 * takes Student's t (one-sided 95 %, 9 degrees of freedom: 1.833113, R 4.2.2 qt). */
static void a_term_seen_through_scatter_is_weaker(void **unused)
{
    (void)unused;
    struct efficiency e;
    three_levels(3.5 * u_a2(), sqrt(3.0) * u_eta, u_eta);
    assert_true(fit("automatic", FIT_SCALE_AT_LEAST, &e));
    assert_int_equal(e.term.verdict, TERM_WEAK);
    aid_near_relative("ratio", e.term.ratio, 1.75, 1e-9);
    aid_near_relative("upper", e.term.upper, (3.5 + 2 * 1.8331129327) * u_a2(), 1e-8);
    efficiency_free(&e);
}

static void what_cannot_be_fitted_is_said(void **unused)
{
    (void)unused;
    struct efficiency e;
    reduced_init(&test);
    for (int k = 0; k < 5; k++)
        reduced_add(&test, G, 0.001 + 0.0002 * k, 0.75 + 0.001 * k, 0.01);
    assert_false(fit("line", FIT_SCALE_AT_LEAST, &e));
    assert_int_equal(faults_status(&test.faults), 4);
    assert_string_equal(test.faults.items[0].found,
                        "the data cannot hold the form 'line': 5 points at 1 temperature, 0.7 K "
                        "apart at most");
    assert_true(e.n == 0 && e.used == NULL);
    assert_string_equal(design_best_form(&e.design), "mean");
    faults_init(&test.faults);
    assert_true(fit("automatic", FIT_SCALE_AT_LEAST, &e));
    assert_string_equal(e.form->name, "mean");
    aid_near_relative("mean of five", e.curve.coef[0], 0.752, 1e-12);
    aid_near_relative("its uncertainty", sqrt(e.reading[0]), 0.01 / sqrt(5), 1e-9);
    efficiency_free(&e);

    test.n = 1; /* one point says what was stated, but shows no scatter */
    assert_true(fit("mean", FIT_SCALE_AT_LEAST, &e));
    aid_near("factor", e.scale_factor, 1, 0);
    efficiency_free(&e);
    assert_false(fit("mean", FIT_SCALE_ESTIMATED, &e));
    assert_int_equal(faults_status(&test.faults), 4);
    assert_string_equal(test.faults.items[0].found,
                        "the scatter cannot be estimated: 1 point for 1 coefficient");
    test.points[0].left_out = true;
    faults_init(&test.faults);
    assert_false(fit("automatic", FIT_SCALE_AT_LEAST, &e));
    assert_int_equal(faults_status(&test.faults), 4);
    assert_null(design_best_form(&e.design));
}

static void a_point_left_out_has_no_weight(void **unused)
{
    (void)unused;
    struct efficiency e;
    three_levels(0.01, 0, u_eta);
    test.points[5].fit.eta += 0.2;
    test.points[5].left_out = true;
    assert_true(fit("second order", FIT_SCALE_AT_LEAST, &e));
    assert_int_equal(e.n, 11);
    assert_int_equal(e.index[5], 6);
    aid_near_relative("eta0", e.curve.coef[0], eta0, 1e-10);
    aid_near_relative("a1", e.curve.coef[1], a1, 1e-10);
    aid_near_relative("a2", e.curve.coef[2], 0.01, 1e-8);
    efficiency_free(&e);
}

/* Two roll-bond plates of one laboratory, black and semi-selective: points on the published curves
 * come back as the published coefficients, and the curves cross at T* = 0.0567 m2 K/W at 1000 W/m2:
 * the positive root of 0.0586 - 0.1434 x - 15.7 x^2. Source: Del Col et al., Energy 58 (2013)
 * 258-269, table 3 (second-hand). */
static void published_curves_cross_where_they_should(void **unused)
{
    (void)unused;
    static const double published[2][3] = {{0.7995, 4.6911, 0.0288}, {0.7409, 4.5477, 0.0131}};
    double found[2][3];
    for (int k = 0; k < 2; k++) {
        const double *c = published[k];
        struct efficiency e;
        reduced_init(&test);
        for (int i = 0; i < 16; i++) {
            double g = 1000 + 13 * (i % 4 - 1.5), x = 0.021 * (i / 4) + 0.0007 * (i % 4);
            reduced_add(&test, g, x, c[0] - c[1] * x - c[2] * g * x * x, 0.004);
        }
        assert_true(fit("automatic", FIT_SCALE_AT_LEAST, &e));
        assert_int_equal(e.form->n_coef, 3);
        for (int j = 0; j < 3; j++) {
            aid_near_relative("published coefficient", e.curve.coef[j], c[j], 1e-9);
            found[k][j] = e.curve.coef[j];
        }
        efficiency_free(&e);
    }
    double below = 0.0, above = 0.2;
    while (above - below > 1e-12) {
        double x = 0.5 * (below + above), difference = 0;
        struct fit_condition at = {.x = x, .g = 1000};
        for (int k = 0; k < 2; k++)
            difference +=
                (k == 0 ? 1 : -1) * fit_form_value(fit_form_find("second order"), found[k], &at);
        *(difference > 0 ? &below : &above) = x;
    }
    aid_near("crossing", below, 0.0567, 0.00005);
    aid_near("by the quadratic formula", below,
             (-0.1434 + sqrt(0.1434 * 0.1434 + 4 * 15.7 * 0.0586)) / (2 * 15.7), 1e-9);
}

/* No collector bends more than EFFICIENCY_MOST_A2: a steeper bend is no result, and what a line may
 * hide is bounded by it, however unsure the points are. */
static void a_bend_has_its_limits(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double a2, scatter;
        enum term_verdict verdict;
        const char *form;
        double upper;
    } rows[] = {
        {"just possible", 0.0993, 0, TERM_KEPT, "second order", 0.1},
        {"beyond", 0.1007, 0, TERM_TOO_BENT, "line", 0.1},
        {"far beyond", 0.31, 0, TERM_TOO_BENT, "line", 0.1},
        {"unsure", 0.03, 0.12, TERM_WEAK, "line", 0.1},
        {"unsure and below zero", -0.03, 0.12, TERM_NEGATIVE, "line", 0.1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct efficiency e;
        three_levels(rows[i].a2, rows[i].scatter, u_eta);
        assert_true(fit("automatic", FIT_SCALE_AT_LEAST, &e));
        if (e.term.verdict != rows[i].verdict || strcmp(e.form->name, rows[i].form) != 0)
            fail_msg("%s: verdict %d, '%s'", rows[i].name, (int)e.term.verdict, e.form->name);
        aid_near_relative(rows[i].name, e.term.upper, rows[i].upper, 1e-12);
        efficiency_free(&e);
    }
}

/* Twelve points on eta = at0 - slope x from x on, half of them `apart` above it, half below. The hot
 * ones leave eta0 as open as the useless ones: only the tested range sets the two apart. */
static void a_curve_may_say_nothing(void **unused)
{
    (void)unused;
    static const struct {
        const char *name, *form;
        double at0, slope, from, step, apart;
        bool nothing;
    } rows[] = {
        {"a collector", "line", 0.763, 4.31, 0, 0.006, 0.003, false},
        {"poor, but some", "line", 0.11, 2.13, 0, 0.006, 0.003, false},
        {"too good, but not that much", "line", 1.37, 4.31, 0, 0.006, 0.003, false},
        {"hot water alone", "line", 0.763, 4.31, 0.081, 0.004, 0.17, false},
        {"nobody knows", "line", 0.5, 3.7, 0, 0.006, 2.3, true},
        {"less than none", "line", -1.31, -37, 0, 0.006, 0.003, true},
        {"a half more than all", "line", 2.88, 14, 0, 0.006, 0.003, true},
        {"a mean, of whatever", "mean", 2.88, 0, 0.02, 0.0001, 0.003, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct efficiency e;
        double low, high;
        reduced_init(&test);
        for (int k = 0; k < 12; k++) {
            double x = rows[i].from + rows[i].step * (k / 2);
            reduced_add(&test, G, x,
                        rows[i].at0 - rows[i].slope * x + (k % 2 ? 1 : -1) * rows[i].apart, u_eta);
        }
        if (!fit(rows[i].form, FIT_SCALE_AT_LEAST, &e))
            fail_msg("%s: no fit", rows[i].name);
        if (efficiency_says_nothing(&e, &low, &high) != rows[i].nothing)
            fail_msg("%s: eta0 from %g to %g", rows[i].name, low, high);
        size_t before = test.faults.n;
        assert_int_equal(efficiency_refuse_nothing(&e, true, &test.faults), !rows[i].nothing);
        assert_int_equal(test.faults.n - before, rows[i].nothing);
        efficiency_free(&e);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_term_rule),
        cmocka_unit_test(a_curve_may_say_nothing),
        cmocka_unit_test(a_bend_has_its_limits),
        cmocka_unit_test(curvature_left_out_is_carried),
        cmocka_unit_test(scatter_widens_and_never_narrows),
        cmocka_unit_test(a_term_seen_through_scatter_is_weaker),
        cmocka_unit_test(what_cannot_be_fitted_is_said),
        cmocka_unit_test(a_point_left_out_has_no_weight),
        cmocka_unit_test(published_curves_cross_where_they_should),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
