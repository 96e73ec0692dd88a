#include "fit/joint_rows.h"

#include <math.h>

void joint_near_at(const struct fit_modifier *m, double share, struct joint_near *near)
{
    near->at = *m;
    near->k_d = fit_modifier_diffuse(m);
    for (size_t k = 0; k < m->n; k++) {
        near->h[k] = share * 1e-5 * fmax(fabs(m->coef[k]), 0.1);
        near->up[k] = near->down[k] = *m;
        near->up[k].coef[k] += near->h[k];
        near->down[k].coef[k] -= near->h[k];
        near->k_d_up[k] = fit_modifier_diffuse(&near->up[k]);
        near->k_d_down[k] = fit_modifier_diffuse(&near->down[k]);
    }
}

static double total(const struct fit_joint *fit, const struct fit_modifier *m, double k_d,
                    const struct fit_joint_point *point)
{
    return fit_modifier_total(fit_modifier_beam(m, &point->angle), k_d, point->diffuse_share, 1,
                              fit->diffuse_share);
}

/* The curve at x less its first term, and its slope. */
static double loss_at(const struct fit_joint *fit, const struct fit_point *point, double *slope)
{
    double t[FIT_FORM_MAX_COEF], dt[FIT_FORM_MAX_COEF], value = 0;
    fit->form->terms(&point->at, t);
    fit->form->slopes(&point->at, dt);
    *slope = 0;
    for (size_t j = 1; j < fit->p; j++) {
        value += t[j] * fit->coef[j];
        *slope += dt[j] * fit->coef[j];
    }
    return value;
}

static double variance(const struct fit_joint *fit, const struct fit_point *point, double slope)
{
    if (fit->equal_weights)
        return 1;
    return fmax(0, point->u_eta * point->u_eta +
                       slope * (slope * point->u_x * point->u_x - 2 * point->cov_eta_x));
}

double joint_misfit(const struct fit_joint *fit, double k_d, const struct fit_joint_point *point)
{
    double slope, loss = loss_at(fit, &point->curve, &slope);
    double v = variance(fit, &point->curve, slope);
    double r = point->curve.eta - fit->coef[0] * total(fit, &fit->m, k_d, point) - loss;
    return v > 0 ? r * r / v : INFINITY;
}

void joint_local_at(const struct fit_joint *fit, const struct joint_near *near,
                    const struct fit_joint_point *point, struct joint_local *out)
{
    const struct fit_point *own = &point->curve;
    *out = (struct joint_local){.u2_x = fit->equal_weights ? 0 : own->u_x * own->u_x};
    fit->form->terms(&own->at, out->t);
    fit->form->slopes(&own->at, out->dt);
    fit->form->bends(&own->at, out->d2t);
    out->t[0] = total(fit, &near->at, near->k_d, point);
    out->r = own->eta;
    for (size_t j = 0; j < fit->p; j++) {
        out->r -= out->t[j] * fit->coef[j];
        out->s += out->dt[j] * fit->coef[j];
        out->s_x += out->d2t[j] * fit->coef[j];
    }
    for (size_t k = 0; k < fit->q; k++)
        out->t[fit->p + k] = fit->coef[0] *
                             (total(fit, &near->up[k], near->k_d_up[k], point) -
                              total(fit, &near->down[k], near->k_d_down[k], point)) /
                             (2 * near->h[k]);
    out->m = fit->equal_weights ? 0 : out->s * out->u2_x - own->cov_eta_x;
    out->v = variance(fit, own, out->s);
}

double fit_joint_total(const struct fit_joint *fit, const struct fit_joint_point *point)
{
    return total(fit, &fit->m, fit->k_diffuse, point);
}

double fit_joint_value(const struct fit_joint *fit, const struct fit_joint_point *point)
{
    double slope;
    return fit->coef[0] * fit_joint_total(fit, point) + loss_at(fit, &point->curve, &slope);
}

void fit_joint_slopes(const struct fit_joint *fit, const struct fit_joint_point *point, double *t)
{
    struct joint_near near;
    struct joint_local local;
    joint_near_at(&fit->m, 1, &near);
    joint_local_at(fit, &near, point, &local);
    for (size_t j = 0; j < fit->n_coef; j++)
        t[j] = local.t[j];
}
