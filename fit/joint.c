#include "fit/joint.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fit/joint_rows.h"
#include "fit/modifier_fit.h"

/* Slopes of the modifier are differences, good to about 1e-10: columns that lie nearer to each
 * other are the same. */
#define NOT_APART 1e8

enum { MAX_STEPS = 200, MAX_HALVINGS = 40 };

struct work {
    const struct fit_joint_point *points;
    double *x, *y, *some; /* n*n_coef, n, n*n_coef: rows of a step, and a part of their columns */
};

static enum fit_status check_point(const struct fit_joint_point *p)
{
    const struct fit_point *c = &p->curve;
    double theta = p->angle.theta_rad, f = p->diffuse_share;
    if (!isfinite(c->at.x + c->at.g + c->at.wind) || !isfinite(c->eta) || !isfinite(c->u_eta) ||
        !isfinite(c->u_x) || !isfinite(c->cov_eta_x) || !isfinite(theta) || !isfinite(f) ||
        !isfinite(p->angle.along_rad + p->angle.across_rad))
        return FIT_NOT_FINITE;
    if (c->u_eta < 0 || c->u_x < 0 || theta < 0 || theta >= M_PI_2 || f < 0 || f > 1)
        return FIT_RANGE;
    return fabs(c->cov_eta_x) > c->u_eta * c->u_x * (1 + 1e-12) ? FIT_RANGE : FIT_OK;
}

/* Whether any uncertainty is stated; some and others not is no data. */
static enum fit_status weigh(struct fit_joint *fit, const struct fit_joint_point *points)
{
    size_t stated = 0;
    for (size_t i = 0; i < fit->n; i++) {
        enum fit_status status = check_point(&points[i]);
        if (status != FIT_OK)
            return status;
        stated += points[i].curve.u_eta > 0 || points[i].curve.u_x > 0;
    }
    fit->equal_weights = stated == 0;
    return stated > 0 && stated < fit->n ? FIT_RANGE : FIT_OK;
}

static enum fit_status allocate(struct work *w, size_t n, size_t n_coef)
{
    w->x = calloc(n * (2 * n_coef + 1), sizeof *w->x);
    if (w->x == NULL)
        return FIT_NO_MEMORY;
    w->y = w->x + n * n_coef;
    w->some = w->y + n;
    return FIT_OK;
}

static void set_coef(struct fit_joint *fit, const double *coef)
{
    memcpy(fit->coef, coef, fit->n_coef * sizeof *coef);
    memcpy(fit->m.coef, coef + fit->p, fit->q * sizeof *coef);
}

/* Without weights and with K as it begins, the curve's coefficients are those of a straight fit. */
static enum fit_status begin_curve(struct fit_joint *fit, const struct work *w)
{
    struct fit_linear line;
    double k_d = fit_modifier_diffuse(&fit->m);
    for (size_t i = 0; i < fit->n; i++) {
        const struct fit_joint_point *p = &w->points[i];
        fit->form->terms(&p->curve.at, w->x + i * fit->p);
        w->x[i * fit->p] = fit_modifier_total(fit_modifier_beam(&fit->m, &p->angle), k_d,
                                              p->diffuse_share, 1, fit->diffuse_share);
        w->y[i] = p->curve.eta;
    }
    enum fit_status status = fit_linear(w->x, w->y, NULL, fit->n, fit->p, &line);
    fit->undetermined = line.undetermined;
    if (status == FIT_OK)
        memcpy(fit->coef, line.coef, fit->p * sizeof *fit->coef);
    return status;
}

static double chi2_at(const struct fit_joint *fit, const struct work *w)
{
    double k_d = fit_modifier_diffuse(&fit->m), sum = 0;
    if (fit->m.form == FIT_MODIFIER_TANGENT && !(fit->m.coef[0] > 0.05))
        return INFINITY;
    for (size_t i = 0; i < fit->n; i++)
        sum += joint_misfit(fit, k_d, &w->points[i]);
    return isnan(sum) ? INFINITY : sum;
}

