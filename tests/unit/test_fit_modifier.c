/* fit/modifier and fit/modifier_fit: forms, diffuse by integration, fits of published modifiers. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "aid_near.h"
#include "aid_table.h"
#include "fit/modifier_fit.h"

#define RAD (M_PI / 180.0)

static struct fit_modifier one(enum fit_modifier_form form, double coef)
{
    return (struct fit_modifier){.form = form, .n = 1, .coef = {coef}};
}

static double beam_deg(const struct fit_modifier *m, double theta_deg)
{
    struct fit_angle at = {.theta_rad = theta_deg * RAD};
    return fit_modifier_beam(m, &at);
}

/* b0: 1 - 0.137 (1/cos 60 - 1) by hand, 0 past cos = b0/(1 + b0) = 83.08 degrees. Tangent: p =
 * ln(1 - K50)/ln(tan 25), by hand. */
static void test_forms(void **state)
{
    (void)state;
    const struct {
        const char *name;
        enum fit_modifier_form form;
        double coef, theta_deg, expected, tolerance;
    } rows[] = {
        {"b0 at the normal", FIT_MODIFIER_B0, 0.137, 0, 1, 0},
        {"b0 at 60", FIT_MODIFIER_B0, 0.137, 60, 0.863, 1e-12},
        {"b0 before it is cut off", FIT_MODIFIER_B0, 0.137, 83.0, 0.012845, 1e-6},
        {"b0 cut off", FIT_MODIFIER_B0, 0.137, 83.2, 0, 0},
        {"b0 below nought, 60", FIT_MODIFIER_B0, -0.137, 60, 1.137, 1e-12},
        {"b0 below nought, 90", FIT_MODIFIER_B0, -0.137, 90, 0, 0},
        {"tangent, K50 0.90", FIT_MODIFIER_TANGENT, 3.0181622, 50, 0.90, 1e-6},
        {"tangent, K50 0.95", FIT_MODIFIER_TANGENT, 3.9267196, 50, 0.95, 1e-6},
        {"tangent at the normal", FIT_MODIFIER_TANGENT, 3.5, 0, 1, 0},
        {"tangent near 90", FIT_MODIFIER_TANGENT, 3.5, 89.999999, 0, 1e-7},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fit_modifier m = one(rows[i].form, rows[i].coef);
        aid_near(rows[i].name, beam_deg(&m, rows[i].theta_deg), rows[i].expected,
                 rows[i].tolerance);
    }
    assert_string_equal(fit_modifier_name(FIT_MODIFIER_TWO_PLANES), "two planes");
}

/* Over theta by midpoints. */
static double plain_over_theta(const struct fit_modifier *m)
{
    enum { STEPS = 100000 };
    double sum = 0;
    for (int i = 0; i < STEPS; i++) {
        double theta = M_PI_2 * (i + 0.5) / STEPS;
        struct fit_angle at = {.theta_rad = theta};
        sum += fit_modifier_beam(m, &at) * 2 * sin(theta) * cos(theta);
    }
    return sum * M_PI_2 / STEPS;
}

/* Over theta and the way round by midpoints, with the projections of each direction. */
static double plain_over_sky(const struct fit_modifier *m)
{
    enum { STEPS = 900 };
    double sum = 0;
    for (int i = 0; i < STEPS; i++)
        for (int j = 0; j < STEPS; j++) {
            double theta = M_PI_2 * (i + 0.5) / STEPS, round = M_PI_2 * (j + 0.5) / STEPS;
            struct fit_angle at = {theta, atan(tan(theta) * cos(round)),
                                   atan(tan(theta) * sin(round))};
            sum += fit_modifier_beam(m, &at) * sin(theta) * cos(theta);
        }
    double cell = (M_PI_2 / STEPS) * (M_PI_2 / STEPS);
    return 4 / M_PI * sum * cell;
}

