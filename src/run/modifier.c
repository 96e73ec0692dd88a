#include "run/modifier_job.h"

#include "fit/combine.h"
#include "run/modifier_stand.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Points of a pair are at most this far apart in angle. */
#define PAIR_RAD (5 * 0.017453292519943295)

void modifier_keep_apart(struct point *points, size_t n, double near_rad)
{
    for (size_t i = 0; i < n; i++) {
        double theta = points[i].value.incidence_rad;
        if (points[i].left_out || !(theta > near_rad))
            continue;
        points[i].left_out = points[i].oblique = true;
    }
}

static double u_of_readings(const struct modifier_job *job, const struct point *point)
{
    struct fit_point own = point->fit;
    own.at = modifier_condition(&point->value, job->setup);
    own.u_eta = point->u_eta_reading;
    own.u_x = point->u_x_reading;
    own.cov_eta_x = point->cov_reading;
    const struct efficiency *e = job->e;
    return sqrt(fit_curve_variance(e->form, e->curve.coef, &own)) / fabs(e->curve.coef[0]);
}

static bool allocate(struct modifier_job *job, size_t n)
{
    struct modifier *out = job->out;
    out->used = calloc(n + 1, sizeof *out->used);
    out->points = calloc(n + 1, sizeof *out->points);
    out->pairs = calloc(n + 1, sizeof *out->pairs);
    out->shares = calloc(job->registry->n + 1, sizeof *out->shares);
    job->near_values = calloc(n + 1, sizeof *job->near_values);
    job->values = calloc(n + 1, sizeof *job->values);
    job->near = calloc(n + 1, sizeof *job->near);
    job->stand = calloc(n + 1, sizeof *job->stand);
    job->moved = calloc(n + 1, sizeof *job->moved);
    return (out->used && out->points && out->pairs && out->shares && job->near_values &&
            job->values && job->near && job->stand && job->moved) ||
           fault_memory(job->faults);
}

/* A point that the description left out by name is in neither. */
static void sort_points(const struct modifier_job *job, size_t n, enum fit_modifier_form form)
{
    struct modifier *out = job->out;
    out->near_least_rad = INFINITY;
    for (size_t i = 0; i < n; i++) {
        const struct point *p = &job->points[i];
        double theta = p->value.incidence_rad;
        if (p->left_out && !p->oblique)
            continue;
        if (!isfinite(theta) || theta > MODIFIER_MOST_RAD) {
            out->without += isfinite(theta) ? 0 : 1;
            out->beyond += theta > MODIFIER_MOST_RAD;
            continue;
        }
        if (form == FIT_MODIFIER_TWO_PLANES && p->oblique && !isfinite(p->value.slope_rad)) {
            out->without_planes++;
            continue;
        }
        out->share_unknown += isfinite(p->value.diffuse_share) ? 0 : 1;
        if (!p->oblique) {
            out->near_least_rad = fmin(out->near_least_rad, theta);
            out->near_most_rad = fmax(out->near_most_rad, theta);
            continue;
        }
        out->points[out->n].index = i;
        job->moved[out->n++].u = u_of_readings(job, p);
    }
}

static bool no_oblique(const struct modifier_job *job)
{
    const struct modifier *out = job->out;
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    if (out->without_planes > 0) {
        fault_found(fault, "of no point off the normal are the angles along the tubes and across "
                           "them known");
        fault_expected(fault,
                       "a [site] with latitude, longitude, tilt and azimuth, and points with "
                       "times");
        fault_hint(fault, "'shape = table' takes the angle alone");
        return false;
    }
    if (out->beyond > 0)
        fault_found(fault, "all points off the normal are beyond 85 deg, where a degree is worth a "
                           "quarter of the beam");
    else
        fault_found(fault, "no point is further off the normal than 'near normal'");
    fault_expected(fault, "points at 30 to 60 deg beside those near the normal");
    fault_hint(fault, "measure early and late in the day, or turn the collector away from the sun");
    return false;
}

static bool fit_ratios(const struct modifier_job *job, enum fit_modifier_form form,
                       enum fit_scale scale)
{
    struct modifier *out = job->out;
    struct modifier_move none = {.row = NULL};
    struct modifier_state state = {.m = {.form = form}};
    if (out->n == 0)
        return no_oblique(job);
    for (int turn = 0; turn < (out->fit.equal_weights ? 1 : 2); turn++) {
        if (turn > 0)
            modifier_weigh(job, &state, &out->near);
        if (!modifier_settle(job, &none, &state, &out->near, &out->fit))
            return false;
    }
    memcpy(out->used, job->moved, out->n * sizeof *out->used);
    struct fit_scatter seen = fit_scatter_alone(out->fit.chi2, out->fit.dof);
    struct fit_scaling scaling = fit_scale(&seen, scale, !out->fit.equal_weights);
    out->scale_factor = scaling.factor;
    out->scale_dof = scaling.dof;
    fit_cov_add(out->reading, out->fit.m.n, out->fit.cov, out->scale_factor);
    return modifier_feed_back(job, out->reading);
}

/* For each point before noon the nearest one after it, each used once. */
void modifier_pair_up(struct modifier *out, const struct point *points)
{
    for (size_t i = 0; i < out->n; i++) {
        const struct means *before = points[out->points[i].index].means;
        size_t best = out->n;
        double least = PAIR_RAD;
        if (!before->sun.known || !(before->sun.at[0] > 0))
            continue;
        for (size_t j = 0; j < out->n; j++) {
            const struct means *after = points[out->points[j].index].means;
            double apart = fabs(out->used[i].at.theta_rad - out->used[j].at.theta_rad);
            bool taken = false;
            for (size_t k = 0; k < out->n_pairs; k++)
                taken = taken || out->pairs[k].after == j;
            if (taken || !after->sun.known || after->sun.at[0] > 0 ||
                after->session != before->session || !(apart <= least))
                continue;
            least = apart;
            best = j;
        }
        if (best < out->n)
            out->pairs[out->n_pairs++] = (struct modifier_pair){.before = i, .after = best};
    }
}

