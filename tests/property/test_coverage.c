/* Whether the intervals called 95 % hold the truth in 95 % of tests.
 *
 * 400 whole tests are drawn for each case at the level of window means, every row of the error
 * registry anew (aid_world.h), sent through the real path (point_make, efficiency_fit) and held
 * against the same form fitted to the noise-free steady states.
 *
 * Bounds. With a true coverage of 0.95 the number of intervals that hold is binomial(400, 0.95):
 * mean 380, standard deviation 4.36. At least 364 are demanded: P(363 or fewer) = 2.9e-4. 117
 * counts are made below; were all exactly at 0.95 and independent, one would fall under 364 by
 * chance with P = 3.3 %. (Seeds are fixed, so that a run does not flicker: it is the chance that a
 * right program met unlucky seeds when this was written.) No upper bound: an interval may be
 * cautious (rectangular errors, the scale "at least stated").
 *
 * That it is not idly wide, the root mean square of z = (found - truth)/u over 100 seeds shows: 100
 * z^2 is then chi-square with 100 degrees of freedom and leaves 0.77 to 1.24 with P = 4.0e-4 below
 * and 4.5e-4 above (9 % for one of 117). The lower bound is only asked of collectors that obey the
 * form: the demo's own do not quite (their points know of the wind, the form does not), and what a
 * form leaves over widens the interval in every seed alike.
 *
 * Scatter. chi2 of n points about p coefficients is, if the stated errors are right, noncentral
 * chi-square: mean n - p + L, variance 2 (n - p + 2 L), L the chi2 of the noise-free points. The
 * mean of 400 is asked to lie within 3.7 standard deviations of it (P = 2e-4 each way where
 * normal). For this the tests are drawn again without calibration errors: these move a curve, but
 * where irradiance or flow differ from point to point they bend it a little, too (an offset of a
 * pair of thermometers counts for more in weaker sun), and chi2 is then larger by 3 to 6 % on
 * average over many more seeds. */
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

enum { SEEDS = 400, HOLD_AT_LEAST = 364, SEEDS_Z = 100 };
static const double z_least = 0.77, z_most = 1.24, scatter_sds = 3.7;

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

static void judge(const char *name, const char *what, const struct tally *tally, bool lower_z)
{
    double rms = sqrt(tally->z2 / SEEDS_Z);
    printf("    %-12s held in %d of %d, rms z %.2f\n", what, tally->held, tally->seen, rms);
    if (tally->seen != SEEDS || tally->held < HOLD_AT_LEAST)
        fail_msg("%s, %s: the interval held in %d of %d tests, at least %d of %d wanted", name,
                 what, tally->held, tally->seen, HOLD_AT_LEAST, SEEDS);
    if (!(rms <= z_most) || (lower_z && !(rms >= z_least)))
        fail_msg("%s, %s: rms z %.3f, wanted %.2f to %.2f", name, what, rms, z_least, z_most);
}

struct row {
    const char *name;
    enum demo_collector collector;
    enum temperature_basis basis;
    const char *form;  /* as asked for */
    const char *truth; /* form in which the truth is fitted */
    bool obeys;        /* the collector obeys that form exactly */
    size_t n;          /* points taken; 0 = all */
    bool demo;         /* errors from the demo's sensors instead of the registry's rows */
    double drift_K_s;  /* of the water at the coolest level; 0: it stands still */
    bool exact;        /* instruments calibrated to perfection, and known to be */
    bool glycol;       /* antifreeze in the loop, its fraction drawn */
    bool exposed;      /* to a wind and a sky that are not known */
};

