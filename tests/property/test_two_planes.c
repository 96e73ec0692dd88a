/* A modifier of two planes from whole tests: exact points give their tables back, in turn with the
 * curve and together with it; an error of the tilt does what another tilt does; intervals called 95
 * % hold the truth in 95 % of 400 tests drawn anew. Bounds as in test_modifier.c. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/randoms.h"
#include "run/joint.h"
#include "sky/incidence.h"
#include "tests/unit/aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define RAD (M_PI / 180)

enum { SEEDS = 400, HOLD_AT_LEAST = 364, NEAR = 12, POINTS = 48 };
static const double z_least = 0.88, z_most = 1.12;

#define ETA0 0.643
#define A1 2.83
#define A2 0.0079
#define TILT_RAD (43.7 * RAD)
#define AZIMUTH_RAD (191.3 * RAD)

/* Figures at the places that the points are nearest to. */
static const struct fit_modifier truth = {
    .form = FIT_MODIFIER_TWO_PLANES,
    .n = 8,
    .n_along = 3,
    .coef = {0.993, 0.941, 0.853, 1.031, 1.083, 1.127, 1.019, 0.871},
    .knot_rad = {20 * RAD, 40 * RAD, 60 * RAD, 10 * RAD, 20 * RAD, 40 * RAD, 50 * RAD, 60 * RAD}};

struct test {
    struct fluid water;
    struct point_setup setup;
    struct error_registry errors;
    struct faults faults;
    struct means exact[POINTS];
    struct means means[POINTS];
    struct point points[POINTS];
};

static void add_row(struct test *test, const char *id, enum error_kind kind, double u,
                    enum shift_target what, enum channel channel)
{
    struct error_source row = {
        .kind = kind, .u = u, .dof = INFINITY, .n_targets = 1, .targets = {{what, channel, 1.0}}};
    snprintf(row.id, sizeof row.id, "%s", id);
    snprintf(row.label, sizeof row.label, "%s", id);
    assert_true(registry_add(&test->errors, &row, &test->faults));
}

/* The angles of a point in both planes, degrees: at the places of the tables, with near ones
 * within 12 degrees of the normal. */
static void angles_of(size_t i, double *along, double *across)
{
    static const double alongs[] = {0, 20, 40, 60, 20, 0, 40}, acrosses[] = {0, 10, 20, 40, 50, 60};
    if (i < NEAR) {
        *along = 0;
        *across = 10 * (double)(i % 3 > 0) * (i % 2 ? -1 : 1);
        return;
    }
    *along = alongs[i % 7] * (i % 4 == 1 ? -1 : 1);
    *across = acrosses[(5 * i + i / 6) % 6] * (i % 5 == 2 ? -1 : 1);
    if (fabs(*along) + fabs(*across) < 15)
        *across = 40;
}

static void set_sun(struct means *means, double along_deg, double across_deg)
{
    struct plane plane = plane_of(TILT_RAD, AZIMUTH_RAD);
    struct vector at =
        vector_sum(tan(along_deg * RAD), plane.up_slope, tan(across_deg * RAD), plane.across);
    at = vector_sum(1, plane.normal, 1, at);
    double length = sqrt(vector_dot(at, at));
    means->sun.known = means->sun.plane_known = true;
    means->sun.at[0] = at.x / length;
    means->sun.at[1] = at.y / length;
    means->sun.at[2] = at.z / length;
    means->sun.tilt_rad = TILT_RAD;
    means->sun.azimuth_rad = AZIMUTH_RAD;
    means->has[CH_INCIDENCE] = true;
    means->mean[CH_INCIDENCE] = atan(hypot(tan(along_deg * RAD), tan(across_deg * RAD)));
}

/* What the collector yields, without errors: the outlet that fits. */
static void settle_outlet(struct test *test, struct means *means, const struct fit_angle *at)
{
    double *m = means->mean, f = means->sun.diffuse_share;
    double k_b = fit_modifier_beam(&truth, at), k_d = fit_modifier_diffuse(&truth);
    m[CH_OUTLET] = m[CH_INLET] + 5;
    for (int i = 0; i < 60; i++) {
        struct point_value value;
        assert_int_equal(point_evaluate(means, &test->setup, NULL, &value), POINT_OK);
        double wanted =
            ETA0 * (k_b * (1 - f) + k_d * f) - A1 * value.x - A2 * value.g_W_m2 * value.x * value.x;
        m[CH_OUTLET] += (wanted / value.eta - 1) * (m[CH_OUTLET] - m[CH_INLET]);
    }
}

