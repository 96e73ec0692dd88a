/* Regression within groups: each group has a level of its own, the slopes are common to all. What
 * sets whole groups apart (an instrument that differed from day to day) cannot pass for a slope.
 *
 * Method: the weighted mean of its group is taken from each column and from the observations; least
 * squares of what is left. Source: J. Wooldridge, Introductory Econometrics (2002), ch. 14, "fixed
 * effects" (from memory). Checked against R 4.2.2, lm(y ~ factor(group) + x, weights = w). */
#ifndef FIT_WITHIN_H
#define FIT_WITHIN_H

#include "fit/linear.h"

#include <stdint.h>

/* In:      x, y, w   as for fit_linear, without a constant column
 *          group     n labels, any values; rows of a group lie anywhere
 *          n, p      rows and slopes
 * Out:     out       p slopes; dof is n - groups - p, and s goes with it
 * Returns: as fit_linear; FIT_TOO_FEW also where dof would be 0, FIT_RANK also where a column hardly
 *          differs inside the groups (by less than 1e-9 of its length) */
enum fit_status fit_within(const double *x, const double *y, const double *w, const int64_t *group,
                           size_t n, size_t p, struct fit_linear *out);

#endif
