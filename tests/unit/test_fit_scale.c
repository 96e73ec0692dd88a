/* fit/scale: each choice, with and without scatter and statements. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_scale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
