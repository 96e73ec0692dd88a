#include "fit/linear.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

/* The scaled problem, reduced in place to an upper triangle and reflected observations. */
struct reduction {
    size_t n, p;
    long double *a; /* n*p row-major */
    long double *b; /* n */
    long double scale[FIT_MAX_COEF];
};

static void blank(struct fit_linear *out, size_t n, size_t p)
{
    *out = (struct fit_linear){.n = n, .p = p, .undetermined = FIT_NO_COLUMN};
    for (size_t j = 0; j < FIT_MAX_COEF; j++)
        out->coef[j] = NAN;
    for (size_t j = 0; j < FIT_MAX_COEF * FIT_MAX_COEF; j++)
        out->cov_unit[j] = NAN;
    out->rss = out->s = out->rcond = NAN;
}

static bool all_finite(const double *v, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(v[i]))
            return false;
    }
    return true;
}

static enum fit_status check_input(const double *x, const double *y, const double *w, size_t n,
                                   size_t p)
{
    if (p < 1 || p > FIT_MAX_COEF)
        return FIT_RANGE;
    if (n < p)
        return FIT_TOO_FEW;
    if (n > SIZE_MAX / (sizeof(long double) * (FIT_MAX_COEF + 1)))
        return FIT_NO_MEMORY;
    if (!all_finite(x, n * p) || !all_finite(y, n) || (w && !all_finite(w, n)))
        return FIT_NOT_FINITE;
    for (size_t i = 0; w && i < n; i++) {
        if (!(w[i] > 0.0))
            return FIT_RANGE;
    }
    return FIT_OK;
}

/* Weighted copy with columns of unit length. A column of zeros keeps scale 1. */
static void load(struct reduction *red, const double *x, const double *y, const double *w)
{
    for (size_t i = 0; i < red->n; i++) {
        long double root = w ? sqrtl((long double)w[i]) : 1.0L;
        red->b[i] = root * (long double)y[i];
        for (size_t j = 0; j < red->p; j++)
            red->a[i * red->p + j] = root * (long double)x[i * red->p + j];
    }
    for (size_t j = 0; j < red->p; j++) {
        long double sum = 0.0L;
        for (size_t i = 0; i < red->n; i++)
            sum += red->a[i * red->p + j] * red->a[i * red->p + j];
        red->scale[j] = sum > 0.0L ? sqrtl(sum) : 1.0L;
        for (size_t i = 0; i < red->n; i++)
            red->a[i * red->p + j] /= red->scale[j];
    }
}

static long double tail_length(const struct reduction *red, size_t row, size_t col)
{
    long double sum = 0.0L;
    for (size_t i = row; i < red->n; i++)
        sum += red->a[i * red->p + col] * red->a[i * red->p + col];
    return sqrtl(sum);
}

/* Apply I - v v'/h to one column (stride apart), v being the stored column's tail. */
static void reflect_one(const struct reduction *red, size_t row, size_t col, long double h,
                        long double *target, size_t stride)
{
    long double dot = 0.0L;
    for (size_t i = row; i < red->n; i++)
        dot += red->a[i * red->p + col] * target[i * stride];
    dot /= h;
    for (size_t i = row; i < red->n; i++)
        target[i * stride] -= dot * red->a[i * red->p + col];
}

/* Reflect column col so that its tail becomes one number, and carry the rest along. */
static void reflect(struct reduction *red, size_t row, size_t col, long double length)
{
    long double *pivot = &red->a[row * red->p + col];
    long double alpha = *pivot > 0.0L ? -length : length;
    long double h = length * length - alpha * *pivot;
    *pivot -= alpha;
    for (size_t j = col + 1; j < red->p; j++)
        reflect_one(red, row, col, h, red->a + j, red->p);
    reflect_one(red, row, col, h, red->b, 1);
    *pivot = alpha;
}

/* Reduce column by column in the order given, so that the first column which adds nothing to the
 * ones before it can be named. */
