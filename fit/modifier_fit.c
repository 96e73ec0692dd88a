#include "fit/modifier_fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS = 60, HALVINGS = 40 };
#define SETTLED 1e-10
#define LEAST_POWER 0.05 /* of the tangent: below it K falls from 1 at once */
#define DEGREES_10 (M_PI / 18)

struct problem {
    const struct fit_modifier_point *points;
    size_t n;
    const struct fit_modifier_near *near;
    bool equal;
    bool one; /* a single step */
    double *x, *y, *w; /* rows of a step */
};

static enum fit_status judge(struct problem *p, struct fit_modifier_fit *out)
{
    size_t stated = 0;
    for (size_t i = 0; i < p->n; i++) {
        const struct fit_modifier_point *q = &p->points[i];
        double theta = q->at.theta_rad;
        if (!isfinite(theta) || !isfinite(q->k_total) || !isfinite(q->u) ||
            !isfinite(q->diffuse_share) || !isfinite(q->at.along_rad + q->at.across_rad))
            return FIT_NOT_FINITE;
        if (theta < 0 || theta >= M_PI_2 || q->u < 0 || q->diffuse_share < 0 ||
            q->diffuse_share >= 1)
            return FIT_RANGE;
        stated += q->u > 0;
        out->least_rad = i == 0 ? theta : fmin(out->least_rad, theta);
        out->most_rad = i == 0 ? theta : fmax(out->most_rad, theta);
    }
    if (!(p->near->diffuse_share >= 0 && p->near->diffuse_share <= 1) ||
        !(p->near->at.theta_rad >= 0 && p->near->at.theta_rad < M_PI_2) ||
        (stated > 0 && stated < p->n))
        return FIT_RANGE;
    p->equal = out->equal_weights = stated == 0;
    return FIT_OK;
}

/* Multiples of a step of 10 or 20 degrees, up to 80, that one of the angles is nearest to.
 * Returns: how many they are; those past `most` are not written */
static size_t add_knots(const struct fit_angle *angles, size_t n, int step_tens, size_t most,
                        double (*angle)(const struct fit_angle *), struct fit_modifier *m)
{
    size_t found = 0;
    for (int tens = step_tens; tens <= 8; tens += step_tens) {
        bool seen = false;
        for (size_t i = 0; i < n; i++) {
            long nearest = step_tens * lround(fabs(angle(&angles[i])) / (step_tens * DEGREES_10));
            seen = seen || nearest == tens || (tens == 8 && nearest > 8);
        }
        if (!seen)
            continue;
        found++;
        if (m->n >= most)
            continue;
        m->knot_rad[m->n] = tens * DEGREES_10;
        m->coef[m->n++] = 0.9;
    }
    return found;
}

static double angle_off(const struct fit_angle *at)
{
    return at->theta_rad;
}

static double angle_along(const struct fit_angle *at)
{
    return at->along_rad;
}

static double angle_across(const struct fit_angle *at)
{
    return at->across_rad;
}

/* Each plane needs an angle of its own. */
static enum fit_status begin_planes(const struct fit_angle *angles, size_t n, size_t most,
                                    struct fit_modifier *m)
{
    for (int step = 1; step <= 2; step++) {
        m->n = 0;
        size_t along = add_knots(angles, n, step, most, angle_along, m);
        m->n_along = m->n;
        size_t across = add_knots(angles, n, step, most, angle_across, m);
        if (along == 0 || across == 0) {
            m->n = 0;
            return FIT_RANK;
        }
        if (along + across > most)
            continue;
        fit_modifier_weigh_sky(m);
        return FIT_OK;
    }
    return FIT_RANGE;
}

