#include "fit/trend.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "fit/distributions.h"
#include "fit/linear.h"

/* A column of which less than this share is left within the groups is constant there but for
 * rounding: our figure, well above rounding and far below any instrument's resolution. */
static const double least_left = 1e-9;

/* The points whose condition is known, a row each: the condition, the residual, the curve's terms
 * without its level. */
struct trend_rows {
    size_t n, width;
    double *x;
    double *w;
    int64_t *group;
    bool *done;
};

static enum fit_status rows_init(struct trend_rows *rows, size_t n, size_t width)
{
    *rows = (struct trend_rows){.width = width};
    rows->x = calloc(n * width + 1, sizeof *rows->x);
    rows->w = calloc(n + 1, sizeof *rows->w);
    rows->group = calloc(n + 1, sizeof *rows->group);
    rows->done = calloc(n + 1, sizeof *rows->done);
    return rows->x && rows->w && rows->group && rows->done ? FIT_OK : FIT_NO_MEMORY;
}

static void rows_free(struct trend_rows *rows)
{
    free(rows->x);
    free(rows->w);
    free(rows->group);
    free(rows->done);
}

static enum fit_status add_row(struct trend_rows *rows, const struct fit_form *form,
                               const struct fit_condition *at, double residual, double w,
                               int64_t group, double z)
{
    double t[FIT_FORM_MAX_COEF];
    double *x = rows->x + rows->n * rows->width;
    if (!(w > 0) || isinf(w))
        return FIT_RANGE;
    form->terms(at, t);
    x[0] = z;
    x[1] = residual;
    for (size_t j = 1; j < form->n_coef; j++)
        x[j + 1] = t[j];
    for (size_t j = 0; j < rows->width; j++)
        if (!isfinite(x[j]))
            return FIT_NOT_FINITE;
    rows->w[rows->n] = w;
    rows->group[rows->n++] = group;
    return FIT_OK;
}

/* Takes the weighted mean of the group that row `first` begins from a column. */
static void centre(struct trend_rows *rows, size_t first, size_t column)
{
    double sum = 0, weight = 0;
    for (size_t i = first; i < rows->n; i++)
        if (rows->group[i] == rows->group[first]) {
            sum += rows->w[i] * rows->x[i * rows->width + column];
            weight += rows->w[i];
        }
    for (size_t i = first; i < rows->n; i++)
        if (rows->group[i] == rows->group[first])
            rows->x[i * rows->width + column] -= sum / weight;
}

/* Of the condition in the group that row `first` begins. */
static double reach_of(const struct trend_rows *rows, size_t first)
{
    double least = INFINITY, most = -INFINITY;
    for (size_t i = first; i < rows->n; i++)
        if (rows->group[i] == rows->group[first]) {
            least = fmin(least, rows->x[i * rows->width]);
            most = fmax(most, rows->x[i * rows->width]);
        }
    return most - least;
}

/* Out: reach  of the widest. Returns: how many groups there are. */
static size_t centre_groups(struct trend_rows *rows, double *reach)
{
    size_t groups = 0;
    for (size_t first = 0; first < rows->n; first++) {
        if (rows->done[first])
            continue;
        groups++;
        *reach = fmax(*reach, reach_of(rows, first));
        for (size_t column = 0; column < rows->width; column++)
            centre(rows, first, column);
        for (size_t i = first; i < rows->n; i++)
            rows->done[i] = rows->done[i] || rows->group[i] == rows->group[first];
    }
    return groups;
}

static double length(const struct trend_rows *rows, size_t column)
{
    double sum = 0;
    for (size_t i = 0; i < rows->n; i++)
        sum += rows->x[i * rows->width + column] * rows->x[i * rows->width + column];
    return sqrt(sum);
}

/* From what is left of the condition beside the terms: left_unit is 1 over its weighted sum of
 * squares. */
static double alike_of(const struct trend_rows *rows, double left_unit)
{
    double all = 0;
    for (size_t i = 0; i < rows->n; i++)
        all += rows->w[i] * rows->x[i * rows->width] * rows->x[i * rows->width];
    return sqrt(fmax(0, 1 - 1 / (left_unit * all)));
}

/* The slope beside the terms, all of them within the groups. x and y: scratch, n*p and n. */
static enum fit_status fit_rows(const struct trend_rows *rows, size_t groups, double *x, double *y,
                                struct fit_trend *out)
{
    struct fit_linear fit;
    size_t p = rows->width - 1;
    for (size_t i = 0; i < rows->n; i++) {
        const double *row = rows->x + i * rows->width;
        y[i] = row[1];
        for (size_t j = 0; j + 1 < p; j++)
            x[i * p + j] = row[j + 2];
        x[i * p + p - 1] = row[0];
    }
    enum fit_status status = fit_linear(x, y, rows->w, rows->n, p, &fit);
    if (status != FIT_OK)
        return status;
    out->n = rows->n;
    out->dof = (double)rows->n - (double)groups - (double)p;
    out->alike = alike_of(rows, fit.cov_unit[p * p - 1]);
    out->slope = fit.coef[p - 1];
    out->u = sqrt(fit.rss / out->dof * fit.cov_unit[p * p - 1]);
    out->t = out->u > 0 ? out->slope / out->u : copysign(INFINITY, out->slope);
    out->p_value = isfinite(out->t) ? fit_t_beyond(fabs(out->t), out->dof) : 0;
    return FIT_OK;
}

static enum fit_status test_slope(struct trend_rows *rows, struct fit_trend *out)
{
    size_t p = rows->width - 1;
    double before = length(rows, 0);
    size_t groups = centre_groups(rows, &out->reach);
    if (rows->n < groups + p + 1)
        return FIT_TOO_FEW;
    if (!(length(rows, 0) > least_left * before))
        return FIT_RANK;
    double *x = calloc(rows->n, (p + 1) * sizeof *x);
    if (x == NULL)
        return FIT_NO_MEMORY;
    enum fit_status status = fit_rows(rows, groups, x, x + rows->n * p, out);
    free(x);
    return status;
}

enum fit_status fit_trend(const struct fit_form *form, const struct fit_condition *at,
                          const double *residual, const double *w, const int64_t *group,
                          const double *z, size_t n, struct fit_trend *out)
{
    struct trend_rows rows;
    enum fit_status status = rows_init(&rows, n, form->n_coef + 1);
    *out = (struct fit_trend){.least = INFINITY, .most = -INFINITY};
    for (size_t i = 0; i < n && status == FIT_OK; i++) {
        if (isnan(z[i]))
            continue;
        status = add_row(&rows, form, &at[i], residual[i], w != NULL ? w[i] : 1, group[i], z[i]);
        out->least = fmin(out->least, z[i]);
        out->most = fmax(out->most, z[i]);
    }
    if (status == FIT_OK)
        status = test_slope(&rows, out);
    rows_free(&rows);
    return status;
}
