#include "fit/joint_redraw.h"

#include <math.h>
#include <string.h>

#include "fit/joint_rows.h"

enum { MAX_STEPS = 25, P = FIT_MAX_COEF };

/* Normal equations of one Gauss-Newton step; the lower triangle counts. */
struct normal {
    double a[P][P];
    double b[P];
};

/* What changes from step to step. */
struct state {
    struct fit_joint fit;
    struct joint_near near;
    struct normal normal;
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
    for (size_t j = 0; j < n; j++) {
        double wt = w * at.t[j];
        s->normal.b[j] += wt * at.r;
        for (size_t k = 0; k <= j; k++)
            s->normal.a[j][k] += wt * at.t[k];
    }
}

/* Cholesky in place with the forward half of the solution: b becomes the step in units of standard
 * uncertainties. Returns: false if a pivot is lost to rounding */
static bool reduce(struct normal *normal, size_t n)
{
    for (size_t j = 0; j < n; j++) {
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

static double length(const struct normal *normal, size_t n)
{
    double sum = 0;
    for (size_t j = 0; j < n; j++)
        sum += normal->b[j] * normal->b[j];
    return sqrt(sum);
}

static void walk(struct state *s)
{
    struct fit_joint *fit = &s->fit;
    struct normal *normal = &s->normal;
    for (size_t j = fit->n_coef; j-- > 0;) {
        for (size_t k = j + 1; k < fit->n_coef; k++)
            normal->b[j] -= normal->a[k][j] * normal->b[k];
        normal->b[j] /= normal->a[j][j];
        fit->coef[j] += normal->b[j];
    }
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
        memset(&s->normal, 0, sizeof s->normal);
        joint_near_at(&s->fit.m, 1, &s->near);
        for (size_t i = 0; i < s->fit.n; i++)
            add_point(s, &moved[i]);
        if (!isfinite(s->normal.a[0][0]) || !reduce(&s->normal, s->fit.n_coef))
            return false;
        double moved_by = length(&s->normal, s->fit.n_coef);
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
