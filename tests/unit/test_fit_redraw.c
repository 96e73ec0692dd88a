/* fit/redraw: the same minimum as the headline fit, for every form and for hard data. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdbool.h>

#include "aid_near.h"
#include "aid_table.h"
#include "base/randoms.h"
#include "fit/curve.h"
#include "fit/redraw.h"

enum { POINTS = 23, DRAWS = 50 };

/* A made-up test: three levels of irradiance, six of temperature, wind, errors in both. */
static void make_points(struct fit_point *points, double u_eta, double u_x)
{
    for (size_t i = 0; i < POINTS; i++) {
        double x = 0.0117 * (double)(i % 6), g = 720 + 110 * (double)(i % 3);
        points[i] = (struct fit_point){.at = {x, g, 0.7 * (double)(i % 5) - 1.3},
                                       .eta = 0.743 - 4.31 * x - 0.0127 * g * x * x,
                                       .u_eta = u_eta * (1 + 0.1 * (double)(i % 4)),
                                       .u_x = u_x,
                                       .cov_eta_x = 0.3 * u_eta * u_x};
    }
}

static void move(struct randoms *randoms, const struct fit_point *points, size_t n, double size,
                 struct fit_point *moved)
{
    for (size_t i = 0; i < n; i++) {
        moved[i] = points[i];
        moved[i].eta += size * 0.006 * randoms_normal(randoms);
        moved[i].at.x *= 1 + 0.01 * size * randoms_normal(randoms);
        moved[i].at.g *= 1 + 0.01 * size * randoms_normal(randoms);
    }
}

/* Coefficients of both ways agree to a millionth of their standard uncertainty. */
static void compare(const char *name, const struct fit_curve *headline,
                    const struct fit_point *moved)
{
    struct fit_curve whole;
    double quick[FIT_FORM_MAX_COEF];
    assert_int_equal(fit_curve_fit(headline->form, moved, headline->n, &whole), FIT_OK);
    assert_int_equal(fit_redraw(headline, moved, quick), FIT_OK);
    for (size_t j = 0; j < whole.p; j++) {
        double u = sqrt(whole.cov_reading[j * whole.p + j]);
        if (whole.equal_weights)
            u *= sqrt(headline->chi2 / (double)headline->dof + 1e-6);
        aid_near(name, quick[j], whole.coef[j], 2e-6 * u);
    }
    fit_curve_free(&whole);
}

static void every_form(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double u_eta, u_x, size;
    } rows[] = {
        {"small errors of eta alone", 0.004, 0, 1},
        {"errors of both", 0.004, 0.0007, 1},
        {"errors of T* that dominate", 0.001, 0.002, 1},
        {"large moves", 0.004, 0.0007, 6},
        {"no error stated", 0, 0, 1},
    };
    struct fit_point points[POINTS], moved[POINTS];
    struct randoms randoms;
    struct faults faults;
    faults_init(&faults);
    assert_true(randoms_init(&randoms, &faults));
    randoms_seed(&randoms, 11, 0);
    const struct fit_form *form;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++)
        for (size_t f = 0; (form = fit_form_at(f)) != NULL; f++) {
            struct fit_curve headline;
            make_points(points, rows[r].u_eta, rows[r].u_x);
            move(&randoms, points, POINTS, 1, moved);
            assert_int_equal(fit_curve_fit(form, moved, POINTS, &headline), FIT_OK);
            for (int k = 0; k < DRAWS; k++) {
                move(&randoms, points, POINTS, rows[r].size, moved);
                compare(rows[r].name, &headline, moved);
            }
            fit_curve_free(&headline);
        }
    randoms_free(&randoms);
}

/* Data: K. Pearson, Phil. Mag. 2 (1901); weights: D. York, Can. J. Phys. 44 (1966): errors of x and
 * y of very uneven size. The published minimum must be found from a start that is not it. */
static void pearson_york(void **state)
{
    (void)state;
    struct aid_table table;
    struct fit_point points[16];
    struct fit_curve headline;
    aid_table_read(&table, "testdata/published/pearson-york.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        double u_x = 1.0 / sqrt(aid_table_number(&table, i, "wx"));
        double u_y = 1.0 / sqrt(aid_table_number(&table, i, "wy"));
        points[i] = (struct fit_point){{aid_table_number(&table, i, "x"), 800.0, 0.0},
                                       aid_table_number(&table, i, "y"), u_y, u_x, 0.0};
    }
    assert_int_equal(fit_curve_fit(fit_form_find("line"), points, table.n_rows, &headline), FIT_OK);
    headline.coef[0] += 0.3;
    headline.coef[1] -= 0.06;
    double quick[FIT_FORM_MAX_COEF];
    assert_int_equal(fit_redraw(&headline, points, quick), FIT_OK);
    aid_near_relative("intercept", quick[0], 5.47991022403287, 1e-7);
    aid_near_relative("slope", -quick[1], -0.48053340744620, 1e-7);
    fit_curve_free(&headline);
    aid_table_free(&table);
}

static void refusals(void **state)
{
    (void)state;
    struct fit_point points[POINTS], moved[POINTS];
    struct fit_curve headline;
    double quick[FIT_FORM_MAX_COEF] = {7, 7, 7, 7};
    make_points(points, 0.004, 0.0007);
    assert_int_equal(fit_curve_fit(fit_form_find("second order"), points, POINTS, &headline),
                     FIT_OK);
    for (size_t i = 0; i < POINTS; i++) {
        moved[i] = points[i];
        moved[i].at.x = 0.0213;
        moved[i].at.g = 800;
    }
    assert_int_equal(fit_redraw(&headline, moved, quick), FIT_RANK);
    moved[3].eta = NAN;
    assert_int_equal(fit_redraw(&headline, moved, quick), FIT_NOT_FINITE);
    assert_true(quick[0] == 7);
    fit_curve_free(&headline);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_form),
        cmocka_unit_test(pearson_york),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
