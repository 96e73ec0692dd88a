/* Monte Carlo of a modifier: a closed form where one error outweighs all, both ways where the
 * problem is as good as straight, and that threads change nothing. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "run/modifier_draws.h"

#include <math.h>
#include <string.h>

#define RAD (M_PI / 180)

static struct reduced_test test;

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

static void add_point(double theta_deg, double x, double k, double u_eta)
{
    struct means *means = &test.means[test.n];
    means->has[CH_INCIDENCE] = true;
    means->mean[CH_INCIDENCE] = theta_deg * RAD;
    means->session = (int64_t)(test.n % 3);
    reduced_add(&test, 900, x, 0.763 * k - 4.21 * x, u_eta);
}

static double beyond(double theta_deg)
{
    return 1 / cos(fabs(theta_deg) * RAD) - 1;
}

static void draw(const char *form, enum fit_modifier_form shape, size_t n, unsigned threads,
                 struct draws *out)
{
    struct efficiency_request request = {.form = form, .scale = FIT_SCALE_STATED};
    struct draws_request ask = {.draws = n, .seed = 11, .threads = threads};
    struct efficiency e;
    struct modifier m;
    modifier_keep_apart(test.points, test.n, 20 * RAD);
    assert_true(efficiency_fit(&e, test.points, test.n, &test.setup, &test.none, &request,
                               &test.faults));
    assert_true(modifier_fit(&m, &e, test.points, test.n, &test.setup, &test.none, shape,
                             FIT_SCALE_STATED, &test.faults));
    assert_true(modifier_draw(&m, &e, test.points, &test.setup, &test.none, &ask, out,
                              &test.faults));
    modifier_free(&m);
    efficiency_free(&e);
}

/* All other points at 60 deg, K = 0.88 there; only the angles err, all by the same d. The ratio R to the
 * curve of points on the normal stays, so that with s = 1/cos - 1
 *   (1 - b0 s(60 + d)) / (1 - b0 s(d)) = R,   b0 = (1 - R) / (s(60 + d) - R s(d)),
 * which falls with d: its 95 % ends are those of d, 0.95 limits of a rectangle. By slopes the interval
 * would be even on both sides. */
static double b0_under(double d_deg)
{
    const double r = 0.88;
    return (1 - r) / (beyond(60 + d_deg) - r * beyond(d_deg));
}

static void one_error_of_the_angle(void **state)
{
    (void)state;
    struct draws draws;
    const double u_deg = 2.0, end_deg = 0.95 * sqrt(3.0) * 2.0;
    reduced_init(&test);
    for (int i = 0; i < 4; i++)
        add_point(0, 0, 1, 1e-6);
    for (int i = 0; i < 4; i++)
        add_point(60, 0, 0.88, 1e-6);
    add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, u_deg * RAD, true);
    draw("mean", FIT_MODIFIER_B0, 200000, 1, &draws);
    const struct draws_interval *b0 = &draws.of[0];
    assert_int_equal(draws.n_of, 3);
    assert_true(draws.usable && draws.settled && b0->differs);
    aid_near("value", b0->value, 0.12, 1e-5);
    aid_near("low", b0->low, b0_under(end_deg), 1.5 * b0->doubt);
    aid_near("high", b0->high, b0_under(-end_deg), 1.5 * b0->doubt);
    assert_true(b0->doubt < 0.01 * b0->u);
    assert_ptr_equal(draws_preferred(&draws, 0), b0);
    registry_free(&test.none);
}

static void make(double u_eta)
{
    reduced_init(&test);
    for (int i = 0; i < 8; i++)
        add_point(2 + i, 0.02 * (i % 4), 1 - 0.131 * beyond(2 + i), u_eta);
    for (int i = 0; i < 12; i++)
        add_point(30 + 2.6 * i, 0.02 * (i % 3), 1 - 0.131 * beyond(30 + 2.6 * i), u_eta);
}

static void straight_problems_agree(void **state)
{
    (void)state;
    static const enum fit_modifier_form shapes[] = {FIT_MODIFIER_B0, FIT_MODIFIER_TANGENT,
                                                    FIT_MODIFIER_TABLE};
    for (size_t s = 0; s < sizeof shapes / sizeof shapes[0]; s++) {
        struct draws draws;
        make(0.001);
        add_row(ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, 0.003, false);
        add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 0.05 * RAD, false);
        add_row(ERROR_SESSION, SHIFT_GAIN, CH_IRRADIANCE, 0.001, false);
        draw("line", shapes[s], 20000, 2, &draws);
        assert_true(draws.usable && draws.refused == 0 && draws.n_coef == 0);
        for (size_t q = 0; q < draws.n_of; q++) {
            const struct draws_interval *d = &draws.of[q];
            aid_near_relative(d->what, d->u, d->u_linear, 0.03);
            aid_near(d->what, d->low, d->low_linear, 2 * d->doubt + 0.02 * d->u);
            aid_near(d->what, d->high, d->high_linear, 2 * d->doubt + 0.02 * d->u);
        }
        registry_free(&test.none);
    }
}

/* Readings of the angle of the points off the normal count in both ways. */
static void readings_of_the_angle(void **state)
{
    (void)state;
    struct draws draws;
    make(0.0005);
    for (size_t i = 8; i < test.n; i++)
        test.means[i].u[CH_INCIDENCE] = 0.6 * RAD;
    draw("line", FIT_MODIFIER_B0, 40000, 2, &draws);
    assert_true(draws.usable);
    for (size_t q = 0; q < draws.n_of; q++)
        aid_near_relative(draws.of[q].what, draws.of[q].u, draws.of[q].u_linear, 0.03);
    assert_true(draws.of[0].u > 0.0015); /* without them 0.0005 */
    registry_free(&test.none);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    struct draws alone, many;
    make(0.004);
    add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 1.0 * RAD, true);
    draw("line", FIT_MODIFIER_B0, 20000, 1, &alone);
    registry_free(&test.none);
    static const unsigned threads[] = {2, 3, 40};
    for (size_t i = 0; i < 3; i++) {
        make(0.004);
        add_row(ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, 1.0 * RAD, true);
        memset(&many, 0xA5, sizeof many);
        draw("line", FIT_MODIFIER_B0, 20000, threads[i], &many);
        for (size_t q = 0; q < many.n_of; q++)
            assert_true(many.of[q].low == alone.of[q].low && many.of[q].high == alone.of[q].high &&
                        many.of[q].u == alone.of[q].u && many.of[q].doubt == alone.of[q].doubt);
        registry_free(&test.none);
    }
}

/* Sunshine below zero in 1 of 40 draws: refused, counted, and the rest not gone by. */
static void refused_draws_are_counted(void **state)
{
    (void)state;
    struct draws draws;
    make(0.004);
    add_row(ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.5, false);
    draw("line", FIT_MODIFIER_B0, 20000, 1, &draws);
    assert_false(draws.usable);
    assert_true(draws.refused > 200 && draws.refused < 800);
    registry_free(&test.none);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_error_of_the_angle),  cmocka_unit_test(straight_problems_agree),
        cmocka_unit_test(readings_of_the_angle),
        cmocka_unit_test(threads_change_nothing),  cmocka_unit_test(refused_draws_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
