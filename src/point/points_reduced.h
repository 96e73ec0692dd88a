/* Reduced points, efficiency and T*, that cannot be, or hardly: mostly another unit than that of
 * the head. Which one is told by the column, not by its single numbers.
 */
#ifndef POINT_POINTS_REDUCED_H
#define POINT_POINTS_REDUCED_H

#include "base/faults.h"
#include "point/points_rows.h"

#include <stdbool.h>

/* Blames rows
 * - whose T* is beyond 0.3 m2 K/W: impossible,
 * - whose efficiency is typed in percent, is at most 1.5 and would lie among the others, and nearer
 *   to their straight line over T*, or be a usual one if all are so, as the share of 1 that it then
 *   is: unlikely (points_rows_keep).
 * The thresholds are our own figures.
 * Returns: false with a machine fault */
bool points_reduced_find(struct points_rows *rows, struct faults *faults);

#endif
