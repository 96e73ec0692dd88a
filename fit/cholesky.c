#include "fit/cholesky.h"

#include <math.h>

#include "fit/linear.h"

bool fit_cholesky(long double *h, long double *scale, size_t p)
{
    for (size_t j = 0; j < p; j++) {
        if (!(h[j * p + j] > 0.0L))
            return false;
        scale[j] = sqrtl(h[j * p + j]);
    }
    for (size_t j = 0; j < p; j++) {
        for (size_t i = j; i < p; i++) {
            long double sum = h[i * p + j] / (scale[i] * scale[j]);
            for (size_t k = 0; k < j; k++)
                sum -= h[i * p + k] * h[j * p + k];
            if (i == j && !(sum > 1e-18L))
                return false;
            h[i * p + j] = i == j ? sqrtl(sum) : sum / h[j * p + j];
        }
    }
    return true;
}

void fit_cholesky_solve(const long double *l, const long double *scale, size_t p, double *b)
{
    long double z[FIT_MAX_COEF];
    for (size_t i = 0; i < p; i++) {
        z[i] = (long double)b[i] / scale[i];
        for (size_t k = 0; k < i; k++)
            z[i] -= l[i * p + k] * z[k];
        z[i] /= l[i * p + i];
    }
    for (size_t i = p; i-- > 0;) {
        for (size_t k = i + 1; k < p; k++)
            z[i] -= l[k * p + i] * z[k];
        z[i] /= l[i * p + i];
        b[i] = (double)(z[i] / scale[i]);
    }
}
