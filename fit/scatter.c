#include "fit/scatter.h"

#include "fit/combine.h"
#include "fit/linear.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* Scoring converges in a handful of steps; a factor below this share of the most is none. */
enum { MOST_STEPS = 200 };
#define LEAST_SHARE 1e-9

/* What all groups have in common. Rows of x and y are divided by sqrt(v), then turned group by
 * group: row i then has variance f + spread[i] and no error in common with another. */
struct scatter {
    const double *variance;
    const double *shared;
    size_t m;
    size_t n;
    size_t p;
    double *x;      /* n*p terms */
    double *y;      /* n residuals */
    double *spread; /* n */
    double *weight; /* n: 1 / (f + spread) */
};

/* Scratch for one group. */
struct turn {
    gsl_matrix *u;     /* its shared errors: points by errors */
    gsl_vector *tau;   /* of the reflections that make u triangular */
    gsl_matrix *inner; /* what is left of it, times its transpose */
    gsl_matrix *axes;
    gsl_vector *along; /* squared lengths */
    gsl_vector *front;
    gsl_eigen_symmv_workspace *eigen;
};

static void turn_free(struct turn *t)
{
    gsl_matrix_free(t->u);
    gsl_vector_free(t->tau);
    gsl_matrix_free(t->inner);
    gsl_matrix_free(t->axes);
    gsl_vector_free(t->along);
    gsl_vector_free(t->front);
    if (t->eigen != NULL)
        gsl_eigen_symmv_free(t->eigen);
}

static bool turn_init(struct turn *t, size_t size, size_t m)
{
    size_t k = size < m ? size : m;
    *t = (struct turn){.u = gsl_matrix_alloc(size, m),
                       .tau = gsl_vector_alloc(k),
                       .inner = gsl_matrix_alloc(k, k),
                       .axes = gsl_matrix_alloc(k, k),
                       .along = gsl_vector_alloc(k),
                       .front = gsl_vector_alloc(k),
                       .eigen = gsl_eigen_symmv_alloc(k)};
    return t->u && t->tau && t->inner && t->axes && t->along && t->front && t->eigen;
}

/* u to reflections and a triangle, the triangle times its transpose to axes. */
static enum fit_status find_axes(const struct scatter *s, size_t first, struct turn *t)
{
    for (size_t i = 0; i < t->u->size1; i++)
        for (size_t k = 0; k < s->m; k++)
            gsl_matrix_set(t->u, i, k,
                           s->shared[k * s->n + first + i] / sqrt(s->variance[first + i]));
    if (gsl_linalg_QR_decomp(t->u, t->tau))
        return FIT_RANGE;
    for (size_t i = 0; i < t->along->size; i++)
        for (size_t j = 0; j < t->along->size; j++) {
            double sum = 0;
            for (size_t k = i > j ? i : j; k < s->m; k++)
                sum += gsl_matrix_get(t->u, i, k) * gsl_matrix_get(t->u, j, k);
            if (!isfinite(sum))
                return FIT_NOT_FINITE;
            gsl_matrix_set(t->inner, i, j, sum);
        }
    return gsl_eigen_symmv(t->inner, t->along, t->axes, t->eigen) ? FIT_NOT_CONVERGED : FIT_OK;
}

/* A column of x, or y, of the group. */
static enum fit_status turn_column(const struct turn *t, gsl_vector *column)
{
    if (gsl_linalg_QR_QTvec(t->u, t->tau, column))
        return FIT_RANGE;
    gsl_vector_view front = gsl_vector_subvector(column, 0, t->along->size);
    if (gsl_blas_dgemv(CblasTrans, 1.0, t->axes, &front.vector, 0.0, t->front))
        return FIT_RANGE;
    gsl_vector_memcpy(&front.vector, t->front);
    return FIT_OK;
}

static enum fit_status turn_group(const struct scatter *s, size_t first, size_t size)
{
    struct turn t;
    enum fit_status status = turn_init(&t, size, s->m) ? FIT_OK : FIT_NO_MEMORY;
    if (status == FIT_OK)
        status = find_axes(s, first, &t);
    for (size_t j = 0; status == FIT_OK && j < s->p; j++) {
        gsl_vector_view x = gsl_vector_view_array_with_stride(s->x + first * s->p + j, s->p, size);
        status = turn_column(&t, &x.vector);
    }
    gsl_vector_view y = gsl_vector_view_array(s->y + first, size);
    if (status == FIT_OK)
        status = turn_column(&t, &y.vector);
    for (size_t i = 0; status == FIT_OK && i < t.along->size; i++)
        s->spread[first + i] = fmax(0, gsl_vector_get(t.along, i));
    turn_free(&t);
    return status;
}

static size_t size_of_group(const int64_t *group, size_t first, size_t n)
{
    size_t end = first + 1;
    while (end < n && group[end] == group[first])
        end++;
    return end - first;
}

