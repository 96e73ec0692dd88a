/* What is uncertain about the curve and about all points together, carried to the modifier by
 * refits. */
#include "run/modifier_job.h"

#include "fit/combine.h"

#include <math.h>
#include <string.h>

static bool curve_shift(const struct modifier_job *job, const double *by, double *cov)
{
    double d[FIT_MAX_COEF];
    bool any = false;
    for (size_t j = 0; j < job->e->form->n_coef; j++)
        any = any || by[j] != 0;
    if (!any)
        return true;
    if (!modifier_shift(job, (struct modifier_move){.curve = by}, d))
        return false;
    fit_cov_add_outer(cov, job->out->fit.m.n, d);
    return true;
}

/* The columns of L, L L' = the covariance from readings of the curve's points, are moves that do
 * not know of each other. */
bool modifier_add_curve_readings(const struct modifier_job *job)
{
    enum { P = FIT_FORM_MAX_COEF };
    size_t p = job->e->form->n_coef;
    double left[P * P];
    memcpy(left, job->e->reading, p * p * sizeof *left);
    for (size_t k = 0; k < p; k++) {
        double column[P] = {0};
        if (!(left[k * p + k] > 0))
            continue;
        for (size_t i = k; i < p; i++)
            column[i] = left[i * p + k] / sqrt(left[k * p + k]);
        for (size_t i = k; i < p; i++)
            for (size_t j = k; j < p; j++)
                left[i * p + j] -= column[i] * column[j];
        if (!curve_shift(job, column, job->out->curve))
            return false;
    }
    return true;
}

bool modifier_add_extras(const struct modifier_job *job)
{
    for (size_t k = 0; k < job->e->n_extras; k++)
        if (!curve_shift(job, job->e->extras[k].d, job->out->common))
            return false;
    return curve_shift(job, job->e->d_curvature, job->out->common);
}

/* Whether no point before this one has its session; `all` counts through every point in use. */
static size_t place_of(const struct modifier_job *job, size_t all)
{
    return all < job->e->n ? job->e->index[all] : job->out->points[all - job->e->n].index;
}

static bool session_is_new(const struct modifier_job *job, size_t all)
{
    int64_t session = job->points[place_of(job, all)].means->session;
    for (size_t k = 0; k < all; k++)
        if (job->points[place_of(job, k)].means->session == session)
            return false;
    return true;
}

static bool add_days(const struct modifier_job *job, struct modifier_share *share)
{
    for (size_t k = 0; k < job->e->n + job->out->n; k++) {
        double d[FIT_MAX_COEF];
        if (!session_is_new(job, k))
            continue;
        struct modifier_move move = {.row = share->row,
                                     .value = share->row->u,
                                     .session = &job->points[place_of(job, k)].means->session};
        if (!modifier_shift(job, move, d))
            return false;
        for (size_t j = 0; j < job->out->fit.m.n; j++)
            share->d[j] = hypot(share->d[j], d[j]);
        fit_cov_add_outer(job->out->common, job->out->fit.m.n, d);
    }
    return true;
}

bool modifier_add_sources(const struct modifier_job *job)
{
    struct modifier *out = job->out;
    for (size_t k = 0; k < job->registry->n; k++) {
        const struct error_source *row = &job->registry->rows[k];
        if (row->kind == ERROR_READING || !(row->u > 0))
            continue;
        struct modifier_share *share = &out->shares[out->n_shares++];
        share->row = row;
        if (row->kind == ERROR_SESSION) {
            if (!add_days(job, share))
                return false;
            continue;
        }
        if (!modifier_shift(job, (struct modifier_move){.row = row, .value = row->u}, share->d))
            return false;
        fit_cov_add_outer(out->common, out->fit.m.n, share->d);
    }
    return true;
}
