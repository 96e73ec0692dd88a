/* Monte Carlo of a curve: examples of JCGM 101, closed forms, and that threads change nothing. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "base/randoms.h"
#include "fit/draw_ends.h"
#include "run/efficiency_draws.h"

#include <math.h>
#include <string.h>

enum { DRAWS = 400000, BATCH = 10000 };

static double values[DRAWS], scratch[DRAWS];

/* JCGM 101:2008: 9.2.3 four rectangular inputs of u = 1; 9.2.4 the fourth with u = 10 (printed 3.88
 * and 17.0: from memory; the digits here by closed form and by convolution). Ends of four hundred
 * thousand draws are known to their own doubt, of which three times is allowed. */
static void examples_of_the_guide(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double last, u, half;
    } rows[] = {
        {"9.2.3", 1, 2, 3.8794067413},
        {"9.2.4", 10, 10.1488915651, 17.0158141},
    };
    struct randoms randoms;
    struct faults faults;
    faults_init(&faults);
    assert_true(randoms_init(&randoms, &faults));
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        for (size_t i = 0; i < DRAWS; i++) {
            if (i % RANDOMS_BLOCK == 0)
                randoms_seed(&randoms, 3, i / RANDOMS_BLOCK);
            double sum = 0;
            for (int k = 0; k < 3; k++)
                sum += randoms_flat(&randoms);
            values[i] = sum + rows[r].last * randoms_flat(&randoms);
        }
        struct fit_draw_ends ends;
        assert_int_equal(fit_draw_ends(values, DRAWS, BATCH, scratch, &ends), FIT_OK);
        aid_near(rows[r].name, ends.mean, 0, 4 * rows[r].u / sqrt(DRAWS));
        aid_near(rows[r].name, ends.sd, rows[r].u, 4 * rows[r].u / sqrt(2.0 * DRAWS));
        assert_true(ends.doubt < 0.01 * rows[r].u);
        aid_near(rows[r].name, ends.high, rows[r].half, 1.5 * ends.doubt);
        aid_near(rows[r].name, -ends.low, rows[r].half, 1.5 * ends.doubt);
    }
    randoms_free(&randoms);
}

/* Ranks by hand: of 1 to 1000, 950 lie within the ends when 25 lie below and 25 above. */
static void ends_by_rank(void **state)
{
    (void)state;
    struct fit_draw_ends ends;
    for (size_t i = 0; i < 1000; i++) /* 377 and 1000 have no common factor: a permutation */
        values[i] = (double)(1 + i * 377 % 1000);
    assert_int_equal(fit_draw_ends(values, 1000, 500, scratch, &ends), FIT_OK);
    assert_true(ends.low == 25 && ends.high == 975);
    values[1] = NAN;
    assert_int_equal(fit_draw_ends(values, 1000, 500, scratch, &ends), FIT_OK);
    assert_int_equal(ends.n, 999);
    assert_int_equal(fit_draw_ends(values, 1000, 30, scratch, &ends), FIT_RANGE);
    assert_int_equal(fit_draw_ends(values, 999, 500, scratch, &ends), FIT_RANGE);
    for (size_t i = 0; i < 480; i++)
        values[i] = NAN;
    assert_int_equal(fit_draw_ends(values, 1000, 500, scratch, &ends), FIT_TOO_FEW);
    aid_near("one digit of 0.0123", fit_draw_tolerance(0.0123), 0.005, 1e-15);
    aid_near("one digit of 9.9", fit_draw_tolerance(9.9), 0.5, 1e-15);
}

static struct reduced_test test;
static struct efficiency fitted;

static void add_row(enum shift_target what, double u, bool rectangular, double dof)
{
    struct error_source row = {.id = "x",
                               .kind = ERROR_CALIBRATION,
                               .u = u,
                               .rectangular = rectangular,
                               .dof = dof,
                               .n_targets = 1,
                               .targets = {{.what = what, .channel = CH_IRRADIANCE, .weight = 1}}};
    assert_true(registry_add(&test.none, &row, &test.faults));
}

static void make(double u_eta)
{
    reduced_init(&test);
    for (int k = 0; k < 12; k++) {
        double x = 0.019 * (k / 4);
        double off = u_eta * (k % 2 == 0 ? 0.7 : -0.7);
        reduced_add(&test, 900, x, 0.761 - 4.317 * x + off, u_eta);
    }
}