static enum fit_status turn_groups(const struct scatter *s, const int64_t *group)
{
    enum fit_status status = FIT_OK;
    for (size_t i = 0, size; s->m > 0 && i < s->n && status == FIT_OK; i += size) {
        size = size_of_group(group, i, s->n);
        status = turn_group(s, i, size);
    }
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

/* The curve of least squares at a factor. */
static enum fit_status fit_at(const struct scatter *s, double factor, struct fit_linear *fit)
{
    for (size_t i = 0; i < s->n; i++)
        s->weight[i] = 1 / (factor + s->spread[i]);
    return fit_linear(s->x, s->y, s->weight, s->n, s->p, fit);
}

/* The same with the shared errors left out of account. */
static enum fit_status fit_alone(const struct scatter *s, struct fit_linear *fit)
{
    return fit_linear(s->x, s->y, NULL, s->n, s->p, fit);
}

/* sum_i w_i^power x_i x_i'. */
static void moment(const struct scatter *s, int power, double *out)
{
    for (size_t j = 0; j < s->p * s->p; j++)
        out[j] = 0;
    for (size_t i = 0; i < s->n; i++) {
        double w = power == 2 ? s->weight[i] * s->weight[i] : pow(s->weight[i], power);
        for (size_t j = 0; j < s->p; j++)
            for (size_t k = 0; k < s->p; k++)
                out[j * s->p + k] += w * s->x[i * s->p + j] * s->x[i * s->p + k];
    }
}

static double trace_of_product(const double *a, const double *b, size_t p)
{
    double sum = 0;
    for (size_t j = 0; j < p; j++)
        for (size_t k = 0; k < p; k++)
            sum += a[j * p + k] * b[k * p + j];
    return sum;
}

static void product(const double *a, const double *b, size_t p, double *out)
{
    for (size_t j = 0; j < p; j++)
        for (size_t k = 0; k < p; k++) {
            out[j * p + k] = 0;
            for (size_t i = 0; i < p; i++)
                out[j * p + k] += a[j * p + i] * b[i * p + k];
        }
}

/* Out: score   e' P D P e - tr(P D), with rows as they were turned (D is one)
 *      inform  tr(P D P D) */
static void score_at(const struct scatter *s, const struct fit_linear *fit, double *score,
                     double *inform)
{
    double second[FIT_MAX_COEF * FIT_MAX_COEF], third[FIT_MAX_COEF * FIT_MAX_COEF];
    double both[FIT_MAX_COEF * FIT_MAX_COEF];
    moment(s, 2, second);
    moment(s, 3, third);
    product(fit->cov_unit, second, s->p, both);
    *score = *inform = 0;
    for (size_t i = 0; i < s->n; i++) {
        double w = s->weight[i];
        double off = s->y[i] - fit_dot(s->x + i * s->p, fit->coef, s->p);
        *score += w * w * off * off - w;
        *inform += w * w;
    }
    *score += trace_of_product(fit->cov_unit, second, s->p);
    *inform += trace_of_product(both, both, s->p) - 2 * trace_of_product(fit->cov_unit, third, s->p);
}

/* The factor of greatest restricted likelihood, by scoring from the most that it can be.
 * Out: factor 0, freedom 0 where it is none */
static enum fit_status find_factor(const struct scatter *s, double most, struct fit_scatter *out)
{
    double f = most;
    out->factor = out->freedom = 0;
    for (int step = 0; step < MOST_STEPS && f > LEAST_SHARE * most; step++) {
        struct fit_linear fit;
        double score, inform;
        enum fit_status status = fit_at(s, f, &fit);
        if (status != FIT_OK)
            return status;
        score_at(s, &fit, &score, &inform);
        double next = fmin(fmax(f + score / inform, f / 4), 4 * f);
        if (!isfinite(next))
            return FIT_NOT_FINITE;
        if (fabs(next - f) <= 1e-12 * f) {
            out->factor = f;
            out->freedom = f * f * inform;
            return FIT_OK;
        }
        f = next;
    }
    return FIT_OK;
}

static enum fit_status judge(const struct scatter *s, struct fit_scatter *out)
{
    struct fit_linear alone, stated;
    struct fit_scatter found = {.most_freedom = (double)(s->n - s->p)};
    enum fit_status status = fit_alone(s, &alone);
    if (status == FIT_OK)
        status = fit_at(s, 1, &stated);
    if (status != FIT_OK)
        return status;
    found.chi2 = stated.rss;
    found.factor = found.most = s->n > s->p ? alone.rss / found.most_freedom : NAN;
    if (s->n > s->p)
        status = find_factor(s, found.most, &found);
    if (status == FIT_OK)
        *out = found;
    return status;
}

static void fill(const struct scatter *s, const struct fit_form *form,
                 const struct fit_condition *at, const double *residual)
{
    for (size_t i = 0; i < s->n; i++) {
        double scale = 1 / sqrt(s->variance[i]);
        form->terms(&at[i], s->x + i * s->p);
        for (size_t j = 0; j < s->p; j++)
            s->x[i * s->p + j] *= scale;
        s->y[i] = residual[i] * scale;
    }
}

enum fit_status fit_scatter(const struct fit_form *form, const struct fit_condition *at,
                            const double *residual, const double *variance, const int64_t *group,
                            const double *shared, size_t m, size_t n, struct fit_scatter *out)
{
    struct scatter s = {.variance = variance, .shared = shared, .m = m, .n = n, .p = form->n_coef};
    enum fit_status status = check(variance, n, s.p);
    if (status != FIT_OK)
        return status;
    s.x = calloc(n * s.p, sizeof *s.x);
    s.y = calloc(n, sizeof *s.y);
    s.spread = calloc(n, sizeof *s.spread);
    s.weight = calloc(n, sizeof *s.weight);
    if (s.x == NULL || s.y == NULL || s.spread == NULL || s.weight == NULL)
        status = FIT_NO_MEMORY;
    if (status == FIT_OK) {
        fill(&s, form, at, residual);
        status = turn_groups(&s, group);
    }
    if (status == FIT_OK)
        status = judge(&s, out);
    free(s.weight);
    free(s.spread);
    free(s.y);
    free(s.x);
    return status;
}

void fit_scatter_give_back(struct fit_scatter *seen, double chi2)
{
    if (!(seen->chi2 > 0.0))
        return;
    double share = 1.0 + chi2 / seen->chi2;
    seen->chi2 += chi2;
    seen->factor *= share;
    seen->most *= share;
}
