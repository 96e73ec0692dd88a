/* fit/linear: NIST certified sets, weights, and everything that must be refused. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "aid_near.h"
#include "aid_table.h"
#include "fit/linear.h"

/* NIST/ITL Statistical Reference Datasets (SRD 140), linear least squares. Coefficients and
 * standard deviations are printed there to 15 digits. Filip is fitted as published, powers of x
 * uncentred, only the columns' lengths being scaled (inside fit_linear). */
struct nist_set {
    const char *name, *file;
    size_t p;
    int predictors; /* columns x1, x2 ... instead of powers of x */
    int lowest;     /* lowest power */
    double digits;  /* to be reached at least */
};

static const struct nist_set nist_sets[] = {
    {"Norris", "norris", 2, 0, 0, 9.0},     {"Pontius", "pontius", 3, 0, 0, 9.0},
    {"NoInt1", "noint1", 1, 0, 1, 9.0},     {"NoInt2", "noint2", 1, 0, 1, 9.0},
    {"Filip", "filip", 11, 0, 0, 6.0},      {"Longley", "longley", 7, 1, 0, 9.0},
    {"Wampler1", "wampler1", 6, 0, 0, 9.0}, {"Wampler2", "wampler2", 6, 0, 0, 9.0},
    {"Wampler3", "wampler3", 6, 0, 0, 9.0}, {"Wampler4", "wampler4", 6, 0, 0, 7.0},
    {"Wampler5", "wampler5", 6, 0, 0, 5.0},
};

enum { NIST_MAX = 100 };

static double nist_term(const struct nist_set *set, const struct aid_table *data, size_t i,
                        size_t j)
{
    if (set->predictors) {
        char column[24];
        snprintf(column, sizeof column, "x%zu", j);
        return j == 0 ? 1.0 : aid_table_number(data, i, column);
    }
    double power = 1.0, x = aid_table_number(data, i, "x");
    for (size_t k = 0; k < j + (size_t)set->lowest; k++)
        power *= x;
    return power;
}

static void nist_fit(const struct nist_set *set, struct fit_linear *fit)
{
    char path[64];
    struct aid_table data;
    double x[NIST_MAX * FIT_MAX_COEF], y[NIST_MAX];
    snprintf(path, sizeof path, "testdata/published/nist-%s.csv", set->file);
    aid_table_read(&data, path);
    assert_true(data.n_rows <= NIST_MAX);
    for (size_t i = 0; i < data.n_rows; i++) {
        y[i] = aid_table_number(&data, i, "y");
        for (size_t j = 0; j < set->p; j++)
            x[i * set->p + j] = nist_term(set, &data, i, j);
    }
    if (fit_linear(x, y, NULL, data.n_rows, set->p, fit) != FIT_OK)
        fail_msg("%s is refused, rank %zu of %zu", set->name, fit->rank, set->p);
    aid_table_free(&data);
}

/* Digits of one certified row; a certified 0 is compared absolutely. */
static double nist_digits(const struct nist_set *set, const struct fit_linear *fit,
                          const struct aid_table *certified, size_t row)
{
    const char *quantity = aid_table_text(certified, row, "quantity");
    double want = aid_table_number(certified, row, "estimate");
    if (quantity[0] == 'B') {
        size_t j = (size_t)(atoi(quantity + 1) - set->lowest);
        assert_true(j < set->p);
        double sd = aid_table_number(certified, row, "std_dev");
        return fmin(aid_near_digits(fit->coef[j], want),
                    aid_near_digits(fit_linear_std_error(fit, j), sd));
    }
    if (strcmp(quantity, "residual_sd") == 0)
        return aid_near_digits(fit->s, want);
    if (strcmp(quantity, "residual_ss") == 0)
        return aid_near_digits(fit->rss, want);
    if (strcmp(quantity, "residual_df") == 0)
        return aid_near_digits((double)fit->dof, want);
    return 15.0;
}

