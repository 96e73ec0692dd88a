/* Which form an efficiency curve takes, and whether its terms stay. */
#include "run/efficiency_job.h"

#include "base/text.h"
#include "fit/combine.h"
#include "fit/distributions.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static bool hold_scatter(const struct efficiency_held *held, struct efficiency *out)
{
    out->scale_factor = held->scale_factor;
    out->scale_dof = held->scale_dof;
    out->days.extra = held->days_extra;
    out->days.seen.between_dof = held->days_dof;
    return true;
}

static bool set_scale(struct job *job)
{
    struct efficiency *out = job->out;
    if (job->held != NULL)
        return hold_scatter(job->held, out);
    if (!job_judge_scatter(job))
        return false;
    struct fit_scaling scaling = fit_scale(&out->seen, out->scale, !out->curve.equal_weights);
    out->scale_factor = scaling.factor;
    out->scale_dof = scaling.dof;
    if (isfinite(out->scale_factor))
        return true;
    if (out->form->n_coef == 1 && out->curve.equal_weights) {
        /* One reading by hand without a stated error: its value stands, its scatter is unknown. */
        out->scale_factor = 0;
        out->scale_dof = INFINITY;
        return true;
    }
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the scatter cannot be estimated: %zu point%s for %zu coefficient%s", out->n,
                out->n == 1 ? "" : "s", out->form->n_coef, out->form->n_coef == 1 ? "" : "s");
    fault_expected(fault, "at least one point more than coefficients");
    fault_hint(fault, "add points, take a simpler form, or state the reading errors and use "
                      "'scale = stated'");
    return false;
}

/* Whether any point knows a reading error of its own. If none does, what is claimed for the days
 * must not stand in for it: points count the same, and their scatter says how sure a reading is. */
static bool any_reading_error(const struct job *job)
{
    for (size_t i = 0; i < job->out->n; i++) {
        const struct point *point = &job->points[job->out->index[i]];
        if (point->u_eta_reading > 0 || point->u_x_reading > 0)
            return true;
    }
    return false;
}

void job_weigh(struct job *job)
{
    struct efficiency *out = job->out;
    bool weighed = any_reading_error(job);
    for (size_t i = 0; i < out->n; i++) {
        const struct point *point = &job->points[out->index[i]];
        double wind = job->wind_loss * point->value.x * point->u_wind_reading;
        out->used[i] = point->fit;
        out->used[i].u_eta = weighed ? hypot(point->fit.u_eta, wind) : 0;
        if (!weighed)
            out->used[i].u_x = out->used[i].cov_eta_x = 0;
    }
}

/* The wind's own reading error weighs by a3, which only a first fit tells. */
static enum fit_status fit_weighed(struct job *job)
{
    struct efficiency *out = job->out;
    job->wind_loss = 0;
    job_weigh(job);
    enum fit_status status = fit_curve_fit(out->form, out->used, out->n, &out->curve);
    if (status != FIT_OK || !out->form->with_wind || out->curve.equal_weights)
        return status;
    job->wind_loss = out->curve.coef[out->form->n_coef - 1];
    job_weigh(job);
    fit_curve_free(&out->curve);
    return fit_curve_fit(out->form, out->used, out->n, &out->curve);
}

/* Fits a form and says what readings and sessions leave uncertain of it; calibration comes once the
 * form is settled. */
bool job_fit_form(struct job *job, const char *name)
{
    struct efficiency *out = job->out;
    fit_curve_free(&out->curve);
    out->n_shares = out->n_daily = 0;
    memset(out->reading, 0, sizeof out->reading);
    memset(out->session, 0, sizeof out->session);
    memset(&out->days, 0, sizeof out->days);
    job->form = out->form = fit_form_find(name);
    assert(out->form != NULL);
    enum fit_status status = fit_weighed(job);
    if (status != FIT_OK)
        return job_refused(status, name, job->faults);
    if (!set_scale(job))
        return false;
    job_add_reading(job);
    if (!job_add_shares(job, ERROR_SESSION))
        return false;
    job_add_days(job);
    return true;
}

/* Judges a term by its uncertainty from readings and sessions: calibration moves all points
 * together and cannot make a straight line look bent. Returns: whether the term stays. */
static bool judge_term(const struct efficiency *out, size_t j, double drop_below,
                       struct efficiency_term *term)
{
    size_t at = j * out->form->n_coef + j;
    term->value = out->curve.coef[j];
    term->u = sqrt(out->reading[at] + out->session[at]);
    term->ratio = term->value / term->u;
    term->upper = fmax(0, term->value) + fit_t_quantile(0.95, out->scale_dof) * term->u;
    term->verdict = term->value <= 0           ? TERM_NEGATIVE
                    : term->ratio < drop_below ? TERM_WEAK
                    : term->ratio < 3          ? TERM_INDICATED
                                               : TERM_KEPT;
    return term->verdict == TERM_KEPT || term->verdict == TERM_INDICATED;
}

bool efficiency_wind_is_of_days(const struct efficiency_term *wind)
{
    return wind->in_days && wind->in_days_value < 0.5 * wind->value &&
           wind->value - wind->in_days_value > 3 * wind->in_days_u;
}

