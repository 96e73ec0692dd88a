#include "fit/scatter.h"

#include "fit/linear.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

/* Lower Cholesky factor of V in place of v. */
static enum fit_status factor(gsl_matrix *v, const double *variance, const double *shared, size_t m)
{
    for (size_t i = 0; i < v->size1; i++)
        for (size_t j = 0; j <= i; j++) {
            double sum = i == j ? variance[i] : 0;
            for (size_t k = 0; k < m; k++)
                sum += shared[k * v->size1 + i] * shared[k * v->size1 + j];
            gsl_matrix_set(v, i, j, sum);
            gsl_matrix_set(v, j, i, sum);
        }
    return gsl_linalg_cholesky_decomp1(v) == 0 ? FIT_OK : FIT_RANK;
}

/* Solves L z = y for every column of terms and for the residual, then fits what is left. */
static enum fit_status whitened(const gsl_matrix *l, double *x, double *y, size_t n, size_t p,
                                double *chi2)
{
    gsl_matrix_view xs = gsl_matrix_view_array(x, n, p);
    gsl_vector_view ys = gsl_vector_view_array(y, n);
    if (gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1.0, l, &xs.matrix) ||
        gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, l, &ys.vector))
        return FIT_RANGE;
    struct fit_linear fit;
    enum fit_status status = fit_linear(x, y, NULL, n, p, &fit);
    if (status == FIT_OK)
        *chi2 = fit.rss;
    return status;
}

static enum fit_status check(const double *variance, size_t n, size_t p)
{
    if (n < p)
        return FIT_TOO_FEW;
    for (size_t i = 0; i < n; i++)
        if (!(variance[i] > 0) || !isfinite(variance[i]))
            return FIT_RANGE;
    return FIT_OK;
}

enum fit_status fit_scatter(const struct fit_form *form, const struct fit_condition *at,
                            const double *residual, const double *variance, const double *shared,
                            size_t m, size_t n, double *chi2)
{
    size_t p = form->n_coef;
    enum fit_status status = check(variance, n, p);
    if (status != FIT_OK)
        return status;
    gsl_matrix *v = gsl_matrix_alloc(n, n);
    double *x = calloc(n * p, sizeof *x);
    double *y = calloc(n, sizeof *y);
    if (v == NULL || x == NULL || y == NULL)
        status = FIT_NO_MEMORY;
    if (status == FIT_OK) {
        for (size_t i = 0; i < n; i++) {
            form->terms(&at[i], x + i * p);
            y[i] = residual[i];
        }
        status = factor(v, variance, shared, m);
    }
    if (status == FIT_OK)
        status = whitened(v, x, y, n, p, chi2);
    free(y);
    free(x);
    gsl_matrix_free(v);
    return status;
}
