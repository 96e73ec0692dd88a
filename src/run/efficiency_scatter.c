#include "run/efficiency_job.h"

#include "fit/scatter.h"

#include <math.h>
#include <stdlib.h>

/* Number of sessions among the fitted points. */
static size_t count_sessions(const struct job *job)
{
    size_t count = 0;
    for (size_t i = 0; i < job->out->n; i++)
        count += job_session_is_new(job, i);
    return count;
}

/* One row of shared shifts: what a session's error of one source does to each residual. */
static bool shared_row(struct job *job, const struct error_source *row, const int64_t *session,
                       double *shift)
{
    const struct efficiency *out = job->out;
    double sign = 0.5;
    for (int side = 0; side < 2; side++, sign = -sign) {
        if (!job_move_points(job, row, side == 0 ? row->u : -row->u, session))
            return false;
        for (size_t i = 0; i < out->n; i++) {
            double slope = fit_form_slope(out->form, out->curve.coef, &out->used[i].at);
            shift[i] += sign * (job->moved[i].eta - slope * job->moved[i].at.x);
        }
    }
    return true;
}

static bool shared_rows(struct job *job, double *shared, size_t *m)
{
    const struct efficiency *out = job->out;
    for (size_t k = 0; k < job->registry->n; k++) {
        const struct error_source *row = &job->registry->rows[k];
        if (row->kind != ERROR_SESSION || !(row->u > 0))
            continue;
        for (size_t i = 0; i < out->n; i++)
            if (job_session_is_new(job, i) &&
                !shared_row(job, row, &job->points[out->index[i]].means->session,
                            shared + (*m)++ * out->n))
                return false;
    }
    return true;
}

bool job_judge_scatter(struct job *job)
{
    struct efficiency *out = job->out;
    size_t rows = count_sessions(job) * job->registry->n, n = out->n, m = 0;
    if (out->curve.equal_weights || out->curve.dof == 0)
        return true;
    double *numbers = calloc((rows + 2) * n, sizeof *numbers);
    struct fit_condition *at = calloc(n, sizeof *at);
    bool good = numbers != NULL && at != NULL ? true : fault_memory(job->faults);
    double *residual = numbers, *variance = numbers + n, *shared = numbers + 2 * n;
    for (size_t i = 0; i < n && good; i++) {
        struct fit_point own = job_own_errors(job, i);
        at[i] = out->used[i].at;
        residual[i] = out->used[i].eta - fit_form_value(out->form, out->curve.coef, &at[i]);
        variance[i] = fit_curve_variance(out->form, out->curve.coef, &own);
    }
    good = good && shared_rows(job, shared, &m);
    double chi2 = 0;
    if (good && m > 0 &&
        fit_scatter(out->form, at, residual, variance, shared, m, n, &chi2) == FIT_OK) {
        out->curve.chi2 = chi2;
        out->curve.birge = sqrt(chi2 / (double)out->curve.dof);
    }
    free(at);
    free(numbers);
    return good;
}

