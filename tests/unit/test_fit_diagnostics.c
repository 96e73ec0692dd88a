/* fit/diagnostics against R 4.2.2 (hatvalues, rstandard, rstudent, cooks.distance, dffits). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>

#include "aid_near.h"
#include "aid_regression.h"
#include "aid_table.h"
#include "fit/diagnostics.h"

static void check_row(const struct aid_table *table, size_t row, const struct fit_case *cs)
{
    char name[64];
    snprintf(name, sizeof name, "%s case %s", aid_table_text(table, row, "fit_id"),
             aid_table_text(table, row, "i"));
    /* R's own residuals of the same fits scatter by 1e-12 (see the fitted column of cases 1, 2);
     * the ratios are compared to 12 printed digits less that. */
    aid_near(name, cs->fitted, aid_table_number(table, row, "fitted"), 1e-11);
    aid_near(name, cs->residual, aid_table_number(table, row, "residual"), 1e-11);
    aid_near(name, cs->leverage, aid_table_number(table, row, "leverage"), 1e-12);
    aid_near(name, cs->studentised, aid_table_number(table, row, "rstandard"), 2e-12);
    aid_near(name, cs->deleted, aid_table_number(table, row, "rstudent"), 2e-12);
    aid_near(name, cs->cook, aid_table_number(table, row, "cooks_distance"), 2e-12);
    aid_near(name, cs->dffits, aid_table_number(table, row, "dffits"), 2e-12);
}

static void test_against_r(void **state)
{
    (void)state;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/regression-diagnostics.csv");
    for (size_t row = 0; row < table.n_rows;) {
        struct aid_regression reg;
        struct fit_case cases[AID_REGRESSION_ROWS];
        const char *id = aid_table_text(&table, row, "fit_id");
        aid_regression_fit(&reg, id);
        fit_diagnose(reg.x, reg.y, reg.w, &reg.fit, cases);
        double leverage = 0.0;
        for (size_t i = 0; i < reg.n; i++, row++) {
            assert_string_equal(aid_table_text(&table, row, "fit_id"), id);
            check_row(&table, row, &cases[i]);
            leverage += cases[i].leverage;
        }
        aid_near(id, leverage, (double)reg.p, 1e-12);
    }
    assert_int_equal(table.n_rows, 186);
    aid_table_free(&table);
}

/* cars, line: the largest Cook's distance is case 49. */
static void test_largest(void **state)
{
    (void)state;
    struct aid_regression reg;
    struct fit_case cases[AID_REGRESSION_ROWS];
    size_t largest = 0;
    aid_regression_fit(&reg, "cars_line");
    fit_diagnose(reg.x, reg.y, NULL, &reg.fit, cases);
    for (size_t i = 0; i < reg.n; i++)
        largest = cases[i].cook > cases[largest].cook ? i : largest;
    assert_int_equal(largest, 48);
    aid_near("cook", cases[48].cook, 0.340395933606, 1e-12);
    aid_near("leverage", cases[48].leverage, 0.0739854014599, 1e-12);
    aid_near("deleted", cases[48].deleted, 3.18499284007545, 1e-12);
}

/* A single warm point decides the slope: its leverage is 1 and nothing can be said of it. */
static void test_leverage_of_one(void **state)
{
    (void)state;
    const double x[10] = {1, .01, 1, .01, 1, .01, 1, .01, 1, .07};
    const double y[5] = {.701, .713, .697, .706, .512};
    struct fit_linear fit;
    struct fit_case cases[5];
    assert_int_equal(fit_linear(x, y, NULL, 5, 2, &fit), FIT_OK);
    fit_diagnose(x, y, NULL, &fit, cases);
    aid_near("leverage", cases[4].leverage, 1.0, 1e-12);
    assert_true(isnan(cases[4].studentised) && isnan(cases[4].cook) && isnan(cases[4].deleted));
    aid_near("others", cases[0].leverage, 0.25, 1e-12);
    assert_true(!isnan(cases[0].studentised));
}

/* Equal weights: a curve's cases are those of the plain fit. */
static void test_curve_plain(void **state)
{
    (void)state;
    struct aid_regression reg;
    struct fit_case cases[AID_REGRESSION_ROWS], of_curve[AID_REGRESSION_ROWS];
    struct fit_point points[AID_REGRESSION_ROWS];
    struct fit_curve curve;
    aid_regression_fit(&reg, "cars_line");
    fit_diagnose(reg.x, reg.y, reg.w, &reg.fit, cases);
    for (size_t i = 0; i < reg.n; i++)
        points[i] = (struct fit_point){.at = {.x = reg.x[2 * i + 1], .g = 800.0}, .eta = reg.y[i]};
    assert_int_equal(fit_curve_fit(fit_form_find("line"), points, reg.n, &curve), FIT_OK);
    assert_int_equal(fit_curve_diagnose(&curve, points, of_curve), FIT_OK);
    for (size_t i = 0; i < reg.n; i++) {
        aid_near("studentised", of_curve[i].studentised, cases[i].studentised, 1e-12);
        aid_near("cook", of_curve[i].cook, cases[i].cook, 1e-12);
    }
    fit_curve_free(&curve);
}

/* Errors in both: leverages sum to p, residuals are the curve's, the far point is seen. */
static void test_curve_both(void **state)
{
    (void)state;
    struct fit_point points[9];
    struct fit_case cases[9];
    struct fit_curve curve;
    double leverage = 0.0;
    for (size_t i = 0; i < 9; i++) {
        double x = 0.0071 + 0.0083 * (double)i;
        points[i] = (struct fit_point){{x, 850.0, 0.0}, 0.763 - 4.1 * x, 0.006, 0.0011, 2e-6};
        points[i].eta += 0.003 * cos(1.9 * (double)i);
    }
    points[6].eta += 0.041;
    assert_int_equal(fit_curve_fit(fit_form_find("line"), points, 9, &curve), FIT_OK);
    assert_int_equal(fit_curve_diagnose(&curve, points, cases), FIT_OK);
    for (size_t i = 0; i < 9; i++) {
        leverage += cases[i].leverage;
        aid_near("residual", cases[i].residual,
                 points[i].eta - fit_form_value(curve.form, curve.coef, &points[i].at), 1e-15);
        assert_true(i == 6 || fabs(cases[i].deleted) < fabs(cases[6].deleted));
    }
    aid_near("sum of leverages", leverage, 2.0, 1e-12);
    fit_curve_free(&curve);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_r),       cmocka_unit_test(test_largest),
        cmocka_unit_test(test_leverage_of_one), cmocka_unit_test(test_curve_plain),
        cmocka_unit_test(test_curve_both),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
