/* fit/form: the table of forms, and its derivatives against differences of its terms. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "fit/form.h"

struct value_row {
    const char *name;
    double coef[FIT_FORM_MAX_COEF];
    struct fit_condition at;
    double value, slope, wind_slope;
};

/* By hand, third row: 0.781 - 3.47*0.0427 - 0.0139*913*0.0427^2,
 * slope -3.47 - 2*0.0139*913*0.0427. The wind adds -0.23*wind*x, to the slope -0.23*wind. */
static const struct value_row values[] = {
    {"mean", {0.643}, {0.0427, 913.0, 0.0}, 0.643, 0.0, 0.0},
    {"line", {0.781, 3.47}, {0.0427, 913.0, 2.3}, 0.632831, -3.47, 0.0},
    {"second order", {0.781, 3.47, 0.0139}, {0.0427, 913.0, -1.7}, 0.609692173597, -4.55378578,
     0.0},
    {"second order", {0.781, 3.47, 0.0139}, {-0.0113, 701.0, 0.0}, 0.818966801409, -3.24978786,
     0.0},
    {"line with wind", {0.781, 3.47, 0.23}, {0.0427, 913.0, -1.4}, 0.6465804, -3.148, -0.009821},
    {"second order with wind", {0.781, 3.47, 0.0139, 0.23}, {0.0427, 913.0, 1.9}, 0.591032273597,
     -4.99078578, -0.009821},
};

static void test_values(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof values / sizeof values[0]; k++) {
        const struct value_row *row = &values[k];
        const struct fit_form *form = fit_form_find(row->name);
        assert_non_null(form);
        aid_near(row->name, fit_form_value(form, row->coef, &row->at), row->value, 1e-13);
        aid_near(row->name, fit_form_slope(form, row->coef, &row->at), row->slope, 1e-12);
        aid_near(row->name, fit_form_wind_slope(form, row->coef, &row->at), row->wind_slope,
                 1e-14);
    }
}

/* All terms are polynomials of degree 2 in x at most, so central differences are exact up to
 * rounding (about 1e-16 * 1 / 1e-3 for slopes, 1e-16 / 1e-6 for bends). */
static void test_derivatives(void **state)
{
    (void)state;
    size_t forms = 0;
    const double h = 1e-3;
    for (const struct fit_form *form; (form = fit_form_at(forms)); forms++) {
        const struct fit_condition at = {0.0531, 873.0, 1.37};
        const struct fit_condition low = {at.x - h, at.g, at.wind};
        const struct fit_condition high = {at.x + h, at.g, at.wind};
        double t[FIT_FORM_MAX_COEF], below[FIT_FORM_MAX_COEF], above[FIT_FORM_MAX_COEF];
        double dt[FIT_FORM_MAX_COEF], d2t[FIT_FORM_MAX_COEF];
        form->terms(&at, t);
        form->terms(&low, below);
        form->terms(&high, above);
        form->slopes(&at, dt);
        form->bends(&at, d2t);
        for (size_t j = 0; j < form->n_coef; j++) {
            aid_near(form->name, dt[j], (above[j] - below[j]) / (2.0 * h), 1e-10);
            aid_near(form->name, d2t[j], (above[j] - 2.0 * t[j] + below[j]) / (h * h), 1e-6);
            assert_non_null(form->symbols[j]);
        }
    }
    assert_int_equal(forms, 5);
}

static void test_find(void **state)
{
    (void)state;
    for (size_t i = 0; fit_form_at(i); i++)
        assert_ptr_equal(fit_form_find(fit_form_at(i)->name), fit_form_at(i));
    assert_null(fit_form_find("third order"));
    assert_null(fit_form_find(""));
    assert_string_equal(fit_form_find("second order")->symbols[2], "a2");
    assert_string_equal(fit_form_find("line")->symbols[0], "eta0");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),
        cmocka_unit_test(test_derivatives),
        cmocka_unit_test(test_find),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
