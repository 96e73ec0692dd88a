#include "fit/nuisance.h"

#include <math.h>
#include <stdlib.h>

/* The whitened columns, then the rows that hold each nuisance unknown near zero. */
struct columns {
    size_t rows, n; /* n unknowns */
    double *q;      /* n columns of `rows`, one behind the other */
    double *r;      /* n*n row-major, upper triangle */
    double *length; /* n, of the columns before scaling */
};

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

static void fill(struct columns *c, const double *x, const double *v, size_t n, size_t p,
                 const double *s, size_t k)
{
    for (size_t i = 0; i < n; i++) {
        double root = v == NULL ? 1 : sqrt(v[i]);
        for (size_t j = 0; j < p; j++)
            c->q[j * c->rows + i] = x[i * p + j] / root;
        for (size_t j = 0; j < k; j++)
            c->q[(p + j) * c->rows + i] = s[i * k + j] / root;
    }
    for (size_t j = 0; j < k; j++)
        c->q[(p + j) * c->rows + n + j] = 1;
}

/* Takes the part along column j out of column m. The second pass takes out what rounding left. */
static void take_out(struct columns *c, size_t j, size_t m)
{
    const double *along = c->q + j * c->rows;
    double *column = c->q + m * c->rows;
    for (int pass = 0; pass < 2; pass++) {
        double part = dot(along, column, c->rows);
        c->r[j * c->n + m] += part;
        for (size_t i = 0; i < c->rows; i++)
            column[i] -= part * along[i];
    }
}

static enum fit_status orthogonalise(struct columns *c)
{
    for (size_t m = 0; m < c->n; m++) {
        double *column = c->q + m * c->rows;
        c->length[m] = sqrt(dot(column, column, c->rows));
        if (!isfinite(c->length[m]))
            return FIT_NOT_FINITE;
        if (!(c->length[m] > 0))
            return FIT_RANK;
        for (size_t i = 0; i < c->rows; i++)
            column[i] /= c->length[m];
        for (size_t j = 0; j < m; j++)
            take_out(c, j, m);
        double left = sqrt(dot(column, column, c->rows));
        if (!(left > FIT_NUISANCE_TOLERANCE))
            return FIT_RANK;
        c->r[m * c->n + m] = left;
        for (size_t i = 0; i < c->rows; i++)
            column[i] /= left;
    }
    return FIT_OK;
}

/* R z = (row i of Q)', unscaled: what one unit of observation i gives to each unknown. */
static void solve(const struct columns *c, size_t i, size_t n, double weight, double *map)
{
    for (size_t j = c->n; j-- > 0;) {
        double sum = c->q[j * c->rows + i];
        for (size_t m = j + 1; m < c->n; m++)
            sum -= c->r[j * c->n + m] * map[m * n + i];
        map[j * n + i] = sum / c->r[j * c->n + j];
    }
    for (size_t j = 0; j < c->n; j++)
        map[j * n + i] *= weight;
}

static enum fit_status check(const double *v, size_t n, size_t p)
{
    if (p == 0 || n < p)
        return FIT_TOO_FEW;
    for (size_t i = 0; v != NULL && i < n; i++)
        if (!(v[i] > 0) || !isfinite(v[i]))
            return FIT_RANGE;
    return FIT_OK;
}

enum fit_status fit_nuisance(const double *x, const double *v, size_t n, size_t p, const double *s,
                             size_t k, double *map)
{
    struct columns c = {.rows = n + k, .n = p + k};
    enum fit_status status = check(v, n, p);
    if (status != FIT_OK)
        return status;
    c.q = calloc(c.rows * c.n, sizeof *c.q);
    c.r = calloc(c.n * c.n, sizeof *c.r);
    c.length = calloc(c.n, sizeof *c.length);
    status = c.q && c.r && c.length ? FIT_OK : FIT_NO_MEMORY;
    if (status == FIT_OK) {
        fill(&c, x, v, n, p, s, k);
        status = orthogonalise(&c);
    }
    for (size_t i = 0; status == FIT_OK && i < n; i++)
        solve(&c, i, n, v == NULL ? 1 : 1 / sqrt(v[i]), map);
    for (size_t j = 0; status == FIT_OK && j < c.n; j++)
        for (size_t i = 0; i < n; i++)
            map[j * n + i] /= c.length[j];
    free(c.q);
    free(c.r);
    free(c.length);
    return status;
}
