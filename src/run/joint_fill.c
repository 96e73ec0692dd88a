/* What a form leaves out, and a joint fit turned into a curve and a modifier. */
#include "run/joint_job.h"

#include "fit/combine.h"
#include "run/joint_refusal.h"
#include "run/modifier_job.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What a form left out moves all coefficients by; it has no sign of its own. */
static bool keep_left_out(struct joint_job *job, const struct error_part *part)
{
    size_t n = job->out->fit.n_coef;
    for (size_t j = 0; j < n; j++)
        for (size_t k = 0; k < n; k++)
            job->left_out[j * n + k] += part->d[j] * part->d[k];
    return error_parts_add(&job->out->parts, part, job->faults);
}

/* The scratch points' coefficients less those of the fit, as such a shift.
 * Out: of_curve  the first of them */
static bool carry(struct joint_job *job, struct error_part *part, double *of_curve)
{
    if (!joint_refit(job, part->d) || !keep_left_out(job, part))
        return false;
    memcpy(of_curve, part->d, job->out->fit.p * sizeof *part->d);
    return true;
}

static bool carry_extra(struct joint_job *job, struct efficiency_extra *extra)
{
    struct error_part part = {RANK_FORM, extra->id, extra->label, extra->cure, {0}};
    return carry(job, &part, extra->d);
}

/* A bend from 0 to its upper limit: rectangular. */
bool joint_add_curvature(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    double a2 = e->term.upper / sqrt(3.0);
    struct error_part part = {.kind = RANK_FORM,
                              .id = "curvature",
                              .label = "curvature left out",
                              .cure = "points at the coldest and warmest inlet"};
    for (size_t i = 0; i < e->n; i++) {
        job->moved[i] = job->used[i];
        const struct fit_condition *at = &job->used[i].curve.at;
        job->moved[i].curve.eta += a2 * at->g * at->x * at->x;
    }
    if (!carry(job, &part, e->d_curvature))
        return false;
    fit_cov_add_outer(e->curvature, e->form->n_coef, e->d_curvature);
    return true;
}

/* A loss from nothing to its upper limit, rectangular. The mean efficiency holds for the mean T*,
 * so that its own share of the loss is no error of it. */
bool joint_add_loss(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    double a1 = JOINT_USUAL_A1 / sqrt(3.0), mean_x = 0;
    struct error_part part = {.kind = RANK_FORM,
                              .id = "loss left out",
                              .label = "heat loss, not seen at one temperature",
                              .cure = "points at a second temperature, 10 K away or more"};
    for (size_t i = 0; i < e->n; i++) {
        job->moved[i] = job->used[i];
        job->moved[i].curve.eta += a1 * job->used[i].curve.at.x;
        mean_x += job->used[i].curve.at.x / (double)e->n;
    }
    if (!joint_refit(job, part.d))
        return false;
    part.d[0] -= a1 * mean_x;
    struct efficiency_extra *extra = &e->extras[e->n_extras++];
    *extra = (struct efficiency_extra){.id = part.id, .label = part.label, .cure = part.cure};
    memcpy(extra->d, part.d, job->out->fit.p * sizeof *part.d);
    return keep_left_out(job, &part);
}

/* Wind that differed and is in no term may matter up to twice what is usual, as in a curve's run.
 */
static bool add_wind(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    double a3 = 2 * job->setup->exposure.wind_J_m3K / sqrt(3.0);
    for (size_t i = 0; i < e->n; i++) {
        double off = job->points[e->index[i]].value.wind_m_s - e->design.mean_wind_m_s;
        job->moved[i] = job->used[i];
        job->moved[i].curve.eta += a3 * off * job->used[i].curve.at.x;
    }
    struct efficiency_extra *extra = &e->extras[e->n_extras++];
    *extra = (struct efficiency_extra){.id = "wind left out",
                                       .label = "wind that differed from point to point",
                                       .cure = "a fan, or windy and calm points for a wind term"};
    return carry_extra(job, extra);
}

static bool add_sky(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    for (size_t i = 0; i < e->n; i++) {
        double off = job->points[e->index[i]].value.sky_K - e->design.mean_sky_K;
        job->moved[i] = job->used[i];
        job->moved[i].curve.eta -= job->setup->exposure.sky_W_m2K * off / job->used[i].curve.at.g;
    }
    struct efficiency_extra *extra = &e->extras[e->n_extras++];
    *extra = (struct efficiency_extra){.id = "sky left out",
                                       .label = "sky that differed from point to point",
                                       .cure = "points under skies that are alike"};
    return carry_extra(job, extra);
}

