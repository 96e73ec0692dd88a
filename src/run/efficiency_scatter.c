#include "run/efficiency_job.h"

#include "fit/combine.h"
#include "fit/scatter.h"

#include <math.h>
#include <stdlib.h>

/* What is known of the scatter of the fitted points, sorted by session. */
struct scattered {
    size_t *order; /* which of the fitted points */
    struct fit_condition *at;
    double *residual;
    double *variance;
    int64_t *session;
    size_t *level;
    double *shared; /* a row of shifts for each session error, and one for the days */
    size_t n_shared;
};

static int64_t session_of(const struct job *job, size_t i)
{
    return job->points[job->out->index[i]].means->session;
}

static bool allocate(struct scattered *s, const struct job *job)
{
    size_t n = job->out->n;
    s->order = calloc(n, sizeof *s->order);
    s->at = calloc(n, sizeof *s->at);
    s->residual = calloc(n, sizeof *s->residual);
    s->variance = calloc(n, sizeof *s->variance);
    s->session = calloc(n, sizeof *s->session);
    s->level = calloc(n, sizeof *s->level);
    s->shared = calloc((job->registry->n + 1) * n, sizeof *s->shared);
    return (s->order && s->at && s->residual && s->variance && s->session && s->level &&
            s->shared) ||
           fault_memory(job->faults);
}

static void release(struct scattered *s)
{
    free(s->order);
    free(s->at);
    free(s->residual);
    free(s->variance);
    free(s->session);
    free(s->level);
    free(s->shared);
}

/* Points of a session next to each other, otherwise in their order (they mostly are already). */
static void sort_by_session(struct scattered *s, const struct job *job)
{
    for (size_t i = 0; i < job->out->n; i++) {
        size_t at = i;
        for (; at > 0 && session_of(job, s->order[at - 1]) > session_of(job, i); at--)
            s->order[at] = s->order[at - 1];
        s->order[at] = i;
    }
}

static void set_own(struct scattered *s, const struct job *job)
{
    const struct efficiency *out = job->out;
    for (size_t k = 0; k < out->n; k++) {
        size_t i = s->order[k];
        struct fit_point own = job_own_errors(job, i);
        s->at[k] = out->used[i].at;
        s->session[k] = session_of(job, i);
        s->residual[k] = out->used[i].eta - fit_form_value(out->form, out->curve.coef, &s->at[k]);
        s->level[k] = design_level_of(&out->design, job->points[out->index[i]].value.difference_K);
        s->variance[k] =
            out->curve.equal_weights ? 1 : fit_curve_variance(out->form, out->curve.coef, &own);
    }
}

/* What one session error does to each residual, every session moved by its own. */
static bool add_shared(struct scattered *s, struct job *job, const struct error_source *row)
{
    const struct efficiency *out = job->out;
    double *shift = s->shared + s->n_shared++ * out->n;
    double sign = 0.5;
    for (int side = 0; side < 2; side++, sign = -sign) {
        if (!job_move_points(job, row, side == 0 ? row->u : -row->u, NULL))
            return false;
        for (size_t k = 0; k < out->n; k++) {
            size_t i = s->order[k];
            double slope = fit_form_slope(out->form, out->curve.coef, &out->used[i].at);
            double windy = fit_form_wind_slope(out->form, out->curve.coef, &out->used[i].at);
            shift[k] += sign * (job->moved[i].eta - slope * job->moved[i].at.x -
                                windy * job->moved[i].at.wind);
        }
    }
    return true;
}

static bool set_shared(struct scattered *s, struct job *job)
{
    for (size_t k = 0; k < job->registry->n; k++) {
        const struct error_source *row = &job->registry->rows[k];
        if (row->kind == ERROR_SESSION && row->u > 0 && !add_shared(s, job, row))
            return false;
    }
    return true;
}

/* Variance that the registry's session errors give a point on average. */
static double claimed(const struct scattered *s, size_t n)
{
    double sum = 0;
    for (size_t k = 0; k < s->n_shared * n; k++)
        sum += s->shared[k] * s->shared[k];
    return sum / (double)n;
}

/* Days against windows of one day. What days differ by beyond what is claimed becomes a shift of
 * its own, if it is more than chance makes in one of twenty tests. */
static bool judge_days(struct scattered *s, struct job *job)
{
    struct efficiency_days *days = &job->out->days;
    size_t n = job->out->n;
    double *weight = calloc(n, sizeof *weight);
    if (weight == NULL)
        return fault_memory(job->faults);
    for (size_t k = 0; k < n; k++)
        weight[k] = 1 / s->variance[k];
    days->told = fit_sessions(s->residual, weight, s->level, s->session, n, &days->seen) == FIT_OK;
    free(weight);
    days->claimed = claimed(s, n);
    if (!days->told || !(days->seen.p_value < EFFICIENCY_DAYS_CHANCE))
        return true;
    days->extra = fmax(0, days->seen.between_variance - days->claimed);
    if (days->extra > 0)
        for (size_t k = 0; k < n; k++)
            s->shared[s->n_shared * n + k] = sqrt(days->extra);
    s->n_shared += days->extra > 0;
    return true;
}

void job_add_days(struct job *job)
{
    struct efficiency *out = job->out;
    size_t p = out->form->n_coef;
    if (!(out->days.extra > 0))
        return;
    double sum[EFFICIENCY_COEFS] = {0};
    for (size_t i = 0; i < out->n; i++) {
        double d[EFFICIENCY_COEFS] = {0};
        if (!job_session_is_new(job, i))
            continue;
        for (size_t k = i; k < out->n; k++)
            for (size_t j = 0; j < p && session_of(job, k) == session_of(job, i); j++)
                d[j] += sqrt(out->days.extra) * out->curve.d_coef_d_eta[j * out->n + k];
        fit_cov_add_outer(out->session, p, d);
        for (size_t j = 0; j < p; j++)
            sum[j] += d[j] * d[j];
    }
    for (size_t j = 0; j < p; j++)
        out->days.d[j] = sqrt(sum[j]);
}

/* The scatter seen against the scatter claimed, with the errors that points share. Where that
 * cannot be said the plain ratio stays. */
static bool count_shared(const struct scattered *s, struct job *job)
{
    struct efficiency *out = job->out;
    enum fit_status status = fit_scatter(out->form, s->at, s->residual, s->variance, s->session,
                                         s->shared, s->n_shared, out->n, &out->seen);
    if (status == FIT_NO_MEMORY)
        return fault_memory(job->faults);
    if (status == FIT_OK) {
        out->curve.chi2 = out->seen.chi2;
        out->curve.birge = sqrt(out->seen.chi2 / (double)out->curve.dof);
    }
    return true;
}

bool job_judge_scatter(struct job *job)
{
    struct efficiency *out = job->out;
    struct scattered s = {0};
    out->seen = fit_scatter_alone(out->curve.chi2, out->curve.dof);
    if (out->curve.dof == 0)
        return true;
    bool good = allocate(&s, job);
    if (good) {
        sort_by_session(&s, job);
        set_own(&s, job);
        good = set_shared(&s, job) && judge_days(&s, job);
    }
    if (good && s.n_shared > 0 && !out->curve.equal_weights)
        good = count_shared(&s, job);
    release(&s);
    return good;
}
