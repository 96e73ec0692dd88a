#include "fit/scatter.h"

#include "fit/linear.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

/* What all groups have in common. */
struct scatter {
    const double *variance;
    const double *shared;
    size_t m;
    size_t n;
    double *x; /* n*p terms, whitened group by group */
    double *y; /* n residuals, likewise */
    size_t p;
    double *block; /* V of a group: the square of the largest */
};

/* Lower Cholesky factor of V of the points first to first + size - 1. */
static enum fit_status factor(const struct scatter *s, size_t first, gsl_matrix *v)
{
    for (size_t i = 0; i < v->size1; i++)
        for (size_t j = 0; j <= i; j++) {
            double sum = i == j ? s->variance[first + i] : 0;
            for (size_t k = 0; k < s->m; k++)
                sum += s->shared[k * s->n + first + i] * s->shared[k * s->n + first + j];
            gsl_matrix_set(v, i, j, sum);
            gsl_matrix_set(v, j, i, sum);
        }
    return gsl_linalg_cholesky_decomp1(v) == 0 ? FIT_OK : FIT_RANK;
}

/* Solves L z = y for every column of a group's terms and for its residuals. */
static enum fit_status whiten(const struct scatter *s, size_t first, size_t size)
{
    gsl_matrix_view v = gsl_matrix_view_array(s->block, size, size);
    gsl_matrix_view x = gsl_matrix_view_array(s->x + first * s->p, size, s->p);
    gsl_vector_view y = gsl_vector_view_array(s->y + first, size);
    enum fit_status status = factor(s, first, &v.matrix);
    if (status != FIT_OK)
        return status;
    if (gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1.0, &v.matrix,
                       &x.matrix) ||
        gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, &v.matrix, &y.vector))
        return FIT_RANGE;
    return FIT_OK;
}

static size_t size_of_group(const int64_t *group, size_t first, size_t n)
{
    size_t end = first + 1;
    while (end < n && group[end] == group[first])
        end++;
    return end - first;
}

static enum fit_status whiten_groups(const struct scatter *s, const int64_t *group)
{
    enum fit_status status = FIT_OK;
    for (size_t i = 0, size; i < s->n && status == FIT_OK; i += size) {
        size = size_of_group(group, i, s->n);
        status = whiten(s, i, size);
    }
    return status;
}

static size_t largest_group(const int64_t *group, size_t n)
{
    size_t largest = 0;
    for (size_t i = 0, size; i < n; i += size) {
        size = size_of_group(group, i, n);
        largest = size > largest ? size : largest;
    }
    return largest;
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

/* Fits what is left once everything is white. */
static enum fit_status fit_white(const struct scatter *s, double *chi2)
{
    struct fit_linear fit;
    enum fit_status status = fit_linear(s->x, s->y, NULL, s->n, s->p, &fit);
    if (status == FIT_OK)
        *chi2 = fit.rss;
    return status;
}

enum fit_status fit_scatter(const struct fit_form *form, const struct fit_condition *at,
                            const double *residual, const double *variance, const int64_t *group,
                            const double *shared, size_t m, size_t n, double *chi2)
{
    struct scatter s = {.variance = variance, .shared = shared, .m = m, .n = n, .p = form->n_coef};
    enum fit_status status = check(variance, n, s.p);
    if (status != FIT_OK)
        return status;
    size_t largest = largest_group(group, n);
    s.x = calloc(n * s.p, sizeof *s.x);
    s.y = calloc(n, sizeof *s.y);
    s.block = calloc(largest * largest, sizeof *s.block);
    if (s.x == NULL || s.y == NULL || s.block == NULL)
        status = FIT_NO_MEMORY;
    for (size_t i = 0; status == FIT_OK && i < n; i++) {
        form->terms(&at[i], s.x + i * s.p);
        s.y[i] = residual[i];
    }
    if (status == FIT_OK)
        status = whiten_groups(&s, group);
    if (status == FIT_OK)
        status = fit_white(&s, chi2);
    free(s.block);
    free(s.y);
    free(s.x);
    return status;
}
