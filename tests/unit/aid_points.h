/* A made-up test: sixteen uneven points about a second-order curve, errors of efficiency and
 * reduced temperature correlated, as those of two quantities that share an irradiance are. */
#ifndef AID_POINTS_H
#define AID_POINTS_H

#include <stddef.h>

#include "fit/curve.h"

enum { AID_POINTS = 16 };

/* Out: points AID_POINTS of them. Returns: AID_POINTS */
size_t aid_points_make(struct fit_point *points);

#endif