/* Rows of a step. Returns: size of the fitted values in units of sqrt(v); NaN where a v vanishes */
static double fill(const struct fit_joint *fit, const struct work *w)
{
    struct joint_near near;
    double sum = 0;
    joint_near_at(&fit->m, 1, &near);
    for (size_t i = 0; i < fit->n; i++) {
        struct joint_local at;
        joint_local_at(fit, &near, &w->points[i], &at);
        double root = at.v > 0 ? sqrt(at.v) : NAN;
        for (size_t j = 0; j < fit->n_coef; j++)
            w->x[i * fit->n_coef + j] = (at.t[j] + at.r / at.v * at.m * at.dt[j]) / root;
        w->y[i] = at.r / root;
        sum += pow((w->points[i].curve.eta - at.r) / root, 2);
    }
    return sqrt(sum);
}

/* Variances of some columns' coefficients if there were no others. */
static enum fit_status alone(const struct fit_joint *fit, const struct work *w, size_t from,
                             size_t n, double *variance)
{
    struct fit_linear line;
    for (size_t i = 0; i < fit->n; i++)
        memcpy(w->some + i * n, w->x + i * fit->n_coef + from, n * sizeof *w->some);
    enum fit_status status = fit_linear(w->some, w->y, NULL, fit->n, n, &line);
    for (size_t j = 0; j < n && status == FIT_OK; j++)
        variance[from + j] = line.cov_unit[j * n + j];
    return status;
}

/* How far the points tell curve and modifier apart: what the other kind being unknown costs. */
static enum fit_status judge_apart(struct fit_joint *fit, const struct work *w)
{
    struct fit_linear line;
    double variance[FIT_MAX_COEF];
    for (size_t j = 0; j < fit->n_coef; j++)
        fit->widened[j] = INFINITY;
    enum fit_status status = fit_linear(w->x, w->y, NULL, fit->n, fit->n_coef, &line);
    fit->undetermined = line.undetermined;
    if (status == FIT_OK)
        status = alone(fit, w, 0, fit->p, variance);
    if (status == FIT_OK)
        status = alone(fit, w, fit->p, fit->q, variance);
    if (status != FIT_OK)
        return status;
    memcpy(fit->cov_unit, line.cov_unit, fit->n_coef * fit->n_coef * sizeof *fit->cov_unit);
    for (size_t j = 0; j < fit->n_coef; j++)
        fit->widened[j] = fmax(1, sqrt(line.cov_unit[j * fit->n_coef + j] / variance[j]));
    for (size_t j = 0; j < fit->n_coef; j++)
        if (!(fit->widened[j] < NOT_APART)) {
            fit->undetermined = j;
            return FIT_RANK;
        }
    return FIT_OK;
}

static double length_of(const struct fit_joint *fit, const struct work *w, const double *step)
{
    double sum = 0;
    for (size_t i = 0; i < fit->n; i++) {
        double change = 0;
        for (size_t j = 0; j < fit->n_coef; j++)
            change += w->x[i * fit->n_coef + j] * step[j];
        sum += change * change;
    }
    return sqrt(sum);
}

/* As much of the step as lowers chi2; all of it where chi2 can no longer show it.
 * Returns: false if no part of it does */
static bool take(struct fit_joint *fit, const struct work *w, const double *step, bool flat)
{
    double part = 1;
    for (int k = 0; k < MAX_HALVINGS; k++, part /= 2) {
        struct fit_joint trial = *fit;
        double coef[FIT_MAX_COEF];
        for (size_t j = 0; j < fit->n_coef; j++)
            coef[j] = fit->coef[j] + part * step[j];
        set_coef(&trial, coef);
        double chi2 = chi2_at(&trial, w);
        if (!flat && !(chi2 < fit->chi2))
            continue;
        set_coef(fit, coef);
        fit->chi2 = chi2;
        return isfinite(chi2);
    }
    return false;
}

/* Where a step is too short for chi2's own rounding to show: as in fit/curve.c. */
static bool is_flat(double length, double size, double chi2)
{
    double rounding = 20 * DBL_EPSILON * (chi2 + sqrt(chi2) * size);
    return length * length <= rounding || length <= 1e3 * DBL_EPSILON * size;
}

