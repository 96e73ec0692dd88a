#include "fit/redraw.h"

#include <math.h>
#include <string.h>

enum { MAX_STEPS = 50, P = FIT_FORM_MAX_COEF };

/* Normal equations of one Gauss-Newton step; the lower triangle counts. */
struct normal {
    double a[P][P];
    double b[P];
};

/* Adds one point: q = t + (r/v) m t', a += q q'/v, b += q r/v (fit/influence.c has the reasons). */
static void add_point(struct normal *normal, const struct fit_curve *curve,
                      const struct fit_point *point, const double *coef)
{
    double t[P], dt[P];
    double r = point->eta, w = 1.0;
    size_t p = curve->p;
    curve->form->terms(&point->at, t);
    for (size_t j = 0; j < p; j++)
        r -= t[j] * coef[j];
    if (!curve->equal_weights) {
        double s = 0.0, u2_x = point->u_x * point->u_x;
        curve->form->slopes(&point->at, dt);
        for (size_t j = 0; j < p; j++)
            s += dt[j] * coef[j];
        w = 1.0 / (point->u_eta * point->u_eta + s * (s * u2_x - 2.0 * point->cov_eta_x));
        double pull = r * w * (s * u2_x - point->cov_eta_x);
        for (size_t j = 0; j < p; j++)
            t[j] += pull * dt[j];
    }
    for (size_t j = 0; j < p; j++) {
        double wt = w * t[j];
        normal->b[j] += wt * r;
        for (size_t k = 0; k <= j; k++)
            normal->a[j][k] += wt * t[k];
    }
}

/* Cholesky in place, then both triangles solved: b becomes the step.
 * Returns: false if a pivot is lost to rounding */
static bool solve(struct normal *normal, size_t p)
{
    for (size_t j = 0; j < p; j++) {
        double *row = normal->a[j];
        double whole = row[j];
        for (size_t k = 0; k < j; k++) {
            for (size_t i = 0; i < k; i++)
                row[k] -= row[i] * normal->a[k][i];
            row[k] /= normal->a[k][k];
            row[j] -= row[k] * row[k];
        }
        if (!(row[j] > 1e-13 * whole))
            return false;
        row[j] = sqrt(row[j]);
        for (size_t k = 0; k < j; k++)
            normal->b[j] -= row[k] * normal->b[k];
        normal->b[j] /= row[j];
    }
    return true;
}

/* After solve's forward half b holds the step in units of standard uncertainties. */
static double length(const struct normal *normal, size_t p)
{
    double sum = 0.0;
    for (size_t j = 0; j < p; j++)
        sum += normal->b[j] * normal->b[j];
    return sqrt(sum);
}

static void add_step(struct normal *normal, size_t p, double *coef)
{
    for (size_t j = p; j-- > 0;) {
        for (size_t k = j + 1; k < p; k++)
            normal->b[j] -= normal->a[k][j] * normal->b[k];
        normal->b[j] /= normal->a[j][j];
        coef[j] += normal->b[j];
    }
}

/* Without stated weights lengths are measured against the scatter of the headline. */
static double yardstick(const struct fit_curve *curve)
{
    if (!curve->equal_weights)
        return 1.0;
    return curve->dof > 0 && curve->chi2 > 0 ? sqrt(curve->chi2 / (double)curve->dof) : 1e-6;
}

enum fit_status fit_redraw(const struct fit_curve *curve, const struct fit_point *moved,
                           double *coef)
{
    double now[P];
    double enough = FIT_REDRAW_SHORT * yardstick(curve);
    memcpy(now, curve->coef, sizeof now);
    for (int step = 0; step < MAX_STEPS; step++) {
        struct normal normal = {0};
        for (size_t i = 0; i < curve->n; i++)
            add_point(&normal, curve, &moved[i], now);
        if (!isfinite(normal.a[0][0]))
            return FIT_NOT_FINITE;
        if (!solve(&normal, curve->p))
            return FIT_RANK;
        double moved_by = length(&normal, curve->p);
        if (!isfinite(moved_by))
            return FIT_NOT_FINITE;
        add_step(&normal, curve->p, now);
        if (moved_by < enough || (curve->equal_weights && step > 0)) {
            memcpy(coef, now, curve->p * sizeof *coef);
            return FIT_OK;
        }
    }
    return FIT_NOT_CONVERGED;
}
