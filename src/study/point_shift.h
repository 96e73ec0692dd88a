/* How far an error moves one point off its test's curve.
 */
#ifndef STUDY_POINT_SHIFT_H
#define STUDY_POINT_SHIFT_H

#include "base/faults.h"
#include "domain/error_source.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>

/* In:      tested  a test that was fitted (not a stated curve)
 *          i       < tested->e.n, of the fitted points
 *          row     of any registry; u is taken as it stands
 * Out:     shift   of efficiency less curve, for + one standard uncertainty (half the difference over
 *                  +-u); the curve stays where it is. 0 for a bounded row that does not act on
 *                  the point
 * Returns: false with a data fault if the point cannot be formed under the error */
bool point_shift(const struct tested *tested, size_t i, const struct error_source *row,
                 double *shift, struct faults *faults);

/* The same by the wind, and by the sky, that differed from point to point and are in no term of the
 * curve; 0 where none is carried (run/efficiency.h, wind_left_out and sky_left_out). */
double point_shift_wind(const struct tested *tested, size_t i);
double point_shift_sky(const struct tested *tested, size_t i);

#endif