enum fit_status fit_modifier_begin(const struct fit_angle *angles, size_t n, size_t most,
                                   struct fit_modifier *m)
{
    switch (m->form) {
    case FIT_MODIFIER_B0:
        m->coef[m->n++] = 0.1;
        break;
    case FIT_MODIFIER_TANGENT:
        m->coef[m->n++] = 3.5;
        break;
    case FIT_MODIFIER_TABLE:
        add_knots(angles, n, 1, most, angle_off, m);
        break;
    case FIT_MODIFIER_TWO_PLANES:
        return begin_planes(angles, n, most, m);
    case FIT_MODIFIER_FORMS:
        return FIT_RANGE;
    }
    return m->n == 0 ? FIT_RANK : FIT_OK;
}

static enum fit_status begin(const struct problem *p, struct fit_modifier *m)
{
    struct fit_angle *angles = calloc(p->n, sizeof *angles);
    if (angles == NULL)
        return FIT_NO_MEMORY;
    for (size_t i = 0; i < p->n; i++)
        angles[i] = p->points[i].at;
    enum fit_status status = fit_modifier_begin(angles, p->n, FIT_MAX_COEF, m);
    free(angles);
    return status;
}

/* A place where the form means something. */
static bool holds(const struct fit_modifier *m)
{
    for (size_t j = 0; j < m->n; j++)
        if (!isfinite(m->coef[j]))
            return false;
    return m->form != FIT_MODIFIER_TANGENT || m->coef[0] > LEAST_POWER;
}

static double total_at(const struct problem *p, const struct fit_modifier *m, double k_d, size_t i)
{
    const struct fit_modifier_point *q = &p->points[i];
    return fit_modifier_total(fit_modifier_beam(m, &q->at), k_d, q->diffuse_share,
                              fit_modifier_beam(m, &p->near->at), p->near->diffuse_share);
}

static double misfit(const struct problem *p, const struct fit_modifier *m)
{
    double k_d = fit_modifier_diffuse(m), sum = 0;
    for (size_t i = 0; i < p->n; i++) {
        double r = p->points[i].k_total - total_at(p, m, k_d, i);
        sum += r * r * (p->equal ? 1 : 1 / (p->points[i].u * p->points[i].u));
    }
    return sum;
}

/* One column of slopes, by a central difference that moves K_d along. */
static void slope_column(const struct problem *p, const struct fit_modifier *m, size_t j)
{
    struct fit_modifier up = *m, down = *m;
    double h = 1e-5 * fmax(fabs(m->coef[j]), 0.1);
    up.coef[j] += h;
    down.coef[j] -= h;
    double up_d = fit_modifier_diffuse(&up), down_d = fit_modifier_diffuse(&down);
    for (size_t i = 0; i < p->n; i++)
        p->x[i * m->n + j] = (total_at(p, &up, up_d, i) - total_at(p, &down, down_d, i)) / (2 * h);
}

static enum fit_status step(const struct problem *p, const struct fit_modifier *m,
                            struct fit_linear *line)
{
    double k_d = fit_modifier_diffuse(m);
    for (size_t j = 0; j < m->n; j++)
        slope_column(p, m, j);
    for (size_t i = 0; i < p->n; i++) {
        p->y[i] = p->points[i].k_total - total_at(p, m, k_d, i);
        p->w[i] = p->equal ? 1 : 1 / (p->points[i].u * p->points[i].u);
    }
    return fit_linear(p->x, p->y, p->w, p->n, m->n, line);
}

/* Moves m by as much of the step as leads down, or no longer matters.
 * Returns: the largest change of a coefficient; NaN if no part of the step leads down */
static double walk(const struct problem *p, const double *by, struct fit_modifier *m)
{
    double before = misfit(p, m), share = 1;
    for (int k = 0; k < HALVINGS; k++, share *= 0.5) {
        struct fit_modifier next = *m;
        double most = 0;
        for (size_t j = 0; j < m->n; j++) {
            next.coef[j] += share * by[j];
            most = fmax(most, fabs(share * by[j]));
        }
        if (!holds(&next) || (most > SETTLED && misfit(p, &next) > before * (1 + 1e-12) + 1e-20))
            continue;
        *m = next;
        return most;
    }
    return NAN;
}

