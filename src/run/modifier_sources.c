/* What is uncertain about the curve and about all points together, carried to the modifier by
 * refits. */
#include "run/modifier_job.h"

#include "fit/combine.h"

#include <math.h>
#include <string.h>

/* The coefficients under a move of the curve's; none for one that is nought. */
static bool curve_shift(const struct modifier_job *job, const double *by, double *d)
{
    bool any = false;
    for (size_t j = 0; j < job->e->form->n_coef; j++)
        any = any || by[j] != 0;
    memset(d, 0, FIT_MAX_COEF * sizeof *d);
    return !any || modifier_shift(job, (struct modifier_move){.curve = by}, d);
}

/* The columns of L, L L' = a covariance of the curve's coefficients, are moves that do not know of
 * each other. In: part  of which each is one; NULL: none is kept. In/out: to  of the modifier's
 * coefficients */
static bool add_covariance(const struct modifier_job *job, const double *cov,
                           struct error_part *part, double *to)
{
    enum { P = FIT_FORM_MAX_COEF };
    size_t p = job->e->form->n_coef;
    double left[P * P], d[FIT_MAX_COEF];
    memcpy(left, cov, p * p * sizeof *left);
    for (size_t k = 0; k < p; k++) {
        double column[P] = {0};
        if (!(left[k * p + k] > 1e-12 * cov[k * p + k]))
            continue;
        for (size_t i = k; i < p; i++)
            column[i] = left[i * p + k] / sqrt(left[k * p + k]);
        for (size_t i = k; i < p; i++)
            for (size_t j = k; j < p; j++)
                left[i * p + j] -= column[i] * column[j];
        if (!curve_shift(job, column, d))
            return false;
        fit_cov_add_outer(to, job->out->fit.m.n, d);
        if (part == NULL)
            continue;
        memcpy(part->d, d, sizeof d);
        if (!error_parts_add(&job->out->parts, part, job->faults))
            return false;
    }
    return true;
}

bool modifier_add_curve_readings(const struct modifier_job *job)
{
    return add_covariance(job, job->e->reading, NULL, job->out->curve);
}

/* What the curve's days differ by beyond the sources that have a row. */
static bool add_days_seen(const struct modifier_job *job, struct error_part *part)
{
    const struct efficiency *e = job->e;
    double rest[EFFICIENCY_COV];
    size_t p = e->form->n_coef;
    memcpy(rest, e->session, p * p * sizeof *rest);
    for (size_t k = 0; k < e->n_daily; k++)
        for (size_t i = 0; i < p; i++)
            for (size_t j = 0; j < p; j++)
                rest[i * p + j] -= e->daily[k].d[i] * e->daily[k].d[j];
    return add_covariance(job, rest, part, job->out->common);
}

static bool add_left_out(const struct modifier_job *job, struct error_part *part, const double *by)
{
    if (!curve_shift(job, by, part->d))
        return false;
    fit_cov_add_outer(job->out->common, job->out->fit.m.n, part->d);
    return error_parts_add(&job->out->parts, part, job->faults);
}

bool modifier_add_extras(const struct modifier_job *job)
{
    const struct efficiency *e = job->e;
    for (size_t k = 0; k < e->n_extras; k++) {
        const struct efficiency_extra *extra = &e->extras[k];
        struct error_part part = {.kind = extra->session ? RANK_SESSION : RANK_FORM,
                                  .id = extra->id,
                                  .label = extra->label,
                                  .cure = extra->cure};
        if (extra->session ? !add_days_seen(job, &part) : !add_left_out(job, &part, extra->d))
            return false;
    }
    struct error_part bend = {.kind = RANK_FORM,
                              .id = "curvature",
                              .label = "curvature left out",
                              .cure = "points at the coldest and warmest inlet"};
    return add_left_out(job, &bend, e->d_curvature);
}

/* `all` counts through every point in use. */
static size_t place_of(const struct modifier_job *job, size_t all)
{
    return all < job->e->n ? job->e->index[all] : job->out->points[all - job->e->n].index;
}

/* Whether no point before this one has its session. */
static bool session_is_new(const struct modifier_job *job, size_t all)
{
    int64_t session = job->points[place_of(job, all)].means->session;
    for (size_t k = 0; k < all; k++)
        if (job->points[place_of(job, k)].means->session == session)
            return false;
    return true;
}

static bool add_part(const struct modifier_job *job, const struct error_source *row,
                     const double *d)
{
    struct error_part part = error_part_of(row, d, job->out->fit.m.n);
    fit_cov_add_outer(job->out->common, job->out->fit.m.n, d);
    return error_parts_add(&job->out->parts, &part, job->faults);
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
        if (!add_part(job, share->row, d))
            return false;
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
        if (!modifier_shift(job, (struct modifier_move){.row = row, .value = row->u}, share->d) ||
            !add_part(job, row, share->d))
            return false;
    }
    return true;
}