static void draw(const char *form, size_t n, unsigned threads, struct draws *out)
{
    struct efficiency_request request = {
        .form = form, .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    struct draws_request ask = {.draws = n, .seed = 5, .threads = threads};
    assert_true(efficiency_fit(&fitted, test.points, test.n, &test.setup, &test.none, &request,
                               &test.faults));
    assert_true(efficiency_draw(&fitted, test.points, &test.setup, &test.none, &ask, 1000, out,
                                &test.faults));
    efficiency_free(&fitted);
}

/* Readings alone are a linear problem: both ways agree. */
static void straight_problems_agree(void **state)
{
    (void)state;
    struct draws draws;
    make(0.004);
    draw("line", 0, 1, &draws);
    assert_true(draws.usable && draws.settled && draws.refused == 0);
    for (int j = 0; j < 2; j++) {
        assert_false(draws.of[j].differs);
        aid_near_relative("u", draws.of[j].u, draws.of[j].u_linear, 0.03);
        aid_near("low", draws.of[j].low, draws.of[j].low_linear, 2 * draws.of[j].doubt);
        aid_near("high", draws.of[j].high, draws.of[j].high_linear, 2 * draws.of[j].doubt);
    }
}

/* One rectangular error of the area that outweighs all: eta0 then lies within 0.95 sqrt(3) u of its
 * value instead of 1.96 u (relative u = 0.05: eta = q/A/(1 + e), whose ends are exact). */
static void a_limit_is_narrower_than_a_normal(void **state)
{
    (void)state;
    struct draws draws;
    const double u = 0.05;
    make(1e-5);
    add_row(SHIFT_AREA, u, true, INFINITY);
    draw("line", 100000, 1, &draws);
    const struct draws_interval *eta0 = &draws.of[0];
    double reach = 0.95 * sqrt(3.0) * u;
    assert_true(eta0->differs);
    aid_near("high", eta0->high, eta0->value / (1 - reach), 3e-4);
    aid_near("low", eta0->low, eta0->value / (1 + reach), 3e-4);
    aid_near("linear", eta0->high_linear, eta0->value * (1 + 1.959964 * u), 4e-4);
    registry_free(&test.none);
}

/* An offset found from four readings: Student's t, 3 degrees of freedom, 3.182446 u instead of
 * 1.96 u. */
static void few_readings_are_students(void **state)
{
    (void)state;
    struct draws draws;
    make(1e-5);
    add_row(SHIFT_LOSS, 9.0, false, 3);
    draw("line", 200000, 1, &draws);
    const struct draws_interval *eta0 = &draws.of[0];
    aid_near("high", eta0->high - eta0->value, 3.182446 * 9.0 / 900, 2 * eta0->doubt);
    assert_true(eta0->doubt < 0.001);
    assert_false(eta0->differs); /* the linear freedom says the same of one source */
    registry_free(&test.none);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    struct draws alone, many;
    make(0.004);
    add_row(SHIFT_AREA, 0.02, true, INFINITY);
    draw("line", 20000, 1, &alone);
    static const unsigned threads[] = {2, 3, 7, 40};
    for (size_t i = 0; i < 4; i++) {
        memset(&many, 0xA5, sizeof many);
        draw("line", 20000, threads[i], &many);
        assert_int_equal(many.n_of, 2 + DRAWS_PLACES);
        for (size_t q = 0; q < many.n_of; q++)
            assert_true(many.of[q].low == alone.of[q].low && many.of[q].high == alone.of[q].high &&
                        many.of[q].u == alone.of[q].u && many.of[q].doubt == alone.of[q].doubt);
    }
    registry_free(&test.none);
}

/* An area that may vanish: such draws are refused, counted, and the rest not gone by. */
static void errors_without_bounds(void **state)
{
    (void)state;
    struct draws draws;
    make(0.004);
    add_row(SHIFT_GAIN, 0.5, false, INFINITY); /* sunshine below zero in 1 of 40 draws */
    draw("line", 20000, 1, &draws);
    assert_false(draws.usable);
    assert_true(draws.refused > 200 && draws.refused < 800);
    registry_free(&test.none);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(examples_of_the_guide),
        cmocka_unit_test(ends_by_rank),
        cmocka_unit_test(straight_problems_agree),
        cmocka_unit_test(a_limit_is_narrower_than_a_normal),
        cmocka_unit_test(few_readings_are_students),
        cmocka_unit_test(threads_change_nothing),
        cmocka_unit_test(errors_without_bounds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
