/* Does what a curve leaves over go with a condition that the curve does not know? A straight line
 * in that condition is fitted beside the curve's own terms, and its slope is held against its
 * standard error: Student's t. Fitting both together matters: a condition that goes with the
 * curve's own terms would be hidden in residuals that these terms already took their part of.
 *
 * Points of one group (a day) may share an error. What groups differ by is therefore taken out
 * first, and only what happens within them counts. */
#ifndef FIT_TREND_H
#define FIT_TREND_H

#include <stddef.h>
#include <stdint.h>

#include "fit/form.h"
#include "fit/status.h"

struct fit_trend {
    size_t n;     /* points whose condition is known */
    double least; /* of the condition */
    double most;
    double reach;   /* most - least of the group in which that is largest */
    double slope;   /* of the residual against the condition */
    double u;       /* its standard error, scale from the scatter */
    double t;       /* slope / u; infinite where nothing scatters about the slope */
    double dof;     /* n - groups - n_coef: the curve's level goes with the groups */
    double alike;   /* multiple correlation of the condition with the curve's own terms within the
                       groups, 0 to 1; at 1 it could not be told from them */
    double p_value; /* two-sided probability of a larger |t| by chance */
};

/* In:      form, at  n conditions of the curve; the first term of the form is its level, 1
 *          residual  n: measured minus curve
 *          w         n weights > 0 (1/variance), or NULL for all one
 *          group     n labels, any values
 *          z         n: the condition asked about; NaN where it is not known, such points are left
 * out Out:     out       filled unless the status is not FIT_OK Returns: FIT_OK, FIT_NO_MEMORY,
 * FIT_NOT_FINITE, FIT_RANGE (a weight not > 0), FIT_TOO_FEW (dof would be below 1), FIT_RANK (z
 * does not vary within the groups beyond the curve's own terms) Source:  N. R. Draper, H. Smith,
 * Applied Regression Analysis (from memory): the last term's t. Checked against R 4.2.2,
 * summary(lm(y ~ terms + factor(group) + z, weights = w)). */
enum fit_status fit_trend(const struct fit_form *form, const struct fit_condition *at,
                          const double *residual, const double *w, const int64_t *group,
                          const double *z, size_t n, struct fit_trend *out);

#endif