static void make_exact(struct test *test, size_t i)
{
    static const enum channel channels[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,
                                            CH_OUTLET,     CH_FLOW,    CH_DIFFUSE};
    struct means *means = &test->exact[i];
    double k = (double)i, along, across;
    memset(means, 0, sizeof *means);
    angles_of(i, &along, &across);
    snprintf(means->name, sizeof means->name, "p%zu", i + 1);
    means->session = (int64_t)(i % 5);
    means->readings = 60;
    means->drift_K_s = NAN;
    for (size_t c = 0; c < sizeof channels / sizeof channels[0]; c++)
        means->has[channels[c]] = true;
    set_sun(means, along, across);
    means->mean[CH_IRRADIANCE] = 300 + 640 * cos(means->mean[CH_INCIDENCE]);
    means->mean[CH_AMBIENT] = 22.3 + 0.2 * fmod(k, 6);
    means->mean[CH_INLET] = i % 3 == 0 ? 21.4 + 0.3 * fmod(k, 5) : 21.4 + 17.3 * (double)(i % 4);
    means->mean[CH_FLOW] = 2.4e-3 / 60;
    means->sun.share = SHARE_MEASURED;
    means->sun.diffuse_share = 0.12 + 0.02 * fmod(7 * k, 11);
    means->mean[CH_DIFFUSE] = means->sun.diffuse_share * means->mean[CH_IRRADIANCE];
    settle_outlet(test, means,
                  &(struct fit_angle){means->mean[CH_INCIDENCE], along * RAD, across * RAD});
    means->u[CH_IRRADIANCE] = 2.1;
    means->u[CH_INLET] = means->u[CH_OUTLET] = 0.012;
    means->u[CH_FLOW] = 0.0011 * means->mean[CH_FLOW];
}

static void test_init(struct test *test)
{
    memset(test, 0, sizeof *test);
    faults_init(&test->faults);
    registry_init(&test->errors);
    fluid_water(&test->water);
    test->setup =
        (struct point_setup){.fluid = &test->water, .area_m2 = 2.05, .longitude_rad = NAN};
    add_row(test, "sun", ERROR_CALIBRATION, 0.011, SHIFT_GAIN, CH_IRRADIANCE);
    add_row(test, "diffuse", ERROR_CALIBRATION, 0.03, SHIFT_GAIN, CH_DIFFUSE);
    add_row(test, "outlet", ERROR_CALIBRATION, 0.04, SHIFT_OFFSET, CH_OUTLET);
    add_row(test, "air", ERROR_CALIBRATION, 0.2, SHIFT_OFFSET, CH_AMBIENT);
    add_row(test, "meter, from day to day", ERROR_SESSION, 0.003, SHIFT_GAIN, CH_FLOW);
    for (size_t i = 0; i < POINTS; i++)
        make_exact(test, i);
}

static void make_points(struct test *test, bool apart)
{
    for (size_t i = 0; i < POINTS; i++)
        assert_true(point_make(&test->points[i], &test->means[i], &test->setup, &test->errors,
                               &test->faults));
    if (apart)
        modifier_keep_apart(test->points, POINTS, 15 * RAD);
}

static const struct efficiency_request request = {.form = "second order",
                                                  .scale = FIT_SCALE_STATED};

static bool fit_in_turn(struct test *test, struct modifier *m, enum fit_modifier_form form)
{
    struct efficiency e;
    assert_true(efficiency_fit(&e, test->points, POINTS, &test->setup, &test->errors, &request,
                               &test->faults));
    bool good = modifier_fit(m, &e, test->points, POINTS, &test->setup, &test->errors, form,
                             request.scale, &test->faults);
    efficiency_free(&e);
    return good;
}

static bool fit_together(struct test *test, struct joint *joint)
{
    return joint_fit(joint, test->points, POINTS, &test->setup, &test->errors, &request,
                     FIT_MODIFIER_TWO_PLANES, &test->faults);
}

