/* fit/lack_of_fit against R's analysis of variance, and what it must refuse. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>

#include "aid_near.h"
#include "aid_regression.h"
#include "fit/combine.h"
#include "fit/lack_of_fit.h"

struct anova_row {
    const char *id;
    double pure_ss, lack_ss, f, p_value;
};

/* R 4.2.2: anova(lm(dist ~ speed, cars), lm(dist ~ factor(speed), cars)), the second with weights
 * 1/speed; 19 different speeds among 50 cars. */
static const struct anova_row anova[] = {
    {"cars_line", 6764.783333333, 4588.737717762, 1.23694991826, 0.294837396797},
    {"cars_weighted_inv_speed", 425.3777908242, 272.4871355164, 1.168110598767, 0.3429363355826},
};

static void test_against_r(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof anova / sizeof anova[0]; k++) {
        const struct anova_row *row = &anova[k];
        struct aid_regression reg;
        struct fit_lack lack;
        double residual[AID_REGRESSION_ROWS];
        size_t group[AID_REGRESSION_ROWS];
        aid_regression_fit(&reg, row->id);
        for (size_t i = 0; i < reg.n; i++) {
            residual[i] = reg.y[i] - fit_dot(reg.x + i * reg.p, reg.fit.coef, reg.p);
            group[i] = (size_t)reg.x[i * reg.p + 1];
        }
        assert_int_equal(fit_lack_of_fit(residual, reg.w, group, reg.n, reg.p, &lack), FIT_OK);
        assert_int_equal(lack.groups, 19);
        aid_near(row->id, lack.pure_dof, 31.0, 0.0);
        aid_near(row->id, lack.lack_dof, 17.0, 0.0);
        aid_near_relative(row->id, lack.pure_ss, row->pure_ss, 1e-12);
        aid_near_relative(row->id, lack.lack_ss, row->lack_ss, 1e-12);
        aid_near_relative(row->id, lack.f, row->f, 1e-11);
        aid_near_relative(row->id, lack.p_value, row->p_value, 1e-11);
        aid_near_relative(row->id, lack.pure_ss + lack.lack_ss, reg.fit.rss, 1e-12);
    }
}

/* Repeats that agree to the last bit while the curve misses them. */
static void test_exact_repeats(void **state)
{
    (void)state;
    const double residual[6] = {0.013, 0.013, -0.025, -0.025, 0.012, 0.012};
    const size_t group[6] = {40, 40, 7, 7, 3, 3};
    struct fit_lack lack;
    assert_int_equal(fit_lack_of_fit(residual, NULL, group, 6, 2, &lack), FIT_OK);
    assert_true(isinf(lack.f) && lack.p_value == 0.0);
}

struct refusal {
    const char *name;
    size_t n, p, group[5];
    double residual[5], w[5];
    enum fit_status status;
};

static const struct refusal refusals[] = {
    {"no repeat", 4, 2, {1, 2, 3, 4}, {.1, .2, -.1, -.2}, {1, 1, 1, 1}, FIT_TOO_FEW},
    {"groups as coefficients", 5, 2, {1, 1, 2, 2, 2}, {.1, .2, -.1, -.2, .3}, {1, 1, 1, 1, 1},
     FIT_TOO_FEW},
    {"NaN", 5, 1, {1, 1, 2, 2, 2}, {.1, NAN, -.1, -.2, .3}, {1, 1, 1, 1, 1}, FIT_NOT_FINITE},
    {"weight", 5, 1, {1, 1, 2, 2, 2}, {.1, .2, -.1, -.2, .3}, {1, 0, 1, 1, 1}, FIT_RANGE},
    {"nothing", 0, 1, {0}, {0}, {0}, FIT_TOO_FEW},
};

static void test_refusals(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof refusals / sizeof refusals[0]; k++) {
        const struct refusal *row = &refusals[k];
        struct fit_lack lack;
        enum fit_status status =
            fit_lack_of_fit(row->residual, row->w, row->group, row->n, row->p, &lack);
        if (status != row->status || !isnan(lack.f))
            fail_msg("%s: '%s'", row->name, fit_status_text(status));
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_r),
        cmocka_unit_test(test_exact_repeats),
        cmocka_unit_test(test_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
