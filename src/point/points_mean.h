/* The row of means that a spreadsheet leaves below a points table: it looks like a point and is none.
 */
#ifndef POINT_POINTS_MEAN_H
#define POINT_POINTS_MEAN_H

#include "base/faults.h"
#include "point/points_rows.h"

#include <stdbool.h>

/* Blames the last row of each table if its numbers are the means of the rows above it: at least
 * three of each, within 1 in 500 of the column's range (or of the last digit of a mean that was
 * rounded to 1 in 200), and none that is not. That a point is so by chance happens less than once in
 * 10 million. It can be vouched for (points_rows_keep). The thresholds are our own figures.
 * Returns: false with a machine fault */
bool points_mean_find(struct points_rows *rows, struct faults *faults);

#endif
