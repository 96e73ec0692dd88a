#include "fit/curve.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#include "fit/influence.h"

/* Weighted rows of one step, reused from step to step. */
struct rows {
    double *x; /* n*p */
    double *y; /* n */
    double *w; /* n */
};

enum { MAX_STEPS = 200, MAX_HALVINGS = 40 };

static enum fit_status rows_init(struct rows *rows, size_t n, size_t p)
{
    *rows = (struct rows){0};
    if (n > SIZE_MAX / (FIT_FORM_MAX_COEF * sizeof(double)))
        return FIT_NO_MEMORY;
    rows->x = malloc(n * p * sizeof *rows->x);
    rows->y = malloc(n * sizeof *rows->y);
    rows->w = malloc(n * sizeof *rows->w);
    return rows->x && rows->y && rows->w ? FIT_OK : FIT_NO_MEMORY;
}

static void rows_free(struct rows *rows)
{
    free(rows->x);
    free(rows->y);
    free(rows->w);
    *rows = (struct rows){0};
}

static void blank(struct fit_curve *out, const struct fit_form *form, size_t n)
{
    *out = (struct fit_curve){.form = form, .n = n, .p = form->n_coef};
    out->undetermined = FIT_NO_COLUMN;
    for (size_t j = 0; j < FIT_FORM_MAX_COEF; j++)
        out->coef[j] = NAN;
    for (size_t j = 0; j < FIT_FORM_MAX_COEF * FIT_FORM_MAX_COEF; j++)
        out->cov_reading[j] = NAN;
    out->chi2 = out->birge = NAN;
}

static enum fit_status check_point(const struct fit_point *pt)
{
    if (!isfinite(pt->at.x) || !isfinite(pt->at.g) || !isfinite(pt->at.wind) ||
        !isfinite(pt->eta) || !isfinite(pt->u_eta) || !isfinite(pt->u_x) ||
        !isfinite(pt->cov_eta_x))
        return FIT_NOT_FINITE;
    if (pt->u_eta < 0.0 || pt->u_x < 0.0)
        return FIT_RANGE;
    /* A covariance computed as a sum of products may exceed the bound by rounding. */
    if (fabs(pt->cov_eta_x) > pt->u_eta * pt->u_x * (1.0 + 1e-12))
        return FIT_RANGE;
    return FIT_OK;
}

static enum fit_status check_points(const struct fit_form *form, const struct fit_point *points,
                                    size_t n)
{
    if (n < form->n_coef)
        return FIT_TOO_FEW;
    for (size_t i = 0; i < n; i++) {
        enum fit_status status = check_point(&points[i]);
        if (status != FIT_OK)
            return status;
    }
    return FIT_OK;
}

/* Unweighted rows. */
static void fill_plain(const struct fit_form *form, const struct fit_point *points, size_t n,
                       struct rows *rows)
{
    for (size_t i = 0; i < n; i++) {
        form->terms(&points[i].at, rows->x + i * form->n_coef);
        rows->y[i] = points[i].eta;
    }
}

/* Weights 1/v at the curve's slopes.
 * Returns: how many points have a positive variance */
static size_t fill_weights(const struct fit_curve *curve, const struct fit_point *points,
                           struct rows *rows)
{
    size_t positive = 0;
    for (size_t i = 0; i < curve->n; i++) {
        double v = curve->equal_weights
                       ? 1.0
                       : fit_curve_variance(curve->form, curve->coef, &points[i]);
        positive += v > 0.0;
        rows->w[i] = 1.0 / v;
    }
    return positive;
}

static enum fit_status take_linear(struct fit_curve *curve, const struct rows *rows,
                                   const double *w)
{
    struct fit_linear linear;
    enum fit_status status = fit_linear(rows->x, rows->y, w, curve->n, curve->p, &linear);
    curve->undetermined = linear.undetermined;
    for (size_t j = 0; status == FIT_OK && j < curve->p; j++)
        curve->coef[j] = linear.coef[j];
    return status;
}

/* Start: ordinary fit for the slopes, then one weighted fit. */
static enum fit_status start(struct fit_curve *curve, const struct fit_point *points,
                             struct rows *rows)
{
    fill_plain(curve->form, points, curve->n, rows);
    enum fit_status status = take_linear(curve, rows, NULL);
    if (status != FIT_OK)
        return status;
    size_t positive = fill_weights(curve, points, rows);
    if (positive == 0) {
        curve->equal_weights = true;
        return FIT_OK;
    }
    if (positive < curve->n)
        return FIT_RANGE;
    return take_linear(curve, rows, rows->w);
}