/* For the b0 form that is cut off at c0 = b0/(1 + b0):
 *   2 int_c0^1 [(1 + b0) c - b0] dc = (1 - c0)[(1 + b0)(1 + c0) - 2 b0] = 1/(1 + b0);
 * without the cut, b0 < 0: (1 + b0) - 2 b0 = 1 - b0. The same by midpoints. */
static void test_diffuse_closed(void **state)
{
    (void)state;
    const struct {
        const char *name;
        double b0, expected;
    } rows[] = {
        {"b0 0", 0, 1},
        {"b0 0.05", 0.05, 1 / 1.05},
        {"b0 0.137", 0.137, 1 / 1.137},
        {"b0 0.20", 0.20, 1 / 1.2},
        {"b0 1.7", 1.7, 1 / 2.7},
        {"b0 -0.083", -0.083, 1.083},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fit_modifier m = one(FIT_MODIFIER_B0, rows[i].b0);
        aid_near(rows[i].name, fit_modifier_diffuse(&m), rows[i].expected, 1e-14);
        aid_near(rows[i].name, plain_over_theta(&m), rows[i].expected, 2e-6);
    }
}

/* Straight from 1 to 0 over theta: 2 int (1 - 2 theta/pi) sin cos = 1/2 by parts. Tangent with
 * p = 2, t = tan(theta/2), 1 - t^2 = 2 cos/(1 + cos): 4 int c^2/(1 + c) dc = 4 ln 2 - 2. */
static void test_diffuse_other_forms(void **state)
{
    (void)state;
    struct fit_modifier straight = {.form = FIT_MODIFIER_TABLE};
    aid_near("straight to 0", fit_modifier_diffuse(&straight), 0.5, 1e-12);
    struct fit_modifier tangent = one(FIT_MODIFIER_TANGENT, 2);
    aid_near("tangent, p 2", fit_modifier_diffuse(&tangent), 4 * log(2) - 2, 1e-12);
    tangent.coef[0] = 3.37;
    aid_near("tangent, p 3.37", fit_modifier_diffuse(&tangent), plain_over_theta(&tangent), 1e-8);
    struct fit_modifier table = {.form = FIT_MODIFIER_TABLE,
                                 .n = 3,
                                 .coef = {0.997, 1.043, 0.87},
                                 .knot_rad = {20 * RAD, 40 * RAD, 60 * RAD}};
    aid_near("table", fit_modifier_diffuse(&table), plain_over_theta(&table), 1e-8);
    struct fit_modifier planes = {.form = FIT_MODIFIER_TWO_PLANES,
                                  .n = 4,
                                  .n_along = 1,
                                  .coef = {0.93, 1.08, 1.21, 0.77},
                                  .knot_rad = {50 * RAD, 20 * RAD, 40 * RAD, 70 * RAD}};
    double as_it_is = fit_modifier_diffuse(&planes);
    aid_near("two planes", as_it_is, plain_over_sky(&planes), 1e-5);
    fit_modifier_weigh_sky(&planes);
    assert_true(planes.sky_weighed);
    aid_near("two planes, weighed", fit_modifier_diffuse(&planes), as_it_is, 1e-14);
}

/* K_b = 0.9, K_d = 0.85, f = 0.3, f0 = 0.12 by hand: 0.885/0.982. */
static void test_total(void **state)
{
    (void)state;
    aid_near("total", fit_modifier_total(0.9, 0.85, 0.3, 1, 0.12), 0.885 / 0.982, 1e-14);
    aid_near("beam of it", fit_modifier_beam_of_total(0.885 / 0.982, 0.85, 0.3, 1, 0.12), 0.9,
             1e-13);
    assert_true(isnan(fit_modifier_beam_of_total(0.9, 0.85, 1, 1, 0.12)));
}

/* Flat glass by Fresnel and Bouguer (computed with numpy, head of the file); b0 by least squares
 * over the stated ranges, 5 degree steps, as printed beside the table to five decimals. */
