/* Normal equations of one Gauss-Newton step, and the step: for fits that are found again thousands
 * of times (fit/redraw.h, fit/joint_redraw.h), in doubles and without an allocation. n is the
 * number of unknowns, FIT_MAX_COEF at most.
 */
#ifndef FIT_NORMAL_H
#define FIT_NORMAL_H

#include "fit/linear.h"

#include <stdbool.h>
#include <stddef.h>

struct fit_normal {
    double a[FIT_MAX_COEF][FIT_MAX_COEF]; /* the lower triangle counts */
    double b[FIT_MAX_COEF];
};

static inline void fit_normal_clear(struct fit_normal *normal, size_t n)
{
    for (size_t j = 0; j < n; j++) {
        normal->b[j] = 0;
        for (size_t k = 0; k <= j; k++)
            normal->a[j][k] = 0;
    }
}

/* Adds a row of terms q with weight w and residual r: a += w q q', b += w q r. */
static inline void fit_normal_add(struct fit_normal *normal, size_t n, const double *q, double w,
                                  double r)
{
    for (size_t j = 0; j < n; j++) {
        double wq = w * q[j];
        normal->b[j] += wq * r;
        for (size_t k = 0; k <= j; k++)
            normal->a[j][k] += wq * q[k];
    }
}

/* Cholesky in place with the forward half of the solution: b becomes the step in units of standard
 * uncertainties. Returns: false if a pivot is lost to rounding */
bool fit_normal_reduce(struct fit_normal *normal, size_t n);

/* Length of what fit_normal_reduce left in b. */
double fit_normal_length(const struct fit_normal *normal, size_t n);

/* The backward half: the step is added to the coefficients. */
void fit_normal_walk(struct fit_normal *normal, size_t n, double *coef);

#endif
