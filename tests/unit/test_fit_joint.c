/* fit/joint: curve and modifier in one fit, against exact data and fits made apart from the
 * program. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "aid_near.h"
#include "fit/joint.h"

#define RAD (M_PI / 180.0)

enum { N = 14 };

/* Invented readings of a plate with b0; angle in deg, f, T*, G, efficiency, u of it, u of T*. */
static const double table[N][7] = {
    {7.3, 0.13, 0.0031, 938, 0.7750, 0.0041, 0.00011},
    {14.1, 0.17, 0.0412, 911, 0.6069, 0.0052, 0.00014},
    {22.7, 0.21, 0.0187, 887, 0.6959, 0.0038, 0.00012},
    {31.4, 0.15, 0.0553, 842, 0.5253, 0.0047, 0.00017},
    {38.9, 0.28, 0.0094, 796, 0.7170, 0.0055, 0.00013},
    {44.6, 0.19, 0.0336, 758, 0.6088, 0.0049, 0.00016},
    {51.2, 0.24, 0.0622, 701, 0.4578, 0.0061, 0.00019},
    {57.8, 0.31, 0.0278, 644, 0.5795, 0.0058, 0.00018},
    {61.3, 0.22, 0.0049, 611, 0.6626, 0.0063, 0.00015},
    {12.2, 0.18, 0.0705, 926, 0.4535, 0.0044, 0.00012},
    {27.9, 0.26, 0.0641, 872, 0.4800, 0.0051, 0.00014},
    {48.3, 0.14, 0.0127, 733, 0.6888, 0.0057, 0.00016},
    {55.1, 0.29, 0.0498, 668, 0.4986, 0.0060, 0.00018},
    {35.6, 0.20, 0.0233, 815, 0.6674, 0.0046, 0.00013},
};

static void fill(struct fit_joint_point *points, bool weighed)
{
    for (size_t i = 0; i < N; i++) {
        const double *row = table[i];
        points[i] =
            (struct fit_joint_point){.curve = {.at = {.x = row[2], .g = row[3]}, .eta = row[4]},
                                     .angle = {.theta_rad = row[0] * RAD},
                                     .diffuse_share = row[1]};
        if (!weighed)
            continue;
        points[i].curve.u_eta = row[5];
        points[i].curve.u_x = row[6];
        points[i].curve.cov_eta_x = -0.4 * row[5] * row[6];
    }
}

static struct fit_joint_shape shape_of(const char *form, enum fit_modifier_form modifier)
{
    return (struct fit_joint_shape){
        .form = fit_form_find(form), .m = {.form = modifier}, .diffuse_share = 0.2};
}

/* Newton's steps on chi2 with its gradient by complex steps, in numpy 1.24; uncertainties by moving
 * every reading and fitting again. Written apart from the program. */
static void test_weighted(void **state)
{
    (void)state;
    const struct {
        const char *name;
        double coef, u;
    } rows[] = {{"eta0", 0.7815070988162, 0.0031052728},
                {"a1", 3.7822496119014, 0.1974198141},
                {"a2", 0.0127678181888, 0.0030541775},
                {"b0", 0.1469217902085, 0.0068987114}};
    struct fit_joint_point points[N];
    struct fit_joint fit;
    struct fit_joint_shape shape = shape_of("second order", FIT_MODIFIER_B0);
    fill(points, true);
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_OK);
    for (size_t j = 0; j < 4; j++) {
        aid_near_relative(rows[j].name, fit.coef[j], rows[j].coef, 1e-9);
        aid_near_relative(rows[j].name, sqrt(fit.cov[j * 4 + j]), rows[j].u, 1e-6);
    }
    aid_near_relative("chi2", fit.chi2, 5.588504440160, 1e-10);
    aid_near("correlation of a1 and b0", fit.cov[7] / sqrt(fit.cov[5] * fit.cov[15]),
             -0.444785241657, 1e-6);
    assert_int_equal(fit.dof, 10);
    fit_joint_free(&fit);
}

/* Every point the same: Gauss-Newton with complex steps in numpy, and R 4.2.2's nls, which stops at
 * 3e-7 of its own measure; its standard errors hold the residual scatter. */
