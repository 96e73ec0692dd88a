/* fit/trend against R, and what it must refuse. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>

#include "aid_near.h"
#include "aid_regression.h"
#include "fit/trend.h"

enum { CARS = 50 };

/* cars again, with three days and a condition by formulas that R was given, too:
 * day = 7 i mod 3, z = (13 i mod 17) + i/4, i = 1 .. 50. */
static struct {
    struct fit_condition at[CARS];
    double dist[CARS], w[CARS], z[CARS];
    int64_t day[CARS], one[CARS];
} cars;

static void fill(double g)
{
    struct aid_regression reg;
    aid_regression_fit(&reg, "cars_line");
    assert_int_equal(reg.n, CARS);
    for (size_t i = 0; i < CARS; i++) {
        size_t k = i + 1;
        cars.at[i] = (struct fit_condition){.x = reg.x[2 * i + 1], .g = g};
        cars.dist[i] = reg.y[i];
        cars.w[i] = 1 / reg.x[2 * i + 1];
        cars.z[i] = (double)(13 * k % 17) + 0.25 * (double)k;
        cars.day[i] = (int64_t)(7 * k % 3);
        cars.one[i] = 20605;
    }
}

/* R 4.2.2: summary(lm(dist ~ speed + z)), with + factor(day), weights = 1/speed, + I(speed^2); in
 * the last one z of cars 3, 17 and 44 is NA. */
static void test_against_r(void **state)
{
    (void)state;
    static const struct {
        const char *name, *form;
        bool days, weighed, gaps;
        double slope, u, t, p_value, dof;
    } rows[] = {
        {"line", "line", false, false, false, 0.4731890003205, 0.4417036997602, 1.071281496119,
         0.2895133028197, 47},
        {"days", "line", true, false, false, 0.5077346917215, 0.4224109550822, 1.201992243839,
         0.2356538950202, 45},
        {"days, weights", "line", true, true, false, 0.4317660909563, 0.377059757937,
         1.145086639101, 0.2582270432065, 45},
        {"square, days, weights", "second order", true, true, false, 0.3515299019749,
         0.3849076465314, 0.9132837581759, 0.3660707487393, 44},
        {"gaps", "line", true, false, true, 0.5495060507926, 0.4544407733594, 1.209191786931,
         0.2333522016886, 42},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct fit_trend found;
        fill(817);
        if (rows[k].gaps)
            cars.z[2] = cars.z[16] = cars.z[43] = NAN;
        assert_int_equal(fit_trend(fit_form_find(rows[k].form), cars.at, cars.dist,
                                   rows[k].weighed ? cars.w : NULL,
                                   rows[k].days ? cars.day : cars.one, cars.z, CARS, &found),
                         FIT_OK);
        aid_near_relative(rows[k].name, found.slope, rows[k].slope, 1e-11);
        aid_near_relative(rows[k].name, found.u, rows[k].u, 1e-11);
        aid_near_relative(rows[k].name, found.t, rows[k].t, 1e-11);
        aid_near_relative(rows[k].name, found.p_value, rows[k].p_value, 1e-11);
        aid_near(rows[k].name, found.dof, rows[k].dof, 0);
        assert_int_equal(found.n, rows[k].gaps ? 47 : 50);
    }
}

/* Whatever curve of the form the residuals are taken about, the trend is the same; a day that lies
 * off moves nothing. */
static void test_curve_and_days_do_not_matter(void **state)
{
    (void)state;
    struct fit_trend before, after;
    const struct fit_form *line = fit_form_find("line");
    fill(817);
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, CARS, &before),
                     FIT_OK);
    for (size_t i = 0; i < CARS; i++)
        cars.dist[i] += 3.7 - 2.9 * cars.at[i].x + 11.3 * (double)cars.day[i];
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, CARS, &after),
                     FIT_OK);
    aid_near_relative("slope", after.slope, before.slope, 1e-11);
    aid_near_relative("u", after.u, before.u, 1e-11);
    aid_near("least", after.least, 2, 1e-15); /* car 4: 52 mod 17 + 4/4 */
}

/* Closed forms. The correlation of 1 2 3 4 5 with 1 2 3 4 6 is 12 / sqrt(10 * 14.8). x and x^2 of
 * -30 30 -15 15 0 are orthogonal, and hold 2025/22500 and 2475^2/7087500 of the squares of 1 2 3 4
 * 5: no line shows how much alike they are. */
static void test_alike(void **state)
{
    (void)state;
    static const struct {
        const char *name, *form;
        double x[5], z[5], alike;
    } rows[] = {
        {"line", "line", {1, 2, 3, 4, 5}, {1, 2, 3, 4, 6}, 0.986393923832144},
        {"middle last", "second order", {-30, 30, -15, 15, 0}, {1, 2, 3, 4, 5}, 0.976875485558786},
        {"apart", "line", {1, 2, 3, 2, 1}, {-2, -1, 0, 1, 2}, 0},
    };
    static const double residual[5] = {0.3, -0.1, 0.2, 0.7, -0.4};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct fit_condition at[5];
        static const int64_t day[5] = {0};
        struct fit_trend found;
        for (size_t i = 0; i < 5; i++)
            at[i] = (struct fit_condition){.x = rows[k].x[i], .g = 817};
        assert_int_equal(
            fit_trend(fit_form_find(rows[k].form), at, residual, NULL, day, rows[k].z, 5, &found),
            FIT_OK);
        aid_near(rows[k].name, found.alike, rows[k].alike, 1e-14);
    }
}

static void test_refusals(void **state)
{
    (void)state;
    struct fit_trend out;
    const struct fit_form *line = fit_form_find("line");
    fill(817);
    for (size_t i = 0; i < CARS; i++)
        cars.z[i] = 293.1 + 0.7 * (double)cars.day[i];
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, CARS, &out),
                     FIT_RANK);
    for (size_t i = 0; i < CARS; i++)
        cars.z[i] = 2.5 * cars.at[i].x;
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, CARS, &out),
                     FIT_RANK);
    fill(817);
    cars.day[1] = 1;
    cars.day[2] = 2;
    cars.day[4] = 2; /* points 0 .. 4: days 1 1 2 1 2, four unknowns and the slope */
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, 4, &out),
                     FIT_TOO_FEW);
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, 5, &out), FIT_OK);
    aid_near("one degree of freedom", out.dof, 1, 0);
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, 0, &out),
                     FIT_TOO_FEW);
    cars.w[7] = 0;
    assert_int_equal(fit_trend(line, cars.at, cars.dist, cars.w, cars.day, cars.z, CARS, &out),
                     FIT_RANGE);
    cars.dist[9] = INFINITY;
    assert_int_equal(fit_trend(line, cars.at, cars.dist, NULL, cars.day, cars.z, CARS, &out),
                     FIT_NOT_FINITE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_r),
        cmocka_unit_test(test_curve_and_days_do_not_matter),
        cmocka_unit_test(test_alike),
        cmocka_unit_test(test_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
