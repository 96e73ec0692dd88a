/* One log, or its columns written by two loggers whose clocks differ: windows and their means are
 * the same to the last bit, whatever the columns, the offset, the gaps and the readings that lack;
 * and so are the coefficients, which follow from them. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "run/efficiency.h"
#include "run/reduction.h"
#include "run/setup_point.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TRIALS = 24, COLUMNS = 5, ROWS_MOST = 1500, LEVELS = 4 };

static const struct {
    const char *name, *measures, *unit, *error;
} columns[COLUMNS] = {{"G tilt", "irradiance", "W/m2", "1.2 % k=2"},
                      {"T air", "ambient", "degC", "0.3 K k=2"},
                      {"T in", "inlet", "degC", "0.1 K k=2"},
                      {"T out", "outlet", "degC", "0.1 K k=2"},
                      {"Flow", "flow", "L/min", "0.8 % k=2"}};

static struct faults faults;

/* A trial: rows of both logs, and which of the columns the second one wrote. */
struct trial {
    size_t n;
    int64_t time_ms[ROWS_MOST]; /* since 2026-06-20T00:00:00Z */
    char cell[ROWS_MOST][COLUMNS][24];
    bool second[COLUMNS];
    int64_t ahead_ms;
};

static void make_cells(struct trial *trial, size_t row, uint64_t *seed)
{
    double i = (double)row, level = floor(i * LEVELS / ROWS_MOST);
    double value[COLUMNS] = {925 + 6.3 * sin(i / 7.1), 23.4 + 0.31 * sin(i / 23.3),
                             21.7 + 19.3 * level + 0.043 * sin(i / 1.7), 0,
                             2.413 + 0.011 * sin(i / 1.3)};
    value[3] = value[2] + 8.1 - 1.3 * level + 0.021 * sin(i / 1.1);
    for (size_t k = 0; k < COLUMNS; k++)
        if (aid_below(seed, 1500) == 0)
            strcpy(trial->cell[row][k], aid_below(seed, 2) == 0 ? "" : "NAN");
        else
            snprintf(trial->cell[row][k], sizeof trial->cell[row][k], "%.*f", k == 0 ? 1 : 3,
                     value[k] + (aid_below(seed, 2500) == 0 ? 30.0 : 0.0));
}

/* Uneven steps, by at most 0.15 each way, so that no slot holds two rows. */
static void make_trial(struct trial *trial, uint64_t seed)
{
    size_t n_second = 0;
    int64_t step_ms = 4000 + 1000 * (int64_t)aid_below(&seed, 9), now_ms = 30000000;
    trial->n = 0;
    while (trial->n < ROWS_MOST) {
        now_ms += step_ms * (aid_below(&seed, 700) == 0 ? 1 + (int64_t)aid_below(&seed, 9) : 1);
        trial->time_ms[trial->n] = now_ms + step_ms * ((int64_t)aid_below(&seed, 31) - 15) / 100;
        make_cells(trial, trial->n, &seed);
        trial->n++;
    }
    for (size_t k = 0; k < COLUMNS; k++) {
        trial->second[k] = aid_below(&seed, 2) == 0;
        n_second += trial->second[k];
    }
    trial->second[0] = n_second == 0 || (trial->second[0] && n_second < COLUMNS);
    trial->ahead_ms = (int64_t)aid_below(&seed, 2000000) - 1000000;
}

enum which { WHOLE, FIRST, SECOND };

static bool has_column(const struct trial *trial, enum which which, size_t k)
{
    return which == WHOLE || trial->second[k] == (which == SECOND);
}

static void write_log(const struct trial *trial, enum which which, const char *folder,
                      const char *name)
{
    char path[300];
    struct text out = {0};
    text_add(&out, "Time");
    for (size_t k = 0; k < COLUMNS; k++)
        if (has_column(trial, which, k))
            text_addf(&out, ",%s", columns[k].name);
    for (size_t i = 0; i < trial->n; i++) {
        int64_t ms = trial->time_ms[i] + (which == SECOND ? trial->ahead_ms : 0);
        text_addf(&out, "\n2026-06-20T%02d:%02d:%02d.%03d", (int)(ms / 3600000),
                  (int)(ms / 60000 % 60), (int)(ms / 1000 % 60), (int)(ms % 1000));
        for (size_t k = 0; k < COLUMNS; k++)
            if (has_column(trial, which, k))
                text_addf(&out, ",%s", trial->cell[i][k]);
    }
    text_add(&out, "\n");
    aid_write(folder, name, text_string(&out), out.length, path);
    text_free(&out);
}