static void test_equal(void **state)
{
    (void)state;
    const struct {
        const char *name;
        double coef, nls, u;
    } rows[] = {{"eta0", 0.7824987053729, 0.7824987051, 0.00257913976},
                {"a1", 3.8211912159945, 3.8211911347, 0.14937921525},
                {"a2", 0.012165555616068, 0.0121655570526, 0.00240748488},
                {"b0", 0.1477675406541, 0.1477675430843, 0.00489232505}};
    struct fit_joint_point points[N];
    struct fit_joint fit;
    struct fit_joint_shape shape = shape_of("second order", FIT_MODIFIER_B0);
    fill(points, false);
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_OK);
    assert_true(fit.equal_weights);
    for (size_t j = 0; j < 4; j++) {
        double u = sqrt(fit.cov_unit[j * 4 + j] * fit.chi2 / (double)fit.dof);
        aid_near_relative(rows[j].name, fit.coef[j], rows[j].coef, 1e-9);
        aid_near_relative(rows[j].name, fit.coef[j], rows[j].nls, 3e-7);
        aid_near_relative(rows[j].name, u, rows[j].u, 1e-6);
    }
    aid_near_relative("residual sum", fit.chi2, 0.000144225777943, 1e-9);
    fit_joint_free(&fit);
}

/* Points that obey a form give it back, also where none is near the normal. */
static void test_exact(void **state)
{
    (void)state;
    static const struct {
        const char *name, *form;
        struct fit_modifier m;
        double coef[4];
        double least_deg; /* angles go up from here */
    } rows[] = {
        {"b0",
         "second order",
         {.form = FIT_MODIFIER_B0, .n = 1, .coef = {0.137}},
         {0.763, 3.71, 0.0137},
         3.1},
        {"b0, none near the normal",
         "second order",
         {.form = FIT_MODIFIER_B0, .n = 1, .coef = {0.137}},
         {0.763, 3.71, 0.0137},
         24.3},
        {"b0 below nought",
         "line",
         {.form = FIT_MODIFIER_B0, .n = 1, .coef = {-0.071}},
         {0.587, 1.93},
         11.7},
        {"tangent",
         "second order",
         {.form = FIT_MODIFIER_TANGENT, .n = 1, .coef = {3.27}},
         {0.763, 3.71, 0.0137},
         17.9},
        {"table",
         "line",
         {.form = FIT_MODIFIER_TABLE,
          .n = 6,
          .coef = {0.997, 1.013, 0.991, 0.962, 0.913, 0.847},
          .knot_rad = {M_PI / 18, M_PI / 9, M_PI / 6, M_PI / 4.5, M_PI / 3.6, M_PI / 3}},
         {0.763, 3.71},
         0.9},
        {"with wind",
         "second order with wind",
         {.form = FIT_MODIFIER_B0, .n = 1, .coef = {0.137}},
         {0.763, 3.71, 0.0137, 0.41},
         3.1},
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        enum { MANY = 23 };
        struct fit_joint_point points[MANY];
        struct fit_joint fit,
            truth = {.form = fit_form_find(rows[r].form), .m = rows[r].m, .diffuse_share = 0.2};
        struct fit_joint_shape shape = shape_of(rows[r].form, rows[r].m.form);
        truth.p = truth.form->n_coef;
        truth.k_diffuse = fit_modifier_diffuse(&truth.m);
        memcpy(truth.coef, rows[r].coef, truth.p * sizeof *truth.coef);
        for (size_t i = 0; i < MANY; i++) {
            double theta = rows[r].least_deg + (62.3 - rows[r].least_deg) * (double)i / (MANY - 1);
            points[i] = (struct fit_joint_point){
                .curve = {.at = {.x = 0.0017 + 0.0071 * fmod(7.3 * (double)i, 10),
                                 .g = 960 - 11 * (double)i,
                                 .wind = fmod(3.7 * (double)i, 4) - 1},
                          .u_eta = 0.004 + 0.0001 * (double)i,
                          .u_x = 0.0001},
                .angle = {.theta_rad = theta * RAD},
                .diffuse_share = 0.11 + 0.02 * fmod(5.0 * (double)i, 7)};
            points[i].curve.eta = fit_joint_value(&truth, &points[i]);
        }
        assert_int_equal(fit_joint_fit(&shape, points, MANY, &fit), FIT_OK);
        assert_int_equal(fit.q, rows[r].m.n);
        for (size_t j = 0; j < fit.p; j++)
            aid_near_relative(rows[r].name, fit.coef[j], rows[r].coef[j], 1e-9);
        for (size_t k = 0; k < fit.q; k++)
            aid_near_relative(rows[r].name, fit.m.coef[k], rows[r].m.coef[k], 1e-9);
        fit_joint_free(&fit);
    }
}