static void test_glass(void **state)
{
    (void)state;
    const struct {
        double kl;
        double covers, most_deg, b0;
    } rows[] = {
        {0.0125, 1, 60, 0.06949}, {0.0125, 1, 50, 0.04660}, {0.0125, 2, 60, 0.08902},
        {0.0125, 2, 50, 0.05818}, {0.0370, 1, 60, 0.07585}, {0.0370, 1, 50, 0.05434},
        {0.0370, 2, 60, 0.10240}, {0.0370, 2, 50, 0.07428}, {0.0524, 1, 60, 0.07981},
        {0.0524, 1, 50, 0.05918}, {0.0524, 2, 60, 0.11066}, {0.0524, 2, 50, 0.08430},
    };
    struct aid_table t;
    aid_table_read(&t, "testdata/published/glass-transmittance.csv");
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct fit_modifier_point points[19] = {{.k_total = 0}};
        size_t n = 0;
        for (size_t i = 0; i < t.n_rows; i++) {
            double theta = aid_table_number(&t, i, "theta_deg");
            if (fabs(aid_table_number(&t, i, "KL") - rows[k].kl) > 1e-9 ||
                theta > rows[k].most_deg ||
                fabs(aid_table_number(&t, i, "covers") - rows[k].covers) > 0.5)
                continue;
            points[n].at.theta_rad = theta * RAD;
            points[n++].k_total = aid_table_number(&t, i, "ta_ratio");
        }
        char name[64];
        snprintf(name, sizeof name, "KL %g, %g covers, 0 to %g", rows[k].kl, rows[k].covers,
                 rows[k].most_deg);
        struct fit_modifier_fit fit;
        assert_int_equal(n, (size_t)rows[k].most_deg / 5 + 1);
        assert_int_equal(
            fit_modifier_fit(FIT_MODIFIER_B0, points, n, &(struct fit_modifier_near){0}, &fit),
            FIT_OK);
        aid_near(name, fit.m.coef[0], rows[k].b0, 6e-6);
        aid_near(name, fit.most_rad, rows[k].most_deg * RAD, 1e-12);
        assert_true(fit.equal_weights);
    }
    aid_table_free(&t);
}

/* Angles of the collector tested both ways, as printed: along 40 and 60 degrees, across 10 to 50.
 * What stands beyond is not printed. In: beyond  K there, as a share of the last printed figure;
 * below 0: straight down to 0 at 90 degrees. */
static double cpc_diffuse(const struct aid_table *t, const char *column, double beyond)
{
    struct fit_modifier m = {.form = FIT_MODIFIER_TWO_PLANES};
    for (int pass = 0; pass < 2; pass++) {
        size_t first = m.n;
        for (size_t i = 0; i < t->n_rows; i++) {
            double deg;
            char plane;
            if (sscanf(aid_table_text(t, i, "quantity"), "K%c_%lf", &plane, &deg) != 2 ||
                plane != "LT"[pass])
                continue;
            m.knot_rad[m.n] = deg * RAD;
            m.coef[m.n++] = aid_table_number(t, i, column);
        }
        assert_int_equal(m.n - first, pass == 0 ? 2 : 8);
        if (beyond >= 0) {
            m.knot_rad[m.n] = beyond > 0 ? 89.999 * RAD : m.knot_rad[m.n - 1] + 0.001 * RAD;
            m.coef[m.n] = beyond * m.coef[m.n - 1];
            m.n++;
        }
        if (pass == 0)
            m.n_along = m.n;
    }
    return fit_modifier_diffuse(&m);
}

/* One concentrating collector tested by both methods (EuroSun 2008, a damaged copy of its tables;
 * head of the file). Printed: 0.529 computed from the modifier, 0.725 fitted by the quasi-dynamic
 * test. Neither comes out of the steady figures that the copy prints: whatever K is beyond the
 * angles printed, between nothing and its last figure, their integral lies above 0.529. Those of
 * the other test hold it. 0.725 is above all of them: the two methods disagree, as the paper says.
 */