static void describe(const struct trial *trial, bool two, const char *folder, char *path)
{
    struct text out = {0};
    text_add(&out, "[collector]\ngross area = 2.05 m2\n[steady state]\nrules = homemade rig\n"
                   "[run curve]\nkind = efficiency\n");
    text_addf(&out, "[log]\nfile = %s\ntime = Time, ISO 8601, UTC\n", two ? "a.csv" : "both.csv");
    if (two)
        text_addf(&out,
                  "[log other]\nfile = b.csv\ntime = Time, ISO 8601, UTC\n"
                  "clock offset = %.3f s\n",
                  (double)trial->ahead_ms / 1000.0);
    for (size_t k = 0; k < COLUMNS; k++)
        text_addf(&out,
                  "[instrument i%zu]\nmeasures = %s\n%scolumn = %s\nunit = %s\n"
                  "calibration = %s\n",
                  k, columns[k].measures, two && trial->second[k] ? "log = other\n" : "",
                  columns[k].name, columns[k].unit, columns[k].error);
    aid_write(folder, two ? "two.txt" : "one.txt", text_string(&out), out.length, path);
    text_free(&out);
}

static struct reduction *reduce(const char *path)
{
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    faults_init(&faults);
    reduction_init(r);
    if (!reduction_describe(r, path, &faults) || !reduction_read(r, &faults))
        fail_msg("%s: %s", path, faults.items[0].found);
    return r;
}

static void fit(const struct reduction *r, struct efficiency *out)
{
    struct point_setup setup = setup_point(&r->setup, BASIS_MEAN);
    struct point *points = calloc(r->means.n, sizeof *points);
    assert_non_null(points);
    for (size_t i = 0; i < r->means.n; i++)
        assert_true(point_make(&points[i], &r->means.items[i], &setup, &r->setup.errors, &faults));
    struct efficiency_request request = {
        .form = "line", .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    if (!efficiency_fit(out, points, r->means.n, &setup, &r->setup.errors, &request, &faults))
        fail_msg("%s", faults.items[0].found);
    free(points);
}

static void same_means(size_t trial, const struct reduction *one, const struct reduction *two)
{
    if (one->means.n != two->means.n)
        fail_msg("trial %zu: %zu windows, with two logs %zu", trial, one->means.n, two->means.n);
    for (size_t i = 0; i < one->means.n; i++) {
        const struct means *a = &one->means.items[i], *b = &two->means.items[i];
        if (a->start_us != b->start_us || a->end_us != b->end_us || a->readings != b->readings ||
            memcmp(a->has, b->has, sizeof a->has) != 0 ||
            memcmp(a->mean, b->mean, sizeof a->mean) != 0 || memcmp(a->u, b->u, sizeof a->u) != 0)
            fail_msg("trial %zu: window %s differs", trial, a->name);
    }
}

static void two_logs_are_as_one(void **state)
{
    (void)state;
    static struct trial trial;
    size_t windows = 0, fits = 0;
    for (size_t t = 0; t < TRIALS; t++) {
        char one_path[300], two_path[300];
        struct efficiency a, b;
        char *folder = aid_folder();
        assert_non_null(folder);
        make_trial(&trial, 101 + t);
        write_log(&trial, WHOLE, folder, "both.csv");
        write_log(&trial, FIRST, folder, "a.csv");
        write_log(&trial, SECOND, folder, "b.csv");
        describe(&trial, false, folder, one_path);
        describe(&trial, true, folder, two_path);
        struct reduction *one = reduce(one_path), *two = reduce(two_path);
        same_means(t, one, two);
        if (one->means.n > 3) {
            fits++;
            fit(one, &a);
            fit(two, &b);
            assert_memory_equal(a.curve.coef, b.curve.coef, 2 * sizeof(double));
            efficiency_free(&a);
            efficiency_free(&b);
        }
        windows += one->means.n;
        reduction_free(one);
        reduction_free(two);
        free(one);
        free(two);
        aid_remove(folder);
        free(folder);
    }
    if (windows < TRIALS * 4 || fits < TRIALS / 2)
        fail_msg("%zu windows and %zu fits say little", windows, fits);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(two_logs_are_as_one)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
