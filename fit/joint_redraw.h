/* The joint fit of fit/joint.h found again for data that moved: what a Monte Carlo does thousands
 * of times. Same minimum (weights inside the minimisation, knots and f0 those of the headline),
 * reached by Gauss-Newton steps from the headline coefficients through normal equations, without an
 * allocation. Where they do not get there, fit_joint_again() is asked. */
#ifndef FIT_JOINT_REDRAW_H
#define FIT_JOINT_REDRAW_H

#include "fit/joint.h"

/* Steps end when they are shorter than this part of one standard uncertainty of the readings. */
#define FIT_JOINT_REDRAW_SHORT 1e-6

/* Curve and modifier through moved points.
 * In:      fit    the headline
 *          moved  fit->n points; u_eta, u_x and cov_eta_x as of the points that were fitted
 * Out:     coef   n_coef coefficients; untouched unless FIT_OK
 * Returns: FIT_OK, or what fit_joint_again() returns */
enum fit_status fit_joint_redraw(const struct fit_joint *fit, const struct fit_joint_point *moved,
                                 double *coef);

#endif