static void test_two_planes_published(void **state)
{
    (void)state;
    struct aid_table t;
    double computed = NAN, fitted = NAN;
    aid_table_read(&t, "testdata/published/cpc-steady-versus-quasi-dynamic-2008.csv");
    for (size_t i = 0; i < t.n_rows; i++) {
        const char *what = aid_table_text(&t, i, "quantity");
        if (strcmp(what, "Kd") == 0)
            fitted = aid_table_number(&t, i, "quasi_dynamic");
        if (strcmp(what, "Kd_computed_from_IAM") == 0)
            computed = aid_table_number(&t, i, "steady_state");
    }
    double least[2], straight[2], most[2];
    for (int k = 0; k < 2; k++) {
        const char *column = k == 0 ? "steady_state" : "quasi_dynamic";
        least[k] = cpc_diffuse(&t, column, 0);
        straight[k] = cpc_diffuse(&t, column, -1);
        most[k] = cpc_diffuse(&t, column, 1);
        print_message("%s: K_d by integration %.3f, %.3f to %.3f by what is not printed; "
                      "paper: computed %.3f, fitted %.3f\n",
                      column, straight[k], least[k], most[k], computed, fitted);
        assert_true(least[k] < straight[k] && straight[k] < most[k]);
        assert_true(most[k] < fitted);
    }
    assert_true(least[0] > computed);
    assert_true(least[1] < computed && computed < most[1]);
    aid_table_free(&t);
}

/* Points made from a form with shares of diffuse light, beside a curve off the normal, give the
 * form back. */
static void make_points(const struct fit_modifier *m, const struct fit_modifier_near *near,
                        struct fit_modifier_point *points, size_t n)
{
    double k_d = fit_modifier_diffuse(m);
    for (size_t i = 0; i < n; i++) {
        double along = (7.0 + 4.9 * (double)i) * RAD;
        double across = (63.0 - 5.3 * (double)((5 * i) % n)) * RAD;
        double theta = atan(hypot(tan(along), tan(across)));
        points[i] = (struct fit_modifier_point){.at = {theta, along, across},
                                                .diffuse_share = 0.11 + 0.03 * (double)(i % 5),
                                                .u = 0.004 + 0.001 * (double)(i % 3)};
        points[i].k_total =
            fit_modifier_total(fit_modifier_beam(m, &points[i].at), k_d, points[i].diffuse_share,
                               fit_modifier_beam(m, &near->at), near->diffuse_share);
    }
}

static void test_round_trip(void **state)
{
    (void)state;
    enum { N = 13 };
    const struct fit_modifier rows[] = {
        {.form = FIT_MODIFIER_B0, .n = 1, .coef = {0.137}},
        {.form = FIT_MODIFIER_B0, .n = 1, .coef = {-0.061}},
        {.form = FIT_MODIFIER_TANGENT, .n = 1, .coef = {3.37}},
        {.form = FIT_MODIFIER_TABLE,
         .n = 6,
         .coef = {0.994, 1.013, 0.981, 0.93, 0.874, 0.71},
         .knot_rad = {20 * RAD, 30 * RAD, 40 * RAD, 50 * RAD, 60 * RAD, 70 * RAD}},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct fit_modifier_point points[N];
        struct fit_modifier_fit fit;
        char name[64];
        const struct fit_modifier_near near = {0.14, {.theta_rad = 4 * (double)k * RAD}};
        make_points(&rows[k], &near, points, N);
        assert_int_equal(fit_modifier_fit(rows[k].form, points, N, &near, &fit), FIT_OK);
        for (size_t j = 0; j < rows[k].n; j++) {
            snprintf(name, sizeof name, "row %zu, coefficient %zu", k, j);
            aid_near(name, fit.m.knot_rad[j], rows[k].knot_rad[j], 1e-12);
            aid_near(name, fit.m.coef[j], rows[k].coef[j], 1e-7);
        }
        aid_near(fit_modifier_name(rows[k].form), fit.k_diffuse, fit_modifier_diffuse(&rows[k]),
                 1e-7);
        assert_true(fit.chi2 < 1e-9);
        assert_int_equal(fit.m.n, rows[k].n);
        assert_int_equal(fit.dof, N - fit.m.n);
    }
}

