/* fit/scale: each choice, with and without scatter and statements. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdbool.h>

#include "aid_near.h"
#include "fit/scale.h"

struct scale_row {
    const char *name;
    double chi2;
    size_t dof;
    bool equal;
    enum fit_scale scale;
    double factor, freedom;
};

static const struct scale_row scale_rows[] = {
    {"stated", 23.1, 7, false, FIT_SCALE_STATED, 1.0, INFINITY},
    {"estimated, wide", 23.1, 7, false, FIT_SCALE_ESTIMATED, 3.3, 7.0},
    {"estimated, narrow", 4.2, 7, false, FIT_SCALE_ESTIMATED, 0.6, 7.0},
    {"at least, wide", 23.1, 7, false, FIT_SCALE_AT_LEAST, 3.3, 7.0},
    {"at least, narrow", 4.2, 7, false, FIT_SCALE_AT_LEAST, 1.0, INFINITY},
    {"at least, no freedom", 0.0, 0, false, FIT_SCALE_AT_LEAST, 1.0, INFINITY},
    {"nothing stated", 4.2e-5, 7, true, FIT_SCALE_STATED, 6e-6, 7.0},
    {"nothing stated, at least", 4.2e-5, 7, true, FIT_SCALE_AT_LEAST, 6e-6, 7.0},
};

static void test_scale(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof scale_rows / sizeof scale_rows[0]; k++) {
        const struct scale_row *row = &scale_rows[k];
        struct fit_curve curve = {.chi2 = row->chi2, .dof = row->dof, .equal_weights = row->equal};
        aid_near_relative(row->name, fit_scale_factor(&curve, row->scale), row->factor, 1e-14);
        aid_near(row->name, fit_scale_dof(&curve, row->scale), row->freedom, 0.0);
    }
    struct fit_curve none = {.equal_weights = true};
    assert_true(isnan(fit_scale_factor(&none, FIT_SCALE_AT_LEAST)));
}

struct seen_row {
    const char *name;
    struct fit_scatter seen;
    enum fit_scale scale;
    double factor, freedom;
};

/* "At least": t(freedom) sqrt(factor) is min(t(freedom) sqrt(factor), t(most_freedom) sqrt(most))
 * as seen, or 1.96. Freedom from R 4.2: uniroot() of qt(0.975, 1/u) less that, cap at most_freedom
 * by hand. */
static const struct seen_row seen_rows[] = {
    {"a little less than stated", {0, 0.9, 7, 0.9, 7}, FIT_SCALE_AT_LEAST, 1, 9.52538494453},
    {"far less, of two", {0, 0.3, 2, 0.3, 2}, FIT_SCALE_AT_LEAST, 1, 7.11862133581},
    {"far less, of seven", {0, 0.6, 7, 0.6, 7}, FIT_SCALE_AT_LEAST, 1, INFINITY},
    {"as stated", {0, 1, 7, 1, 7}, FIT_SCALE_AT_LEAST, 1, 7},
    {"days tell less", {0, 1.5, 0.6, 2.5, 2}, FIT_SCALE_AT_LEAST, 1.5, 1.59163579499},
    {"days tell nothing", {0, 0, 0, 2.5, 2}, FIT_SCALE_AT_LEAST, 1, 1.38049660022},
    {"days tell less, below", {0, 0.4, 1.3, 0.9, 2}, FIT_SCALE_AT_LEAST, 1, 2.11744688543},
    {"no more freedom than there is", {0, 2.6, 0.8, 2.5, 2}, FIT_SCALE_AT_LEAST, 2.6, 2},
    {"estimated", {0, 0.4, 1.3, 0.9, 2}, FIT_SCALE_ESTIMATED, 0.4, 1.3},
    {"estimated, days tell less", {0, 1.5, 0.6, 2.5, 2}, FIT_SCALE_ESTIMATED, 2.5, 2},
    {"stated", {0, 1.5, 0.6, 2.5, 2}, FIT_SCALE_STATED, 1, INFINITY},
};

static void test_seen(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof seen_rows / sizeof seen_rows[0]; k++) {
        const struct seen_row *row = &seen_rows[k];
        struct fit_scaling scaling = fit_scale(&row->seen, row->scale, true);
        aid_near_relative(row->name, scaling.factor, row->factor, 1e-14);
        if (isinf(row->freedom))
            assert_true(isinf(scaling.dof));
        else
            aid_near_relative(row->name, scaling.dof, row->freedom, 1e-9);
    }
    struct fit_scatter none = fit_scatter_alone(0, 0);
    assert_true(isnan(fit_scale(&none, FIT_SCALE_ESTIMATED, true).factor));
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_scale),
        cmocka_unit_test(test_seen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
