/* How far the points scatter about a curve when some of their errors are shared.
 *
 * Errors shared by some points (all of one day) move these together: residuals then scatter less than
 * the sum of variances says, and chi2 formed with that sum looks too good. Here chi2 is that of
 * generalised least squares with V = diag(v) + sum_k c_k c_k', about the curve that minimises it.
 */
#ifndef FIT_SCATTER_H
#define FIT_SCATTER_H

#include <stddef.h>
#include <stdint.h>

#include "fit/form.h"
#include "fit/status.h"

/* In:      form, at      n conditions
 *          residual      n: measured minus curve, about any curve of the form
 *          variance      n: of the errors that each point has of its own, > 0
 *          group         n, any numbers, equal ones next to each other: the shared errors of a group
 *                        are the same for its points, those of another group are others
 *          shared        m*n row-major: shift of each residual for + one standard uncertainty of each
 *                        shared error of its group; may be NULL when m is 0
 * Out:     chi2          >= 0; its expectation is n - n_coef if the stated errors are right
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_RANGE (a variance not > 0), FIT_NOT_FINITE, FIT_TOO_FEW, FIT_RANK
 * Memory:  n*n_coef and the square of the largest group: V falls into one block for each group
 * Source:  A. C. Aitken, Proc. R. Soc. Edinb. 55 (1935) 42 (from memory): generalised least squares */
enum fit_status fit_scatter(const struct fit_form *form, const struct fit_condition *at,
                            const double *residual, const double *variance, const int64_t *group,
                            const double *shared, size_t m, size_t n, double *chi2);

#endif
