/* Scatter with errors shared within groups, against generalised least squares with the whole
 * matrix.
 *
 * Expected: R 4.2, base functions only (an independent program): C <- k^2 (c1 %o% c1 + c2 %o% c2) *
 * outer(g, g, "=="); D <- diag(v); W <- solve(f D + C); P <- W - W X solve(X' W X) X' W; chi2 is r'
 * P r at f = 1. f maximises -0.5 (log det(f D + C) + log det(X' W X) + r' P r) by optimize(),
 * polished by uniroot() of r' P D P r - sum(diag(P D)); its freedom is f^2 sum(diag(P D P D)). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "fit/scatter.h"

#include <math.h>
#include <string.h>

enum { N = 7 };

static const double x[N] = {0.003, 0.011, 0.019, 0.024, 0.031, 0.038, 0.047};
static const double residual[N] = {0.0041, -0.0027, 0.0052, -0.0061, 0.0013, -0.0034, 0.0029};
static const double variance[N] = {4.1e-6, 3.7e-6, 5.2e-6, 4.4e-6, 3.9e-6, 4.8e-6, 6.1e-6};
static const int64_t groups[N] = {20605, 20605, 20605, 20606, 20606, 20609, 20609};
static const double shared[2 * N] = {3.1e-3,  2.9e-3, 3.3e-3, 2.7e-3, 3.0e-3,  3.4e-3, 2.8e-3,
                                     -1.2e-3, 0.4e-3, 0.9e-3, 1.7e-3, -0.6e-3, 0.3e-3, 1.1e-3};

static enum fit_status scatter_of(const char *form, const double *r, const double *v,
                                  const int64_t *group, double k, size_t m, struct fit_scatter *out)
{
    struct fit_condition at[N];
    double times[2 * N];
    for (size_t i = 0; i < N; i++)
        at[i] = (struct fit_condition){.x = x[i], .g = 913.0};
    for (size_t i = 0; i < 2 * N; i++)
        times[i] = k * shared[i];
    return fit_scatter(fit_form_find(form), at, r, v, group, times, m, N, out);
}

static void near(const char *name, const char *what, double got, double expected, double within)
{
    if (!(fabs(got / expected - 1) < within))
        fail_msg("%s, %s: %.13g, expected %.13g", name, what, got, expected);
}

static void all_is_that_of_the_whole_matrix(void **state)
{
    (void)state;
    static const double days[N] = {6e-3,  6e-3, 6e-3, -5e-3,
                                   -5e-3, 0,    0}; /* on top of the residuals */
    static const struct {
        const char *name, *form;
        double k, days, chi2, factor, freedom, most, most_freedom;
    } rows[] = {
        {"mean", "mean", 1, 0, 16.3507706389, 3.780495896, 3.853975106, 3.991214369, 6},
        {"line", "line", 1, 0, 15.218151224, 4.25532625, 3.523822552, 4.672736949, 5},
        {"mean, a third", "mean", 0.3, 0, 21.76434821, 3.912500194, 5.571864235, 3.991214369, 6},
        {"line, a third", "line", 0.3, 0, 21.6971399042, 4.615557211, 4.774854096, 4.672736949, 5},
        {"line, days off", "line", 2, 1, 12.6873266023, 4.842249527, 2.44655979, 12.89508556, 5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double r[N];
        struct fit_scatter out;
        for (size_t k = 0; k < N; k++)
            r[k] = residual[k] + rows[i].days * days[k];
        assert_int_equal(scatter_of(rows[i].form, r, variance, groups, rows[i].k, 2, &out), FIT_OK);
        near(rows[i].name, "chi2", out.chi2, rows[i].chi2, 1e-9);
        near(rows[i].name, "factor", out.factor, rows[i].factor, 1e-6);
        near(rows[i].name, "freedom", out.freedom, rows[i].freedom, 1e-6);
        near(rows[i].name, "most", out.most, rows[i].most, 1e-9);
        near(rows[i].name, "its freedom", out.most_freedom, rows[i].most_freedom, 1e-15);
    }
}

/* Without a shared error, groups do not matter, chi2 about the mean is the weighted sum of squares,
 * and both factors are chi2 over n - 1. */
static void without_shared_errors_groups_do_not_matter(void **state)
{
    (void)state;
    static const int64_t one[N] = {0};
    double sum = 0, weights = 0, expected = 0;
    struct fit_scatter apart, together;
    for (size_t i = 0; i < N; i++) {
        sum += residual[i] / variance[i];
        weights += 1 / variance[i];
    }
    for (size_t i = 0; i < N; i++)
        expected += pow(residual[i] - sum / weights, 2) / variance[i];
    assert_int_equal(scatter_of("mean", residual, variance, groups, 1, 0, &apart), FIT_OK);
    assert_int_equal(scatter_of("mean", residual, variance, one, 1, 0, &together), FIT_OK);
    near("apart", "chi2", apart.chi2, expected, 1e-12);
    near("together", "chi2", together.chi2, expected, 1e-12);
    near("apart", "factor", apart.factor, expected / (N - 1), 1e-11);
    near("apart", "freedom", apart.freedom, N - 1, 1e-11);
    near("apart", "most", apart.most, expected / (N - 1), 1e-12);
}

/* Points that differ by what their days have in common alone: nothing is left for the readings. */
static void what_the_days_account_for_is_not_the_readings(void **state)
{
    (void)state;
    double r[N];
    struct fit_scatter out;
    for (size_t i = 0; i < N; i++)
        r[i] = (groups[i] == 20605 ? 1.0 : groups[i] == 20606 ? -0.7 : 0.3) * shared[i];
    assert_int_equal(scatter_of("mean", r, variance, groups, 1, 1, &out), FIT_OK);
    if (!(out.factor < 1e-6 && out.most > 1))
        fail_msg("factor %g, most %g", out.factor, out.most);
}

/* A line through two points: nothing scatters, which is no factor of 0. */
static void as_many_points_as_coefficients_tell_nothing(void **state)
{
    (void)state;
    struct fit_condition at[2] = {{.x = x[0], .g = 913.0}, {.x = x[4], .g = 913.0}};
    const double two[4] = {3.1e-3, 2.9e-3, -1.2e-3, 0.4e-3};
    struct fit_scatter out;
    assert_int_equal(fit_scatter(fit_form_find("line"), at, residual, variance, groups, two, 2, 2,
                                 &out),
                     FIT_OK);
    assert_true(fabs(out.chi2) < 1e-20 && isnan(out.factor) && isnan(out.most));
    assert_true(out.freedom == 0 && out.most_freedom == 0);
    assert_int_equal(fit_scatter(fit_form_find("line"), at, residual, variance, groups, two, 2, 1,
                                 &out),
                     FIT_TOO_FEW);
}

static void what_is_no_variance_is_refused(void **state)
{
    (void)state;
    double v[N];
    struct fit_scatter out = {.chi2 = 2.385};
    memcpy(v, variance, sizeof v);
    v[4] = 0;
    assert_int_equal(scatter_of("line", residual, v, groups, 1, 2, &out), FIT_RANGE);
    assert_true(out.chi2 > 2.384 && out.chi2 < 2.386);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_is_that_of_the_whole_matrix),
        cmocka_unit_test(without_shared_errors_groups_do_not_matter),
        cmocka_unit_test(what_the_days_account_for_is_not_the_readings),
        cmocka_unit_test(as_many_points_as_coefficients_tell_nothing),
        cmocka_unit_test(what_is_no_variance_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
