/* Scatter with errors shared within groups, against generalised least squares with the whole matrix.
 *
 * Expected: R 4.2, base functions only (an independent program): V <- diag(v) + (c1 %o% c1 + c2 %o% c2) *
 * outer(g, g, "=="); W <- solve(V); b <- solve(t(X) %*% W %*% X, t(X) %*% W %*% r); e <- r - X %*% b;
 * t(e) %*% W %*% e. */
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

static enum fit_status scatter_of(const char *form, const double *v, const int64_t *group, size_t m,
                                  double *chi2)
{
    struct fit_condition at[N];
    for (size_t i = 0; i < N; i++)
        at[i] = (struct fit_condition){.x = x[i], .g = 913.0};
    return fit_scatter(fit_form_find(form), at, residual, v, group, shared, m, N, chi2);
}

static void chi2_is_that_of_the_whole_matrix(void **state)
{
    (void)state;
    static const struct {
        const char *form;
        double chi2;
    } rows[] = {{"mean", 16.3507706389}, {"line", 15.218151224}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double chi2 = NAN;
        assert_int_equal(scatter_of(rows[i].form, variance, groups, 2, &chi2), FIT_OK);
        if (!(fabs(chi2 / rows[i].chi2 - 1) < 1e-10))
            fail_msg("%s: %.13g, expected %.13g", rows[i].form, chi2, rows[i].chi2);
    }
}

/* Without a shared error, groups do not matter and chi2 about the mean is the weighted sum of squares. */
static void without_shared_errors_groups_do_not_matter(void **state)
{
    (void)state;
    static const int64_t one[N] = {0};
    double sum = 0, weights = 0, expected = 0, apart = NAN, together = NAN;
    for (size_t i = 0; i < N; i++) {
        sum += residual[i] / variance[i];
        weights += 1 / variance[i];
    }
    for (size_t i = 0; i < N; i++)
        expected += pow(residual[i] - sum / weights, 2) / variance[i];
    assert_int_equal(scatter_of("mean", variance, groups, 0, &apart), FIT_OK);
    assert_int_equal(scatter_of("mean", variance, one, 0, &together), FIT_OK);
    assert_true(fabs(apart / expected - 1) < 1e-12);
    assert_true(fabs(together / expected - 1) < 1e-12);
}

static void what_is_no_variance_is_refused(void **state)
{
    (void)state;
    double v[N], chi2 = 2.385;
    memcpy(v, variance, sizeof v);
    v[4] = 0;
    assert_int_equal(scatter_of("line", v, groups, 2, &chi2), FIT_RANGE);
    assert_true(chi2 > 2.384 && chi2 < 2.386);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chi2_is_that_of_the_whole_matrix),
        cmocka_unit_test(without_shared_errors_groups_do_not_matter),
        cmocka_unit_test(what_is_no_variance_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
