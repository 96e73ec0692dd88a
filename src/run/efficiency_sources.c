#include "run/efficiency_job.h"

#include "fit/combine.h"
#include "fit/redraw.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool job_refused(enum fit_status status, const char *form, struct faults *faults)
{
    if (status == FIT_NO_MEMORY)
        return fault_memory(faults);
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the form '%s' could not be fitted: %s", form, fit_status_text(status));
    fault_hint(fault, "look at the points in points.csv; take a simpler form, or leave a point out "
                      "by name with 'leave out'");
    return false;
}

bool job_refit(struct job *job, double *coef)
{
    enum fit_status status = fit_curve_coef(job->form, job->moved, job->out->n, coef);
    return status == FIT_OK ? true : job_refused(status, job->form->name, job->faults);
}

bool job_move_points(struct job *job, const struct error_source *row, double value,
                        const int64_t *session)
{
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    shifts_add(&shifts, row, value);
    for (size_t i = 0; i < job->out->n; i++) {
        const struct means *means = job->points[job->out->index[i]].means;
        job->moved[i] = job->out->used[i];
        if ((session != NULL && means->session != *session) || !error_source_acts(row, means))
            continue;
        struct point_value moved;
        enum point_status status = point_evaluate(means, job->setup, &shifts, &moved);
        if (status != POINT_OK) {
            struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
            fault_found(fault, "point '%s' cannot be formed when %s moves by its uncertainty: %s",
                        means->name, row->label, point_status_text(status));
            fault_hint(fault, "the stated uncertainty is too large for this test; check its unit");
            return false;
        }
        job->moved[i].eta = moved.eta;
        job->moved[i].at.x = moved.x;
        job->moved[i].at.g = moved.g_W_m2;
        if (means->has[CH_WIND])
            job->moved[i].at.wind = moved.wind_m_s - job->setup->wind_origin_m_s;
    }
    return true;
}

struct fit_point job_own_errors(const struct job *job, size_t i)
{
    const struct point *point = &job->points[job->out->index[i]];
    struct fit_point own = job->out->used[i];
    own.u_eta = hypot(point->u_eta_reading,
                      job->wind_loss * point->value.x * point->u_wind_reading);
    own.u_x = point->u_x_reading;
    own.cov_eta_x = point->cov_reading;
    return own;
}

/* As job_refit at a tenth of its cost, which counts with thousands of windows: right to less than a
 * millionth of the readings' own uncertainty. */
static bool refit_near(struct job *job, double *coef)
{
    return fit_redraw(&job->out->curve, job->moved, coef) == FIT_OK || job_refit(job, coef);
}

/* Central difference of the coefficients over a source's +- one standard uncertainty. */
static bool sensitivity(struct job *job, const struct error_source *row, const int64_t *session,
                        double *d)
{
    double up[EFFICIENCY_COEFS], down[EFFICIENCY_COEFS];
    if (!job_move_points(job, row, row->u, session) || !refit_near(job, up) ||
        !job_move_points(job, row, -row->u, session) || !refit_near(job, down))
        return false;
    for (size_t j = 0; j < job->form->n_coef; j++)
        d[j] = 0.5 * (up[j] - down[j]);
    return true;
}

bool job_session_is_new(const struct job *job, size_t i)
{
    int64_t session = job->points[job->out->index[i]].means->session;
    for (size_t k = 0; k < i; k++)
        if (job->points[job->out->index[k]].means->session == session)
            return false;
    return true;
}

static bool session_share(struct job *job, struct efficiency_share *share)
{
    size_t p = job->form->n_coef;
    double sum[EFFICIENCY_COEFS] = {0};
    for (size_t i = 0; i < job->out->n; i++) {
        if (!job_session_is_new(job, i))
            continue;
        double d[EFFICIENCY_COEFS];
        if (!sensitivity(job, share->row, &job->points[job->out->index[i]].means->session, d))
            return false;
        fit_cov_add_outer(job->out->session, p, d);
        struct efficiency_day *day = &job->out->daily[job->out->n_daily++];
        day->row = share->row;
        day->session = job->points[job->out->index[i]].means->session;
        memcpy(day->d, d, sizeof d);
        for (size_t j = 0; j < p; j++)
            sum[j] += d[j] * d[j];
    }
    for (size_t j = 0; j < p; j++)
        share->d[j] = sqrt(sum[j]);
    return true;
}

bool job_add_shares(struct job *job, enum error_kind kind)
{
    struct efficiency *out = job->out;
    for (size_t k = 0; k < job->registry->n; k++) {
        const struct error_source *row = &job->registry->rows[k];
        if (row->kind != kind || !(row->u > 0))
            continue;
        struct efficiency_share *share = &out->shares[out->n_shares++];
        share->row = row;
        if (row->kind == ERROR_SESSION) {
            if (!session_share(job, share))
                return false;
            continue;
        }
        if (!sensitivity(job, row, NULL, share->d))
            return false;
        fit_cov_add_outer(out->calibration, out->form->n_coef, share->d);
    }
    return true;
}

void job_add_reading(struct job *job)
{
    struct efficiency *out = job->out;
    size_t p = out->form->n_coef;
    for (size_t i = 0; i < out->n; i++) {
        struct fit_point own = job_own_errors(job, i);
        double ue2 = own.u_eta * own.u_eta;
        double ux2 = own.u_x * own.u_x;
        if (out->curve.equal_weights)
            ue2 = 1; /* unit variance; the scale factor brings the scatter */
        for (size_t j = 0; j < p; j++)
            for (size_t k = 0; k < p; k++) {
                double ej = out->curve.d_coef_d_eta[j * out->n + i];
                double ek = out->curve.d_coef_d_eta[k * out->n + i];
                double xj = out->curve.d_coef_d_x[j * out->n + i];
                double xk = out->curve.d_coef_d_x[k * out->n + i];
                out->reading[j * p + k] += out->scale_factor * (ej * ek * ue2 + xj * xk * ux2 +
                                           (ej * xk + xj * ek) * own.cov_eta_x);
            }
    }
}

