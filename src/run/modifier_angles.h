/* Whether a run that needs angles of incidence has any: the first thing that both ways of fitting a
 * modifier ask.
 */
#ifndef RUN_MODIFIER_ANGLES_H
#define RUN_MODIFIER_ANGLES_H

#include "point/point.h"
#include "run/reduction.h"

#include <stdbool.h>

/* Whether the angle is known of some point, left out or not.
 * In:      run     whose head the fault names
 *          points  as many as the reduction has means
 * Returns: false with a data fault that says what to do: no points at all, angles refused because
 *          the sunshine contradicts the clock, or nothing that tells an angle */
bool modifier_has_angles(const struct reduction *reduction, const struct run_section *run,
                         const struct point *points, struct faults *faults);

#endif
