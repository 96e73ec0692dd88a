/* Whether the intervals called 95 % of a curve and a modifier fitted together hold the truth in 95
 * % of tests, and whether points that cannot tell both apart are told from those that can.
 *
 * 400 whole tests of a rack that stands still are drawn at the level of window means: a plate that
 * obeys second order and b0, twenty-four points 18 to 63 degrees off the normal at four
 * temperatures, each with its own share of diffuse light. Every row of the registry and every
 * reading is drawn anew, those of angle and diffuse light too, and the means go through the real
 * path (point_make, joint_fit).
 *
 * With a true coverage of 0.95 the number that holds is binomial(400, 0.95); at least 364 are
 * demanded: P(363 or fewer) = 2.9e-4. That it is not idly wide, the root mean square of z shows:
 * over 400, 400 z^2 is chi-square with 400 degrees of freedom and leaves 0.88 to 1.12 with P = 6e-4
 * in all.
 *
 * The first 40 tests of one plate are also drawn, 20,000 draws each: of the drawn intervals at
 * least 32 are to hold the truth, P(31 or fewer of 40) = 1.3e-4, and their widths are on average
 * within a tenth of the linear ones: the problem is nearly straight. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/randoms.h"
#include "fit/combine.h"
#include "run/joint_draws.h"
#include "tests/unit/aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define RAD (M_PI / 180)

enum { DRAWN = 40, DRAWN_HOLD = 32 };
enum { SEEDS = 400, HOLD_AT_LEAST = 364, POINTS = 24 };
static const double z_least = 0.88, z_most = 1.12;

#define ETA0 0.783
#define A1 3.71
#define A2 0.0113
#define AREA_M2 2.05

/* How angle and temperature go together. */
enum layout {
    MIXED,        /* not at all */
    NEARLY,       /* the warmer, the further off the normal */
    HAND_IN_HAND, /* 1/cos - 1 by the temperature, to the last digit */
    ONE_ANGLE
};