static void test_round_trip_two_planes(void **state)
{
    (void)state;
    enum { N = 24 };
    const struct fit_modifier m = {.form = FIT_MODIFIER_TWO_PLANES,
                                   .n = 5,
                                   .n_along = 2,
                                   .coef = {0.98, 0.91, 1.07, 1.19, 0.83},
                                   .knot_rad = {20 * RAD, 40 * RAD, 20 * RAD, 40 * RAD, 60 * RAD}};
    struct fit_modifier_point points[N];
    double k_d = fit_modifier_diffuse(&m);
    for (size_t i = 0; i < N; i++) {
        double along = (double)(20 * (i % 3) + i % 2) * RAD, across = (double)(20 * (i / 6)) * RAD;
        points[i] = (struct fit_modifier_point){
            .at = {atan(hypot(tan(along), tan(across))), along, -across},
            .diffuse_share = 0.2,
            .u = 0.006};
        points[i].k_total =
            fit_modifier_total(fit_modifier_beam(&m, &points[i].at), k_d, 0.2, 1, 0.1);
    }
    struct fit_modifier_fit fit;
    assert_int_equal(fit_modifier_fit(m.form, points, N,
                                      &(struct fit_modifier_near){.diffuse_share = 0.1}, &fit),
                     FIT_OK);
    assert_int_equal(fit.m.n, m.n);
    assert_int_equal(fit.m.n_along, m.n_along);
    for (size_t j = 0; j < m.n; j++) {
        aid_near("knot", fit.m.knot_rad[j], m.knot_rad[j], 1e-12);
        aid_near("K", fit.m.coef[j], m.coef[j], 1e-7);
    }
}

/* All beam: a straight line through the origin in s = 1/cos - 1, u = (sum s^2/u^2)^-1/2. With
 * diffuse light: the slope of K_hem is -[s (1 - f) + f/(1 + b0)^2]/D + N f0/(1 + b0)^2/D^2, by
 * hand. */
static void test_covariance(void **state)
{
    (void)state;
    enum { N = 9 };
    struct fit_modifier m = one(FIT_MODIFIER_B0, 0.137);
    for (int pass = 0; pass < 2; pass++) {
        struct fit_modifier_point points[N];
        struct fit_modifier_fit fit;
        double f0 = pass * 0.14, sum = 0, u;
        struct fit_modifier_near near = {.diffuse_share = f0};
        make_points(&m, &near, points, N);
        for (size_t i = 0; i < N; i++) {
            double f = points[i].diffuse_share *= pass;
            double s = 1 / cos(points[i].at.theta_rad) - 1, bend = 1 / (1.137 * 1.137);
            double over = 1 - f0 + f0 / 1.137, n = (1 - 0.137 * s) * (1 - f) + f / 1.137;
            double slope = -(s * (1 - f) + f * bend) / over + n * f0 * bend / (over * over);
            points[i].k_total = n / over;
            sum += slope * slope / (points[i].u * points[i].u);
        }
        assert_int_equal(fit_modifier_fit(FIT_MODIFIER_B0, points, N, &near, &fit), FIT_OK);
        aid_near_relative("variance of b0", fit.cov[0], 1 / sum, 1e-6);
        struct fit_angle at = {.theta_rad = 50 * RAD};
        aid_near("K at 50", fit_modifier_value(&fit, &at, &u), 0.923866, 1e-6);
        aid_near_relative("u of K at 50", u, (1 / cos(50 * RAD) - 1) / sqrt(sum), 1e-6);
    }
}

