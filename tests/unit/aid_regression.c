#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <string.h>

#include "aid_regression.h"
#include "aid_table.h"

struct known {
    const char *id, *file, *x, *y;
    size_t p;
    int lowest, weighted;
};

static const struct known known[] = {
    {"cars_line", "testdata/published/cars.csv", "speed", "dist", 2, 0, 0},
    {"cars_quad", "testdata/published/cars.csv", "speed", "dist", 3, 0, 0},
    {"cars_origin", "testdata/published/cars.csv", "speed", "dist", 1, 1, 0},
    {"cars_weighted_inv_speed", "testdata/published/cars.csv", "speed", "dist", 2, 0, 1},
    {"norris_line", "testdata/published/nist-norris.csv", "x", "y", 2, 0, 0},
};

void aid_regression_terms(const struct aid_regression *reg, double x, double *t)
{
    double power = reg->lowest ? x : 1.0;
    for (size_t j = 0; j < reg->p; j++, power *= x)
        t[j] = power;
}

static const struct known *find(const char *id)
{
    for (size_t k = 0; k < sizeof known / sizeof known[0]; k++) {
        if (strcmp(known[k].id, id) == 0)
            return &known[k];
    }
    fail_msg("no regression '%s'", id);
    return NULL;
}

void aid_regression_fit(struct aid_regression *reg, const char *id)
{
    const struct known *row = find(id);
    struct aid_table table;
    aid_table_read(&table, row->file);
    *reg = (struct aid_regression){.n = table.n_rows, .p = row->p};
    reg->lowest = row->lowest;
    reg->weighted = row->weighted;
    assert_true(reg->n <= AID_REGRESSION_ROWS);
    for (size_t i = 0; i < reg->n; i++) {
        double x = aid_table_number(&table, i, row->x);
        aid_regression_terms(reg, x, reg->x + i * reg->p);
        reg->y[i] = aid_table_number(&table, i, row->y);
        reg->w[i] = row->weighted ? 1.0 / x : 1.0;
    }
    aid_table_free(&table);
    assert_int_equal(fit_linear(reg->x, reg->y, reg->w, reg->n, reg->p, &reg->fit), FIT_OK);
}
