#include "fit/within.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define HARDLY 1e-9

static bool is_first(const int64_t *group, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (group[k] == group[i])
            return false;
    return true;
}

/* One column (stride apart): the weighted mean of the group that begins with row `first` is taken
 * from its rows. */
static void take_mean(double *column, size_t stride, const double *w, const int64_t *group,
                      size_t first, size_t n)
{
    double sum = 0.0, weights = 0.0;
    for (size_t i = first; i < n; i++) {
        double weight = group[i] == group[first] ? (w ? w[i] : 1.0) : 0.0;
        sum += weight * column[i * stride];
        weights += weight;
    }
    for (size_t i = first; i < n; i++)
        if (group[i] == group[first])
            column[i * stride] -= sum / weights;
}

static double length(const double *column, size_t stride, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        sum += column[i * stride] * column[i * stride];
    return sqrt(sum);
}

/* In/Out:  x, y   copies, without the groups' means afterwards
 * Returns: groups; 0 if a column hardly differs inside them */
static size_t take_means(double *x, double *y, const double *w, const int64_t *group, size_t n,
                         size_t p)
{
    double before[FIT_MAX_COEF];
    size_t groups = 0;
    for (size_t j = 0; j < p; j++)
        before[j] = length(x + j, p, n);
    for (size_t i = 0; i < n; i++) {
        if (!is_first(group, i))
            continue;
        groups++;
        for (size_t j = 0; j < p; j++)
            take_mean(x + j, p, w, group, i, n);
        take_mean(y, 1, w, group, i, n);
    }
    for (size_t j = 0; j < p; j++)
        if (!(length(x + j, p, n) > HARDLY * before[j]))
            return 0;
    return groups;
}

static enum fit_status fit(double *x, double *y, const double *w, const int64_t *group, size_t n,
                           size_t p, struct fit_linear *out)
{
    size_t groups = take_means(x, y, w, group, n, p);
    if (groups == 0)
        return FIT_RANK;
    if (n <= groups + p)
        return FIT_TOO_FEW;
    enum fit_status status = fit_linear(x, y, w, n, p, out);
    out->dof = n - groups - p;
    out->s = sqrt(out->rss / (double)out->dof);
    return status;
}

enum fit_status fit_within(const double *x, const double *y, const double *w, const int64_t *group,
                           size_t n, size_t p, struct fit_linear *out)
{
    *out = (struct fit_linear){.n = n, .p = p, .undetermined = FIT_NO_COLUMN};
    if (p < 1 || p > FIT_MAX_COEF)
        return FIT_RANGE;
    double *own_x = malloc(n * p * sizeof *own_x), *own_y = malloc(n * sizeof *own_y);
    enum fit_status status = own_x && own_y ? FIT_OK : FIT_NO_MEMORY;
    if (status == FIT_OK) {
        for (size_t i = 0; i < n * p; i++)
            own_x[i] = x[i];
        for (size_t i = 0; i < n; i++)
            own_y[i] = y[i];
        status = fit(own_x, own_y, w, group, n, p, out);
    }
    free(own_x);
    free(own_y);
    return status;
}
