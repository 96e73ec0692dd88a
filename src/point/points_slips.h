/* Slips of the pen in points tables: what no single cell shows, but the row or the column does.
 *
 * Unlikely, not impossible: each can be vouched for (points_rows_keep), but for a T* of another
 * unit.
 */
#ifndef POINT_POINTS_SLIPS_H
#define POINT_POINTS_SLIPS_H

#include "base/faults.h"
#include "point/points_rows.h"

#include <stdbool.h>

/* Blames rows, as far as nothing is wrong with them yet,
 * - whose outlet is colder than the inlet by more than 0.2 K in sunshine of 300 W/m2 or more,
 * - with a number far outside of its column's others that would lie among them with its decimal
 * point one or two places elsewhere (225 for 22.5): at least five rows are needed to tell,
 * - whose rise or mean is not what inlet and outlet give, to 0.2 K and 2 % of the rise (rounding)
 * and half of the last digit typed,
 * - whose diffuse is above all sunshine by more than 5 % and 5 W/m2,
 * - whose angle of incidence is beyond 91 degrees,
 * - reduced points as points_reduced.h does, and a row of means as points_mean.h.
 * The thresholds are our own figures.
 * Returns: false with a machine fault */
bool points_slips_find(struct points_rows *rows, struct faults *faults);

#endif
