#include "fit/joint_redraw.h"

#include <math.h>
#include <string.h>

#include "fit/joint_rows.h"
#include "fit/normal.h"

enum { MAX_STEPS = 25 };

/* What changes from step to step. */
struct state {
    struct fit_joint fit;
    struct joint_near near;
    struct fit_normal normal;
};

/* Adds one point: q = t + (r/v) m t', a += q q'/v, b += q r/v (fit/influence.c has the reasons). */
static void add_point(struct state *s, const struct fit_joint_point *point)
{
    struct joint_local at;
    size_t n = s->fit.n_coef;
    joint_local_at(&s->fit, &s->near, point, &at);
    double w = 1 / at.v, pull = at.r * w * at.m;
    for (size_t j = 0; j < s->fit.p; j++)
        at.t[j] += pull * at.dt[j];
    fit_normal_add(&s->normal, n, at.t, w, at.r);
}

static void walk(struct state *s)
{
    struct fit_joint *fit = &s->fit;
    fit_normal_walk(&s->normal, fit->n_coef, fit->coef);
    memcpy(fit->m.coef, fit->coef + fit->p, fit->q * sizeof *fit->coef);
}

/* Without stated weights lengths are measured against the scatter of the headline. */
static double yardstick(const struct fit_joint *fit)
{
    if (!fit->equal_weights)
        return 1;
    return fit->dof > 0 && fit->chi2 > 0 ? sqrt(fit->chi2 / (double)fit->dof) : 1e-6;
}

/* Where the form begins to be none (fit/joint.c). */
static bool holds(const struct fit_joint *fit)
{
    return fit->m.form != FIT_MODIFIER_TANGENT || fit->m.coef[0] > 0.05;
}

static bool steps(struct state *s, const struct fit_joint_point *moved, double enough)
{
    for (int step = 0; step < MAX_STEPS; step++) {
        fit_normal_clear(&s->normal, s->fit.n_coef);
        joint_near_at(&s->fit.m, 1, &s->near);
        for (size_t i = 0; i < s->fit.n; i++)
            add_point(s, &moved[i]);
        if (!isfinite(s->normal.a[0][0]) || !fit_normal_reduce(&s->normal, s->fit.n_coef))
            return false;
        double moved_by = fit_normal_length(&s->normal, s->fit.n_coef);
        walk(s);
        if (!isfinite(moved_by) || !holds(&s->fit))
            return false;
        if (moved_by < enough)
            return true;
    }
    return false;
}

enum fit_status fit_joint_redraw(const struct fit_joint *fit, const struct fit_joint_point *moved,
                                 double *coef)
{
    struct state s;
    s.fit = *fit;
    double found[FIT_MAX_COEF];
    if (steps(&s, moved, FIT_JOINT_REDRAW_SHORT * yardstick(fit))) {
        memcpy(coef, s.fit.coef, fit->n_coef * sizeof *coef);
        return FIT_OK;
    }
    enum fit_status status = fit_joint_again(fit, moved, found);
    if (status == FIT_OK)
        memcpy(coef, found, fit->n_coef * sizeof *coef);
    return status;
}
