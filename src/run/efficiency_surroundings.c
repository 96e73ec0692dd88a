/* Wind and sky that were measured and differed from point to point, but are in no term. */
#include "run/efficiency_job.h"

#include "fit/trend.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WITHIN_DOF_LEAST = 3 }; /* fewer leave the scatter within days unknown */

static double off_wind(const struct job *job, const struct point *point)
{
    return point->value.wind_m_s - job->out->design.mean_wind_m_s;
}

static double off_sky(const struct job *job, const struct point *point)
{
    return point->value.sky_K - job->out->design.mean_sky_K;
}

/* a3 may be anything from 0 to this: what the points leave open, and no more than twice what is
 * usual for the collector (our own figure). */
static double most_wind_loss(const struct job *job)
{
    const struct efficiency_term *wind = &job->out->wind;
    double usual = 2 * job->setup->exposure.wind_J_m3K;
    bool tried = wind->verdict == TERM_NEGATIVE || wind->verdict == TERM_WEAK ||
                 wind->verdict == TERM_DAYS_ONLY;
    return tried ? fmin(wind->upper, usual) : usual;
}

struct day_rows {
    struct fit_condition *at;
    double *eta, *w, *term;
    int64_t *day;
};

static bool rows_init(struct day_rows *rows, size_t n)
{
    *rows = (struct day_rows){calloc(n, sizeof *rows->at), calloc(n, sizeof *rows->eta),
                              calloc(n, sizeof *rows->w), calloc(n, sizeof *rows->term),
                              calloc(n, sizeof *rows->day)};
    return rows->at && rows->eta && rows->w && rows->term && rows->day;
}

static void rows_free(struct day_rows *rows)
{
    free(rows->at);
    free(rows->eta);
    free(rows->w);
    free(rows->term);
    free(rows->day);
}

/* The wind's term is the form's last. */
static void fill_rows(const struct job *job, struct day_rows *rows)
{
    const struct efficiency *out = job->out;
    for (size_t i = 0; i < out->n; i++) {
        double term[EFFICIENCY_COEFS];
        const struct fit_point *point = &out->used[i];
        out->form->terms(&point->at, term);
        rows->at[i] = point->at;
        rows->eta[i] = point->eta;
        rows->w[i] = out->curve.equal_weights
                         ? 1
                         : 1 / fit_curve_variance(out->form, out->curve.coef, point);
        rows->term[i] = term[out->form->n_coef - 1];
        rows->day[i] = job->points[out->index[i]].means->session;
    }
}

bool job_find_wind_in_days(struct job *job)
{
    struct efficiency *out = job->out;
    const struct fit_form *calm = fit_form_find(out->form->n_coef == 4 ? "second order" : "line");
    struct day_rows rows;
    struct fit_trend trend;
    enum fit_status status = FIT_NO_MEMORY;
    out->wind.in_days = false;
    if (rows_init(&rows, out->n)) {
        fill_rows(job, &rows);
        status = fit_trend(calm, rows.at, rows.eta, rows.w, rows.day, rows.term, out->n, &trend);
    }
    rows_free(&rows);
    if (status == FIT_OK && out->design.sessions > 1 && trend.dof >= WITHIN_DOF_LEAST) {
        out->wind.in_days = true;
        out->wind.in_days_value = trend.slope;
        out->wind.in_days_u = trend.u;
    }
    return status != FIT_NO_MEMORY || fault_memory(job->faults);
}

/* The curve as it would lie had each point been taken in the mean wind, or under the mean sky. */
static bool carry(struct job *job, struct efficiency_extra *extra)
{
    struct efficiency *out = job->out;
    double still[EFFICIENCY_COEFS];
    if (!job_refit(job, still))
        return false;
    for (size_t j = 0; j < out->form->n_coef; j++)
        extra->d[j] = still[j] - out->curve.coef[j];
    out->n_extras++;
    return true;
}

static bool carry_wind(struct job *job)
{
    struct efficiency *out = job->out;
    double a3 = most_wind_loss(job) / sqrt(3.0);
    out->wind_left_out = a3;
    for (size_t i = 0; i < out->n; i++) {
        job->moved[i] = out->used[i];
        job->moved[i].eta += a3 * off_wind(job, &job->points[out->index[i]]) * out->used[i].at.x;
    }
    struct efficiency_extra *extra = &out->extras[out->n_extras];
    *extra = (struct efficiency_extra){.id = "wind left out",
                                       .label = "wind that differed from point to point",
                                       .cure = "a fan, or windy and calm points for a wind term"};
    return carry(job, extra);
}

static bool carry_sky(struct job *job)
{
    struct efficiency *out = job->out;
    out->sky_left_out = job->setup->exposure.sky_W_m2K;
    for (size_t i = 0; i < out->n; i++) {
        job->moved[i] = out->used[i];
        job->moved[i].eta -= job->setup->exposure.sky_W_m2K *
                             off_sky(job, &job->points[out->index[i]]) / out->used[i].at.g;
    }
    struct efficiency_extra *extra = &out->extras[out->n_extras];
    *extra = (struct efficiency_extra){.id = "sky left out",
                                       .label = "sky that differed from point to point",
                                       .cure = "points under skies that are alike"};
    return carry(job, extra);
}

/* What the days have of their own, as one row of the budget. */
static void note_days(struct efficiency *out)
{
    struct efficiency_extra *extra = &out->extras[out->n_extras];
    if (!(out->days.extra > 0))
        return;
    *extra = (struct efficiency_extra){.id = "days",
                                       .label = "what days differ by, seen in the points",
                                       .cure = "more days; find what differed between them",
                                       .session = true};
    memcpy(extra->d, out->days.d, sizeof extra->d);
    out->n_extras++;
}

bool job_carry_surroundings(struct job *job)
{
    struct efficiency *out = job->out;
    const struct design *d = &out->design;
    note_days(out);
    if (!out->form->with_wind && design_has_wind(d) && d->most_wind_m_s > d->least_wind_m_s &&
        !carry_wind(job))
        return false;
    return d->sky_points < d->points || carry_sky(job);
}
