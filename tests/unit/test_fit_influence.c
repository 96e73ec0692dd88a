/* fit/influence: numeric refits, the minimum itself, and the scatter over many simulated tests. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

#include "aid_near.h"
#include "aid_points.h"
#include "fit/curve.h"

/* Change of coefficient j when one reading moves by h both ways, over 2 h. */
static void difference(const struct fit_form *form, struct fit_point *points, size_t n,
                       double *reading, double h, double *change)
{
    struct fit_curve above, below;
    double kept = *reading;
    *reading = kept + h;
    assert_int_equal(fit_curve_fit(form, points, n, &above), FIT_OK);
    *reading = kept - h;
    assert_int_equal(fit_curve_fit(form, points, n, &below), FIT_OK);
    *reading = kept;
    for (size_t j = 0; j < form->n_coef; j++)
        change[j] = (above.coef[j] - below.coef[j]) / (2.0 * h);
    fit_curve_free(&above);
    fit_curve_free(&below);
}

/* Influence by implicit differentiation against refits, and cov_reading as their sum. Steps are a
 * fifteenth of an uncertainty or less; the difference's error is of third order in the step. */
static void check_influence(const char *name)
{
    const struct fit_form *form = fit_form_find(name);
    struct fit_point points[AID_POINTS];
    struct fit_curve curve;
    double cov[FIT_FORM_MAX_COEF * FIT_FORM_MAX_COEF] = {0.0};
    size_t n = aid_points_make(points), p = form->n_coef;
    assert_int_equal(fit_curve_fit(form, points, n, &curve), FIT_OK);
    for (size_t i = 0; i < n; i++) {
        double by_eta[FIT_FORM_MAX_COEF], by_x[FIT_FORM_MAX_COEF];
        difference(form, points, n, &points[i].eta, 1e-4, by_eta);
        difference(form, points, n, &points[i].at.x, 1e-5, by_x);
        for (size_t j = 0; j < p; j++) {
            double u = sqrt(curve.cov_reading[j * p + j]);
            aid_near(name, curve.d_coef_d_eta[j * n + i], by_eta[j], 2e-4 * u / points[i].u_eta);
            aid_near(name, curve.d_coef_d_x[j * n + i], by_x[j], 2e-4 * u / points[i].u_x);
            for (size_t k = 0; k < p; k++)
                cov[j * p + k] += by_eta[j] * by_eta[k] * points[i].u_eta * points[i].u_eta +
                                  by_x[j] * by_x[k] * points[i].u_x * points[i].u_x +
                                  (by_eta[j] * by_x[k] + by_x[j] * by_eta[k]) *
                                      points[i].cov_eta_x;
        }
    }
    for (size_t j = 0; j < p * p; j++)
        aid_near_relative(name, curve.cov_reading[j], cov[j], 1e-4);
    fit_curve_free(&curve);
}

static void test_influence(void **state)
{
    (void)state;
    check_influence("mean");
    check_influence("line");
    check_influence("second order");
}

/* At the minimum, chi2 rises whichever way a coefficient is moved. */
static void test_is_minimum(void **state)
{
    (void)state;
    const struct fit_form *form = fit_form_find("second order");
    struct fit_point points[AID_POINTS];
    struct fit_curve curve;
    size_t n = aid_points_make(points);
    assert_int_equal(fit_curve_fit(form, points, n, &curve), FIT_OK);
    for (int way = 0; way < 6; way++) {
        double coef[3], chi2 = 0.0, u = sqrt(curve.cov_reading[4 * (way / 2)]);
        memcpy(coef, curve.coef, sizeof coef);
        coef[way / 2] += (way % 2 ? 0.003 : -0.003) * u;
        for (size_t i = 0; i < n; i++) {
            double r = points[i].eta - fit_form_value(form, coef, &points[i].at);
            chi2 += r * r / fit_curve_variance(form, coef, &points[i]);
        }
        assert_true(chi2 > curve.chi2);
    }
    fit_curve_free(&curve);
}

/* One simulated test of the design of aid_points.h: errors drawn as stated, correlation too. */
static void draw(struct fit_point *points, size_t n, const double *truth, gsl_rng *rng)
{
    const struct fit_form *form = fit_form_find("second order");
    assert_int_equal(aid_points_make(points), n);
    for (size_t i = 0; i < n; i++) {
        struct fit_point *pt = &points[i];
        double rho = pt->cov_eta_x / (pt->u_eta * pt->u_x);
        double a = gsl_ran_gaussian(rng, 1.0), b = gsl_ran_gaussian(rng, 1.0);
        pt->eta = fit_form_value(form, truth, &pt->at);
        pt->eta += pt->u_eta * (rho * a + sqrt(1.0 - rho * rho) * b);
        pt->at.x += pt->u_x * a;
    }
}

/* Stated uncertainties are the scatter seen over many tests: squared deviations from the truth in
 * units of the own standard uncertainty average 1, chi2 averages dof. Of 3,000 tests such an
 * average is known to 2.6 % (chi2: 0.7 %); four times that is allowed. Every test converges. */
static void test_scatter_over_many_tests(void **state)
{
    (void)state;
    const double truth[3] = {0.771, 3.61, 0.0117};
    const struct fit_form *form = fit_form_find("second order");
    enum { TESTS = 3000 };
    struct fit_point points[AID_POINTS];
    size_t n = aid_points_make(points);
    double pull[3] = {0.0}, chi2 = 0.0;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(rng);
    gsl_rng_set(rng, 31337);
    for (int test = 0; test < TESTS; test++) {
        struct fit_curve curve;
        draw(points, n, truth, rng);
        assert_int_equal(fit_curve_fit(form, points, n, &curve), FIT_OK);
        for (size_t j = 0; j < 3; j++) {
            double off = curve.coef[j] - truth[j];
            pull[j] += off * off / curve.cov_reading[4 * j] / TESTS;
        }
        chi2 += curve.chi2 / TESTS;
        fit_curve_free(&curve);
    }
    gsl_rng_free(rng);
    for (size_t j = 0; j < 3; j++)
        aid_near(form->symbols[j], pull[j], 1.0, 0.104);
    aid_near_relative("chi2", chi2, 13.0, 0.029);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_influence),
        cmocka_unit_test(test_is_minimum),
        cmocka_unit_test(test_scatter_over_many_tests),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