#define LINE "line", "line"
#define SECOND "second order", "second order"
static const struct row rows[] = {
    {"plate, line", DEMO_PLATE_A, BASIS_MEAN, LINE, false, 0, false, 0, false, false, false},
    {"plate, line, obeyed", DEMO_PLATE_A, BASIS_MEAN, LINE, true, 0, false, 0, false, false, false},
    {"plate, second order", DEMO_PLATE_A, BASIS_MEAN, SECOND, false, 0, false, 0, false, false,
     false},
    {"plate, second order, obeyed", DEMO_PLATE_A, BASIS_MEAN, SECOND, true, 0, false, 0, false,
     false, false},
    {"plate, second order, inlet, obeyed", DEMO_PLATE_A, BASIS_INLET, SECOND, true, 0, false, 0,
     false, false, false},
    {"plate, second order, sensors", DEMO_PLATE_A, BASIS_MEAN, SECOND, false, 0, true, 0, false,
     false, false},
    {"plate, line, glycol", DEMO_PLATE_A, BASIS_MEAN, LINE, false, 0, false, 0, false, true, false},
    {"plate, second order, glycol, obeyed", DEMO_PLATE_A, BASIS_MEAN, SECOND, true, 0, false, 0,
     false, true, false},
    {"rig, line", DEMO_RIG, BASIS_MEAN, LINE, false, 0, false, 0, false, false, false},
    {"rig, line, obeyed", DEMO_RIG, BASIS_MEAN, LINE, true, 0, false, 0, false, false, false},
    {"rig, second order", DEMO_RIG, BASIS_MEAN, SECOND, false, 0, false, 0, false, false, false},
    {"rig, second order, obeyed", DEMO_RIG, BASIS_MEAN, SECOND, true, 0, false, 0, false, false,
     false},
    {"rig, line, sensors", DEMO_RIG, BASIS_MEAN, LINE, false, 0, true, 0, false, false, false},
    {"rig, mean at one level", DEMO_RIG, BASIS_MEAN, "mean", "mean", false, 3, false, 0, false,
     false, false},
    {"rig, mean at one level, obeyed", DEMO_RIG, BASIS_MEAN, "mean", "mean", true, 3, false, 0,
     false, false, false},
    {"rig, form chosen by the program", DEMO_RIG, BASIS_MEAN, "automatic", "second order", true, 0,
     false, 0, false, false, false},
    {"bucket, line", DEMO_BUCKET, BASIS_MEAN, LINE, false, 0, false, 0.7 / 60, false, false, false},
    {"bucket, line, obeyed", DEMO_BUCKET, BASIS_MEAN, LINE, true, 0, false, 0.7 / 60, false, false,
     false},
    {"plate, line, wind and sky not known", DEMO_PLATE_A, BASIS_MEAN, LINE, true, 0, false, 0,
     false, false, true},
    {"rig calibrated, form chosen by the program", DEMO_RIG, BASIS_MEAN, "automatic",
     "second order", true, 0, false, 0, true, false, false},
};
enum { ROWS = sizeof rows / sizeof rows[0] };

/* Everything that is counted of one row. */
struct tallies {
    struct tally coefs[FIT_FORM_MAX_COEF];
    struct tally curve, cold, next, bench;
    double chi2, dof;
    int lines; /* in how many tests the straight line was taken */
};

static double off_curve(const struct efficiency *e, const struct point *point, double *t)
{
    e->form->terms(&point->fit.at, t);
    return point->fit.eta - fit_form_value(e->form, e->curve.coef, &point->fit.at);
}

/* One more window on the same bench, and one on a perfect one: where the bands say? */
static void tally_windows(struct world *world, const struct efficiency *e, uint64_t seed,
                          struct tallies *all)
{
    struct fit_parts parts = efficiency_parts(e);
    double t[FIT_FORM_MAX_COEF];
    struct fit_band band;
    struct means means;
    struct point point;
    world_window(world, seed % world->n, true, &means, &point);
    double off = off_curve(e, &point, t);
    fit_band_next_window(&parts, t, &e->new_window, &band);
    count(&all->next, off, band.u, band.half_95);
    world_window(world, seed % world->n, false, &means, &point);
    off = off_curve(e, &point, t);
    fit_band_elsewhere(&parts, t, &e->new_window, &band);
    count(&all->bench, off, band.u, band.half_95);
}

static void tally_curve(const struct efficiency *e, const struct row *row, const double *truth,
                        double x, struct tally *tally)
{
    struct fit_condition at = {.x = x, .g = 940};
    double t[FIT_FORM_MAX_COEF];
    e->form->terms(&at, t);
    struct fit_parts parts = efficiency_parts(e);
    struct fit_band band;
    fit_band_curve(&parts, t, &band);
    count(tally, band.value - fit_form_value(fit_form_find(row->truth), truth, &at), band.u,
          band.half_95);
}

