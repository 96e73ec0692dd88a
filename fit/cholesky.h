/* Small symmetric systems in long double, for second derivatives of a sum of squares: matrices are
 * p*p, row-major, p at most FIT_MAX_COEF. */
#ifndef FIT_CHOLESKY_H
#define FIT_CHOLESKY_H

#include <stdbool.h>
#include <stddef.h>

/* Factor of a matrix scaled to unit diagonal, in place.
 * Out:     scale  p values: the roots of its diagonal
 * Returns: false unless it is positive definite well beyond rounding; h is then spoilt */
bool fit_cholesky(long double *h, long double *scale, size_t p);

/* Solve with a factor, in place of b. */
void fit_cholesky_solve(const long double *l, const long double *scale, size_t p, double *b);

#endif
