/* Whether the intervals called 95 % hold the truth in 95 % of tests.
 *
 * 400 whole tests are drawn for each case at the level of window means, every row of the error
 * registry anew (aid_world.h), sent through the real path (point_make, efficiency_fit) and held
 * against the same form fitted to the noise-free steady states.
 *
 * The bounds. With a true coverage of 0.95 the number of intervals that hold is binomial(400, 0.95):
 * mean 380, standard deviation 4.36. At least 364 are demanded: P(363 or fewer) = 3.2e-4. Over the
 * COUNTS_MADE counts below, were all of them exactly at 0.95 and independent, one would fall under
 * it by chance with a probability of 1 % (seeds are fixed: a run does not flicker; this is the chance
 * that a right program met unlucky seeds when the test was written). No upper bound: an interval may be
 * cautious (rectangular errors, "at least stated"); that it is not idly wide the root mean square of
 * z = (found - truth)/u over 100 seeds shows: 100 z^2 is chi-square with 100 degrees of freedom, and
 * outside 0.77 to 1.24 it would fall with P = 2.9e-4 below and 1.0e-4 above. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "fit/combine.h"
#include "tests/unit/aid_world.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SEEDS = 400, HOLD_AT_LEAST = 364, SEEDS_Z = 100, COUNTS_MADE = 30 };
static const double z_least = 0.77, z_most = 1.24;

/* What is counted of one number over the seeds. */
struct tally {
    int seen, held;
    double z2; /* sum over the first SEEDS_Z */
};

static void count(struct tally *tally, double off, double u, double half)
{
    tally->held += fabs(off) <= half;
    if (tally->seen++ < SEEDS_Z)
        tally->z2 += off / u * (off / u);
}

static void judge(const char *name, const char *what, const struct tally *tally)
{
    double rms = sqrt(tally->z2 / SEEDS_Z);
    printf("    %-34s %-12s held in %d of %d, rms z %.2f\n", name, what, tally->held, tally->seen,
           rms);
    if (tally->seen != SEEDS || tally->held < HOLD_AT_LEAST)
        fail_msg("%s, %s: the interval held in %d of %d tests, at least %d of %d wanted", name, what,
                 tally->held, tally->seen, HOLD_AT_LEAST, SEEDS);
    if (!(rms >= z_least && rms <= z_most))
        fail_msg("%s, %s: rms z %.3f, wanted %.2f to %.2f", name, what, rms, z_least, z_most);
}

struct row {
    const char *name;
    enum demo_collector collector;
    enum temperature_basis basis;
    const char *form;
    size_t n;  /* points taken; 0 = all */
    bool demo; /* errors from the demo's sensors instead of the registry's rows */
};

static const struct row rows[] = {
    {"plate, line", DEMO_PLATE_A, BASIS_MEAN, "line", 0, false},
    {"plate, second order", DEMO_PLATE_A, BASIS_MEAN, "second order", 0, false},
    {"plate, second order, inlet", DEMO_PLATE_A, BASIS_INLET, "second order", 0, false},
    {"plate, second order, sensors", DEMO_PLATE_A, BASIS_MEAN, "second order", 0, true},
    {"rig, line", DEMO_RIG, BASIS_MEAN, "line", 0, false},
    {"rig, second order", DEMO_RIG, BASIS_MEAN, "second order", 0, false},
    {"rig, line, sensors", DEMO_RIG, BASIS_MEAN, "line", 0, true},
    {"rig, mean at one level", DEMO_RIG, BASIS_MEAN, "mean", 3, false},
};
enum { ROWS = sizeof rows / sizeof rows[0] };

static void tally_test(const struct efficiency *e, const double *truth, struct tally *coefs,
                       struct tally *band)
{
    for (size_t j = 0; j < e->form->n_coef; j++) {
        double u, dof;
        efficiency_combined(e, j, &u, &dof);
        count(&coefs[j], e->curve.coef[j] - truth[j], u, fit_coverage_95(dof) * u);
    }
    struct fit_condition at = {.x = 0.03, .g = 940};
    double t[FIT_FORM_MAX_COEF];
    e->form->terms(&at, t);
    struct fit_parts parts = efficiency_parts(e);
    struct fit_band curve;
    fit_band_curve(&parts, t, &curve);
    count(band, curve.value - fit_form_value(e->form, truth, &at), curve.u, curve.half_95);
}

static void intervals_hold_the_truth(void **state)
{
    const struct row *row = *state;
    struct world *world = malloc(sizeof *world);
    assert_non_null(world);
    world_init(world, row->collector, row->basis);
    if (row->n > 0)
        world->n = row->n;
    double truth[FIT_FORM_MAX_COEF];
    world_truth(world, row->form, truth);
    struct tally coefs[FIT_FORM_MAX_COEF] = {0}, band = {0};
    double birge2 = 0;
    size_t p = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        if (row->demo)
            world_draw_demo(world, seed);
        else
            world_draw(world, seed);
        struct efficiency e;
        world_fit(world, row->form, &e);
        p = e.form->n_coef;
        tally_test(&e, truth, coefs, &band);
        birge2 += e.curve.birge * e.curve.birge / SEEDS;
        efficiency_free(&e);
    }
    printf("    rms Birge %.3f\n", sqrt(birge2));
    for (size_t j = 0; j < p; j++)
        judge(row->name, fit_form_find(row->form)->symbols[j], &coefs[j]);
    judge(row->name, "curve", &band);
    world_free(world);
    free(world);
}

int main(void)
{
    struct CMUnitTest tests[ROWS];
    for (size_t i = 0; i < ROWS; i++)
        tests[i] = (struct CMUnitTest){.name = rows[i].name,
                                       .test_func = intervals_hold_the_truth,
                                       .initial_state = (void *)&rows[i]};
    return _cmocka_run_group_tests("coverage", tests, ROWS, NULL, NULL);
}
