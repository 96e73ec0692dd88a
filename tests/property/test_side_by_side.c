/* Two collectors side by side, their difference read from windows at the same times: how often
 * equal ones are called different, how often a true difference is told, whether the intervals hold
 * it, and the same numbers by the two curves alone. (aid_beside.h; bounds: 5 % of 2,000 is 100 with
 * a standard deviation of 9.7; 130, 6.5 %, is three of them more.) */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "../unit/aid_beside.h"
#include "../unit/aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct beside beside;

/* A cheap rig: noisy sun and air in one log, windows of the same clock times. */
static const struct beside_case equal = {.eta0 = {0.75, 0.75},
                                         .a1 = {4.3, 4.3},
                                         .u_sun = 0.02,
                                         .u_flow = 0.003,
                                         .noise_sun_W_m2 = 9,
                                         .noise_air_K = 0.2};

enum { SPOTS = 3 };
static const double spots[SPOTS] = {0.001, 0.03, 0.0585};

struct counts {
    size_t called[SPOTS], called_by_curves[SPOTS]; /* different */
    size_t held[SPOTS];                            /* the interval holds the truth */
    double half, half_by_curves;                   /* mean at the middle spot */
};

static void run(const struct beside_case *how, size_t tests, struct counts *counts)
{
    memset(counts, 0, sizeof *counts);
    for (size_t seed = 1; seed <= tests; seed++) {
        beside_draw(&beside, how, seed);
        assert_int_equal(beside.difference.pairs.path, PAIRS_TAKEN);
        for (int k = 0; k < SPOTS; k++) {
            struct difference_at at, by_curves;
            difference_look(&beside.difference, spots[k], 910, &at);
            difference_look_curves(&beside.difference, spots[k], 910, &by_curves);
            counts->called[k] += fabs(at.value) > at.half_95;
            counts->called_by_curves[k] += fabs(by_curves.value) > by_curves.half_95;
            counts->held[k] += fabs(at.value - beside_truth(how, spots[k])) <= at.half_95;
            if (k == 1) {
                counts->half += at.half_95 / (double)tests;
                counts->half_by_curves += by_curves.half_95 / (double)tests;
            }
        }
        beside_forget(&beside);
    }
}

static void print(const char *name, size_t tests, const struct counts *c)
{
    print_message(
        "%s: called different %zu %zu %zu of %zu (by curves %zu %zu %zu), held %zu %zu %zu; "
        "half width %.4f (%.4f)\n",
        name, c->called[0], c->called[1], c->called[2], tests, c->called_by_curves[0],
        c->called_by_curves[1], c->called_by_curves[2], c->held[0], c->held[1], c->held[2], c->half,
        c->half_by_curves);
}

static void equal_collectors_are_seldom_called_different(void **state)
{
    (void)state;
    struct beside_case cases[] = {equal, equal, equal, equal};
    static const char *const names[] = {"same windows", "windows a minute apart",
                                        "what nobody states moves both", "two logs"};
    cases[1].late_us = 60000000;
    cases[2].hour = 0.012;
    cases[3].other_log = true;
    for (int i = 0; i < 4; i++) {
        struct counts counts;
        run(&cases[i], 2000, &counts);
        print(names[i], 2000, &counts);
        for (int k = 0; k < SPOTS; k++)
            assert_true(counts.called[k] <= 130 && counts.called[k] >= 20);
    }
}

static void a_true_difference_is_told_at_least_as_often_as_by_the_curves(void **state)
{
    (void)state;
    struct beside_case cases[] = {equal, equal, equal};
    static const char *const names[] = {"2 %", "2 %, a minute apart",
                                        "2 % in hours that nobody states"};
    struct counts counts[3];
    for (int i = 0; i < 3; i++)
        cases[i].eta0[0] = 0.765;
    cases[1].late_us = 60000000;
    cases[2].hour = 0.012;
    for (int i = 0; i < 3; i++) {
        run(&cases[i], 400, &counts[i]);
        print(names[i], 400, &counts[i]);
        for (int k = 0; k < SPOTS; k++) {
            assert_true(counts[i].called[k] >= counts[i].called_by_curves[k]);
            assert_true(counts[i].held[k] >= 364); /* of 400 at 95 %: chance of fewer 3e-4 */
        }
        assert_true(counts[i].half <= counts[i].half_by_curves);
    }
    /* What moves both from hour to hour is what pairs are for. */
    assert_true(counts[2].called[0] >= 2 * counts[2].called_by_curves[0]);
}

/* The same in a few lines: differences brought to one T* by the curves, weighted by what is each
 * one's own, fitted by normal equations. */
