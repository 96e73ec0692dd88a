/* The part of a plan that is for the incidence angle modifier: what points would say of it, by the
 * fit of a modifier's run, and planned windows off the normal.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_MODIFIER_H
#define STUDY_PLAN_MODIFIER_H

#include "study/plan_said.h"
#include "study/plan_typical.h"

#include <stdbool.h>

/* Taken where none was measured: b0 of one glass over a flat plate (our figure, for most of them).
 */
#define PLAN_USUAL_B0 0.12
#define PLAN_NEAR_RAD 0.05 /* of windows near the normal, where nothing says how near */

/* Reads the modifier off: points near the normal were fitted, the others are marked.
 * In:      e       of the points near the normal
 *          points  as many as the scene has means
 * Out:     said    value, half-width and parts; `form` and `seen` are the curve's already
 * Returns: false with a fault in own: why the points do not hold it */
bool plan_ask_modifier(const struct plan_scene *scene, const struct efficiency *e,
                       const struct point *points, struct plan_said *said, struct faults *own);

/* Makes planned windows stand to the sun: those near the normal at its usual angle there. The sun's
 * place is known where the test knows it; then tilt, azimuth and clock err as in the test. In:
 * prior  the modifier; NULL: the usual one */
void plan_typical_angles(struct plan_typical *typical, const struct reduction *reduction,
                         const struct fit_modifier *prior);

/* A window off the normal. In, out, returns: as plan_window */
bool plan_window_oblique(const struct plan_typical *typical, const struct point_setup *setup,
                         double theta_rad, double rise_K, int64_t session, struct means *out);

/* Whether a window counts as off the normal for the run. */
bool plan_is_oblique(const struct means *means, const struct run_section *run);

#endif