static enum fit_status descend(const struct problem *p, struct fit_modifier_fit *out)
{
    struct fit_linear line;
    for (out->iterations = 1; out->iterations <= STEPS; out->iterations++) {
        enum fit_status status = step(p, &out->m, &line);
        out->undetermined = line.undetermined;
        if (status != FIT_OK)
            return status;
        double moved = walk(p, line.coef, &out->m);
        if (isnan(moved))
            return FIT_NOT_CONVERGED;
        if (p->one)
            return FIT_OK;
        if (moved > SETTLED)
            continue;
        memcpy(out->cov, line.cov_unit, out->m.n * out->m.n * sizeof *out->cov);
        out->chi2 = misfit(p, &out->m);
        out->k_diffuse = fit_modifier_diffuse(&out->m);
        return FIT_OK;
    }
    return FIT_NOT_CONVERGED;
}

static enum fit_status solve(struct problem *p, struct fit_modifier_fit *out)
{
    enum fit_status status = judge(p, out);
    if (status == FIT_OK && out->m.n == 0)
        status = begin(p, &out->m);
    if (status != FIT_OK)
        return status;
    if (p->n < out->m.n)
        return FIT_TOO_FEW;
    out->dof = p->n - out->m.n;
    p->x = calloc(p->n * (out->m.n + 2), sizeof *p->x);
    if (p->x == NULL)
        return FIT_NO_MEMORY;
    p->y = p->x + p->n * out->m.n;
    p->w = p->y + p->n;
    status = descend(p, out);
    free(p->x);
    return status;
}

/* Numbers of a fit that failed. */
static enum fit_status leave(enum fit_status status, struct fit_modifier_fit *out)
{
    if (status == FIT_OK)
        return status;
    out->chi2 = out->k_diffuse = NAN;
    for (size_t j = 0; j < FIT_MAX_COEF; j++)
        out->m.coef[j] = NAN;
    for (size_t j = 0; j < FIT_MAX_COEF * FIT_MAX_COEF; j++)
        out->cov[j] = NAN;
    return status;
}

enum fit_status fit_modifier_fit(enum fit_modifier_form form,
                                 const struct fit_modifier_point *points, size_t n,
                                 const struct fit_modifier_near *near, struct fit_modifier_fit *out)
{
    struct fit_modifier begun = {.form = form};
    return fit_modifier_refit(&begun, points, n, near, out);
}

static enum fit_status go_on(struct problem *p, const struct fit_modifier *shape,
                             struct fit_modifier_fit *out)
{
    struct fit_modifier begun = *shape;
    memset(out, 0, sizeof *out);
    out->m = begun;
    out->undetermined = FIT_NO_COLUMN;
    return leave(p->n == 0 ? FIT_TOO_FEW : solve(p, out), out);
}

enum fit_status fit_modifier_refit(const struct fit_modifier *shape,
                                   const struct fit_modifier_point *points, size_t n,
                                   const struct fit_modifier_near *near,
                                   struct fit_modifier_fit *out)
{
    struct problem p = {.points = points, .n = n, .near = near};
    return go_on(&p, shape, out);
}

enum fit_status fit_modifier_step(const struct fit_modifier *from,
                                  const struct fit_modifier_point *points, size_t n,
                                  const struct fit_modifier_near *near,
                                  struct fit_modifier_fit *out)
{
    struct problem p = {.points = points, .n = n, .near = near, .one = true};
    return go_on(&p, from, out);
}

double fit_modifier_value(const struct fit_modifier_fit *fit, const struct fit_angle *at, double *u)
{
    double d[FIT_MAX_COEF], v = 0;
    fit_modifier_slopes(&fit->m, at, d);
    for (size_t j = 0; j < fit->m.n; j++)
        for (size_t k = 0; k < fit->m.n; k++)
            v += d[j] * fit->cov[j * fit->m.n + k] * d[k];
    *u = sqrt(v);
    return fit_modifier_beam(&fit->m, at);
}
