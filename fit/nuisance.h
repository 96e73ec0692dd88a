/* Weighted linear least squares with nuisance unknowns: errors that several observations share, each
 * known beforehand to be zero within one standard uncertainty -> the linear map from observations to
 * coefficients.
 *
 * Minimised is   sum_i (y_i - sum_j x_ij b_j - sum_k s_ik m_k)^2 / v_i  +  sum_k m_k^2 ,
 * which gives the same b as generalised least squares with V = diag(v) + sum_k s_k s_k'. The map is
 * returned rather than numbers, so that whatever else may have moved the observations can be sent
 * through it.
 *
 * Method: columns scaled to unit length, modified Gram-Schmidt carried out twice.
 * Source: A. C. Aitken, Proc. R. Soc. Edinb. 55 (1935) 42, for generalised least squares; that
 *         unknowns with a stated spread are rows of their own, H. Theil and A. S. Goldberger, Int.
 *         Econ. Rev. 2 (1961) 65 (both from memory). Tests invert V itself. */
#ifndef FIT_NUISANCE_H
#define FIT_NUISANCE_H

#include <stddef.h>

#include "fit/status.h"

/* A column whose part that the columns before it do not explain is below this share of its length
 * does not determine its unknown. Common practice, no source. */
#define FIT_NUISANCE_TOLERANCE 1e-10

/* In:      x    n*p terms, row-major
 *          v    n variances, each > 0; NULL for all one
 *          n, p n >= p >= 1
 *          s    n*k row-major: shift of each observation by + one standard uncertainty of each
 *               nuisance unknown; may be NULL when k is 0
 * Out:     map  (p + k)*n row-major: b_j = sum_i map[j*n + i] y_i, then the k nuisance unknowns in
 *               units of their standard uncertainty; undefined on failure
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_TOO_FEW, FIT_RANK, FIT_RANGE (a variance not > 0),
 *          FIT_NOT_FINITE */
enum fit_status fit_nuisance(const double *x, const double *v, size_t n, size_t p, const double *s,
                             size_t k, double *map);

#endif
