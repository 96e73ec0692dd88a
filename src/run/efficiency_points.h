/* From the means of a reduction to the points of an efficiency run.
 */
#ifndef RUN_EFFICIENCY_POINTS_H
#define RUN_EFFICIENCY_POINTS_H

#include "base/faults.h"
#include "point/point.h"
#include "run/efficiency.h"
#include "run/reduction.h"

#include <stdbool.h>

/* Makes every point and marks those that the run leaves out by name.
 * Out:     points  as many as the reduction has means
 * Returns: false with faults: a point that cannot be formed (the first speaks for all), a name that
 *          no point bears */
bool efficiency_points(const struct reduction *reduction, const struct run_section *run,
                       const struct point_setup *setup, struct point *points,
                       struct faults *faults);

/* What the run asks of the fit. */
struct efficiency_request efficiency_request(const struct run_section *run);

#endif