static void reduce(struct reduction *red, struct fit_linear *out)
{
    size_t row = 0;
    for (size_t col = 0; col < red->p; col++) {
        long double length = row < red->n ? tail_length(red, row, col) : 0.0L;
        if (length < FIT_RANK_TOLERANCE) {
            if (out->undetermined == FIT_NO_COLUMN)
                out->undetermined = col;
            continue;
        }
        reflect(red, row, col, length);
        row++;
    }
    out->rank = row;
}

static void invert_triangle(const struct reduction *red, long double *inv)
{
    size_t p = red->p;
    for (size_t k = 0; k < p; k++) {
        for (size_t i = 0; i < p; i++)
            inv[i * p + k] = 0.0L;
        inv[k * p + k] = 1.0L / red->a[k * p + k];
        for (size_t i = k; i-- > 0;) {
            long double sum = 0.0L;
            for (size_t j = i + 1; j <= k; j++)
                sum += red->a[i * p + j] * inv[j * p + k];
            inv[i * p + k] = -sum / red->a[i * p + i];
        }
    }
}

/* Largest column sum of magnitudes of an upper triangle. */
static long double norm_1(const long double *m, size_t p)
{
    long double largest = 0.0L;
    for (size_t j = 0; j < p; j++) {
        long double sum = 0.0L;
        for (size_t i = 0; i <= j; i++)
            sum += fabsl(m[i * p + j]);
        largest = sum > largest ? sum : largest;
    }
    return largest;
}

static void solve(const struct reduction *red, struct fit_linear *out)
{
    size_t p = red->p;
    long double c[FIT_MAX_COEF];
    for (size_t i = p; i-- > 0;) {
        long double sum = red->b[i];
        for (size_t j = i + 1; j < p; j++)
            sum -= red->a[i * p + j] * c[j];
        c[i] = sum / red->a[i * p + i];
        out->coef[i] = (double)(c[i] / red->scale[i]);
    }
    long double rss = 0.0L;
    for (size_t i = p; i < red->n; i++)
        rss += red->b[i] * red->b[i];
    out->rss = (double)rss;
    out->dof = red->n - p;
    out->s = out->dof > 0 ? (double)sqrtl(rss / (long double)out->dof) : NAN;
}

static void covariance(const struct reduction *red, struct fit_linear *out)
{
    size_t p = red->p;
    long double inv[FIT_MAX_COEF * FIT_MAX_COEF];
    invert_triangle(red, inv);
    for (size_t i = 0; i < p; i++) {
        for (size_t j = i; j < p; j++) {
            long double sum = 0.0L;
            for (size_t k = j; k < p; k++)
                sum += inv[i * p + k] * inv[j * p + k];
            sum /= red->scale[i] * red->scale[j];
            out->cov_unit[i * p + j] = out->cov_unit[j * p + i] = (double)sum;
        }
    }
    out->rcond = (double)(1.0L / (norm_1(red->a, p) * norm_1(inv, p)));
}

static enum fit_status finish(const struct reduction *red, struct fit_linear *out)
{
    if (out->rank < red->p)
        return FIT_RANK;
    solve(red, out);
    covariance(red, out);
    if (!all_finite(out->coef, red->p) || !all_finite(out->cov_unit, red->p * red->p) ||
        !isfinite(out->rss)) {
        blank(out, red->n, red->p);
        return FIT_NOT_FINITE;
    }
    return FIT_OK;
}

enum fit_status fit_linear(const double *x, const double *y, const double *w, size_t n, size_t p,
                           struct fit_linear *out)
{
    blank(out, n, p);
    enum fit_status status = check_input(x, y, w, n, p);
    if (status != FIT_OK)
        return status;
    struct reduction red = {.n = n, .p = p};
    red.a = malloc(n * p * sizeof *red.a);
    red.b = malloc(n * sizeof *red.b);
    if (red.a && red.b) {
        load(&red, x, y, w);
        reduce(&red, out);
        status = finish(&red, out);
    } else {
        status = FIT_NO_MEMORY;
    }
    free(red.a);
    free(red.b);
    return status;
}

double fit_linear_std_error(const struct fit_linear *fit, size_t j)
{
    return fit->s * sqrt(fit->cov_unit[j * fit->p + j]);
}
