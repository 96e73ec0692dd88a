/* Monte Carlo of curve and modifier fitted together: beside a numpy script that shares nothing with
 * the program, where both ways agree, and that threads change nothing. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "base/randoms.h"
#include "fit/joint_redraw.h"
#include "run/joint_draws.h"
#include "run/modifier_draws.h"

#include <math.h>
#include <string.h>

#define RAD (M_PI / 180)

enum { POINTS = 20, ETA0 = 0, A1 = 1, B0 = 2, K_50 = 3, K_D = 4, BEAM = 5, PLACES = 6 };

static struct reduced_test test;
static struct joint joint;

static void add_row(enum error_kind kind, enum shift_target what, enum channel channel, double u,
                    bool rectangular)
{
    struct error_source row = {.id = "x",
                               .kind = kind,
                               .u = u,
                               .rectangular = rectangular,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{.what = what, .channel = channel, .weight = 1}}};
    assert_true(registry_add(&test.none, &row, &test.faults));
}

/* Twenty points of b0 from least_deg to 60 deg: from 10 those of tests/apart/joint_draws.py. */
static void make_from(double least_deg, double u_eta)
{
    reduced_init(&test);
    for (int i = 0; i < POINTS; i++) {
        double theta = (least_deg + (60 - least_deg) * ((7 * i) % 20) / 19) * RAD,
               x = 0.02 * (i % 4);
        double eta = 0.763 * (1 - 0.131 * (1 / cos(theta) - 1)) - 4.21 * x;
        struct means *means = &test.means[test.n];
        means->has[CH_INCIDENCE] = true;
        means->mean[CH_INCIDENCE] = theta;
        means->session = i % 3;
        reduced_add(&test, 900, x, eta, u_eta);
    }
}

static void make(double u_eta)
{
    make_from(10, u_eta);
}

static void fit(enum fit_modifier_form shape)
{
    struct efficiency_request request = {.form = "line", .scale = FIT_SCALE_STATED};
    if (!joint_fit(&joint, test.points, test.n, &test.setup, &test.none, &request, shape,
                   &test.faults))
        fail_msg("shape %d: %s", (int)shape, test.faults.items[0].found);
}

static void draw(enum fit_modifier_form shape, size_t n, unsigned threads, struct draws *out)
{
    struct draws_request ask = {.draws = n, .seed = 7, .threads = threads};
    fit(shape);
    assert_true(joint_draw(&joint, test.points, &test.setup, &test.none, &ask, 1000, out,
                           &test.faults));
    joint_free(&joint);
}

/* tests/apart/joint_draws.py, 4 million draws of numpy 1.24: its ends scatter by `apart`, so that
 * two of it and one and a half times the program's own doubt (two standard deviations) are allowed.
 */
static void beside_numpy(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int number;
        double low, high, apart, low_linear, high_linear;
    } rows[] = {
        {"eta0", ETA0, 0.750029, 0.776197, 4e-6, 0.747765, 0.778235},
        {"a1", A1, 4.114087, 4.307609, 6e-5, 4.108658, 4.311342},
        {"b0", B0, 0.098371, 0.172062, 3e-5, 0.094491, 0.167509},
        {"K(50)", K_50, 0.904381, 0.945333, 2e-5, 0.906911, 0.947489},
    };
    struct draws draws;
    make(0.003);
    add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 2.5 * RAD, false);
    add_row(ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, 0.01, true);
    draw(FIT_MODIFIER_B0, 200000, 1, &draws);
    assert_true(draws.usable && draws.settled && draws.refused == 0);
    assert_int_equal(draws.n_of, PLACES + DRAWS_PLACES);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct draws_interval *d = &draws.of[rows[i].number];
        double allowed = 1.5 * d->doubt + 2 * rows[i].apart;
        aid_near(rows[i].name, d->low_linear, rows[i].low_linear, 1e-6); /* as printed */
        aid_near(rows[i].name, d->high_linear, rows[i].high_linear, 1e-6);
        aid_near(rows[i].name, d->low, rows[i].low, allowed);
        aid_near(rows[i].name, d->high, rows[i].high, allowed);
        assert_true(d->doubt < 0.02 * d->u);
    }
    assert_false(draws.of[B0].differs); /* by less than half of the first digit of its u, 0.019 */
    assert_null(draws_preferred(&draws, B0));
    registry_free(&test.none);
}

/* Without diffuse light the beam's eta0 is eta0, and the curve's coefficients make its places. */
static void numbers_belong_together(void **state)
{
    (void)state;
    struct draws draws;
    make(0.003);
    add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 0.5 * RAD, true);
    draw(FIT_MODIFIER_B0, 20000, 1, &draws);
    assert_true(draws.of[BEAM].low == draws.of[ETA0].low);
    assert_true(draws.of[PLACES].low == draws.of[ETA0].low); /* T* = 0 is the first place */
    assert_true(draws.x[0] == 0 && draws.x[2] == 0.06 && draws.g_W_m2 == 1000);
    aid_near("K_d by the ends of b0", draws.of[K_D].low, 1 / (1 + draws.of[B0].high),
             0.1 * draws.of[K_D].doubt); /* the ranks are one apart */
    assert_int_equal(draws.n_coef, 2);
    registry_free(&test.none);
}