/* A refit of moved points is the fit of them. */
static void test_again(void **state)
{
    (void)state;
    struct fit_joint_point points[N];
    struct fit_joint fit, moved;
    double coef[FIT_MAX_COEF];
    struct fit_joint_shape shape = shape_of("second order", FIT_MODIFIER_B0);
    fill(points, true);
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_OK);
    for (size_t i = 0; i < N; i++) {
        points[i].angle.theta_rad += 0.9 * RAD;
        points[i].curve.eta *= 1.013;
    }
    assert_int_equal(fit_joint_again(&fit, points, coef), FIT_OK);
    assert_int_equal(fit_joint_fit(&shape, points, N, &moved), FIT_OK);
    for (size_t j = 0; j < 4; j++) {
        aid_near_relative("again", coef[j], moved.coef[j], 1e-10);
        assert_true(fabs(coef[j] - fit.coef[j]) > 1e-4 * fabs(fit.coef[j]));
    }
    fit_joint_free(&fit);
    fit_joint_free(&moved);
}

/* How much less well b0 is known beside an unknown curve is 1/sqrt(1 - R^2) of its column on the
 * curve's; with x a matter of the angle alone nothing is known, and nothing is said. */
static void test_apart(void **state)
{
    (void)state;
    struct fit_joint_point points[N];
    struct fit_joint fit;
    struct fit_joint_shape shape = shape_of("line", FIT_MODIFIER_B0);
    double t[N], x[2 * N], inside = 0, all = 0;
    struct fit_linear line;
    fill(points, false);
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_OK);
    for (size_t i = 0; i < N; i++) {
        double slopes[FIT_MAX_COEF];
        fit_joint_slopes(&fit, &points[i], slopes);
        x[2 * i] = slopes[0];
        x[2 * i + 1] = slopes[1];
        t[i] = slopes[2];
    }
    assert_int_equal(fit_linear(x, t, NULL, N, 2, &line), FIT_OK);
    for (size_t i = 0; i < N; i++) {
        inside += pow(line.coef[0] * x[2 * i] + line.coef[1] * x[2 * i + 1], 2);
        all += t[i] * t[i];
    }
    aid_near_relative("widened b0", fit.widened[2], 1 / sqrt(1 - inside / all), 1e-6);
    fit_joint_free(&fit);
    for (size_t i = 0; i < N; i++) { /* K as it begins, b0 = 0.1, on the curve's points */
        points[i].diffuse_share = 0;
        points[i].curve.at.x = 0.02 * (1 / cos(points[i].angle.theta_rad) - 1);
    }
    shape.diffuse_share = 0;
    enum fit_status status = fit_joint_fit(&shape, points, N, &fit);
    assert_int_equal(status, FIT_RANK);
    assert_true(fit.widened[2] > 1e8);
    assert_true(isnan(fit.coef[0]));
    fit_joint_free(&fit);
}

static void test_refused(void **state)
{
    (void)state;
    struct fit_joint_point points[N];
    struct fit_joint fit;
    struct fit_joint_shape shape = shape_of("second order", FIT_MODIFIER_B0);
    fill(points, true);
    assert_int_equal(fit_joint_fit(&shape, points, 3, &fit), FIT_TOO_FEW);
    points[4].angle.theta_rad = M_PI_2;
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_RANGE);
    points[4].angle.theta_rad = NAN;
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_NOT_FINITE);
    fill(points, true);
    points[5].curve.u_eta = points[5].curve.u_x = points[5].curve.cov_eta_x = 0;
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_RANGE);
    fill(points, true);
    for (size_t i = 0; i < N; i++)
        points[i] = (struct fit_joint_point){
            .curve = points[i].curve, .angle = {.theta_rad = 41.3 * RAD}, .diffuse_share = 0.2};
    assert_int_equal(fit_joint_fit(&shape, points, N, &fit), FIT_RANK);
    assert_true(fit.widened[3] > 1e8);
    fit_joint_free(&fit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_weighted), cmocka_unit_test(test_equal),
        cmocka_unit_test(test_exact),    cmocka_unit_test(test_again),
        cmocka_unit_test(test_apart),    cmocka_unit_test(test_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
