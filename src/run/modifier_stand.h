/* Where a point stands, as a fit of the modifier has it: its angle, its diffuse share, its place on
 * the curve, and what it yields beside that. Pure numbers of one point.
 *
 * Source: docs/methods.md, "Incidence angle modifier".
 */
#ifndef RUN_MODIFIER_STAND_H
#define RUN_MODIFIER_STAND_H

#include "fit/form.h"
#include "fit/modifier.h"
#include "point/point.h"

/* The angle of a point, without sign and short of 90 deg, with its projections along tubes and
 * across them (0 where not known).
 * In: value  incidence_rad known; setup  whether the tubes lie level */
struct fit_angle modifier_angle(const struct point_value *value, const struct point_setup *setup);

/* A point's diffuse share, 0 to 1; 0 where it is not known. */
double modifier_share_of(const struct point_value *value);

/* The same as the modifier is fitted to it: 0.99 at most, since a point without a beam tells no K
 * of it. */
double modifier_share_fitted(const struct point_value *value);

/* Where a point stands on the curve; the wind counts from the curve's origin, 0 where it was not
 * measured. */
struct fit_condition modifier_condition(const struct point_value *value,
                                        const struct point_setup *setup);

/* (efficiency + loss)/eta0, the loss as the curve has it there.
 * In: coef  of the form; coef[0], eta0, is not 0 */
double modifier_ratio(const struct fit_form *form, const double *coef,
                      const struct point_value *value, const struct point_setup *setup);

#endif
