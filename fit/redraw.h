/* The curve of fit/curve.h found again for data that moved: what a Monte Carlo does thousands of
 * times, and each source of error twice a session. Same minimum (weights inside the minimisation,
 * their uncertainties those of the headline fit), reached by Gauss-Newton steps from the headline
 * coefficients through normal equations, without an allocation. The headline itself is never taken
 * from here: normal equations cost half of the digits, which uncertainties can spare. */
#ifndef FIT_REDRAW_H
#define FIT_REDRAW_H

#include "fit/curve.h"

/* Steps end when they are shorter than this part of one standard uncertainty of the readings. */
#define FIT_REDRAW_SHORT 1e-6

/* The curve through moved points.
 * In:      curve  the headline: form, n, coef, equal_weights
 *          moved  n points; u_eta, u_x and cov_eta_x as of the points that were fitted
 * Out:     coef   p coefficients; untouched unless FIT_OK
 * Returns: FIT_OK, FIT_RANK if the moved points no longer hold the form, FIT_NOT_FINITE,
 *          FIT_NOT_CONVERGED after 50 steps */
enum fit_status fit_redraw(const struct fit_curve *curve, const struct fit_point *moved,
                           double *coef);

#endif