/* Readings, days and small errors of the angle are as good as straight, whatever the shape. Larger
 * ones are not: a table has a kink at its last figure. */
static void straight_problems_agree(void **state)
{
    (void)state;
    static const enum fit_modifier_form shapes[] = {FIT_MODIFIER_B0, FIT_MODIFIER_TANGENT,
                                                    FIT_MODIFIER_TABLE};
    for (size_t s = 0; s < sizeof shapes / sizeof shapes[0]; s++) {
        struct draws draws;
        make_from(2, 0.001);
        add_row(ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, 0.003, false);
        add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 0.01 * RAD, false);
        add_row(ERROR_SESSION, SHIFT_GAIN, CH_IRRADIANCE, 0.001, false);
        draw(shapes[s], 40000, 2, &draws);
        assert_true(draws.usable && draws.refused == 0);
        for (size_t q = 0; q < draws.n_of; q++) {
            const struct draws_interval *d = &draws.of[q];
            aid_near_relative(d->what, d->u, d->u_linear, 0.03);
            aid_near(d->what, d->low, d->low_linear, 2 * d->doubt + 0.02 * d->u);
            aid_near(d->what, d->high, d->high_linear, 2 * d->doubt + 0.02 * d->u);
        }
        registry_free(&test.none);
    }
}

/* The quick refit of a draw ends where the fit itself does. */
static void quick_refits_are_the_fits(void **state)
{
    (void)state;
    static const enum fit_modifier_form shapes[] = {FIT_MODIFIER_B0, FIT_MODIFIER_TANGENT,
                                                    FIT_MODIFIER_TABLE};
    struct randoms randoms;
    make_from(2, 0.003);
    assert_true(randoms_init(&randoms, &test.faults));
    for (size_t s = 0; s < sizeof shapes / sizeof shapes[0]; s++) {
        fit(shapes[s]);
        for (uint64_t k = 0; k < 40; k++) {
            struct fit_joint_point moved[POINTS];
            double quick[FIT_MAX_COEF], slow[FIT_MAX_COEF];
            randoms_seed(&randoms, 41, k);
            for (size_t i = 0; i < POINTS; i++) {
                moved[i] = joint.used[i];
                moved[i].curve.u_x = 0.0004; /* a v that moves with the slope */
                moved[i].curve.eta += 0.004 * randoms_normal(&randoms);
                moved[i].curve.at.x += 0.0006 * randoms_normal(&randoms);
                moved[i].angle.theta_rad += 0.5 * RAD * randoms_normal(&randoms);
                moved[i].diffuse_share = 0.2 * randoms_uniform(&randoms);
            }
            assert_int_equal(fit_joint_redraw(&joint.fit, moved, quick), FIT_OK);
            assert_int_equal(fit_joint_again(&joint.fit, moved, slow), FIT_OK);
            for (size_t j = 0; j < joint.fit.n_coef; j++)
                aid_near("coefficient", quick[j], slow[j],
                         2e-5 * sqrt(joint.fit.cov[j * joint.fit.n_coef + j]));
        }
        joint_free(&joint);
    }
    randoms_free(&randoms);
    registry_free(&test.none);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    struct draws alone, many;
    make(0.004);
    add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 1.0 * RAD, true);
    add_row(ERROR_SESSION, SHIFT_GAIN, CH_IRRADIANCE, 0.01, false);
    draw(FIT_MODIFIER_B0, 20000, 1, &alone);
    static const unsigned threads[] = {2, 3, 40};
    for (size_t i = 0; i < 3; i++) {
        memset(&many, 0xA5, sizeof many);
        draw(FIT_MODIFIER_B0, 20000, threads[i], &many);
        assert_int_equal(many.n_of, alone.n_of);
        for (size_t q = 0; q < many.n_of; q++)
            assert_true(many.of[q].low == alone.of[q].low && many.of[q].high == alone.of[q].high &&
                        many.of[q].u == alone.of[q].u && many.of[q].doubt == alone.of[q].doubt);
    }
    registry_free(&test.none);
}

/* Sunshine below zero in 1 of 40 draws: refused, counted, and the rest not gone by. */
static void refused_draws_are_counted(void **state)
{
    (void)state;
    struct draws draws;
    make(0.004);
    add_row(ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.5, false);
    draw(FIT_MODIFIER_B0, 20000, 1, &draws);
    assert_false(draws.usable);
    assert_true(draws.refused > 200 && draws.refused < 800);
    assert_null(draws_preferred(&draws, B0));
    registry_free(&test.none);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beside_numpy),           cmocka_unit_test(numbers_belong_together),
        cmocka_unit_test(straight_problems_agree), cmocka_unit_test(quick_refits_are_the_fits),
        cmocka_unit_test(threads_change_nothing), cmocka_unit_test(refused_draws_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
