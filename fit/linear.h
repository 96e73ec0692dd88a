/* Weighted linear least squares: rows of terms and observations -> coefficients and covariance.
 *
 * Method: Householder reflections carried out in long double; whether a column adds to those before
 * it is judged at its own length. Normal equations are never formed. Where long double is wider than
 * double (x86: 64 bits, most 64-bit ARM: 113 bits) a condition number up to about 1e12 costs no
 * digit of the result; where it is not, the usual loss of double precision applies.
 *
 * Source: A. Bjoerck, Numerical Methods for Least Squares Problems (1996), ch. 2 (from memory).
 * Checked against: NIST/ITL Statistical Reference Datasets, linear least squares. */
#ifndef FIT_LINEAR_H
#define FIT_LINEAR_H

#include <stddef.h>

#include "fit/status.h"

#define FIT_MAX_COEF 12

/* A column whose part not explained by the columns before it is below this share of its length
 * does not determine a coefficient. Below it, rounding of the inputs alone would move the
 * coefficient by up to about 1 %. Common practice, no source. */
#define FIT_RANK_TOLERANCE 1e-13

#define FIT_NO_COLUMN ((size_t)-1)

struct fit_linear {
    size_t n, p;
    size_t dof;                                 /* n - p */
    size_t rank;                                /* columns that the rows tell apart */
    size_t undetermined;                        /* first column that the earlier ones already
                                                   explain; FIT_NO_COLUMN when rank == p */
    double coef[FIT_MAX_COEF];                  /* p values */
    double cov_unit[FIT_MAX_COEF * FIT_MAX_COEF]; /* (X'WX)^-1, p*p row-major */
    double rss;                                 /* weighted residual sum of squares */
    double s;                                   /* sqrt(rss / dof); NaN when dof == 0 */
    double rcond;                               /* reciprocal condition (1-norm) after scaling */
};

/* Coefficients b that minimise sum_i w_i (y_i - sum_j x_ij b_j)^2.
 * In:      x    n*p terms, row-major
 *          y    n observations
 *          w    n weights, each finite and > 0, or NULL for all one. A weight is 1/variance.
 *          n    rows, >= p
 *          p    columns, 1 .. FIT_MAX_COEF
 * Out:     out  always filled: on failure its numbers are NaN, rank and undetermined are set
 *               where the status is FIT_RANK
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_NOT_FINITE, FIT_TOO_FEW (n < p), FIT_RANK,
 *          FIT_RANGE (p or a weight out of range) */
enum fit_status fit_linear(const double *x, const double *y, const double *w, size_t n, size_t p,
                           struct fit_linear *out);

/* Standard error of one coefficient with the residual scatter as scale.
 * In:      j  column, < fit->p
 * Returns: s * sqrt(cov_unit[j][j]); NaN when dof == 0 */
double fit_linear_std_error(const struct fit_linear *fit, size_t j);

#endif
