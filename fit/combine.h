/* Covariances and variances put together. Matrices are p*p, row-major, symmetric. */
#ifndef FIT_COMBINE_H
#define FIT_COMBINE_H

#include <stddef.h>

/* cov += d d'. With d the shift of the coefficients when one common error moves by its standard
 * uncertainty, this adds that error's part. */
void fit_cov_add_outer(double *cov, size_t p, const double *d);

/* cov += factor * other. */
void fit_cov_add(double *cov, size_t p, const double *other, double factor);

/* sum_j t_j b_j. */
double fit_dot(const double *t, const double *b, size_t p);

/* Variance of sum_j t_j b_j: t' cov t. Rounding below zero is returned as zero. */
double fit_variance(const double *t, const double *cov, size_t p);

/* Correlation of coefficients i and j; NaN if either has no variance. */
double fit_correlation(const double *cov, size_t p, size_t i, size_t j);

struct fit_part {
    double variance; /* >= 0 */
    double dof;      /* > 0, may be INFINITY */
};

/* Effective degrees of freedom of a sum of independent variances (Welch-Satterthwaite).
 * Returns: (sum v)^2 / sum(v^2/dof); INFINITY if no part has finite dof or all are zero
 * Source:  JCGM 100:2008, G.4.1 */
double fit_welch(const struct fit_part *parts, size_t n);

/* Two-sided coverage factor, Student's t.
 * In:      level  0 < level < 1, 0.95 for the usual
 *          dof    > 0, not necessarily whole; INFINITY gives the normal quantile
 * Returns: the factor; NaN outside the range */
double fit_coverage(double level, double dof);

/* The same for 95 %: 1.960 at infinity. */
double fit_coverage_95(double dof);

#endif
