/* fit/bands: R's confidence and prediction intervals, and the parts of the three bands by hand. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "aid_near.h"
#include "aid_regression.h"
#include "aid_table.h"
#include "fit/bands.h"
#include "fit/combine.h"

/* One row of the file: the curve's band is R's confidence interval, the next window's its
 * prediction interval (for the weighted fit with variance s^2 x at the new point). */
static void check_row(const struct aid_table *table, size_t i, const struct aid_regression *reg)
{
    double x = aid_table_number(table, i, "x"), level = aid_table_number(table, i, "level");
    double cov[9] = {0.0}, t[3], s2 = reg->fit.s * reg->fit.s;
    fit_cov_add(cov, reg->p, reg->fit.cov_unit, s2);
    aid_regression_terms(reg, x, t);
    const struct fit_parts parts = {.p = reg->p, .coef = reg->fit.coef, .reading = cov,
                                    .reading_dof = (double)reg->fit.dof};
    const struct fit_new_window window = {.reading_variance = reg->weighted ? s2 * x : s2};
    struct fit_band curve, band;
    fit_band_curve(&parts, t, &curve);
    band = curve;
    if (strcmp(aid_table_text(table, i, "interval"), "prediction") == 0)
        fit_band_next_window(&parts, t, &window, &band);
    char name[96];
    snprintf(name, sizeof name, "%s x %g %s %g", aid_table_text(table, i, "fit_id"), x,
             aid_table_text(table, i, "interval"), level);
    /* The file has 12 decimals; sums of terms with s of 15 lose two more digits. */
    double half = fit_band_half_width(&band, level);
    aid_near(name, band.value, aid_table_number(table, i, "fit"), 1e-10);
    aid_near(name, curve.u, aid_table_number(table, i, "se_fit"), 1e-10);
    aid_near(name, band.value - half, aid_table_number(table, i, "lwr"), 1e-9);
    aid_near(name, band.value + half, aid_table_number(table, i, "upr"), 1e-9);
    if (level == 0.95)
        aid_near(name, half, band.half_95, 0.0);
}

static void test_against_r(void **state)
{
    (void)state;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/regression-bands.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        struct aid_regression reg;
        aid_regression_fit(&reg, aid_table_text(&table, i, "fit_id"));
        check_row(&table, i, &reg);
    }
    assert_int_equal(table.n_rows, 210);
    aid_table_free(&table);
}

/* Coefficients and standard errors of the same five fits. */
static void test_coefficients(void **state)
{
    (void)state;
    struct aid_table table;
    aid_table_read(&table, "testdata/published/regression-coefs.csv");
    size_t j = 0;
    for (size_t i = 0; i < table.n_rows; i++) {
        struct aid_regression reg;
        const char *id = aid_table_text(&table, i, "fit_id");
        j = i > 0 && strcmp(id, aid_table_text(&table, i - 1, "fit_id")) == 0 ? j + 1 : 0;
        aid_regression_fit(&reg, id);
        assert_true(j < reg.p);
        aid_near_relative(id, reg.fit.coef[j], aid_table_number(&table, i, "estimate"), 1e-12);
        aid_near(id, fit_linear_std_error(&reg.fit, j), aid_table_number(&table, i, "std_error"),
                 1e-12);
    }
    assert_int_equal(table.n_rows, 10);
    aid_table_free(&table);
}

/* GUM H.3: standard uncertainty of a single new reading at 30 degC. */
static void test_new_reading(void **state)
{
    (void)state;
    const double s = 0.00349756396350528, u1 = 0.00287759783515995, u2 = 0.000667938773227832;
    const double c = -0.930429603093446 * u1 * u2, cov[4] = {u1 * u1, c, c, u2 * u2};
    const double coef[2] = {-0.171203790131350, 0.00218269773988728}, t[2] = {1.0, 10.0};
    const struct fit_parts parts = {.p = 2, .coef = coef, .reading = cov, .reading_dof = 9.0};
    const struct fit_new_window window = {.reading_variance = s * s};
    struct fit_band band;
    fit_band_next_window(&parts, t, &window, &band);
    aid_near("value", band.value, -0.149376812732477, 1e-14);
    aid_near("u", band.u, 0.00541857255043796, 1e-14);
    aid_near("dof", band.dof, 9.0, 1e-12);
}

/* By hand, at t = (1, -0.04). Reading 1.9e-5 + 0.0016*0.0107 - 0.08*0.00031 = 1.132e-5 with 13;
 * session 4e-6 with 3; calibration (0.011, 0.052): (0.011 - 0.00208)^2 = 7.95664e-5, infinite;
 * new window 3.1e-5 and 6e-6. Freedom of 4.232e-5 with 13 and 1e-5 with 3: R 4.2, as in
 * test_fit_combine.c. */
static void test_three_bands(void **state)
{
    (void)state;
    const double coef[2] = {0.771, 3.47}, t[2] = {1.0, -0.04};
    const double reading[4] = {1.9e-5, 3.1e-4, 3.1e-4, 1.07e-2}, session[4] = {4e-6, 0, 0, 0};
    double calibration[4] = {0.0};
    const double shift[2] = {0.011, 0.052};
    fit_cov_add_outer(calibration, 2, shift);
    struct fit_parts parts = {2, coef, reading, session, calibration, 13.0, 3.0, INFINITY};
    const struct fit_new_window window = {3.1e-5, 6e-6};
    struct fit_band curve, next, elsewhere;
    fit_band_curve(&parts, t, &curve);
    fit_band_next_window(&parts, t, &window, &next);
    fit_band_elsewhere(&parts, t, &window, &elsewhere);
    aid_near("value", curve.value, 0.6322, 1e-15);
    aid_near("curve", curve.u * curve.u, 1.132e-5 + 4e-6 + 7.95664e-5, 1e-18);
    aid_near("next", next.u * next.u, 4.232e-5 + 1e-5, 1e-18);
    aid_near("elsewhere", elsewhere.u * elsewhere.u, 4.232e-5 + 1e-5 + 7.95664e-5, 1e-18);
    aid_near("dof of next", next.dof, 11.3112325311, 1e-7);
    assert_true(elsewhere.dof > next.dof && elsewhere.u > next.u);
    assert_true(next.half_95 > 2.0 * next.u && next.half_95 < 2.3 * next.u);
    parts.session = NULL;
    parts.calibration = NULL;
    fit_band_curve(&parts, t, &curve);
    aid_near("reading alone", curve.u * curve.u, 1.132e-5, 1e-18);
    aid_near("its dof", curve.dof, 13.0, 1e-12);
}

/* No scatter to judge by: no band rather than a narrow one. */
static void test_unknown_scale(void **state)
{
    (void)state;
    const double coef[1] = {0.64}, reading[1] = {NAN}, t[1] = {1.0};
    const struct fit_parts parts = {.p = 1, .coef = coef, .reading = reading, .reading_dof = 0.0};
    struct fit_band band;
    fit_band_curve(&parts, t, &band);
    assert_true(isnan(band.u) && isnan(band.half_95));
    aid_near("value", band.value, 0.64, 0.0);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_r),   cmocka_unit_test(test_coefficients),
        cmocka_unit_test(test_new_reading), cmocka_unit_test(test_three_bands),
        cmocka_unit_test(test_unknown_scale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
