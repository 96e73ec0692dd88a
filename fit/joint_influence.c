/* As fit/influence.c, with the terms that come of eta0 times K being no line in its coefficients:
 * the second derivatives have  - sum a d2(eta)/d(b_j) d(b_k)  more. */
#include "fit/joint_rows.h"

#include <math.h>
#include <stdlib.h>

#include "fit/cholesky.h"

enum { P = FIT_MAX_COEF, SQUARE = FIT_MAX_COEF * FIT_MAX_COEF };

/* Second differences take a step this much longer than first ones. */
#define LONGER 30

static void add_second(const struct fit_joint *fit, const struct joint_local *at, long double *h)
{
    double a = at->r / at->v;
    for (size_t j = 0; j < fit->n_coef; j++)
        for (size_t k = 0; k < fit->n_coef; k++) {
            double q_j = at->t[j] + 2 * a * at->m * at->dt[j];
            double q_k = at->t[k] + 2 * a * at->m * at->dt[k];
            h[j * fit->n_coef + k] += (long double)q_j * (long double)q_k / (long double)at->v -
                                      (long double)(a * a * at->u2_x * at->dt[j] * at->dt[k]);
        }
}

/* d t / d (modifier's coefficient k) of every point, times -a. */
static void add_bent(const struct fit_joint *fit, const struct fit_joint_point *points,
                     const struct joint_near *near, size_t k, long double *h)
{
    struct fit_joint side[2] = {*fit, *fit};
    struct joint_near beside[2];
    side[0].m = near->up[k];
    side[1].m = near->down[k];
    for (int s = 0; s < 2; s++)
        joint_near_at(&side[s].m, LONGER, &beside[s]);
    for (size_t i = 0; i < fit->n; i++) {
        struct joint_local here, up, down;
        joint_local_at(fit, near, &points[i], &here);
        joint_local_at(&side[0], &beside[0], &points[i], &up);
        joint_local_at(&side[1], &beside[1], &points[i], &down);
        double a = here.r / here.v;
        for (size_t j = 0; j < fit->n_coef; j++) {
            double bent = -a * (up.t[j] - down.t[j]) / (2 * near->h[k]);
            h[j * fit->n_coef + fit->p + k] += (long double)bent;
            if (j < fit->p)
                h[(fit->p + k) * fit->n_coef + j] += (long double)bent;
        }
    }
}

/* Rounding leaves the two halves of the modifier's block a little apart. */
static void even_out(const struct fit_joint *fit, long double *h)
{
    size_t n = fit->n_coef;
    for (size_t j = 0; j < n; j++)
        for (size_t k = 0; k < j; k++)
            h[j * n + k] = h[k * n + j] = 0.5L * (h[j * n + k] + h[k * n + j]);
}

static void pulls(const struct fit_joint *fit, const struct joint_local *at, double *by_eta,
                  double *by_x)
{
    double a = at->r / at->v;
    double a_x = -(at->s + 2 * a * at->m * at->s_x) / at->v;
    for (size_t j = 0; j < fit->n_coef; j++) {
        double q = at->t[j] + 2 * a * at->m * at->dt[j];
        by_eta[j] = q / at->v;
        by_x[j] = a_x * q + a * at->dt[j] + a * a * at->u2_x * at->s_x * at->dt[j] +
                  a * a * at->m * at->d2t[j];
    }
}

static void add_covariance(struct fit_joint *fit, const double *by_eta, const double *by_x,
                           const struct fit_point *point)
{
    bool equal = fit->equal_weights;
    double v_eta = equal ? 1 : point->u_eta * point->u_eta,
           v_x = equal ? 0 : point->u_x * point->u_x;
    double both = equal ? 0 : point->cov_eta_x;
    for (size_t j = 0; j < fit->n_coef; j++)
        for (size_t k = 0; k < fit->n_coef; k++)
            fit->cov[j * fit->n_coef + k] += v_eta * by_eta[j] * by_eta[k] +
                                             v_x * by_x[j] * by_x[k] +
                                             both * (by_eta[j] * by_x[k] + by_x[j] * by_eta[k]);
}

static bool allocate(struct fit_joint *fit)
{
    size_t n = fit->n_coef * fit->n;
    fit->d_coef_d_eta = calloc(n, sizeof *fit->d_coef_d_eta);
    fit->d_coef_d_x = calloc(n, sizeof *fit->d_coef_d_x);
    return fit->d_coef_d_eta != NULL && fit->d_coef_d_x != NULL;
}

enum fit_status joint_influence(struct fit_joint *fit, const struct fit_joint_point *points)
{
    long double h[SQUARE] = {0}, scale[P];
    struct joint_near near, wide;
    struct joint_local at;
    joint_near_at(&fit->m, 1, &near);
    joint_near_at(&fit->m, LONGER, &wide);
    for (size_t i = 0; i < fit->n; i++) {
        joint_local_at(fit, &near, &points[i], &at);
        add_second(fit, &at, h);
    }
    for (size_t k = 0; k < fit->q; k++)
        add_bent(fit, points, &wide, k, h);
    even_out(fit, h);
    if (!fit_cholesky(h, scale, fit->n_coef))
        return FIT_NOT_CONVERGED;
    if (!allocate(fit))
        return FIT_NO_MEMORY;
    for (size_t i = 0; i < fit->n; i++) {
        double by_eta[P], by_x[P];
        joint_local_at(fit, &near, &points[i], &at);
        pulls(fit, &at, by_eta, by_x);
        fit_cholesky_solve(h, scale, fit->n_coef, by_eta);
        fit_cholesky_solve(h, scale, fit->n_coef, by_x);
        for (size_t j = 0; j < fit->n_coef; j++) {
            fit->d_coef_d_eta[j * fit->n + i] = by_eta[j];
            fit->d_coef_d_x[j * fit->n + i] = by_x[j];
        }
        add_covariance(fit, by_eta, by_x, &points[i].curve);
    }
    for (size_t j = 0; j < fit->n_coef * fit->n_coef; j++)
        if (!isfinite(fit->cov[j]))
            return FIT_NOT_FINITE;
    return FIT_OK;
}
