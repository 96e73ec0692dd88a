/* Invented worlds: tests of a demo collector at the level of window means, in which every row of
 * the error registry (made from the demo's own description) is drawn anew for every seed: a
 * calibration row once, a session row once a day, a reading row once a window. What the program
 * says of such a test can be held against the truth, because the truth is known: the same form
 * fitted to the noise-free steady states. For tests only; a fault fails the running test. */
#ifndef AID_WORLD_H
#define AID_WORLD_H

#include <stddef.h>
#include <stdint.h>

#include "base/randoms.h"
#include "demo/truth.h"
#include "run/efficiency.h"
#include "run/setup.h"

enum { WORLD_ROWS = 64, WORLD_DAYS = 2 };

struct world {
    enum demo_collector collector;
    struct test_setup setup;             /* of the demo's description */
    size_t n;                            /* points; may be set to fewer than the nominal test has */
    struct means exact[DEMO_POINTS_MAX]; /* no error in the means; u[] as for readings */
    struct point_setup right;            /* true area, true fluid */
    struct randoms randoms;
    struct faults faults;
    bool calibrated_well; /* world_draw leaves calibration rows at zero */

    /* The world of the last draw. */
    double calibration[WORLD_ROWS];         /* value of each calibration row */
    double session[WORLD_ROWS][WORLD_DAYS]; /* of each session row */
    struct fluid fluid;                     /* what the program believes of the fluid */
    struct point_setup believed;            /* stated area, believed fluid */
    struct means means[DEMO_POINTS_MAX];    /* as read */
    struct point points[DEMO_POINTS_MAX];
};

void world_init(struct world *world, enum demo_collector collector, enum temperature_basis basis);
/* Plate A with antifreeze, its points typed by hand; the fraction is drawn with the rest. */
void world_init_glycol(struct world *world);
void world_free(struct world *world);

/* Wind and sky are not known, whatever the description measures: their rows join the registry, and
 * each draw lets the collector lose what they say. */
void world_expose(struct world *world);

/* Lets the water drift in every window, by 7 % less from level to level as a bucket does that loses
 * ever more, the collector store what the description says it does, and the drift be read with a
 * standard uncertainty. Before world_truth. (Were the drift to differ between windows of one level,
 * an error of the capacity would show as scatter, and the scale "at least stated" would widen the
 * interval.) */
void world_drift(struct world *world, double drift_K_s, double u_drift_K_s);

/* Draws a whole test and makes its points. seed > 0. */
void world_draw(struct world *world, uint64_t seed);

/* The same from demo_points, whose errors are drawn from the demo's sensor table and not from the
 * registry: an independent way to the same test. */
void world_draw_demo(struct world *world, uint64_t seed);

/* One more window at the conditions of point k, made with fresh readings and a fresh session.
 * In:  calibrated  the calibration errors of the last draw; else none at all (another, perfect
 * bench) */
void world_window(struct world *world, size_t k, bool calibrated, struct means *means,
                  struct point *point);

/* Fits the points of the last draw. */
void world_fit(struct world *world, const char *form, struct efficiency *out);

/* Fits the noise-free points: the truth in this form.
 * Out:     coef  form->n_coef values
 * Returns: chi2 of the noise-free points about it: what the form (and the wind, which it does not
 * know) leaves over */
double world_truth(struct world *world, const char *form, double *coef);

/* Moves the outlets of the noise-free points so that each lies on the curve exactly: a collector
 * that obeys the form. */
void world_obey(struct world *world, const char *form, const double *coef);

#endif
