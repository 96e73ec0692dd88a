/* fit/distributions against R 4.2.2. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>

#include "aid_near.h"
#include "aid_table.h"
#include "fit/distributions.h"

/* The files print 12 significant digits; half a unit of the last is at most 5e-12 relative. The
 * tolerances are those to which two independent libraries agreed when the files were made, widened
 * to that half unit where a row's leading digits make it the larger. */
static double tolerance(double printed, double relative)
{
    double last = pow(10.0, floor(log10(printed)) - 11.0);
    return fmax(relative * printed, 0.5 * last);
}

static void test_t_quantiles(void **state)
{
    (void)state;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/t-quantiles.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        double dof = aid_table_number(&table, i, "df"), p = aid_table_number(&table, i, "p");
        double want = aid_table_number(&table, i, "t");
        aid_near(aid_table_text(&table, i, "df"), fit_t_quantile(p, dof), want,
                 tolerance(want, 3e-12));
        aid_near("two-sided", fit_t_beyond(-want, dof), 2.0 * (1.0 - p), 2e-11);
    }
    assert_int_equal(table.n_rows, 115);
    aid_table_free(&table);
}

static void test_f_quantiles(void **state)
{
    (void)state;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/f-quantiles.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        double dof1 = aid_table_number(&table, i, "df1"), p = aid_table_number(&table, i, "p");
        double dof2 = aid_table_number(&table, i, "df2"), want = aid_table_number(&table, i, "F");
        char name[64];
        snprintf(name, sizeof name, "F(%g, %g) at %g", dof1, dof2, p);
        aid_near(name, fit_f_quantile(p, dof1, dof2), want, tolerance(want, 4e-12));
        aid_near(name, fit_f_above(want, dof1, dof2), 1.0 - p, 2e-11);
    }
    assert_int_equal(table.n_rows, 162);
    aid_table_free(&table);
}

static void test_chi2_quantiles(void **state)
{
    (void)state;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/chi2-quantiles.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        double dof = aid_table_number(&table, i, "df"), p = aid_table_number(&table, i, "p");
        double want = aid_table_number(&table, i, "chi2");
        char name[64];
        snprintf(name, sizeof name, "chi2(%g) at %g", dof, p);
        aid_near(name, fit_chi2_quantile(p, dof), want, tolerance(want, 4e-12));
        aid_near(name, fit_chi2_above(want, dof), 1.0 - p, 2e-11);
    }
    assert_int_equal(table.n_rows, 77);
    aid_table_free(&table);
}

/* Computed once with R 4.2.2 (pt, pf, pchisq, qnorm, qf, qt), printed to 15 digits. */
static void test_probabilities(void **state)
{
    (void)state;
    aid_near_relative("t 7.3", fit_t_beyond(-2.37, 7.3), 0.04816497512556467, 1e-12);
    aid_near_relative("t 2.2, far", fit_t_beyond(31.0, 2.2), 0.00059928108521520, 1e-12);
    aid_near_relative("F 3, 11", fit_f_above(3.17, 3.0, 11.0), 0.06764472773127728, 1e-12);
    aid_near_relative("F 5, 2.5", fit_f_above(0.21, 5.0, 2.5), 0.93420381114639561, 1e-12);
    aid_near_relative("F 4, inf", fit_f_above(2.93, 4.0, INFINITY), 0.01955953166318228, 1e-12);
    aid_near_relative("chi2 8", fit_chi2_above(11.866353194061, 8.0), 0.15726722869128, 1e-12);
    aid_near_relative("chi2 180", fit_chi2_above(231.7, 180.0), 0.00562468865665637, 1e-12);
    aid_near_relative("normal", fit_normal_quantile(0.0137), -2.20577153927257719, 1e-12);
    aid_near_relative("qt 4.7", fit_t_quantile(0.975, 4.7), 2.62072607535316937, 1e-12);
    aid_near_relative("qt 1e12", fit_t_quantile(0.975, 1e12), 1.95996398454242571, 3e-12);
    aid_near_relative("qt inf", fit_t_quantile(0.975, INFINITY), 1.95996398454005361, 1e-14);
    aid_near_relative("qf inf", fit_f_quantile(0.95, 4.0, INFINITY), 2.37193225919528849, 1e-12);
    assert_true(fit_f_above(INFINITY, 2.0, 7.0) == 0.0);
}

static void test_out_of_range(void **state)
{
    (void)state;
    assert_true(isnan(fit_t_quantile(0.0, 7.0)) && isnan(fit_t_quantile(1.0, 7.0)));
    assert_true(isnan(fit_t_quantile(0.9, 0.0)) && isnan(fit_t_quantile(0.9, NAN)));
    assert_true(isnan(fit_t_quantile(NAN, 3.0)) && isnan(fit_normal_quantile(1.3)));
    assert_true(isnan(fit_f_quantile(0.9, 0.0, 3.0)) && isnan(fit_f_quantile(0.9, 3.0, -1.0)));
    assert_true(isnan(fit_f_quantile(0.9, INFINITY, 3.0)) && isnan(fit_f_above(-1.0, 2.0, 3.0)));
    assert_true(isnan(fit_f_above(NAN, 2.0, 3.0)) && isnan(fit_t_beyond(NAN, 3.0)));
    assert_true(isnan(fit_chi2_quantile(0.5, 0.0)) && isnan(fit_chi2_above(-0.1, 4.0)));
}

/* The quantile turned about; the last from R 4.2, uniroot() of qt(0.975, 1/u) - 3. */
static void test_t_freedom(void **state)
{
    (void)state;
    static const double dofs[] = {0.7, 2.7, 7, 193.5, 1e7};
    for (size_t i = 0; i < sizeof dofs / sizeof dofs[0]; i++)
        aid_near_relative("there and back",
                          fit_t_freedom(0.975, fit_t_quantile(0.975, dofs[i]), 0.5), dofs[i],
                          dofs[i] < 1e6 ? 1e-8 : 1e-3);
    aid_near_relative("t of 3", fit_t_freedom(0.975, 3.0, 0.5), 3.355391, 1e-6);
    aid_near("no fewer", fit_t_freedom(0.975, 1e5, 0.5), 0.5, 1e-9);
    assert_true(isinf(fit_t_freedom(0.975, 1.95, 0.5)) && isinf(fit_t_freedom(0.975, 0.0, 0.5)));
    assert_true(isnan(fit_t_freedom(0.5, 2.0, 0.5)) && isnan(fit_t_freedom(0.975, NAN, 0.5)));
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_t_quantiles),    cmocka_unit_test(test_f_quantiles),
        cmocka_unit_test(test_chi2_quantiles), cmocka_unit_test(test_probabilities),
        cmocka_unit_test(test_out_of_range),   cmocka_unit_test(test_t_freedom),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