static void tally_test(struct world *world, const struct row *row, const double *truth,
                       uint64_t seed, struct tallies *all)
{
    struct efficiency e;
    world_fit(world, row->form, &e);
    for (size_t j = 0; j < e.form->n_coef && strcmp(row->form, row->truth) == 0; j++) {
        double u, dof;
        efficiency_combined(&e, j, &u, &dof);
        count(&all->coefs[j], e.curve.coef[j] - truth[j], u, fit_coverage_95(dof) * u);
    }
    tally_curve(&e, row, truth, 0.03, &all->curve);
    tally_curve(&e, row, truth, 0.005, &all->cold);
    if (!row->demo)
        tally_windows(world, &e, seed, all);
    all->lines += e.form->n_coef == 2;
    efficiency_free(&e);
}

static void tally_scatter(struct world *world, const struct row *row, uint64_t seed,
                          struct tallies *all)
{
    struct efficiency e;
    world->calibrated_well = true;
    world_draw(world, seed);
    world_fit(world, row->form, &e);
    world->calibrated_well = false;
    all->chi2 += e.curve.chi2 / SEEDS;
    all->dof = (double)e.curve.dof;
    efficiency_free(&e);
}

static void judge_scatter(const struct row *row, const struct tallies *all, double left_over)
{
    double mean = all->dof + left_over;
    double sd = sqrt(2 * (all->dof + 2 * left_over) / SEEDS);
    printf("    chi2 %.2f on average, %.2f expected (sd %.2f), Birge ratio %.3f\n", all->chi2, mean,
           sd, sqrt(all->chi2 / all->dof));
    if (!(fabs(all->chi2 - mean) <= scatter_sds * sd))
        fail_msg("%s: chi2 %.3f on average, wanted %.3f within %.3f", row->name, all->chi2, mean,
                 scatter_sds * sd);
}

static void judge_all(const struct row *row, const struct tallies *all, double left_over)
{
    bool fixed = strcmp(row->form, row->truth) == 0;
    for (size_t j = 0; j < fit_form_find(row->truth)->n_coef && fixed; j++)
        judge(row->name, fit_form_find(row->truth)->symbols[j], &all->coefs[j], row->obeys);
    judge(row->name, "curve 0.03", &all->curve, row->obeys);
    judge(row->name, "curve 0.005", &all->cold, row->obeys);
    if (!row->demo) {
        judge(row->name, "next window", &all->next, row->obeys);
        judge(row->name, "other bench", &all->bench, row->obeys);
    }
    if (fixed)
        judge_scatter(row, all, left_over);
    else
        printf("    straight line taken in %d of %d\n", all->lines, SEEDS);
}

static void intervals_hold_the_truth(void **state)
{
    const struct row *row = *state;
    struct world *world = malloc(sizeof *world);
    assert_non_null(world);
    if (row->glycol)
        world_init_glycol(world);
    else
        world_init(world, row->collector, row->basis);
    if (row->exposed)
        world_expose(world);
    if (row->n > 0)
        world->n = row->n;
    if (row->drift_K_s > 0)
        world_drift(world, row->drift_K_s, 1.3e-4);
    for (size_t i = 0; i < world->setup.errors.n && row->exact; i++)
        if (world->setup.errors.rows[i].kind == ERROR_CALIBRATION)
            world->setup.errors.rows[i].u = 0;
    double truth[FIT_FORM_MAX_COEF];
    double left_over = world_truth(world, row->truth, truth);
    if (row->obeys) {
        world_obey(world, row->truth, truth);
        left_over = world_truth(world, row->truth, truth);
        assert_true(left_over < 1e-9);
    }
    struct tallies all = {0};
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        if (row->demo)
            world_draw_demo(world, seed);
        else
            world_draw(world, seed);
        tally_test(world, row, truth, seed, &all);
        tally_scatter(world, row, seed, &all);
    }
    judge_all(row, &all, left_over);
    world_free(world);
    free(world);
}

int main(void)
{
    struct CMUnitTest tests[ROWS];
    for (size_t i = 0; i < ROWS; i++)
        tests[i] = (struct CMUnitTest){.name = rows[i].name,
                                       .test_func = intervals_hold_the_truth,
                                       .initial_state = (void *)(uintptr_t)&rows[i]};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
