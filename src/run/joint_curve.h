/* The points of a joint run, and its curve alone: for studies that lay curves beside each other.
 */
#ifndef RUN_JOINT_CURVE_H
#define RUN_JOINT_CURVE_H

#include "run/efficiency.h"
#include "run/reduction.h"

#include <stdbool.h>

/* Forms the points of a run with `curve = together`; those at no known angle or beyond what any use
 * is made of are taken out.
 * Out:     points  room for as many as the reduction has means; n of them are filled
 *          beyond, without  how many were taken out for each reason
 * Returns: false with faults: as efficiency_points; no angle known; none left in use */
bool joint_points(const struct reduction *reduction, const struct run_section *run,
                  const struct point_setup *setup, struct point *points, size_t *n, size_t *beyond,
                  size_t *without, struct faults *faults);

/* The curve with its covariance, sources and points as they would be at the normal.
 * Out:     points  as above
 *          e       to be emptied by efficiency_free; empty on failure
 * Returns: false with data or machine faults */
bool joint_curve(const struct reduction *reduction, const struct run_section *run,
                 const struct point_setup *setup, struct point *points, struct efficiency *e,
                 struct faults *faults);

#endif