bool joint_add_surroundings(struct joint_job *job)
{
    const struct efficiency *e = &job->out->e;
    const struct design *d = &e->design;
    if (!e->form->with_wind && design_has_wind(d) && d->most_wind_m_s > d->least_wind_m_s &&
        !add_wind(job))
        return false;
    return d->sky_points < d->points || add_sky(job);
}

/* Part of a covariance: n of its rows and columns, from the first. */
static void part_of(const double *cov, size_t n_coef, size_t first, size_t n, double *out)
{
    for (size_t j = 0; j < n; j++)
        for (size_t k = 0; k < n; k++)
            out[j * n + k] = cov[(first + j) * n_coef + first + k];
}

/* A point as it would be with the sun on the normal and the diffuse share of the curve. */
static struct fit_point brought(const struct joint_job *job, size_t i)
{
    const struct fit_joint *fit = &job->out->fit;
    struct fit_point point = job->used[i].curve;
    point.eta += fit->coef[0] * (1 - fit_joint_total(fit, &job->used[i]));
    return point;
}

/* Leverage and the like, with the modifier's coefficients counted: the fit as a straight one about
 * its minimum. */
static bool diagnose(struct joint_job *job)
{
    struct joint *out = job->out;
    const struct fit_joint *fit = &out->fit;
    size_t n = out->e.n, p = fit->n_coef;
    struct fit_linear line;
    double *x = calloc(n * (p + 2), sizeof *x), *y = x + n * p, *w = y + n;
    if (x == NULL)
        return fault_memory(job->faults);
    for (size_t i = 0; i < n; i++) {
        fit_joint_slopes(fit, &job->used[i], x + i * p);
        y[i] = job->used[i].curve.eta - fit_joint_value(fit, &job->used[i]);
        y[i] += fit_dot(x + i * p, fit->coef, p);
        w[i] = fit->equal_weights
                   ? 1
                   : 1 / fit_curve_variance(out->e.form, fit->coef, &job->used[i].curve);
    }
    bool good = fit_linear(x, y, w, n, p, &line) == FIT_OK;
    if (good)
        fit_diagnose(x, y, w, &line, out->e.cases);
    for (size_t i = 0; i < n && good; i++) {
        out->e.cases[i].residual = job->used[i].curve.eta - fit_joint_value(fit, &job->used[i]);
        out->e.cases[i].fitted = out->e.used[i].eta - out->e.cases[i].residual;
    }
    free(x);
    return good || joint_refused(job, FIT_NOT_CONVERGED);
}

bool joint_fill_curve(struct joint_job *job)
{
    struct joint *out = job->out;
    struct efficiency *e = &out->e;
    const struct fit_joint *fit = &out->fit;
    e->curve = (struct fit_curve){.form = e->form,
                                  .n = e->n,
                                  .p = fit->p,
                                  .dof = fit->dof,
                                  .chi2 = fit->chi2,
                                  .birge = NAN,
                                  .iterations = fit->iterations,
                                  .undetermined = FIT_NO_COLUMN,
                                  .equal_weights = fit->equal_weights};
    memcpy(e->curve.coef, fit->coef, fit->p * sizeof *fit->coef);
    part_of(fit->cov, fit->n_coef, 0, fit->p, e->curve.cov_reading);
    if (fit->dof > 0 && !fit->equal_weights)
        e->curve.birge = sqrt(fit->chi2 / (double)fit->dof);
    for (size_t i = 0; i < e->n; i++)
        e->used[i] = brought(job, i);
    return diagnose(job);
}

/* The modifier's share of each part. */
static bool split_parts(struct joint_job *job)
{
    const struct fit_joint *fit = &job->out->fit;
    for (size_t k = 0; k < job->out->parts.n; k++) {
        struct error_part part = job->out->parts.list[k];
        memmove(part.d, part.d + fit->p, fit->q * sizeof *part.d);
        memset(part.d + fit->q, 0, (FIT_MAX_COEF - fit->q) * sizeof *part.d);
        if (!error_parts_add(&job->out->m.parts, &part, job->faults))
            return false;
    }
    return true;
}

static void fill_parts(struct joint_job *job)
{
    struct joint *out = job->out;
    const struct fit_joint *fit = &out->fit;
    struct efficiency *e = &out->e;
    struct modifier *m = &out->m;
    double *common = out->common;
    size_t all = fit->n_coef * fit->n_coef;
    memcpy(out->reading, job->reading, sizeof out->reading);
    memcpy(out->session, job->session, sizeof out->session);
    for (size_t j = 0; j < all; j++) {
        common[j] = job->calibration[j] + job->left_out[j];
        out->covariance[j] = common[j] + job->reading[j] + job->session[j];
    }
    part_of(job->reading, fit->n_coef, 0, fit->p, e->reading);
    part_of(job->session, fit->n_coef, 0, fit->p, e->session);
    part_of(job->calibration, fit->n_coef, 0, fit->p, e->calibration);
    part_of(common, fit->n_coef, 0, fit->p, e->common);
    part_of(out->covariance, fit->n_coef, 0, fit->p, e->total);
    e->session_dof = e->days.extra > 0 ? e->days.seen.between_dof : INFINITY;
    part_of(job->reading, fit->n_coef, fit->p, fit->q, m->reading);
    part_of(job->session, fit->n_coef, fit->p, fit->q, m->curve);
    part_of(common, fit->n_coef, fit->p, fit->q, m->common);
    m->scale_factor = e->scale_factor;
    m->scale_dof = e->scale_dof;
    m->curve_dof = e->session_dof;
}

