/* Stagnation: how hot an idle plate gets, never on the cool side.
 *
 * An extrapolation far beyond what was tested must not err towards cool: the upper end of the 95 %
 * interval counts, still air, air and sky equally warm, and an allowance for the hottest spot,
 * which is warmer than the mean of the plate that a curve or a balance knows.
 */
#ifndef PHYSICS_STAGNATION_H
#define PHYSICS_STAGNATION_H

#include <stdbool.h>

/* Where an idle plate is judged: ISO 9806's reference for high irradiation (from memory). */
#define STAGNATION_G_W_M2 1000.0
#define STAGNATION_AMBIENT_DEGC 30.0

/* Part of the rise over the air that the hottest spot (the upper third, away from edges and tubes)
 * may lie above the mean: our own figure. */
#define STAGNATION_HOT_SPOT 0.10

/* A value of a curve's efficiency at a difference to the air (K), at the irradiance asked for: the
 * curve, or the upper end of its band. */
typedef double stagnation_curve(double difference_K, void *state);

/* The difference at which a falling curve reaches zero.
 * In:      curve   positive at 0
 * Returns: K; INFINITY where it stays positive up to `most_K`: it bounds nothing; 0 where it is not
 *          positive at 0 */
double stagnation_difference_K(stagnation_curve *curve, void *state, double most_K);

/* The hottest spot of a plate whose mean stands at a temperature. */
double stagnation_hot_spot_degC(double plate_degC, double ambient_degC);

/* As it is told in words, in whole tens, never cooler. */
double stagnation_told_degC(double degC);

/* A measured stagnation temperature brought to other conditions, in proportion to the irradiance:
 * t_a + (G/G_m)(t_m - t_am).
 * In:      g_measured_W_m2 > 0
 * Source:  ISO 9806 (from memory). For more irradiance than was measured it errs on the hot side,
 * since losses grow faster than the difference. */
double stagnation_brought_degC(double measured_degC, double g_measured_W_m2,
                               double ambient_measured_degC, double g_W_m2, double ambient_degC);

#endif