/* Tables come back; with the tubes level the planes change places. */
static void test_exact(void **state)
{
    (void)state;
    static struct test test;
    struct modifier m;
    struct joint joint;
    test_init(&test);
    memcpy(test.means, test.exact, sizeof test.means);
    make_points(&test, true);
    assert_true(fit_in_turn(&test, &m, FIT_MODIFIER_TWO_PLANES));
    assert_int_equal(m.fit.m.n, truth.n);
    assert_int_equal(m.fit.m.n_along, truth.n_along);
    for (size_t j = 0; j < truth.n; j++)
        aid_near("in turn", m.fit.m.coef[j], truth.coef[j], 1e-7);
    aid_near("K of the sky", m.fit.k_diffuse, fit_modifier_diffuse(&truth), 1e-7);
    modifier_free(&m);
    make_points(&test, false);
    assert_true(fit_together(&test, &joint));
    assert_int_equal(joint.m.fit.m.n, truth.n);
    for (size_t j = 0; j < truth.n; j++)
        aid_near_relative("together", joint.m.fit.m.coef[j], truth.coef[j], 1e-9);
    aid_near_relative("eta0", joint_eta0_of_beam(&joint).value, ETA0, 1e-9);
    aid_near_relative("a1", joint.e.curve.coef[1], A1, 1e-9);
    joint_free(&joint);
    test.setup.tubes_level = true;
    make_points(&test, false);
    assert_true(fit_together(&test, &joint));
    assert_int_equal(joint.m.fit.m.n_along, truth.n - truth.n_along);
    aid_near_relative("level", joint.m.fit.m.coef[0], truth.coef[truth.n_along], 1e-9);
    joint_free(&joint);
    registry_free(&test.errors);
}

/* Without errors of its own, a tilt that is off moves every figure as its row says. Points at
 * places of a table pass from one straight piece to the next: half steps of both sides, not one. */
static void test_tilt(void **state)
{
    (void)state;
    static struct test test;
    struct modifier m, side[2];
    test_init(&test);
    add_row(&test, "tilt", ERROR_CALIBRATION, 0.6 * RAD, SHIFT_TILT, CH_IRRADIANCE);
    memcpy(test.means, test.exact, sizeof test.means);
    make_points(&test, true);
    assert_true(fit_in_turn(&test, &m, FIT_MODIFIER_TWO_PLANES));
    for (int s = 0; s < 2; s++) {
        for (size_t i = 0; i < POINTS; i++) {
            struct vector at = {test.exact[i].sun.at[0], test.exact[i].sun.at[1],
                                test.exact[i].sun.at[2]};
            test.means[i] = test.exact[i];
            test.means[i].sun.tilt_rad += (s == 0 ? 0.6 : -0.6) * RAD;
            struct plane plane = plane_of(test.means[i].sun.tilt_rad, AZIMUTH_RAD);
            test.means[i].mean[CH_INCIDENCE] = incidence_rad(&plane, at);
        }
        make_points(&test, true);
        assert_true(fit_in_turn(&test, &side[s], FIT_MODIFIER_TWO_PLANES));
    }
    size_t k = 0;
    while (strcmp(m.shares[k].row->id, "tilt") != 0)
        k++;
    double most = 0;
    for (size_t j = 0; j < truth.n; j++) {
        double half = 0.5 * (side[0].fit.m.coef[j] - side[1].fit.m.coef[j]);
        /* Whole fits form the weights anew, in which each point's own angle has a part. */
        aid_near("tilt", m.shares[k].d[j], half, 1e-5);
        most = fmax(most, fabs(half));
    }
    assert_true(most > 1e-4);
    modifier_free(&m);
    modifier_free(&side[0]);
    modifier_free(&side[1]);
    registry_free(&test.errors);
}