static bool wind_stays(struct job *job, double drop_below, bool *stays)
{
    struct efficiency *out = job->out;
    struct efficiency_term *wind = &out->wind;
    *stays = judge_term(out, out->form->n_coef - 1, drop_below, wind);
    if (!job_find_wind_in_days(job))
        return false;
    if (!*stays || !efficiency_wind_is_of_days(wind))
        return true;
    *stays = false;
    wind->verdict = TERM_DAYS_ONLY;
    wind->upper = fmax(0, wind->in_days_value) + 2 * wind->in_days_u;
    return true;
}

/* A bend that no collector has comes from a mistyped point, a unit, a day that differed. What a
 * straight line may hide is then no more than the most that one has. */
static bool bend_stays(struct efficiency *out, double drop_below)
{
    struct efficiency_term *term = &out->term;
    bool stays = judge_term(out, 2, drop_below, term);
    term->upper = fmin(term->upper, EFFICIENCY_MOST_A2);
    if (stays && term->value > EFFICIENCY_MOST_A2)
        term->verdict = TERM_TOO_BENT;
    return stays && term->verdict != TERM_TOO_BENT;
}

/* The straight line as it would lie if the curvature left out were there: a2 anywhere from 0 to its
 * upper limit (rectangular from zero: root mean square upper / sqrt 3). */
static bool carry_curvature(struct job *job)
{
    struct efficiency *out = job->out;
    double a2 = out->term.upper / sqrt(3.0);
    double bent[EFFICIENCY_COEFS];
    for (size_t i = 0; i < out->n; i++) {
        job->moved[i] = out->used[i];
        job->moved[i].eta += a2 * out->used[i].at.g * out->used[i].at.x * out->used[i].at.x;
    }
    if (!job_refit(job, bent))
        return false;
    for (size_t j = 0; j < out->form->n_coef; j++)
        out->d_curvature[j] = bent[j] - out->curve.coef[j];
    fit_cov_add_outer(out->curvature, out->form->n_coef, out->d_curvature);
    return true;
}

/* 'automatic' could hold no more than a straight line. */
static bool carry_unseen(struct job *job)
{
    job->out->term = (struct efficiency_term){.verdict = TERM_UNSEEN, .upper = EFFICIENCY_USUAL_A2};
    return carry_curvature(job);
}

/* The form without wind. */
static bool choose_calm(struct job *job, const char *base, double drop_below)
{
    struct efficiency *out = job->out;
    if (!job_fit_form(job, base))
        return false;
    if (text_same(base, "line"))
        return carry_unseen(job);
    if (text_same(base, "mean") || bend_stays(out, drop_below))
        return true;
    return job_fit_form(job, "line") && carry_curvature(job);
}

/* The form with wind, as long as its term stays.
 * Out:     settled  whether it did */
static bool choose_windy(struct job *job, bool bent, double drop_below, bool *settled)
{
    struct efficiency *out = job->out;
    bool stays;
    if (!job_fit_form(job, bent ? "second order with wind" : "line with wind") ||
        !wind_stays(job, drop_below, &stays))
        return false;
    if (!stays)
        return true;
    if (bent && !bend_stays(out, drop_below)) {
        if (!job_fit_form(job, "line with wind") || !wind_stays(job, drop_below, &stays))
            return false;
        if (!stays)
            return true;
        *settled = true;
        return carry_curvature(job);
    }
    *settled = true;
    return bent || carry_unseen(job);
}

/* Whether the points hold a wind term on top of the form, and tell it from the others. */
static bool can_hold_wind(const struct job *job, const char *base, bool *can)
{
    const struct efficiency *out = job->out;
    char name[64];
    struct fit_linear plain;
    *can = false;
    if (text_same(base, "mean"))
        return true;
    name[0] = '\0';
    strcat(strcat(name, base), " with wind");
    if (!design_holds(&out->design, name))
        return true;
    enum fit_status status = fit_curve_plain(fit_form_find(name), out->used, out->n, &plain);
    *can = status == FIT_OK;
    return status != FIT_NO_MEMORY || fault_memory(job->faults);
}

/* A wind term that the description asks for is given as asked; it is said if it is of the days. */
static bool look_at_stated_wind(struct job *job)
{
    struct efficiency *out = job->out;
    if (!out->form->with_wind)
        return true;
    out->wind.value = out->curve.coef[out->form->n_coef - 1];
    return job_find_wind_in_days(job);
}

bool job_choose_form(struct job *job, const struct efficiency_request *request)
{
    const struct design *design = &job->out->design;
    if (!text_same(request->form, "automatic"))
        return design_require(design, request->form, job->faults) &&
               job_fit_form(job, request->form) && look_at_stated_wind(job);
    const char *base = design_best_form(design);
    if (base == NULL)
        base = "mean"; /* no point at all: design_require says so */
    bool settled = false, windy = false;
    if (!design_require(design, base, job->faults) || !can_hold_wind(job, base, &windy))
        return false;
    if (windy &&
        !choose_windy(job, text_same(base, "second order"), request->drop_below, &settled))
        return false;
    return settled || choose_calm(job, base, request->drop_below);
}
