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

/* The same for an interval. Welch and Satterthwaite count the shares as known; where a part rests on few
 * readings, tests in which that part happens to come out small get both a small u and a large freedom,
 * and the interval is too short: one part of 2 degrees of freedom beside a stated one of a tenth of its
 * variance is held in 92 % of tests at a nominal 95, of 1 degree in 87 % (computed in R, docs/coverage.md).
 * So no part counts with less than its own t for its share: the factor on u is the largest of
 *   t(welch)   and, for each part,   (v t(dof) + (sum of the others) 1.96) / sum of all,
 * t at 0.975. The second is W. G. Cochran's weighted t with the others as known.
 * Returns: the degrees of freedom whose t(0.975) is that factor: at most fit_welch(); equal to it for one
 *          part, and where all are stated
 * Source:  W. G. Cochran, Biometrics 20 (1964) 191 (from memory); the choice of the largest is this
 *          project's */
double fit_freedom(const struct fit_part *parts, size_t n);

/* The same for any number of parts, one by one. Begin with {0}. */
struct fit_sum {
    double variance;
    double over_dof; /* sum v^2/dof */
    double excess;   /* largest v (t(dof) - 1.96) */
    double least;    /* fewest degrees of freedom */
};
void fit_sum_add(struct fit_sum *sum, double variance, double dof);
double fit_sum_freedom(const struct fit_sum *sum);

/* Two-sided coverage factor, Student's t.
 * In:      level  0 < level < 1, 0.95 for the usual
 *          dof    > 0, not necessarily whole; INFINITY gives the normal quantile
 * Returns: the factor; NaN outside the range */
double fit_coverage(double level, double dof);

/* The same for 95 %: 1.960 at infinity. */
double fit_coverage_95(double dof);

#endif