static void the_value_by_hand(void **state)
{
    (void)state;
    struct beside_case how = equal;
    struct difference_at at;
    how.eta0[1] = 0.731;
    how.a1[1] = 3.9;
    beside_draw(&beside, &how, 7);
    const struct difference *d = &beside.difference;
    const double *a = d->a->e.curve.coef, *b = d->b->e.curve.coef;
    double m[3][4] = {{0}};
    for (int i = 0; i < BESIDE_POINTS; i++) {
        const struct fit_point *p = &d->a->e.used[i], *q = &d->b->e.used[i];
        double x = 0.5 * (p->at.x + q->at.x), g = 0.5 * (p->at.g + q->at.g);
        double first = p->eta - a[1] * (x - p->at.x) -
                       a[2] * (g * x * x - p->at.g * p->at.x * p->at.x);
        double other = q->eta - b[1] * (x - q->at.x) -
                       b[2] * (g * x * x - q->at.g * q->at.x * q->at.x);
        double t[4] = {1, -x, -g * x * x, first - other}, w = 1 / pow(d->paired.points[i].u, 2);
        aid_near("difference", d->paired.points[i].of_a - d->paired.points[i].of_b, t[3], 1e-14);
        for (int j = 0; j < 3; j++)
            for (int k = 0; k < 4; k++)
                m[j][k] += w * t[j] * t[k];
    }
    for (int j = 0; j < 3; j++) /* Gauss and Jordan */
        for (int i = 0; i < 3; i++) {
            double part = i == j ? 0 : m[i][j] / m[j][j];
            for (int k = 0; k < 4; k++)
                m[i][k] -= part * m[j][k];
        }
    for (int j = 0; j < 3; j++)
        aid_near_relative("coefficient", d->paired.coef[j], m[j][3] / m[j][j], 2e-3);
    difference_look(d, 0.03, 910, &at);
    aid_near("value", at.value,
             d->paired.coef[0] - 0.03 * d->paired.coef[1] - 910 * 0.03 * 0.03 * d->paired.coef[2],
             1e-14);
    beside_forget(&beside);
}

/* By hand, at T* near 0 where eta = q c (t_out - t_in) / (A G): relative errors of flow and rise of
 * each, no sun: the same readings stand in both, and equal efficiencies move alike. */
static void own_uncertainty_by_hand(void **state)
{
    (void)state;
    beside_draw(&beside, &equal, 3);
    const struct tested *a = beside.difference.a;
    const struct paired_point *p = &beside.difference.paired.points[0];
    double rise = a->points[0].value.t_out_degC - a->points[0].value.t_in_degC;
    double eta = a->points[0].value.eta;
    double by_hand = sqrt(2.0) * eta * hypot(0.001, sqrt(2.0) * 0.01 / rise);
    aid_near_relative("own", p->u, by_hand, 0.05);
    aid_near("common", p->pair->common, 1, 1e-15);
    beside_forget(&beside);
}

struct path_row {
    const char *name;
    double late_min; /* of the other's windows of 10 min */
    size_t kept;     /* of the other's points, the first so many */
    enum pairs_path path;
    size_t n_alike;
};

static const struct path_row paths[] = {
    {"at the same times", 0, 16, PAIRS_TAKEN, 16},
    {"three quarters", 2.5, 16, PAIRS_TAKEN, 16},
    {"less than three quarters", 2.6, 16, PAIRS_APART, 0},
    {"six, of the three coolest temperatures", 0, 6, PAIRS_REACH, 6},
    {"five", 0, 5, PAIRS_FEW, 5},
    {"eight", 0, 8, PAIRS_TAKEN, 8},
};

/* The other test is cut to its first points, as if the rest had been refused. Six of one day are
 * the three coolest temperatures: enough for a bend, but they do not reach the hottest. */
static void the_path_is_settled_by_times_and_temperatures(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        const struct path_row *row = &paths[i];
        struct beside_case how = equal;
        struct pairs pairs;
        how.late_us = (int64_t)(row->late_min * 60e6);
        beside_draw(&beside, &how, 5);
        struct tested part = beside.tests[1];
        part.e.n = row->kept;
        assert_true(pairs_find(&pairs, &beside.tests[0], &part, beside.difference.x_low,
                               beside.difference.x_high, &beside.faults));
        if (pairs.path != row->path ||
            pairs.n_alike != row->n_alike)
            fail_msg("%s: path %d with %zu pairs", row->name, (int)pairs.path, pairs.n_alike);
        pairs_free(&pairs);
        beside_forget(&beside);
    }
}

static int begin(void **state)
{
    (void)state;
    return beside_init(&beside) ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    beside_free(&beside);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equal_collectors_are_seldom_called_different),
        cmocka_unit_test(a_true_difference_is_told_at_least_as_often_as_by_the_curves),
        cmocka_unit_test(the_value_by_hand),
        cmocka_unit_test(own_uncertainty_by_hand),
        cmocka_unit_test(the_path_is_settled_by_times_and_temperatures),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