/* The minimum is one: with points that scatter, a step to either side is worse. */
static void test_minimum(void **state)
{
    (void)state;
    enum { N = 11 };
    struct fit_modifier m = one(FIT_MODIFIER_TANGENT, 3.1);
    struct fit_modifier_point points[N];
    struct fit_modifier_fit fit;
    const struct fit_modifier_near near = {.diffuse_share = 0.3};
    make_points(&m, &near, points, N);
    for (size_t i = 0; i < N; i++) {
        points[i].diffuse_share = 0.3 + 0.05 * (double)(i % 7);
        points[i].k_total += 0.02 * sin(2.7 * (double)i);
    }
    assert_int_equal(fit_modifier_fit(FIT_MODIFIER_TANGENT, points, N, &near, &fit), FIT_OK);
    assert_true(fit.chi2 > 1);
    for (int side = -1; side <= 1; side += 2) {
        struct fit_modifier next = fit.m;
        next.coef[0] += side * 1e-3;
        double k_d = fit_modifier_diffuse(&next), chi2 = 0;
        for (size_t i = 0; i < N; i++) {
            double r =
                points[i].k_total - fit_modifier_total(fit_modifier_beam(&next, &points[i].at), k_d,
                                                       points[i].diffuse_share, 1, 0.3);
            chi2 += r * r / (points[i].u * points[i].u);
        }
        assert_true(chi2 > fit.chi2);
    }
}

static void test_refused(void **state)
{
    (void)state;
    const struct {
        const char *name;
        enum fit_modifier_form form;
        size_t n;
        double f0;
        struct fit_modifier_point points[2];
        enum fit_status expected;
    } rows[] = {
        {"no point", FIT_MODIFIER_B0, 0, 0, {{.k_total = 1}}, FIT_TOO_FEW},
        {"all at the normal", FIT_MODIFIER_B0, 2, 0, {{.k_total = 1}, {.k_total = 1.01}}, FIT_RANK},
        {"table near the normal", FIT_MODIFIER_TABLE, 1, 0, {{{3 * RAD, 0, 0}, 0, 1, 0}}, FIT_RANK},
        {"in the plane", FIT_MODIFIER_B0, 1, 0, {{{M_PI_2, 0, 0}, 0, 0.1, 0}}, FIT_RANGE},
        {"all diffuse", FIT_MODIFIER_B0, 1, 0, {{{0.7, 0, 0}, 1, 0.9, 0}}, FIT_RANGE},
        {"f0 above 1", FIT_MODIFIER_B0, 1, 1.1, {{{0.7, 0, 0}, 0, 0.9, 0}}, FIT_RANGE},
        {"u below 0", FIT_MODIFIER_B0, 1, 0, {{{0.7, 0, 0}, 0, 0.9, -0.1}}, FIT_RANGE},
        {"one u of two",
         FIT_MODIFIER_B0,
         2,
         0,
         {{{0.7, 0, 0}, 0, 0.9, 0.01}, {{0.8, 0, 0}, 0, 0.9, 0}},
         FIT_RANGE},
        {"no number", FIT_MODIFIER_B0, 1, 0, {{{0.7, 0, 0}, 0, NAN, 0}}, FIT_NOT_FINITE},
        {"two knots, one point",
         FIT_MODIFIER_TWO_PLANES,
         1,
         0,
         {{{0.7, 0.5, 0.5}, 0, 0.9, 0}},
         FIT_TOO_FEW},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fit_modifier_fit fit;
        enum fit_status status =
            fit_modifier_fit(rows[i].form, rows[i].points, rows[i].n,
                             &(struct fit_modifier_near){.diffuse_share = rows[i].f0}, &fit);
        if (status != rows[i].expected)
            fail_msg("%s: %s", rows[i].name, fit_status_text(status));
        assert_true(isnan(fit.m.coef[0]));
        assert_true(isnan(fit.cov[0]));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_forms),
        cmocka_unit_test(test_diffuse_closed),
        cmocka_unit_test(test_diffuse_other_forms),
        cmocka_unit_test(test_total),
        cmocka_unit_test(test_glass),
        cmocka_unit_test(test_two_planes_published),
        cmocka_unit_test(test_round_trip),
        cmocka_unit_test(test_round_trip_two_planes),
        cmocka_unit_test(test_covariance),
        cmocka_unit_test(test_minimum),
        cmocka_unit_test(test_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