static void test_nist(void **state)
{
    (void)state;
    struct aid_table certified;
    aid_table_read(&certified, "testdata/published/nist-linear-certified.csv");
    int short_of = 0;
    for (size_t k = 0; k < sizeof nist_sets / sizeof nist_sets[0]; k++) {
        const struct nist_set *set = &nist_sets[k];
        struct fit_linear fit;
        double digits = 15.0;
        size_t rows = 0;
        nist_fit(set, &fit);
        for (size_t row = 0; row < certified.n_rows; row++) {
            if (strcmp(aid_table_text(&certified, row, "dataset"), set->name) == 0) {
                digits = fmin(digits, nist_digits(set, &fit, &certified, row));
                rows++;
            }
        }
        printf("  %-9s %4.1f digits (at least %.0f), rcond %.1e\n", set->name, digits,
               set->digits, fit.rcond);
        short_of += digits < set->digits;
        assert_int_equal(rows, set->p + 6); /* six rows beside the coefficients */
    }
    aid_table_free(&certified);
    assert_int_equal(short_of, 0);
}

/* Filip once more, centred and scaled: powers of z = (x + 5.95)/2.85 as columns. What limits the
 * raw fit is the rounding of the powers of x to double, not the solution: centred, the certified
 * residual sum and leading coefficient come back to 10 digits and more. */
static void test_filip_centred(void **state)
{
    (void)state;
    const struct nist_set *set = &nist_sets[4];
    struct fit_linear raw, centred;
    struct aid_table data;
    double x[NIST_MAX * FIT_MAX_COEF], y[NIST_MAX], z[NIST_MAX];
    nist_fit(set, &raw);
    aid_table_read(&data, "testdata/published/nist-filip.csv");
    for (size_t i = 0; i < data.n_rows; i++) {
        y[i] = aid_table_number(&data, i, "y");
        z[i] = (aid_table_number(&data, i, "x") + 5.95) / 2.85;
        for (size_t j = 0; j < set->p; j++)
            x[i * set->p + j] = j == 0 ? 1.0 : x[i * set->p + j - 1] * z[i];
    }
    assert_int_equal(fit_linear(x, y, NULL, data.n_rows, set->p, &centred), FIT_OK);
    aid_near_relative("rss, certified", centred.rss, 0.795851382172941E-03, 1e-12);
    assert_true(centred.rcond > 1e3 * raw.rcond);
    /* Leading coefficient carried back: b10 = c10 / h^10. */
    aid_near_relative("B10", centred.coef[10] / pow(2.85, 10.0), -0.402962525080404E-04, 1e-10);
    aid_near_relative("sd of B10", fit_linear_std_error(&centred, 10) / pow(2.85, 10.0),
                      0.896632837373868E-05, 1e-10);
    aid_table_free(&data);
}

/* R 4.2.2 lm(dist ~ speed, cars, weights = 1/speed), in regression-coefs.csv. */
static void test_weights(void **state)
{
    (void)state;
    struct aid_table cars;
    struct fit_linear fit;
    double x[2 * NIST_MAX], y[NIST_MAX], w[NIST_MAX];
    aid_table_read(&cars, "testdata/published/cars.csv");
    for (size_t i = 0; i < cars.n_rows; i++) {
        x[2 * i] = 1.0;
        x[2 * i + 1] = aid_table_number(&cars, i, "speed");
        y[i] = aid_table_number(&cars, i, "dist");
        w[i] = 1.0 / x[2 * i + 1];
    }
    assert_int_equal(fit_linear(x, y, w, cars.n_rows, 2, &fit), FIT_OK);
    aid_near_relative("intercept", fit.coef[0], -12.9672923814120, 1e-12);
    aid_near_relative("slope", fit.coef[1], 3.6329410637281, 1e-12);
    aid_near_relative("u(intercept)", fit_linear_std_error(&fit, 0), 4.8787595034968, 1e-12);
    aid_near_relative("u(slope)", fit_linear_std_error(&fit, 1), 0.3453194058958, 1e-12);
    aid_near_relative("s", fit.s, 3.81298474061, 1e-11);
    aid_near_relative("rss", fit.rss, 697.864926341, 1e-11);
    aid_table_free(&cars);
}

struct refusal {
    const char *name;
    size_t n, p;
    double x[12], y[4], w[4];
    enum fit_status status;
    size_t rank, undetermined;
};