/* chi2 at trial coefficients; infinite where a variance vanishes. */
static double chi2_at(const struct fit_curve *curve, const struct fit_point *points,
                      const double *coef)
{
    double sum = 0.0;
    for (size_t i = 0; i < curve->n; i++) {
        struct fit_local at;
        fit_local_at(curve->form, coef, &points[i], curve->equal_weights, &at);
        if (!(at.v > 0.0))
            return INFINITY;
        sum += at.r * at.r / at.v;
    }
    return sum;
}

/* Rows of the Gauss-Newton step.
 * Returns: size of the fitted values in units of sqrt(v), the yardstick for convergence */
static double fill_step(const struct fit_curve *curve, const struct fit_point *points,
                        struct rows *rows)
{
    size_t p = curve->p;
    double sum = 0.0;
    for (size_t i = 0; i < curve->n; i++) {
        struct fit_local at;
        fit_local_at(curve->form, curve->coef, &points[i], curve->equal_weights, &at);
        rows->y[i] = fit_local_step(&at, p, rows->x + i * p);
        double fitted = (points[i].eta - at.r) / sqrt(at.v);
        sum += fitted * fitted;
    }
    return sqrt(sum);
}

static double step_length(const struct rows *rows, const double *step, size_t n, size_t p)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        double change = 0.0;
        for (size_t j = 0; j < p; j++)
            change += rows->x[i * p + j] * step[j];
        sum += change * change;
    }
    return sqrt(sum);
}

/* Halve the step until chi2 does not rise.
 * Returns: false if no part of the step lowers it */
static bool take_step(struct fit_curve *curve, const struct fit_point *points, const double *step)
{
    double part = 1.0;
    for (int k = 0; k < MAX_HALVINGS; k++, part /= 2.0) {
        double trial[FIT_FORM_MAX_COEF];
        for (size_t j = 0; j < curve->p; j++)
            trial[j] = curve->coef[j] + part * step[j];
        double chi2 = chi2_at(curve, points, trial);
        if (chi2 < curve->chi2) {
            for (size_t j = 0; j < curve->p; j++)
                curve->coef[j] = trial[j];
            curve->chi2 = chi2;
            return true;
        }
    }
    return false;
}

/* The step that the rows ask for, added in full: used where it is too small for chi2 to show. */
static void add_step(struct fit_curve *curve, const double *step)
{
    for (size_t j = 0; j < curve->p; j++)
        curve->coef[j] += step[j];
}

/* Whether a step of this length lowers chi2 by less than chi2's own rounding. Residuals carry
 * rounding of DBL_EPSILON times the fitted values (size), chi2 twice that times sqrt(chi2). */
static bool is_flat(double length, double size, double chi2)
{
    double rounding = 20.0 * DBL_EPSILON * (chi2 + sqrt(chi2) * size);
    return length * length <= rounding || length <= 1e3 * DBL_EPSILON * size;
}

/* Steps until the weighted fitted values stand still to a few units of their last digit. Near the
 * minimum chi2 is flat to rounding while the coefficients still move by about sqrt(DBL_EPSILON) of
 * their uncertainty: there the step is taken without asking chi2. A step that cannot be told is
 * divergence, since the start could be. */
static enum fit_status minimise(struct fit_curve *curve, const struct fit_point *points,
                                struct rows *rows)
{
    double last = INFINITY;
    curve->chi2 = chi2_at(curve, points, curve->coef);
    while (curve->iterations < MAX_STEPS) {
        struct fit_linear linear;
        double size = fill_step(curve, points, rows);
        enum fit_status status = fit_linear(rows->x, rows->y, NULL, curve->n, curve->p, &linear);
        if (status != FIT_OK)
            return status == FIT_RANK ? FIT_NOT_CONVERGED : status;
        curve->iterations++;
        double length = step_length(rows, linear.coef, curve->n, curve->p);
        bool flat = is_flat(length, size, curve->chi2);
        if (flat) {
            add_step(curve, linear.coef);
            if (length <= 20.0 * DBL_EPSILON * size || length >= last)
                return FIT_OK;
        } else if (!take_step(curve, points, linear.coef)) {
            return FIT_NOT_CONVERGED;
        }
        last = flat ? length : INFINITY;
    }
    return FIT_NOT_CONVERGED;
}