/* A sun that moves in one plane alone, and points whose projections are not known. */
static void test_refused(void **state)
{
    (void)state;
    static struct test test;
    struct modifier m;
    test_init(&test);
    for (size_t i = 0; i < POINTS; i++) {
        test.means[i] = test.exact[i];
        set_sun(&test.means[i], 0, i < NEAR ? 5 : 20 + (double)i);
    }
    make_points(&test, true);
    assert_false(fit_in_turn(&test, &m, FIT_MODIFIER_TWO_PLANES));
    assert_non_null(strstr(test.faults.items[0].expected, "and others across them"));
    assert_true(fit_in_turn(&test, &m, FIT_MODIFIER_TABLE));
    modifier_free(&m);
    faults_init(&test.faults);
    for (size_t i = 0; i < POINTS; i++) {
        test.means[i] = test.exact[i];
        test.means[i].sun.plane_known = false;
    }
    make_points(&test, true);
    assert_true(isnan(test.points[0].value.slope_rad));
    assert_false(fit_in_turn(&test, &m, FIT_MODIFIER_TWO_PLANES));
    assert_non_null(strstr(test.faults.items[0].found, "the angles along the tubes and across "));
    registry_free(&test.errors);
}

static void draw(struct test *test, struct randoms *randoms)
{
    struct shifts common, daily[5];
    memset(&common, 0, sizeof common);
    memset(daily, 0, sizeof daily);
    for (size_t k = 0; k < test->errors.n; k++) {
        const struct error_source *row = &test->errors.rows[k];
        for (size_t day = 0; day < 5; day++)
            if (row->kind == ERROR_SESSION)
                shifts_add(&daily[day], row, row->u * randoms_normal(randoms));
        if (row->kind == ERROR_CALIBRATION)
            shifts_add(&common, row, row->u * randoms_normal(randoms));
    }
    for (size_t i = 0; i < POINTS; i++) {
        struct means *means = &test->means[i];
        const struct shifts *day = &daily[means->session];
        *means = test->exact[i];
        for (int c = 0; c < CH_COUNT; c++) {
            means->mean[c] += means->u[c] * randoms_normal(randoms);
            means->mean[c] = (means->mean[c] - common.offset[c] - day->offset[c]) /
                             (1 + common.gain[c]) / (1 + day->gain[c]);
        }
        means->sun.diffuse_share = means->mean[CH_DIFFUSE] / means->mean[CH_IRRADIANCE];
    }
}

struct tally {
    int held;
    double z2;
};

static void count(struct tally *tallies, const struct modifier *m)
{
    for (size_t j = 0; j <= truth.n; j++) {
        struct fit_band band = j < truth.n ? modifier_coef(m, j) : modifier_diffuse(m);
        double off = band.value - (j < truth.n ? truth.coef[j] : fit_modifier_diffuse(&truth));
        tallies[j].held += fabs(off) <= band.half_95;
        tallies[j].z2 += off / band.u * (off / band.u);
    }
}

static void judge(const char *way, const struct tally *tallies)
{
    for (size_t j = 0; j <= truth.n; j++) {
        double rms = sqrt(tallies[j].z2 / SEEDS);
        print_message("%s, %zu: held in %d of %d, rms z %.2f\n", way, j, tallies[j].held, SEEDS,
                      rms);
        if (tallies[j].held < HOLD_AT_LEAST || !(rms >= z_least && rms <= z_most))
            fail_msg("%s, %zu: held in %d of %d, at least %d wanted; rms z %.3f", way, j,
                     tallies[j].held, SEEDS, HOLD_AT_LEAST, rms);
    }
}

static void test_coverage(void **state)
{
    (void)state;
    static struct test test;
    struct tally in_turn[FIT_MAX_COEF] = {{0, 0}}, together[FIT_MAX_COEF] = {{0, 0}};
    struct randoms randoms;
    test_init(&test);
    assert_true(randoms_init(&randoms, &test.faults));
    for (int seed = 0; seed < SEEDS; seed++) {
        struct modifier m;
        struct joint joint;
        randoms_seed(&randoms, 611, (uint64_t)seed);
        draw(&test, &randoms);
        make_points(&test, true);
        assert_true(fit_in_turn(&test, &m, FIT_MODIFIER_TWO_PLANES));
        count(in_turn, &m);
        modifier_free(&m);
        make_points(&test, false);
        assert_true(fit_together(&test, &joint));
        count(together, &joint.m);
        joint_free(&joint);
    }
    judge("in turn", in_turn);
    judge("together", together);
    randoms_free(&randoms);
    registry_free(&test.errors);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_exact),
        cmocka_unit_test(test_tilt),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_coverage),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