static double residual(const struct modifier *out, size_t i)
{
    const struct fit_modifier_point *p = &out->used[i];
    return p->k_total - fit_modifier_total(fit_modifier_beam(&out->fit.m, &p->at),
                                           out->fit.k_diffuse, p->diffuse_share,
                                           fit_modifier_beam(&out->fit.m, &out->near.at),
                                           out->near.diffuse_share);
}

static void set_planes(struct modifier *out)
{
    for (size_t i = 0; i < out->n; i++) {
        const double angle[2] = {fabs(out->used[i].at.along_rad), fabs(out->used[i].at.across_rad)};
        for (int k = 0; k < 2; k++) {
            double *least = &out->plane_least_rad[k], *most = &out->plane_most_rad[k];
            *least = i == 0 ? angle[k] : fmin(*least, angle[k]);
            *most = i == 0 ? angle[k] : fmax(*most, angle[k]);
        }
    }
}

void modifier_finish(struct modifier *out)
{
    set_planes(out);
    double scale = sqrt(out->scale_factor);
    double k_near = fit_modifier_beam(&out->fit.m, &out->near.at);
    for (size_t k = 0; k < out->n_pairs; k++) {
        struct modifier_pair *pair = &out->pairs[k];
        double unit = out->fit.equal_weights ? 1 : 0;
        pair->off = residual(out, pair->before) - residual(out, pair->after);
        pair->u = scale * hypot(unit + out->used[pair->before].u, unit + out->used[pair->after].u);
    }
    for (size_t i = 0; i < out->n; i++) {
        const struct fit_modifier_point *p = &out->used[i];
        out->points[i].u_all = scale * (out->fit.equal_weights ? 1 : p->u);
        out->points[i].k_beam = fit_modifier_beam_of_total(
            p->k_total, out->fit.k_diffuse, p->diffuse_share, k_near, out->near.diffuse_share);
    }
}

bool modifier_fit(struct modifier *out, const struct efficiency *e, const struct point *points,
                  size_t n, const struct point_setup *setup, const struct error_registry *registry,
                  enum fit_modifier_form form, enum fit_scale scale, struct faults *faults)
{
    struct modifier_job job = {.out = out,
                               .e = e,
                               .points = points,
                               .setup = setup,
                               .registry = registry,
                               .form = form,
                               .settled = MODIFIER_SETTLED,
                               .faults = faults};
    memset(out, 0, sizeof *out);
    bool good = allocate(&job, n);
    if (good)
        sort_points(&job, n, form);
    good = good && fit_ratios(&job, form, scale) && modifier_add_curve_readings(&job) &&
           modifier_add_extras(&job) && modifier_add_sources(&job);
    if (good) {
        modifier_pair_up(out, points);
        out->curve_dof = e->scale_dof;
        modifier_finish(out);
    }
    free(job.near_values);
    free(job.values);
    free(job.near);
    free(job.stand);
    free(job.moved);
    if (!good)
        modifier_free(out);
    return good;
}

void modifier_free(struct modifier *m)
{
    free(m->used);
    free(m->points);
    free(m->pairs);
    free(m->shares);
    error_parts_free(&m->parts);
    m->used = NULL;
    m->points = NULL;
    m->pairs = NULL;
    m->shares = NULL;
    m->n = m->n_pairs = m->n_shares = 0;
}

static struct fit_band band_of(const struct modifier *m, const double *t)
{
    struct fit_parts parts = {.p = m->fit.m.n,
                              .coef = m->fit.m.coef,
                              .reading = m->reading,
                              .session = m->curve,
                              .calibration = m->common,
                              .reading_dof = m->scale_dof,
                              .session_dof = m->curve_dof,
                              .calibration_dof = INFINITY};
    struct fit_band band;
    fit_band_curve(&parts, t, &band);
    return band;
}

struct fit_band modifier_at_angle(const struct modifier *m, const struct fit_angle *at)
{
    double d[FIT_MAX_COEF];
    fit_modifier_slopes(&m->fit.m, at, d);
    struct fit_band band = band_of(m, d);
    band.value = fit_modifier_beam(&m->fit.m, at);
    return band;
}

struct fit_band modifier_at(const struct modifier *m, double theta_rad)
{
    return modifier_at_angle(m, &(struct fit_angle){.theta_rad = theta_rad});
}

struct fit_band modifier_diffuse(const struct modifier *m)
{
    double d[FIT_MAX_COEF];
    for (size_t j = 0; j < m->fit.m.n; j++) {
        struct fit_modifier up = m->fit.m, down = m->fit.m;
        double h = 1e-5 * fmax(fabs(up.coef[j]), 0.1);
        up.coef[j] += h;
        down.coef[j] -= h;
        d[j] = (fit_modifier_diffuse(&up) - fit_modifier_diffuse(&down)) / (2 * h);
    }
    struct fit_band band = band_of(m, d);
    band.value = m->fit.k_diffuse;
    return band;
}

struct fit_band modifier_coef(const struct modifier *m, size_t j)
{
    double t[FIT_MAX_COEF] = {0};
    t[j] = 1;
    return band_of(m, t);
}