static enum fit_status descend(struct fit_joint *fit, const struct work *w)
{
    double last = INFINITY;
    fit->chi2 = chi2_at(fit, w);
    while (fit->iterations < MAX_STEPS) {
        struct fit_linear line;
        double size = fill(fit, w);
        enum fit_status status = fit_linear(w->x, w->y, NULL, fit->n, fit->n_coef, &line);
        if (status != FIT_OK)
            return status == FIT_RANK ? FIT_NOT_CONVERGED : status;
        fit->iterations++;
        double length = length_of(fit, w, line.coef);
        bool flat = is_flat(length, size, fit->chi2);
        if (!take(fit, w, line.coef, flat))
            return FIT_NOT_CONVERGED;
        if (flat && (length <= 20 * DBL_EPSILON * size || length >= last))
            return FIT_OK;
        last = flat ? length : INFINITY;
    }
    return FIT_NOT_CONVERGED;
}

static enum fit_status begin(struct fit_joint *fit, const struct work *w, bool again)
{
    enum fit_status status = again ? FIT_OK : begin_curve(fit, w);
    if (status != FIT_OK || again)
        return status;
    memcpy(fit->coef + fit->p, fit->m.coef, fit->q * sizeof *fit->coef);
    return isnan(fill(fit, w)) ? FIT_RANGE : judge_apart(fit, w);
}

static enum fit_status solve(struct fit_joint *fit, const struct fit_joint_point *points,
                             bool again)
{
    struct work w = {.points = points};
    enum fit_status status = weigh(fit, points);
    if (status == FIT_OK)
        status = allocate(&w, fit->n, fit->n_coef);
    if (status == FIT_OK)
        status = begin(fit, &w, again);
    if (status == FIT_OK)
        status = descend(fit, &w);
    fit->k_diffuse = fit_modifier_diffuse(&fit->m);
    if (status == FIT_OK && !again) {
        fill(fit, &w);
        status = judge_apart(fit, &w);
    }
    if (status == FIT_OK && !again)
        status = joint_influence(fit, points);
    free(w.x);
    return status;
}

static enum fit_status end(struct fit_joint *fit, enum fit_status status)
{
    if (status == FIT_OK)
        return status;
    fit_joint_free(fit);
    for (size_t j = 0; j < FIT_MAX_COEF; j++)
        fit->coef[j] = fit->m.coef[j] = NAN;
    fit->chi2 = fit->k_diffuse = NAN;
    return status;
}

enum fit_status fit_joint_fit(const struct fit_joint_shape *shape,
                              const struct fit_joint_point *points, size_t n, struct fit_joint *out)
{
    enum fit_status status = FIT_OK;
    memset(out, 0, sizeof *out);
    out->form = shape->form;
    out->m = shape->m;
    out->diffuse_share = shape->diffuse_share;
    out->undetermined = FIT_NO_COLUMN;
    for (size_t j = 0; j < FIT_MAX_COEF; j++)
        out->widened[j] = NAN;
    if (out->m.n == 0) {
        struct fit_angle *angles = calloc(n + 1, sizeof *angles);
        if (angles == NULL)
            return end(out, FIT_NO_MEMORY);
        for (size_t i = 0; i < n; i++)
            angles[i] = points[i].angle;
        status = fit_modifier_begin(angles, n, FIT_MAX_COEF - shape->form->n_coef, &out->m);
        free(angles);
    }
    out->n = n;
    out->p = shape->form->n_coef;
    out->q = out->m.n;
    out->n_coef = out->p + out->q;
    if (status == FIT_OK && out->n_coef > FIT_MAX_COEF)
        status = FIT_RANGE;
    if (status == FIT_OK && n < out->n_coef)
        status = FIT_TOO_FEW;
    if (status == FIT_OK && !(out->diffuse_share >= 0 && out->diffuse_share <= 1))
        status = FIT_RANGE;
    out->dof = status == FIT_OK ? n - out->n_coef : 0;
    return end(out, status == FIT_OK ? solve(out, points, false) : status);
}

enum fit_status fit_joint_again(const struct fit_joint *fit, const struct fit_joint_point *points,
                                double *coef)
{
    struct fit_joint next = *fit;
    next.d_coef_d_eta = next.d_coef_d_x = NULL;
    next.iterations = 0;
    enum fit_status status = end(&next, solve(&next, points, true));
    memcpy(coef, next.coef, fit->n_coef * sizeof *coef);
    return status;
}

void fit_joint_free(struct fit_joint *fit)
{
    free(fit->d_coef_d_eta);
    free(fit->d_coef_d_x);
    fit->d_coef_d_eta = NULL;
    fit->d_coef_d_x = NULL;
}
