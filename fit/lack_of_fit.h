/* Is the form of the curve adequate? Scatter between groups of repeats against scatter within.
 *
 * Residuals are compared rather than observations, so repeats need only be near each other: the
 * curve takes out what their conditions differ by. With equal conditions this is the classical
 * split into lack of fit and pure error. */
#ifndef FIT_LACK_OF_FIT_H
#define FIT_LACK_OF_FIT_H

#include <stddef.h>

#include "fit/status.h"

struct fit_lack {
    size_t groups;
    double pure_ss, lack_ss;    /* weighted sums of squares; together the residual sum */
    double pure_dof, lack_dof;  /* n - groups, groups - p */
    double f;                   /* ratio of mean squares; INFINITY if repeats agree exactly */
    double p_value;             /* probability of a larger f if the form is adequate */
};

/* In:      residual  n residuals of the fit
 *          w         n weights > 0, or NULL
 *          group     n labels, any values; equal label = repeats of one condition
 *          p         coefficients of the fit
 * Out:     out       filled unless the status is not FIT_OK
 * Returns: FIT_OK, FIT_TOO_FEW if groups <= p or there is no repeat, FIT_NOT_FINITE,
 *          FIT_RANGE (a weight not > 0)
 * Source:  N. R. Draper, H. Smith, Applied Regression Analysis, ch. 2 (from memory) */
enum fit_status fit_lack_of_fit(const double *residual, const double *w, const size_t *group,
                                size_t n, size_t p, struct fit_lack *out);

#endif
