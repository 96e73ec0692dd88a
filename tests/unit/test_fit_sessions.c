/* fit/sessions against R's analysis of variance, and what it must refuse. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>

#include "aid_near.h"
#include "fit/sessions.h"

enum { N = 13 };

/* Unequal numbers; a session that stands alone at its level, and one of a single window. */
static const double residual[N] = {0.0021, -0.0013, 0.0008,  0.0042,  0.0037, 0.0051, -0.0017,
                                   0.0004, 0.0019,  -0.0031, -0.0024, 0.0009, 0.0027};
static const double weight[N] = {1.3, 0.7,  1.1,  0.9,  1.6, 1.2, 0.8,
                                 1.4, 1.05, 0.95, 1.25, 0.6, 1.5};
static const size_t level[N] = {7, 7, 7, 7, 7, 7, 2, 2, 2, 2, 2, 9, 9};
static const int64_t session[N] = {20624, 20624, 20624, 20625, 20625, 20625, 20624,
                                   20624, 20625, 20626, 20626, 20625, 20625};

struct anova_row {
    const char *name;
    const double *w;
    double between_ss, within_ss, f, p_value, per_session, variance;
};

/* R 4.2.2: anova(lm(r ~ factor(level), weights = w), lm(r ~ factor(level):factor(session) - 1,
 * weights = w)); n0 and the variance by hand from its mean squares. */
static const struct anova_row rows[] = {
    {"equal weights", NULL, 3.6438e-05, 1.09633333333e-05, 7.75512313773, 0.012541730972,
     2.06666666667, 5.11926267281e-06},
    {"weights", weight, 3.55595495842e-05, 1.05173488816e-05, 7.8890871927, 0.0119931531473,
     2.28169634826, 4.53640765605e-06},
};

static void test_against_r(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        const struct anova_row *row = &rows[k];
        struct fit_sessions s;
        assert_int_equal(fit_sessions(residual, row->w, level, session, N, &s), FIT_OK);
        assert_int_equal(s.levels, 3);
        assert_int_equal(s.cells, 6);
        aid_near(row->name, s.between_dof, 3.0, 0.0);
        aid_near(row->name, s.within_dof, 7.0, 0.0);
        aid_near_relative(row->name, s.between_ss, row->between_ss, 1e-10);
        aid_near_relative(row->name, s.within_ss, row->within_ss, 1e-10);
        aid_near_relative(row->name, s.f, row->f, 1e-10);
        aid_near_relative(row->name, s.p_value, row->p_value, 1e-10);
        aid_near_relative(row->name, s.per_session, row->per_session, 1e-10);
        aid_near_relative(row->name, s.between_variance, row->variance, 1e-10);
    }
}

/* Four sessions of three windows at one level: the variance between them is that of restricted
 * maximum likelihood, 4.89685e-6 (R 4.2.2: the restricted likelihood maximised by optim(), which
 * stops within 1e-6 of it; F and probability from anova(lm(r ~ session))). */
static void test_against_restricted_likelihood(void **state)
{
    (void)state;
    const double r[12] = {0.0031, 0.0018, 0.0027, -0.0012, -0.0021, -0.0004,
                          0.0006, 0.0015, 0.0002, -0.0033, -0.0019, -0.0026};
    size_t one[12] = {0};
    int64_t day[12];
    struct fit_sessions s;
    for (int i = 0; i < 12; i++)
        day[i] = i / 3;
    assert_int_equal(fit_sessions(r, NULL, one, day, 12, &s), FIT_OK);
    aid_near_relative("F", s.f, 28.982010582, 1e-9);
    aid_near_relative("probability", s.p_value, 1.19780927923e-4, 1e-8);
    aid_near_relative("between", s.between_variance, 4.89685e-6, 2e-6);
    aid_near_relative("within", s.within_ss / s.within_dof, 5.25000e-7, 2e-6);
}

/* Days that agree better than their windows: no variance of their own, never a negative one. */
static void test_days_alike(void **state)
{
    (void)state;
    const double r[6] = {0.003, -0.003, 0.0, 0.0031, -0.0029, -0.0002};
    const size_t one[6] = {0};
    const int64_t day[6] = {1, 1, 1, 2, 2, 2};
    struct fit_sessions s;
    assert_int_equal(fit_sessions(r, NULL, one, day, 6, &s), FIT_OK);
    aid_near("between", s.between_variance, 0.0, 0.0);
    assert_true(s.p_value > 0.9);
}

struct refusal {
    const char *name;
    size_t n, level[4];
    int64_t session[4];
    double residual[4], w[4];
    enum fit_status status;
};

static const struct refusal refusals[] = {
    {"one session", 4, {1, 1, 2, 2}, {5, 5, 5, 5}, {.1, .2, .3, .1}, {1, 1, 1, 1}, FIT_TOO_FEW},
    {"a level a session",
     4,
     {1, 1, 2, 2},
     {5, 5, 6, 6},
     {.1, .2, .3, .1},
     {1, 1, 1, 1},
     FIT_TOO_FEW},
    {"no repeat", 4, {1, 1, 2, 2}, {5, 6, 5, 6}, {.1, .2, .3, .1}, {1, 1, 1, 1}, FIT_TOO_FEW},
    {"NaN", 4, {1, 1, 1, 1}, {5, 5, 6, 6}, {.1, NAN, .3, .1}, {1, 1, 1, 1}, FIT_NOT_FINITE},
    {"weight", 4, {1, 1, 1, 1}, {5, 5, 6, 6}, {.1, .2, .3, .1}, {1, 1, 0, 1}, FIT_RANGE},
    {"nothing", 0, {0}, {0}, {0}, {0}, FIT_TOO_FEW},
};

static void test_refusals(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof refusals / sizeof refusals[0]; k++) {
        const struct refusal *row = &refusals[k];
        struct fit_sessions s;
        enum fit_status status =
            fit_sessions(row->residual, row->w, row->level, row->session, row->n, &s);
        if (status != row->status || !isnan(s.f))
            fail_msg("%s: '%s'", row->name, fit_status_text(status));
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_r),
        cmocka_unit_test(test_against_restricted_likelihood),
        cmocka_unit_test(test_days_alike),
        cmocka_unit_test(test_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
