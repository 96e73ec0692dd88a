/* fit/within: slopes that whole groups cannot bend. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>

#include "aid_near.h"
#include "fit/within.h"

enum { ROWS = 11, SLOPES = 2 };

static const double y[ROWS] = {0.742, 0.611, 0.583, 0.497, 0.688, 0.640,
                               0.455, 0.529, 0.702, 0.573, 0.486};
static const double x[ROWS * SLOPES] = {0.003, 1.7, 0.027, 2.9, 0.033, 3.3, 0.049, 2.2,
                                        0.011, 4.1, 0.021, 1.9, 0.055, 2.6, 0.042, 3.8,
                                        0.008, 2.4, 0.035, 3.1, 0.051, 1.5};
static const double w[ROWS] = {1.3, 0.7, 2.1, 1.9, 0.8, 1.1, 1.6, 0.9, 1.4, 2.3, 1.2};
static const int64_t group[ROWS] = {3, 3, 7, 3, 7, 7, -2, -2, 3, -2, 7};

/* R 4.2.2: lm(y ~ factor(g) + x1 + x2, weights = w), and the same without weights. */
static void slopes_are_those_of_R(void **state)
{
    (void)state;
    struct fit_linear fit;
    assert_int_equal(fit_within(x, y, w, group, ROWS, SLOPES, &fit), FIT_OK);
    assert_int_equal(fit.dof, 6);
    aid_near_relative("x1", fit.coef[0], -5.2362453757073152971, 1e-12);
    aid_near_relative("x2", fit.coef[1], -0.0004592842583534412, 1e-10);
    aid_near_relative("s", fit.s, 0.007906150850896502, 1e-12);
    aid_near_relative("u x1", fit_linear_std_error(&fit, 0), 0.140309267090504369, 1e-12);
    aid_near_relative("u x2", fit_linear_std_error(&fit, 1), 0.003267121000420253, 1e-12);
    assert_int_equal(fit_within(x, y, NULL, group, ROWS, SLOPES, &fit), FIT_OK);
    aid_near_relative("x1, no weights", fit.coef[0], -5.219066162735503056, 1e-12);
    aid_near_relative("x2, no weights", fit.coef[1], -0.001181455706553211, 1e-10);
    aid_near_relative("u x2, no weights", fit_linear_std_error(&fit, 1), 0.002746476407995152, 1e-12);
}

/* What is added to whole groups changes no slope. */
static void levels_of_groups_do_not_count(void **state)
{
    (void)state;
    struct fit_linear fit, moved;
    double up[ROWS];
    for (size_t i = 0; i < ROWS; i++)
        up[i] = y[i] + 0.37 * (double)group[i];
    assert_int_equal(fit_within(x, y, w, group, ROWS, SLOPES, &fit), FIT_OK);
    assert_int_equal(fit_within(x, up, w, group, ROWS, SLOPES, &moved), FIT_OK);
    aid_near_relative("x1", moved.coef[0], fit.coef[0], 1e-11);
    aid_near_relative("s", moved.s, fit.s, 1e-11);
}

static void refusals(void **state)
{
    (void)state;
    struct fit_linear fit;
    double flat[ROWS * SLOPES];
    for (size_t i = 0; i < ROWS; i++) {
        flat[i * SLOPES] = x[i * SLOPES];
        flat[i * SLOPES + 1] = 0.1 + (double)group[i] / 3; /* the same all through a group */
    }
    assert_int_equal(fit_within(flat, y, w, group, ROWS, SLOPES, &fit), FIT_RANK);
    assert_int_equal(fit_within(x, y, w, group, 4, SLOPES, &fit), FIT_TOO_FEW);
    assert_int_equal(fit_within(x, y, w, group, ROWS, FIT_MAX_COEF + 1, &fit), FIT_RANGE);
    flat[2] = NAN;
    assert_true(fit_within(flat, y, w, group, ROWS, SLOPES, &fit) != FIT_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slopes_are_those_of_R),
        cmocka_unit_test(levels_of_groups_do_not_count),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
