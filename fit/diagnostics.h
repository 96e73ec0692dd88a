/* What each point does to a weighted linear fit, and how far off it lies. A point is shown, never
 * removed, by these numbers. */
#ifndef FIT_DIAGNOSTICS_H
#define FIT_DIAGNOSTICS_H

#include <stddef.h>

#include "fit/curve.h"
#include "fit/linear.h"
#include "fit/status.h"

struct fit_case {
    double fitted;
    double residual;    /* y - fitted, unweighted */
    double leverage;    /* 0..1; their sum is p */
    double studentised; /* internally: sqrt(w) r / (s sqrt(1 - h)) */
    double deleted;     /* externally: scale from the fit without this point */
    double cook;        /* Cook's distance */
    double dffits;      /* shift of the own fitted value, in its standard errors */
};

/* One case a row.
 * In:      x, y, w, fit  what was given to fit_linear(), and what it returned
 * Out:     cases         n cases. Where a point alone determines a coefficient (leverage 1), or
 *                        the residuals are all zero, or dof is too small, the numbers that do
 *                        not exist are NaN.
 * Source:  R. D. Cook, S. Weisberg, Residuals and Influence in Regression (1982) (from memory);
 *          checked against R 4.2.2 */
void fit_diagnose(const double *x, const double *y, const double *w, const struct fit_linear *fit,
                  struct fit_case *cases);

/* The same for a fitted curve, linearised at its minimum: rows at the adjusted points, weights 1/v.
 * In:      points  the n points that the curve was fitted to
 * Out:     cases   n cases; fitted and residual are the curve's own at the point's x
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_RANK, FIT_NOT_FINITE */
enum fit_status fit_curve_diagnose(const struct fit_curve *curve, const struct fit_point *points,
                                   struct fit_case *cases);

#endif
