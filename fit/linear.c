#include "fit/linear.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

/* The weighted problem, reduced in place to an upper triangle and reflected observations. Columns
 * are not scaled: reflections are the same at any scale, and lengths say how a column compares. */
struct reduction {
    size_t n, p;
    long double *a; /* p columns of n, one after the other, and the observations behind them */
    long double length[FIT_MAX_COEF]; /* of each column at first; 1 of zeros */
};

static long double *column(const struct reduction *red, size_t j)
{
    return red->a + j * red->n;
}

/* Of the upper triangle. */
static long double triangle(const struct reduction *red, size_t i, size_t j)
{
    return column(red, j)[i];
}

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

static long double length_of(const long double *v, size_t n)
{
    long double sum = 0.0L;
    for (size_t i = 0; i < n; i++)
        sum += v[i] * v[i];
    return sqrtl(sum);
}

/* Weighted copy. */
static void load(struct reduction *red, const double *x, const double *y, const double *w)
{
    const size_t n = red->n, p = red->p;
    for (size_t i = 0; i < n; i++) {
        long double root = w ? sqrtl((long double)w[i]) : 1.0L;
        for (size_t j = 0; j < p; j++)
            column(red, j)[i] = root * (long double)x[i * p + j];
        column(red, p)[i] = root * (long double)y[i];
    }
    for (size_t j = 0; j < p; j++) {
        long double length = length_of(column(red, j), n);
        red->length[j] = length > 0.0L ? length : 1.0L;
    }
}

/* Apply I - v v'/h to a column of n. */
static void reflect_one(const long double *v, long double h, long double *to, size_t n)
{
    long double dot = 0.0L;
    for (size_t i = 0; i < n; i++)
        dot += v[i] * to[i];
    dot /= h;
    for (size_t i = 0; i < n; i++)
        to[i] -= dot * v[i];
}

/* Reflect column col so that its tail from `row` on becomes one number, and carry the rest along.
 */
static void reflect(struct reduction *red, size_t row, size_t col, long double length)
{
    long double *pivot = column(red, col) + row;
    long double alpha = *pivot > 0.0L ? -length : length;
    long double h = length * length - alpha * *pivot;
    *pivot -= alpha;
    for (size_t j = col + 1; j <= red->p; j++)
        reflect_one(pivot, h, column(red, j) + row, red->n - row);
    *pivot = alpha;
}

/* Reduce column by column in the order given, so that the first column which adds nothing to the
 * ones before it can be named. */
static void reduce(struct reduction *red, struct fit_linear *out)
{
    size_t row = 0;
    for (size_t col = 0; col < red->p; col++) {
        long double length = length_of(column(red, col) + row, red->n - row);
        if (length < FIT_RANK_TOLERANCE * red->length[col]) {
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
        inv[k * p + k] = 1.0L / triangle(red, k, k);
        for (size_t i = k; i-- > 0;) {
            long double sum = 0.0L;
            for (size_t j = i + 1; j <= k; j++)
                sum += triangle(red, i, j) * inv[j * p + k];
            inv[i * p + k] = -sum / triangle(red, i, i);
        }
    }
}

/* Reciprocal condition of the triangle with columns of unit length, by largest column sums of
 * magnitudes. */
static long double reciprocal_condition(const struct reduction *red, const long double *inv)
{
    long double largest = 0.0L, inverse_largest = 0.0L;
    for (size_t j = 0; j < red->p; j++) {
        long double sum = 0.0L, inverse_sum = 0.0L;
        for (size_t i = 0; i <= j; i++) {
            sum += fabsl(triangle(red, i, j)) / red->length[j];
            inverse_sum += fabsl(inv[i * red->p + j]) * red->length[i];
        }
        largest = sum > largest ? sum : largest;
        inverse_largest = inverse_sum > inverse_largest ? inverse_sum : inverse_largest;
    }
    return 1.0L / (largest * inverse_largest);
}

static void solve(const struct reduction *red, struct fit_linear *out)
{
    size_t p = red->p;
    const long double *b = column(red, p);
    long double c[FIT_MAX_COEF];
    for (size_t i = p; i-- > 0;) {
        long double sum = b[i];
        for (size_t j = i + 1; j < p; j++)
            sum -= triangle(red, i, j) * c[j];
        c[i] = sum / triangle(red, i, i);
        out->coef[i] = (double)c[i];
    }
    long double rss = 0.0L;
    for (size_t i = p; i < red->n; i++)
        rss += b[i] * b[i];
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
            out->cov_unit[i * p + j] = out->cov_unit[j * p + i] = (double)sum;
        }
    }
    out->rcond = (double)reciprocal_condition(red, inv);
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
    red.a = malloc(n * (p + 1) * sizeof *red.a);
    if (red.a) {
        load(&red, x, y, w);
        reduce(&red, out);
        status = finish(&red, out);
    } else {
        status = FIT_NO_MEMORY;
    }
    free(red.a);
    return status;
}

double fit_linear_std_error(const struct fit_linear *fit, size_t j)
{
    return fit->s * sqrt(fit->cov_unit[j * fit->p + j]);
}