static void fill_modifier(struct joint_job *job)
{
    struct joint *out = job->out;
    struct modifier *m = &out->m;
    const struct fit_joint *fit = &out->fit;
    m->fit = (struct fit_modifier_fit){.m = fit->m,
                                       .k_diffuse = fit->k_diffuse,
                                       .chi2 = fit->chi2,
                                       .dof = fit->dof,
                                       .least_rad = out->spread.least_rad,
                                       .most_rad = out->spread.most_rad,
                                       .equal_weights = fit->equal_weights,
                                       .undetermined = FIT_NO_COLUMN};
    m->near.diffuse_share = fit->diffuse_share;
    for (size_t i = 0; i < out->e.n; i++) {
        const struct fit_joint_point *p = &job->used[i];
        double loss = fit->coef[0] * fit_joint_total(fit, p) - fit_joint_value(fit, p);
        m->used[i] = (struct fit_modifier_point){
            .at = p->angle,
            .diffuse_share = p->diffuse_share,
            .k_total = (p->curve.eta + loss) / fit->coef[0],
            .u = sqrt(fit_curve_variance(out->e.form, fit->coef, &job->own[i].curve)) /
                 fabs(fit->coef[0])};
        m->points[i].index = out->e.index[i];
        m->share_unknown += isfinite(job->points[out->e.index[i]].value.diffuse_share) ? 0 : 1;
    }
    m->n = out->e.n;
    modifier_pair_up(m, job->points);
    modifier_finish(m);
}

static void fill_new_window(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    for (size_t i = 0; i < e->n; i++) {
        double all = fit_curve_variance(e->form, e->curve.coef, &job->used[i].curve);
        double own = fit_curve_variance(e->form, e->curve.coef, &job->own[i].curve);
        bool equal = e->curve.equal_weights;
        e->new_window.reading_variance += e->scale_factor * (equal ? 1 : own) / (double)e->n;
        e->new_window.session_variance += equal ? 0 : fmax(0, all - own) / (double)e->n;
    }
    e->new_window.session_variance += e->days.extra;
}

/* The given points, those in use as they would be at the normal. */
static void fill_brought(struct joint_job *job)
{
    struct joint *out = job->out;
    memcpy(out->brought, job->points, job->n_points * sizeof *job->points);
    for (size_t i = 0; i < out->e.n; i++) {
        struct point *p = &out->brought[out->e.index[i]];
        p->fit = out->e.used[i];
        p->value.eta = out->e.used[i].eta;
    }
}

bool joint_fill(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    fill_parts(job);
    if (!split_parts(job))
        return false;
    fill_modifier(job);
    fill_new_window(job);
    fill_brought(job);
    if (e->form->with_wind)
        e->draw_wind = e->design.mean_wind_m_s - job->setup->wind_origin_m_s;
    enum fit_status status = fit_curve_plain(e->form, e->used, e->n, &e->plain);
    return status == FIT_OK || joint_refused(job, status);
}

struct fit_band joint_eta0_of_beam(const struct joint *joint)
{
    const struct fit_joint *fit = &joint->fit;
    double t[FIT_MAX_COEF] = {0}, f0 = fit->diffuse_share;
    double whole = 1 - f0 + fit->k_diffuse * f0;
    t[0] = 1 / whole;
    for (size_t k = 0; k < fit->q; k++) {
        struct fit_modifier up = fit->m, down = fit->m;
        double h = 1e-5 * fmax(fabs(up.coef[k]), 0.1);
        up.coef[k] += h;
        down.coef[k] -= h;
        t[fit->p + k] = -fit->coef[0] * f0 / (whole * whole) *
                        (fit_modifier_diffuse(&up) - fit_modifier_diffuse(&down)) / (2 * h);
    }
    double u, dof;
    efficiency_combined(&joint->e, 0, &u, &dof);
    struct fit_band band = {.value = fit->coef[0] / whole,
                            .u = sqrt(fit_variance(t, joint->covariance, fit->n_coef)),
                            .dof = dof};
    band.half_95 = fit_coverage_95(dof) * band.u;
    return band;
}