struct test {
    struct fluid water;
    struct point_setup setup;
    struct error_registry errors;
    struct faults faults;
    struct means exact[POINTS];
    struct means means[POINTS];
    struct point points[POINTS];
    double b0;
    enum layout layout;
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

static void add_errors(struct test *test)
{
    const enum error_kind whole = ERROR_CALIBRATION;
    add_row(test, "sun", whole, 0.011, SHIFT_GAIN, CH_IRRADIANCE);
    add_row(test, "zero of the sun sensor", whole, 2.3, SHIFT_OFFSET, CH_IRRADIANCE);
    add_row(test, "diffuse", whole, 0.03, SHIFT_GAIN, CH_DIFFUSE);
    add_row(test, "inlet", whole, 0.04, SHIFT_OFFSET, CH_INLET);
    add_row(test, "outlet", whole, 0.04, SHIFT_OFFSET, CH_OUTLET);
    add_row(test, "air", whole, 0.2, SHIFT_OFFSET, CH_AMBIENT);
    add_row(test, "meter", whole, 0.006, SHIFT_GAIN, CH_FLOW);
    add_row(test, "angle", whole, 0.7 * RAD, SHIFT_OFFSET, CH_INCIDENCE);
    add_row(test, "area", whole, 0.002, SHIFT_AREA, CH_IRRADIANCE);
    add_row(test, "meter, from day to day", ERROR_SESSION, 0.003, SHIFT_GAIN, CH_FLOW);
}

/* What the plate yields, without errors: the outlet that fits. */
static void settle_outlet(struct test *test, struct means *means)
{
    double *m = means->mean, f = means->sun.diffuse_share;
    double k_b = 1 - test->b0 * (1 / cos(m[CH_INCIDENCE]) - 1), k_d = 1 / (1 + test->b0);
    m[CH_OUTLET] = m[CH_INLET] + 5;
    for (int i = 0; i < 60; i++) {
        struct point_value value;
        assert_int_equal(point_evaluate(means, &test->setup, NULL, &value), POINT_OK);
        double wanted =
            ETA0 * (k_b * (1 - f) + k_d * f) - A1 * value.x - A2 * value.g_W_m2 * value.x * value.x;
        m[CH_OUTLET] += (wanted / value.eta - 1) * (m[CH_OUTLET] - m[CH_INLET]);
    }
}

static double angle_deg(enum layout layout, double k, double level)
{
    switch (layout) {
    case NEARLY:
        return 18.3 + 13.9 * level + 0.31 * fmod(k, 5);
    case HAND_IN_HAND:
        return acos(1 / (1.11 + 0.29 * level)) / RAD;
    case ONE_ANGLE:
        return 41.3 + 0.4 * fmod(k, 5);
    default:
        return 18.3 + 1.94 * fmod(7 * k, 24);
    }
}

static void make_exact(struct test *test, size_t i)
{
    static const enum channel channels[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,    CH_OUTLET,
                                            CH_FLOW,       CH_DIFFUSE, CH_INCIDENCE};
    struct means *means = &test->exact[i];
    double k = (double)i, level = (double)(i % 4);
    memset(means, 0, sizeof *means);
    snprintf(means->name, sizeof means->name, "p%zu", i + 1);
    means->session = (int64_t)(i % 4);
    means->readings = 60;
    means->drift_K_s = NAN;
    for (size_t c = 0; c < sizeof channels / sizeof channels[0]; c++)
        means->has[channels[c]] = true;
    double f = 0.12 + 0.02 * fmod(7 * k, 11);
    double theta_deg = angle_deg(test->layout, k, level);
    means->mean[CH_IRRADIANCE] = test->layout == HAND_IN_HAND ? 813 : 985 - 7.3 * theta_deg;
    means->mean[CH_AMBIENT] = 22.3 + (test->layout == HAND_IN_HAND ? 0 : 0.2 * fmod(k, 6));
    means->mean[CH_INLET] =
        19.7 + 19.3 * level + (test->layout == HAND_IN_HAND ? 0 : 0.3) * fmod(k, 7);
    means->mean[CH_FLOW] = 2.4e-3 / 60;
    means->mean[CH_DIFFUSE] = f * means->mean[CH_IRRADIANCE];
    means->mean[CH_INCIDENCE] = theta_deg * RAD;
    means->sun.share = SHARE_MEASURED;
    means->sun.diffuse_share = f;
    settle_outlet(test, means);
    means->u[CH_IRRADIANCE] = 2.1;
    means->u[CH_AMBIENT] = 0.05;
    means->u[CH_INLET] = means->u[CH_OUTLET] = 0.012;
    means->u[CH_FLOW] = 0.0011 * means->mean[CH_FLOW];
    means->u[CH_DIFFUSE] = 3.1;
    means->u[CH_INCIDENCE] = 0.27 * RAD;
}

static void test_init(struct test *test, double b0, enum layout layout)
{
    memset(test, 0, sizeof *test);
    faults_init(&test->faults);
    registry_init(&test->errors);
    fluid_water(&test->water);
    test->b0 = b0;
    test->layout = layout;
    test->setup =
        (struct point_setup){.fluid = &test->water, .area_m2 = AREA_M2, .longitude_rad = NAN};
    add_errors(test);
    for (size_t i = 0; i < POINTS; i++)
        make_exact(test, i);
}

/* What instruments in error by these shifts show: point_evaluate, moved back by them, finds the
 * truth. */
static void show(struct means *means, const struct shifts *shifts)
{
    for (int c = 0; c < CH_COUNT; c++)
        if (means->has[c])
            means->mean[c] = (means->mean[c] - shifts->offset[c]) / (1 + shifts->gain[c]);
}

static void draw(struct test *test, struct randoms *randoms)
{
    struct shifts common, daily[8];
    memset(&common, 0, sizeof common);
    memset(daily, 0, sizeof daily);
    for (size_t k = 0; k < test->errors.n; k++) {
        const struct error_source *row = &test->errors.rows[k];
        for (size_t day = 0; day < 8; day++) {
            if (row->kind == ERROR_SESSION)
                shifts_add(&daily[day], row, row->u * randoms_normal(randoms));
            else if (day == 0)
                shifts_add(&common, row, row->u * randoms_normal(randoms));
        }
    }
    test->setup.area_m2 = AREA_M2 / (1 + common.area);
    for (size_t i = 0; i < POINTS; i++) {
        struct means *means = &test->means[i];
        *means = test->exact[i];
        for (int c = 0; c < CH_COUNT; c++)
            means->mean[c] += means->u[c] * randoms_normal(randoms);
        show(means, &common);
        show(means, &daily[means->session]);
        means->sun.diffuse_share = means->mean[CH_DIFFUSE] / means->mean[CH_IRRADIANCE];
        assert_true(
            point_make(&test->points[i], means, &test->setup, &test->errors, &test->faults));
    }
}

struct tally {
    int held;
    double z2;
};

static void count(struct tally *tally, const struct fit_band *band, double truth)
{
    double off = band->value - truth;
    tally->held += fabs(off) <= band->half_95;
    tally->z2 += off / band->u * (off / band->u);
}

static void judge(const char *name, const struct tally *tally)
{
    double rms = sqrt(tally->z2 / SEEDS);
    print_message("%s held in %d of %d, rms z %.2f\n", name, tally->held, SEEDS, rms);
    if (tally->held < HOLD_AT_LEAST || !(rms >= z_least && rms <= z_most))
        fail_msg("%s: held in %d of %d, at least %d wanted; rms z %.3f, wanted %.2f to %.2f", name,
                 tally->held, SEEDS, HOLD_AT_LEAST, rms, z_least, z_most);
}

/* Drawn intervals: how many held, and how wide they are beside the linear ones. */
struct drawn {
    int held;
    double width;
};

static void count_drawn(struct drawn *drawn, const struct draws_interval *interval, double truth)
{
    drawn->held += interval->low <= truth && truth <= interval->high;
    drawn->width += (interval->high - interval->low) /
                    (interval->high_linear - interval->low_linear) / DRAWN;
}

static void judge_drawn(const char *name, const struct drawn *drawn)
{
    print_message("%s drawn: held in %d of %d, %.3f as wide as the linear ones\n", name,
                  drawn->held, DRAWN, drawn->width);
    if (drawn->held < DRAWN_HOLD || !(fabs(drawn->width - 1) < 0.1))
        fail_msg("%s drawn: held in %d of %d, at least %d wanted; %.3f as wide, wanted 0.9 to 1.1",
                 name, drawn->held, DRAWN, DRAWN_HOLD, drawn->width);
}

static bool fit(struct test *test, struct joint *joint)
{
    const struct efficiency_request request = {.form = "second order", .scale = FIT_SCALE_STATED};
    return joint_fit(joint, test->points, POINTS, &test->setup, &test->errors, &request,
                     FIT_MODIFIER_B0, &test->faults);
}

enum { ETA0_HEM, ETA0_BEAM, A_1, A_2, B_0, K_50, K_D, TALLIES };
static const char *const names[TALLIES] = {"eta0",  "eta0 of the beam", "a1", "a2", "b0",
                                           "K(50)", "K of the sky"};

static struct fit_band band_of(const struct joint *joint, size_t coef)
{
    struct fit_band band = {.value = joint->e.curve.coef[coef]};
    efficiency_combined(&joint->e, coef, &band.u, &band.dof);
    band.half_95 = fit_coverage_95(band.dof) * band.u;
    return band;
}

static void count_all(struct tally *tallies, const struct joint *joint, double b0)
{
    double k_d = b0 < 0 ? 1 - b0 : 1 / (1 + b0), f0 = joint->share_mean;
    const double truths[TALLIES] = {ETA0 * (1 - f0 + k_d * f0),       ETA0, A1, A2, b0,
                                    1 - b0 * (1 / cos(50 * RAD) - 1), k_d};
    const struct fit_band bands[TALLIES] = {
        band_of(joint, 0),          joint_eta0_of_beam(joint),   band_of(joint, 1),
        band_of(joint, 2),          modifier_coef(&joint->m, 0), modifier_at(&joint->m, 50 * RAD),
        modifier_diffuse(&joint->m)};
    for (int t = 0; t < TALLIES; t++)
        count(&tallies[t], &bands[t], truths[t]);
}

/* Where each of the tallies stands among the drawn numbers. */
static const size_t places[TALLIES] = {0, 6, 1, 2, 3, 4, 5};

static void draw_errors(struct test *test, const struct joint *joint, double b0,
                        struct drawn *drawn)
{
    const struct draws_request request = {.draws = 20000, .seed = 3, .threads = 1};
    double k_d = b0 < 0 ? 1 - b0 : 1 / (1 + b0), f0 = joint->share_mean;
    const double truths[TALLIES] = {ETA0 * (1 - f0 + k_d * f0),       ETA0, A1, A2, b0,
                                    1 - b0 * (1 / cos(50 * RAD) - 1), k_d};
    struct draws draws;
    assert_true(joint_draw(joint, test->points, &test->setup, &test->errors, &request, 900, &draws,
                           &test->faults));
    assert_true(draws.usable && draws.refused == 0);
    for (int t = 0; t < TALLIES; t++)
        count_drawn(&drawn[t], &draws.of[places[t]], truths[t]);
}

static void cover(double b0, bool drawing)
{
    struct drawn drawn[TALLIES] = {{0, 0}};
    static struct test test;
    struct tally tallies[TALLIES] = {{0, 0}};
    struct randoms randoms;
    char name[48];
    test_init(&test, b0, MIXED);
    assert_true(randoms_init(&randoms, &test.faults));
    for (int seed = 0; seed < SEEDS; seed++) {
        struct joint joint;
        randoms_seed(&randoms, 503, (uint64_t)seed);
        draw(&test, &randoms);
        assert_true(fit(&test, &joint));
        count_all(tallies, &joint, b0);
        if (drawing && seed < DRAWN)
            draw_errors(&test, &joint, b0, drawn);
        joint_free(&joint);
    }
    for (int t = 0; t < TALLIES; t++) {
        snprintf(name, sizeof name, "b0 %.3f: %s", b0, names[t]);
        judge(name, &tallies[t]);
        if (drawing)
            judge_drawn(name, &drawn[t]);
    }
    randoms_free(&randoms);
    registry_free(&test.errors);
}

static void test_coverage(void **state)
{
    (void)state;
    cover(0.137, true);
    cover(-0.058, false);
}

static void take_exact(struct test *test, double angle_rad)
{
    for (size_t i = 0; i < POINTS; i++) {
        test->means[i] = test->exact[i];
        test->means[i].mean[CH_INCIDENCE] += angle_rad;
        assert_true(point_make(&test->points[i], &test->means[i], &test->setup, &test->errors,
                               &test->faults));
    }
}

/* Without errors all coefficients come back; what an error of the angle does is what comes of
 * angles that are off by it, to within the weights, which refits keep and whole fits form anew. */
static void test_exact(void **state)
{
    (void)state;
    static struct test test;
    struct joint joint, side[2];
    test_init(&test, 0.137, MIXED);
    take_exact(&test, 0);
    assert_true(fit(&test, &joint));
    aid_near_relative("eta0 of the beam", joint_eta0_of_beam(&joint).value, ETA0, 1e-9);
    aid_near_relative("a1", joint.e.curve.coef[1], A1, 1e-9);
    aid_near_relative("a2", joint.e.curve.coef[2], A2, 1e-9);
    aid_near_relative("b0", joint.m.fit.m.coef[0], 0.137, 1e-9);
    for (int s = 0; s < 2; s++) {
        take_exact(&test, s == 0 ? 0.7 * RAD : -0.7 * RAD);
        assert_true(fit(&test, &side[s]));
    }
    size_t seen = 0;
    for (size_t k = 0; k < joint.e.n_shares; k++) {
        if (strcmp(joint.e.shares[k].row->id, "angle") != 0)
            continue;
        seen++;
        aid_near_relative("angle on a1", joint.e.shares[k].d[1],
                          0.5 * (side[0].e.curve.coef[1] - side[1].e.curve.coef[1]), 1e-3);
        aid_near_relative("angle on b0", joint.m.shares[k].d[0],
                          0.5 * (side[0].m.fit.m.coef[0] - side[1].m.fit.m.coef[0]), 1e-3);
    }
    assert_int_equal(seen, 1);
    joint_free(&side[0]);
    joint_free(&side[1]);
    joint_free(&joint);
    registry_free(&test.errors);
}

/* What cannot be told is refused with what is missing; what can hardly be told is given with the
 * cost of it. */
static void test_apart(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum layout layout;
        bool given;
        double widened_least, widened_most, together_least;
        const char *found, *wanted;
    } rows[] = {
        {"mixed", MIXED, true, 1, 2, -0.2, "", ""},
        {"nearly", NEARLY, true, JOINT_WIDENED_MUCH, JOINT_WIDENED_MOST, 0.97, "",
         "points with cool water and the sun far off the normal (parted"},
        {"hand in hand", HAND_IN_HAND, false, JOINT_WIDENED_MOST, INFINITY, 0.999,
         "these points cannot tell the heat loss from the angle",
         "points with cool water and the sun far off the normal, and with hot water and the sun "
         "near the normal (parted"},
        {"one angle", ONE_ANGLE, false, NAN, NAN, -1,
         "all points lie at one angle (41.3 to 42.9 deg off the normal)", "angles that span 30"},
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        static struct test test;
        struct joint joint;
        char wanted[400];
        size_t coef;
        test_init(&test, 0.137, rows[r].layout);
        take_exact(&test, 0);
        bool given = fit(&test, &joint);
        double widest = joint_widest(&joint.fit, &coef);
        print_message("%s: widened %.1f times, correlation %.3f\n", rows[r].name, widest,
                      joint.spread.together);
        assert_int_equal(given, rows[r].given);
        if (isnan(rows[r].widened_least)) /* refused before a fit is begun */
            assert_true(isnan(widest));
        else
            assert_true(widest > rows[r].widened_least && widest < rows[r].widened_most);
        assert_true(joint.spread.together > rows[r].together_least);
        assert_true(rows[r].given || test.faults.worst == FAULT_DATA);
        if (!given)
            assert_non_null(strstr(test.faults.items[0].found, rows[r].found));
        assert_non_null(strstr(joint_wanted(&joint.spread, wanted, sizeof wanted), rows[r].wanted));
        joint_free(&joint);
        registry_free(&test.errors);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_exact),
        cmocka_unit_test(test_coverage),
        cmocka_unit_test(test_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