static enum fit_status find_influences(struct fit_curve *curve, const struct fit_point *points)
{
    size_t n = curve->n, p = curve->p;
    curve->d_coef_d_eta = malloc(n * p * sizeof *curve->d_coef_d_eta);
    curve->d_coef_d_x = malloc(n * p * sizeof *curve->d_coef_d_x);
    if (!curve->d_coef_d_eta || !curve->d_coef_d_x)
        return FIT_NO_MEMORY;
    return fit_influence(curve, points);
}

static enum fit_status finish(struct fit_curve *curve, const struct fit_point *points,
                              bool influences)
{
    curve->dof = curve->n - curve->p;
    curve->chi2 = chi2_at(curve, points, curve->coef);
    if (curve->dof > 0 && !curve->equal_weights)
        curve->birge = sqrt(curve->chi2 / (double)curve->dof);
    if (!isfinite(curve->chi2))
        return FIT_NOT_FINITE;
    if (influences)
        return find_influences(curve, points);
    return fit_influence_minimum(curve, points) ? FIT_OK : FIT_NOT_CONVERGED;
}

static enum fit_status fit(const struct fit_form *form, const struct fit_point *points, size_t n,
                           bool influences, struct fit_curve *out)
{
    struct rows rows = {0};
    blank(out, form, n);
    enum fit_status status = check_points(form, points, n);
    if (status == FIT_OK)
        status = rows_init(&rows, n, form->n_coef);
    if (status == FIT_OK)
        status = start(out, points, &rows);
    if (status == FIT_OK)
        status = minimise(out, points, &rows);
    if (status == FIT_OK)
        status = finish(out, points, influences);
    rows_free(&rows);
    if (status != FIT_OK) {
        size_t undetermined = out->undetermined;
        fit_curve_free(out);
        blank(out, form, n);
        out->undetermined = undetermined;
    }
    return status;
}

enum fit_status fit_curve_fit(const struct fit_form *form, const struct fit_point *points,
                              size_t n, struct fit_curve *out)
{
    return fit(form, points, n, true, out);
}

enum fit_status fit_curve_coef(const struct fit_form *form, const struct fit_point *points,
                               size_t n, double *coef)
{
    struct fit_curve curve;
    enum fit_status status = fit(form, points, n, false, &curve);
    for (size_t j = 0; j < form->n_coef; j++)
        coef[j] = curve.coef[j];
    return status;
}

void fit_curve_free(struct fit_curve *curve)
{
    free(curve->d_coef_d_eta);
    free(curve->d_coef_d_x);
    curve->d_coef_d_eta = NULL;
    curve->d_coef_d_x = NULL;
}

double fit_curve_variance(const struct fit_form *form, const double *coef,
                          const struct fit_point *point)
{
    struct fit_local at;
    fit_local_at(form, coef, point, false, &at);
    return at.v;
}

/* The adjusted point lies a m further along x; weight and terms are taken there. */
enum fit_status fit_curve_cov_adjusted(const struct fit_curve *curve,
                                       const struct fit_point *points, double *cov)
{
    size_t p = curve->p;
    struct rows rows;
    struct fit_linear linear;
    enum fit_status status = rows_init(&rows, curve->n, p);
    for (size_t i = 0; status == FIT_OK && i < curve->n; i++) {
        struct fit_local at;
        struct fit_point there = points[i];
        fit_local_at(curve->form, curve->coef, &points[i], curve->equal_weights, &at);
        there.at.x += at.r / at.v * at.m;
        fit_local_at(curve->form, curve->coef, &there, curve->equal_weights, &at);
        for (size_t j = 0; j < p; j++)
            rows.x[i * p + j] = at.t[j];
        rows.y[i] = 0.0;
        rows.w[i] = 1.0 / at.v;
    }
    if (status == FIT_OK)
        status = fit_linear(rows.x, rows.y, rows.w, curve->n, p, &linear);
    for (size_t j = 0; status == FIT_OK && j < p * p; j++)
        cov[j] = linear.cov_unit[j];
    rows_free(&rows);
    return status;
}

enum fit_status fit_curve_plain(const struct fit_form *form, const struct fit_point *points,
                                size_t n, struct fit_linear *out)
{
    struct rows rows;
    enum fit_status status = rows_init(&rows, n, form->n_coef);
    if (status == FIT_OK) {
        fill_plain(form, points, n, &rows);
        status = fit_linear(rows.x, rows.y, NULL, n, form->n_coef, out);
    } else {
        *out = (struct fit_linear){.n = n, .p = form->n_coef, .undetermined = FIT_NO_COLUMN};
    }
    rows_free(&rows);
    return status;
}
