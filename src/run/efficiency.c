#include "run/efficiency_job.h"

#include "fit/combine.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* One more window, with readings as good as those of the mean point here. */
static void set_new_window(struct job *job)
{
    struct efficiency *out = job->out;
    for (size_t i = 0; i < out->n; i++) {
        struct fit_point reading = job_own_errors(job, i);
        double all = fit_curve_variance(out->form, out->curve.coef, &out->used[i]);
        double own = fit_curve_variance(out->form, out->curve.coef, &reading);
        if (out->curve.equal_weights)
            own = 1;
        out->new_window.reading_variance += out->scale_factor * own / (double)out->n;
        out->new_window.session_variance += fmax(0, all - own) / (double)out->n;
    }
    if (out->curve.equal_weights)
        out->new_window.session_variance = 0;
    out->new_window.session_variance += out->days.extra;
}

/* Session rows times sessions, at most. */
static size_t count_daily(const struct job *job, size_t n)
{
    size_t rows = 0, sessions = 0;
    for (size_t k = 0; k < job->registry->n; k++)
        rows += job->registry->rows[k].kind == ERROR_SESSION;
    for (size_t i = 0; i < n; i++)
        sessions += i == 0 || job->points[i].means->session != job->points[i - 1].means->session;
    return rows * sessions;
}

static bool take_points(struct job *job, size_t n)
{
    struct efficiency *out = job->out;
    out->used = calloc(n + 1, sizeof *out->used);
    out->index = calloc(n + 1, sizeof *out->index);
    out->cases = calloc(n + 1, sizeof *out->cases);
    out->shares = calloc(job->registry->n + 1, sizeof *out->shares);
    out->daily = calloc(count_daily(job, n) + 1, sizeof *out->daily);
    job->moved = calloc(n + 1, sizeof *job->moved);
    if (!out->used || !out->index || !out->cases || !out->shares || !out->daily ||
        !job->moved)
        return fault_memory(job->faults);
    for (size_t i = 0; i < n; i++)
        if (!job->points[i].left_out)
            out->index[out->n++] = i;
    job_weigh(job);
    return true;
}

static bool add_comparisons(struct job *job)
{
    struct efficiency *out = job->out;
    enum fit_status status = fit_curve_plain(out->form, out->used, out->n, &out->plain);
    if (status == FIT_OK)
        status = fit_curve_diagnose(&out->curve, out->used, out->cases);
    return status == FIT_OK ? true : job_refused(status, out->form->name, job->faults);
}

static void add_up(struct efficiency *out)
{
    size_t p = out->form->n_coef;
    fit_cov_add(out->common, p, out->calibration, 1);
    fit_cov_add(out->common, p, out->curvature, 1);
    for (size_t k = 0; k < out->n_extras; k++)
        if (!out->extras[k].session)
            fit_cov_add_outer(out->common, p, out->extras[k].d);
    fit_cov_add(out->total, p, out->common, 1);
    fit_cov_add(out->total, p, out->reading, 1);
    fit_cov_add(out->total, p, out->session, 1);
    /* Stated by the instrument's data sheet; seen between the days where that counts. */
    out->session_dof = out->days.extra > 0 ? out->days.seen.between_dof : INFINITY;
}

static void set_draw_wind(struct efficiency *out, const struct point_setup *setup)
{
    const struct design *d = &out->design;
    bool tested = d->least_wind_m_s <= EFFICIENCY_DRAW_WIND_M_S &&
                  d->most_wind_m_s >= EFFICIENCY_DRAW_WIND_M_S;
    if (out->form->with_wind)
        out->draw_wind =
            (tested ? EFFICIENCY_DRAW_WIND_M_S : d->mean_wind_m_s) - setup->wind_origin_m_s;
}

bool efficiency_fit(struct efficiency *out, const struct point *points, size_t n,
                    const struct point_setup *setup, const struct error_registry *registry,
                    const struct efficiency_request *request, struct faults *faults)
{
    memset(out, 0, sizeof *out);
    out->scale = request->scale;
    struct job job = {.points = points, .setup = setup, .registry = registry, .out = out,
                      .held = request->held, .faults = faults};
    design_audit(&out->design, points, n, setup->longitude_rad);
    bool good = take_points(&job, n) && job_choose_form(&job, request) && add_comparisons(&job);
    good = good && job_add_shares(&job, ERROR_CALIBRATION);
    good = good && job_carry_surroundings(&job);
    if (good) {
        set_draw_wind(out, setup);
        set_new_window(&job);
        add_up(out);
    }
    free(job.moved);
    if (!good)
        efficiency_free(out);
    return good;
}

void efficiency_free(struct efficiency *efficiency)
{
    fit_curve_free(&efficiency->curve);
    free(efficiency->used);
    free(efficiency->index);
    free(efficiency->cases);
    free(efficiency->swapped);
    free(efficiency->shares);
    free(efficiency->daily);
    efficiency->used = NULL;
    efficiency->index = NULL;
    efficiency->cases = NULL;
    efficiency->swapped = NULL;
    efficiency->shares = NULL;
    efficiency->daily = NULL;
    efficiency->n = efficiency->n_shares = efficiency->n_daily = 0;
}

/* Degrees of freedom of what is common to all points, in one coefficient. */
static double common_dof(const struct efficiency *e, size_t coef)
{
    struct fit_sum sum = {0};
    fit_sum_add(&sum, e->curvature[coef * e->form->n_coef + coef], INFINITY);
    for (size_t k = 0; k < e->n_shares; k++) {
        if (e->shares[k].row->kind != ERROR_CALIBRATION)
            continue;
        double dof = e->shares[k].row->dof;
        fit_sum_add(&sum, e->shares[k].d[coef] * e->shares[k].d[coef], dof > 0 ? dof : INFINITY);
    }
    return fit_sum_freedom(&sum);
}

/* For the bands: that of the coefficient that has the fewest. */
static double fewest_dof(const struct efficiency *e)
{
    double fewest = INFINITY;
    for (size_t j = 0; j < e->form->n_coef; j++)
        fewest = fmin(fewest, common_dof(e, j));
    return fewest;
}

struct fit_parts efficiency_parts(const struct efficiency *e)
{
    struct fit_parts parts = {.p = e->form->n_coef,
                              .coef = e->curve.coef,
                              .reading = e->reading,
                              .session = e->session,
                              .calibration = e->common,
                              .reading_dof = e->scale_dof,
                              .session_dof = e->session_dof,
                              .calibration_dof = fewest_dof(e)};
    return parts;
}

void efficiency_combined(const struct efficiency *e, size_t coef, double *u, double *dof)
{
    size_t at = coef * e->form->n_coef + coef;
    struct fit_part parts[] = {{e->reading[at], e->scale_dof},
                               {e->session[at], e->session_dof},
                               {e->common[at], common_dof(e, coef)}};
    *u = sqrt(e->total[at]);
    *dof = fit_freedom(parts, 3);
}
