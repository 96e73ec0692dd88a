/* Truth: what a perfect bench would have measured of the demo's collectors, and whole tests at the
 * level of window means, with errors drawn from the stated figures.
 *
 * For tests that ask whether intervals cover what they claim: fit the same form to demo_truth (no
 * noise) and hold it against the program's coefficients over many draws of demo_points.
 */
#ifndef DEMO_TRUTH_H
#define DEMO_TRUTH_H

#include "base/faults.h"
#include "demo/collectors.h"
#include "demo/sensors.h"
#include "domain/fluid.h"
#include "domain/means.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { DEMO_POINTS_MAX = 16 };

/* What the loop of glycol.txt is said to hold: propylene glycol, by volume. */
#define DEMO_FRACTION 0.40

/* What it does hold: fraction, specific heat and density off by amounts drawn from the program's
 * own default errors; draw 0: none.
 * Returns: false with a fault (no memory). */
bool demo_mixture(uint64_t draw, struct fluid *fluid, struct faults *faults);

struct demo_truth {
    double efficiency; /* on gross area */
    double heat_W;
    double t_out_degC;
    double t_mean_degC;
    double reduced_m2K_W; /* (t_mean - t_ambient)/G */
};

/* The steady answer of a collector under n conditions.
 * Out:     out   n rows; untouched from the first failure on
 * Returns: false with a fault where there is no steady state inside the fluid's range. */
bool demo_truth(enum demo_collector collector, const struct fluid *fluid,
                const struct plant_conditions *conditions, size_t n, struct demo_truth *out,
                struct faults *faults);

/* How many points the nominal test has: 16 for a plate (4 levels of 4), 12 for a homemade
 * one (4 of 3). */
size_t demo_point_count(enum demo_collector collector);

/* Condition k (0 to count - 1) of the nominal test; levels follow each other, coolest first. Angle
 * of incidence zero. */
void demo_point_conditions(enum demo_collector collector, size_t k,
                           struct plant_conditions *conditions);

/* Day of point k: 0 or 1. The zero of an instrument is drawn per day. */
size_t demo_point_day(enum demo_collector collector, size_t k);

/* A whole test as its window means would have come out, without integrating in time.
 * In:      draw    which of the invented worlds: calibration errors, zeros, areas, noise; 0 = no
 *                  error of any kind (shown = true)
 *
 * Out:     means   demo_point_count rows
 *
 * u[] holds the noise of the mean alone; the steps in which a thermometer counts are in the error
 * too and belong to the description's rows. No CH_HEAT: heat follows from the means.
 *
 * Returns: false with a fault (no memory, no steady state). */
bool demo_points(enum demo_collector collector, const struct fluid *fluid, uint64_t draw,
                 struct means *means, struct faults *faults);

#endif
