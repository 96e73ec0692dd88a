#include "fit/influence.h"

#include <math.h>

#include "fit/cholesky.h"

/* With a = r/v and m = s u_x^2 - cov, half the gradient of chi2 is
 *     g_j   = - sum_i [ a t_j + a^2 m t'_j ]
 * and its derivatives are
 *     H_jk  =   sum_i [ q_j q_k / v - a^2 u_x^2 t'_j t'_k ],   q = t + 2 a m t'
 *     dg/dy = - q / v
 *     dg/dx = - [ a_x q + a t' + a^2 u_x^2 s_x t' + a^2 m t'' ],  a_x = -(s + 2 a m s_x)/v.
 * The minimum moves by -H^-1 dg. */

void fit_local_at(const struct fit_form *form, const double *coef, const struct fit_point *point,
                  bool equal, struct fit_local *out)
{
    form->terms(&point->at, out->t);
    form->slopes(&point->at, out->dt);
    form->bends(&point->at, out->d2t);
    out->r = point->eta;
    out->s = 0.0;
    out->s_x = 0.0;
    for (size_t j = 0; j < form->n_coef; j++) {
        out->r -= out->t[j] * coef[j];
        out->s += out->dt[j] * coef[j];
        out->s_x += out->d2t[j] * coef[j];
    }
    out->u2_x = equal ? 0.0 : point->u_x * point->u_x;
    out->m = equal ? 0.0 : out->s * out->u2_x - point->cov_eta_x;
    out->v = 1.0;
    if (!equal)
        out->v = fmax(0.0, point->u_eta * point->u_eta +
                               out->s * (out->s * out->u2_x - 2.0 * point->cov_eta_x));
}

double fit_local_step(const struct fit_local *at, size_t p, double *row)
{
    double root = sqrt(at->v);
    for (size_t j = 0; j < p; j++)
        row[j] = (at->t[j] + at->r / at->v * at->m * at->dt[j]) / root;
    return at->r / root;
}

static void add_second_derivatives(const struct fit_local *at, size_t p, long double *h)
{
    double a = at->r / at->v;
    for (size_t j = 0; j < p; j++) {
        double q_j = at->t[j] + 2.0 * a * at->m * at->dt[j];
        for (size_t k = 0; k < p; k++) {
            double q_k = at->t[k] + 2.0 * a * at->m * at->dt[k];
            h[j * p + k] += (long double)q_j * (long double)q_k / (long double)at->v -
                            (long double)(a * a * at->u2_x * at->dt[j] * at->dt[k]);
        }
    }
}

/* -dg/dy and -dg/dx of one point. */
static void pulls(const struct fit_local *at, size_t p, double *by_eta, double *by_x)
{
    double a = at->r / at->v;
    double a_x = -(at->s + 2.0 * a * at->m * at->s_x) / at->v;
    for (size_t j = 0; j < p; j++) {
        double q = at->t[j] + 2.0 * a * at->m * at->dt[j];
        by_eta[j] = q / at->v;
        by_x[j] = a_x * q + a * at->dt[j] + a * a * at->u2_x * at->s_x * at->dt[j] +
                  a * a * at->m * at->d2t[j];
    }
}

struct factor {
    long double h[FIT_FORM_MAX_COEF * FIT_FORM_MAX_COEF];
    long double scale[FIT_FORM_MAX_COEF];
};

static void add_covariance(double *cov, size_t p, const double *by_eta, const double *by_x,
                           const struct fit_point *point, bool equal)
{
    double v_eta = equal ? 1.0 : point->u_eta * point->u_eta;
    double v_x = equal ? 0.0 : point->u_x * point->u_x;
    double both = equal ? 0.0 : point->cov_eta_x;
    for (size_t j = 0; j < p; j++) {
        for (size_t k = 0; k < p; k++)
            cov[j * p + k] += v_eta * by_eta[j] * by_eta[k] + v_x * by_x[j] * by_x[k] +
                              both * (by_eta[j] * by_x[k] + by_x[j] * by_eta[k]);
    }
}

static bool cov_is_finite(const struct fit_curve *curve)
{
    for (size_t j = 0; j < curve->p * curve->p; j++) {
        if (!isfinite(curve->cov_reading[j]))
            return false;
    }
    return true;
}

/* The factor of the second derivatives. Returns: false unless they are positive: no minimum */
static bool factor_at(const struct fit_curve *curve, const struct fit_point *points,
                      struct factor *to)
{
    struct fit_local at;
    *to = (struct factor){{0.0L}, {0.0L}};
    for (size_t i = 0; i < curve->n; i++) {
        fit_local_at(curve->form, curve->coef, &points[i], curve->equal_weights, &at);
        add_second_derivatives(&at, curve->p, to->h);
    }
    return fit_cholesky(to->h, to->scale, curve->p);
}

bool fit_influence_minimum(const struct fit_curve *curve, const struct fit_point *points)
{
    struct factor f;
    return factor_at(curve, points, &f);
}

enum fit_status fit_influence(struct fit_curve *curve, const struct fit_point *points)
{
    size_t p = curve->p, n = curve->n;
    struct factor f;
    struct fit_local at;
    if (!factor_at(curve, points, &f))
        return FIT_NOT_CONVERGED;
    for (size_t j = 0; j < p * p; j++)
        curve->cov_reading[j] = 0.0;
    for (size_t i = 0; i < n; i++) {
        double by_eta[FIT_FORM_MAX_COEF], by_x[FIT_FORM_MAX_COEF];
        fit_local_at(curve->form, curve->coef, &points[i], curve->equal_weights, &at);
        pulls(&at, p, by_eta, by_x);
        fit_cholesky_solve(f.h, f.scale, p, by_eta);
        fit_cholesky_solve(f.h, f.scale, p, by_x);
        for (size_t j = 0; j < p; j++) {
            curve->d_coef_d_eta[j * n + i] = by_eta[j];
            curve->d_coef_d_x[j * n + i] = by_x[j];
        }
        add_covariance(curve->cov_reading, p, by_eta, by_x, &points[i], curve->equal_weights);
    }
    return cov_is_finite(curve) ? FIT_OK : FIT_NOT_FINITE;
}
