/* The intervals of curve and modifier fitted together, found a second way: every error drawn, every
 * point formed anew, everything fitted again at once.
 */
#ifndef RUN_JOINT_DRAWS_H
#define RUN_JOINT_DRAWS_H

#include "run/draws.h"
#include "run/joint.h"

/* Draws.
 * In:      joint, points, setup, registry  as joint_fit took and made them
 *          g_W_m2   irradiance at which the curve is looked at
 * Out:     out      of: the curve's coefficients, the modifier's numbers (run/modifier_draws.h), and
 *                   unless the form is a mean: eta0 of the beam alone, the curve at DRAWS_PLACES
 * Returns: false with a machine fault (out of memory) */
bool joint_draw(const struct joint *joint, const struct point *points,
                const struct point_setup *setup, const struct error_registry *registry,
                const struct draws_request *request, double g_W_m2, struct draws *out,
                struct faults *faults);

/* Where eta0 of the beam stands among them. */
size_t joint_draws_beam(const struct joint *joint);

#endif
