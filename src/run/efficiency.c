#include "run/efficiency_job.h"

#include "base/text.h"
#include "fit/combine.h"
#include "fit/distributions.h"

#include <assert.h>
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
}

static bool take_points(struct job *job, size_t n)
{
    struct efficiency *out = job->out;
    out->used = calloc(n + 1, sizeof *out->used);
    out->index = calloc(n + 1, sizeof *out->index);
    out->cases = calloc(n + 1, sizeof *out->cases);
    out->shares = calloc(job->registry->n + 1, sizeof *out->shares);
    job->moved = calloc(n + 1, sizeof *job->moved);
    if (!out->used || !out->index || !out->cases || !out->shares || !job->moved)
        return fault_memory(job->faults);
    for (size_t i = 0; i < n; i++) {
        if (job->points[i].left_out)
            continue;
        out->used[out->n] = job->points[i].fit;
        out->index[out->n++] = i;
    }
    return true;
}

static bool set_scale(struct job *job)
{
    struct efficiency *out = job->out;
    if (!job_judge_scatter(job))
        return false;
    out->scale_factor = fit_scale_factor(&out->curve, out->scale);
    out->scale_dof = fit_scale_dof(&out->curve, out->scale);
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

/* Fits a form and says what readings and sessions leave uncertain of it; calibration comes once the form
 * is settled. */
static bool fit_form(struct job *job, const char *name)
{
    struct efficiency *out = job->out;
    fit_curve_free(&out->curve);
    out->n_shares = 0;
    memset(out->reading, 0, sizeof out->reading);
    memset(out->session, 0, sizeof out->session);
    job->form = out->form = fit_form_find(name);
    assert(out->form != NULL);
    enum fit_status status = fit_curve_fit(out->form, out->used, out->n, &out->curve);
    if (status != FIT_OK)
        return job_refused(status, name, job->faults);
    if (!set_scale(job))
        return false;
    job_add_reading(job);
    return job_add_shares(job, ERROR_SESSION);
}

/* Judges a2 by its uncertainty from readings and sessions: calibration moves all points together and
 * cannot make a straight line look bent. Returns: whether the term stays. */
static bool judge_term(struct efficiency *out, double drop_below)
{
    size_t p = out->form->n_coef;
    double u = sqrt(out->reading[2 * p + 2] + out->session[2 * p + 2]);
    double t = fit_t_quantile(0.95, out->scale_dof);
    out->term.a2 = out->curve.coef[2];
    out->term.u = u;
    out->term.ratio = out->term.a2 / u;
    out->term.upper = fmax(0, out->term.a2) + t * u;
    out->term.verdict = out->term.a2 <= 0                ? TERM_NEGATIVE
                        : out->term.ratio < drop_below   ? TERM_WEAK
                        : out->term.ratio < 3            ? TERM_INDICATED
                                                         : TERM_KEPT;
    return out->term.verdict == TERM_KEPT || out->term.verdict == TERM_INDICATED;
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

static bool fit_chosen(struct job *job, const struct efficiency_request *request)
{
    struct efficiency *out = job->out;
    bool automatic = text_same(request->form, "automatic");
    const char *form = automatic ? efficiency_best_form(&out->design) : request->form;
    if (form == NULL)
        form = "mean"; /* no point at all: design_require says so */
    if (!design_require(&out->design, form, job->faults) || !fit_form(job, form))
        return false;
    if (automatic && out->form->n_coef == 2) {
        out->term.verdict = TERM_UNSEEN;
        out->term.upper = EFFICIENCY_USUAL_A2;
        return carry_curvature(job);
    }
    if (!automatic || out->form->n_coef != 3 || judge_term(out, request->drop_below))
        return true;
    return fit_form(job, "line") && carry_curvature(job);
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
    fit_cov_add(out->total, p, out->common, 1);
    fit_cov_add(out->total, p, out->reading, 1);
    fit_cov_add(out->total, p, out->session, 1);
    out->session_dof = INFINITY; /* stated by the instrument's data sheet, not estimated here */
}

const char *efficiency_best_form(const struct design *design)
{
    static const char *const richest_first[] = {"second order", "line", "mean"};
    for (size_t i = 0; i < 3; i++)
        if (design_holds(design, richest_first[i]))
            return richest_first[i];
    return NULL;
}

bool efficiency_fit(struct efficiency *out, const struct point *points, size_t n,
                    const struct point_setup *setup, const struct error_registry *registry,
                    const struct efficiency_request *request, struct faults *faults)
{
    memset(out, 0, sizeof *out);
    out->scale = request->scale;
    struct job job = {.points = points, .setup = setup, .registry = registry, .out = out,
                      .faults = faults};
    design_audit(&out->design, points, n, setup->longitude_rad);
    bool good = take_points(&job, n) && fit_chosen(&job, request) && add_comparisons(&job);
    good = good && job_add_shares(&job, ERROR_CALIBRATION);
    if (good) {
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
    free(efficiency->shares);
    efficiency->used = NULL;
    efficiency->index = NULL;
    efficiency->cases = NULL;
    efficiency->shares = NULL;
    efficiency->n = efficiency->n_shares = 0;
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
                              .calibration_dof = INFINITY};
    return parts;
}

void efficiency_combined(const struct efficiency *e, size_t coef, double *u, double *dof)
{
    size_t at = coef * e->form->n_coef + coef;
    struct fit_part parts[] = {{e->reading[at], e->scale_dof},
                               {e->session[at], e->session_dof},
                               {e->common[at], INFINITY}};
    *u = sqrt(e->total[at]);
    *dof = fit_welch(parts, 3);
}