static const struct refusal refusals[] = {
    {"too few rows", 2, 3, {1, 2, 3, 4, 5, 7}, {1, 2}, {1, 1}, FIT_TOO_FEW, 0, FIT_NO_COLUMN},
    {"no columns", 3, 0, {0}, {1, 2, 3}, {1, 1, 1}, FIT_RANGE, 0, FIT_NO_COLUMN},
    {"too many columns", 20, 13, {0}, {0}, {0}, FIT_RANGE, 0, FIT_NO_COLUMN},
    {"NaN in x", 3, 1, {1, NAN, 3}, {1, 2, 3}, {1, 1, 1}, FIT_NOT_FINITE, 0, FIT_NO_COLUMN},
    {"infinite y", 3, 1, {1, 2, 3}, {1, INFINITY, 3}, {1, 1, 1}, FIT_NOT_FINITE, 0, FIT_NO_COLUMN},
    {"NaN weight", 3, 1, {1, 2, 3}, {1, 2, 3}, {1, NAN, 1}, FIT_NOT_FINITE, 0, FIT_NO_COLUMN},
    {"weight of zero", 3, 1, {1, 2, 3}, {1, 2, 3}, {1, 0, 1}, FIT_RANGE, 0, FIT_NO_COLUMN},
    {"negative weight", 3, 1, {1, 2, 3}, {1, 2, 3}, {1, -2, 1}, FIT_RANGE, 0, FIT_NO_COLUMN},
    {"column of zeros", 3, 2, {0, 1, 0, 2, 0, 5}, {1, 2, 3}, {1, 1, 1}, FIT_RANK, 1, 0},
    {"one temperature only", 3, 2, {1, .03, 1, .03, 1, .03}, {.7, .71, .72}, {1, 1, 1}, FIT_RANK,
     1, 1},
    {"third is the sum", 4, 3, {1, .3, 1.3, 1, .7, 1.7, 1, 1.9, 2.9, 1, 2.3, 3.3}, {1, 2, 3, 5},
     {1, 2, 3, 4}, FIT_RANK, 2, 2},
    {"middle repeats", 4, 3, {2, 6, 1, 3, 9, 7, 4, 12, 2, 5, 15, 3}, {1, 2, 3, 5}, {1, 2, 3, 4},
     FIT_RANK, 2, 1},
    {"overflow of the coefficient", 2, 1, {1e-300, 3e-300}, {1e300, 3e300}, {1, 1},
     FIT_NOT_FINITE, 1, FIT_NO_COLUMN},
};

static void test_refusals(void **state)
{
    (void)state;
    int wrong = 0;
    for (size_t k = 0; k < sizeof refusals / sizeof refusals[0]; k++) {
        const struct refusal *row = &refusals[k];
        struct fit_linear fit;
        enum fit_status status = fit_linear(row->x, row->y, row->w, row->n, row->p, &fit);
        bool same = status == row->status && fit.undetermined == row->undetermined &&
                    isnan(fit.coef[0]) && isnan(fit.s) && isnan(fit.cov_unit[0]);
        if (row->status == FIT_RANK)
            same = same && fit.rank == row->rank;
        if (!same)
            print_error("%s: status '%s', rank %zu, column %zu\n", row->name,
                        fit_status_text(status), fit.rank, fit.undetermined);
        wrong += !same;
    }
    assert_int_equal(wrong, 0);
}

/* As many rows as columns: exact, no scatter to speak of. */
static void test_no_freedom(void **state)
{
    (void)state;
    const double x[4] = {1.0, -0.013, 1.0, -0.061}, y[2] = {0.733, 0.537};
    struct fit_linear fit;
    assert_int_equal(fit_linear(x, y, NULL, 2, 2, &fit), FIT_OK);
    aid_near("slope", fit.coef[1], 0.196 / 0.048, 1e-13);
    aid_near("intercept", fit.coef[0], 0.733 + 0.013 * 0.196 / 0.048, 1e-14);
    assert_int_equal(fit.dof, 0);
    assert_true(isnan(fit.s));
    assert_true(isnan(fit_linear_std_error(&fit, 0)));
}

static void test_status_texts(void **state)
{
    (void)state;
    for (int i = FIT_OK; i <= FIT_RANGE; i++) {
        for (int k = FIT_OK; k < i; k++)
            assert_string_not_equal(fit_status_text((enum fit_status)i),
                                    fit_status_text((enum fit_status)k));
    }
    assert_string_equal(fit_status_text((enum fit_status)71), "unknown status of a fit");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nist),        cmocka_unit_test(test_filip_centred),
        cmocka_unit_test(test_weights),     cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_no_freedom),  cmocka_unit_test(test_status_texts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
