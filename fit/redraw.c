#include "fit/redraw.h"

#include "fit/normal.h"

#include <math.h>
#include <string.h>

enum { MAX_STEPS = 50, P = FIT_FORM_MAX_COEF };

/* Adds one point: q = t + (r/v) m t', a += q q'/v, b += q r/v (fit/influence.c has the reasons). */
static void add_point(struct fit_normal *normal, const struct fit_curve *curve,
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
    fit_normal_add(normal, p, t, w, r);
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
    struct fit_normal normal;
    double enough = FIT_REDRAW_SHORT * yardstick(curve);
    memcpy(now, curve->coef, sizeof now);
    for (int step = 0; step < MAX_STEPS; step++) {
        fit_normal_clear(&normal, curve->p);
        for (size_t i = 0; i < curve->n; i++)
            add_point(&normal, curve, &moved[i], now);
        if (!isfinite(normal.a[0][0]))
            return FIT_NOT_FINITE;
        if (!fit_normal_reduce(&normal, curve->p))
            return FIT_RANK;
        double moved_by = fit_normal_length(&normal, curve->p);
        if (!isfinite(moved_by))
            return FIT_NOT_FINITE;
        fit_normal_walk(&normal, curve->p, now);
        if (moved_by < enough || (curve->equal_weights && step > 0)) {
            memcpy(coef, now, curve->p * sizeof *coef);
            return FIT_OK;
        }
    }
    return FIT_NOT_CONVERGED;
}
