#include "run/efficiency.h"

#include "base/text.h"
#include "fit/combine.h"
#include "fit/distributions.h"
#include "fit/scatter.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Everything that stays the same from refit to refit. */
struct job {
    const struct point *points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    const struct fit_form *form;
    struct efficiency *out;
    struct fit_point *moved; /* out->n points, scratch */
    struct faults *faults;
};

static bool fit_refused(enum fit_status status, const char *form, struct faults *faults)
{
    if (status == FIT_NO_MEMORY)
        return fault_memory(faults);
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the form '%s' could not be fitted: %s", form, fit_status_text(status));
    fault_hint(fault, "look at the points in points.csv; take a simpler form, or leave a point out "
                      "by name with 'leave out'");
    return false;
}

/* Fits the scratch points and gives the coefficients alone. */
static bool refit(struct job *job, double *coef)
{
    struct fit_curve curve;
    enum fit_status status = fit_curve_fit(job->form, job->moved, job->out->n, &curve);
    if (status == FIT_OK)
        memcpy(coef, curve.coef, job->form->n_coef * sizeof *coef);
    fit_curve_free(&curve);
    return status == FIT_OK ? true : fit_refused(status, job->form->name, job->faults);
}

/* The points of one session (or of all, where session is NULL) formed anew under a shifted source; the
 * others as measured. Weights stay: only the data move. */
static bool move_points(struct job *job, const struct error_source *row, double value,
                        const int64_t *session)
{
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    shifts_add(&shifts, row, value);
    for (size_t i = 0; i < job->out->n; i++) {
        const struct means *means = job->points[job->out->index[i]].means;
        job->moved[i] = job->out->used[i];
        if (session != NULL && means->session != *session)
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
    }
    return true;
}

/* A fitted point with the errors that are its own: readings, no session. */
static struct fit_point own_errors(const struct job *job, size_t i)
{
    const struct point *point = &job->points[job->out->index[i]];
    struct fit_point own = job->out->used[i];
    own.u_eta = point->u_eta_reading;
    own.u_x = point->u_x_reading;
    own.cov_eta_x = point->cov_reading;
    return own;
}

/* Central difference of the coefficients over a source's +- one standard uncertainty. */
static bool sensitivity(struct job *job, const struct error_source *row, const int64_t *session,
                        double *d)
{
    double up[EFFICIENCY_COEFS], down[EFFICIENCY_COEFS];
    if (!move_points(job, row, row->u, session) || !refit(job, up) ||
        !move_points(job, row, -row->u, session) || !refit(job, down))
        return false;
    for (size_t j = 0; j < job->form->n_coef; j++)
        d[j] = 0.5 * (up[j] - down[j]);
    return true;
}

static bool session_is_new(const struct job *job, size_t i)
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
        if (!session_is_new(job, i))
            continue;
        double d[EFFICIENCY_COEFS];
        if (!sensitivity(job, share->row, &job->points[job->out->index[i]].means->session, d))
            return false;
        fit_cov_add_outer(job->out->session, p, d);
        for (size_t j = 0; j < p; j++)
            sum[j] += d[j] * d[j];
    }
    for (size_t j = 0; j < p; j++)
        share->d[j] = sqrt(sum[j]);
    return true;
}

static bool add_shares(struct job *job)
{
    struct efficiency *out = job->out;
    for (size_t k = 0; k < job->registry->n; k++) {
        const struct error_source *row = &job->registry->rows[k];
        if (row->kind == ERROR_READING || !(row->u > 0))
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

/* Reading errors alone through the estimator: the weights may hold session errors too. */
static void add_reading(struct job *job)
{
    struct efficiency *out = job->out;
    size_t p = out->form->n_coef;
    for (size_t i = 0; i < out->n; i++) {
        const struct point *point = &job->points[out->index[i]];
        double ue2 = point->u_eta_reading * point->u_eta_reading;
        double ux2 = point->u_x_reading * point->u_x_reading;
        if (out->curve.equal_weights)
            ue2 = 1; /* unit variance; the scale factor brings the scatter */
        for (size_t j = 0; j < p; j++)
            for (size_t k = 0; k < p; k++) {
                double ej = out->curve.d_coef_d_eta[j * out->n + i];
                double ek = out->curve.d_coef_d_eta[k * out->n + i];
                double xj = out->curve.d_coef_d_x[j * out->n + i];
                double xk = out->curve.d_coef_d_x[k * out->n + i];
                out->reading[j * p + k] += out->scale_factor * (ej * ek * ue2 + xj * xk * ux2 +
                                           (ej * xk + xj * ek) * point->cov_reading);
            }
    }
}

/* One more window, with readings as good as those of the mean point here. */
static void set_new_window(struct job *job)
{
    struct efficiency *out = job->out;
    for (size_t i = 0; i < out->n; i++) {
        struct fit_point reading = own_errors(job, i);
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

static bool fit_form(struct job *job, const char *name)
{
    struct efficiency *out = job->out;
    fit_curve_free(&out->curve);
    job->form = out->form = fit_form_find(name);
    assert(out->form != NULL);
    enum fit_status status = fit_curve_fit(out->form, out->used, out->n, &out->curve);
    return status == FIT_OK ? true : fit_refused(status, name, job->faults);
}

/* Number of sessions among the fitted points. */
static size_t count_sessions(const struct job *job)
{
    size_t count = 0;
    for (size_t i = 0; i < job->out->n; i++)
        count += session_is_new(job, i);
    return count;
}

/* One row of shared shifts: what a session's error of one source does to each residual. */
static bool shared_row(struct job *job, const struct error_source *row, const int64_t *session,
                       double *shift)
{
    const struct efficiency *out = job->out;
    double sign = 0.5;
    for (int side = 0; side < 2; side++, sign = -sign) {
        if (!move_points(job, row, side == 0 ? row->u : -row->u, session))
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
            if (session_is_new(job, i) &&
                !shared_row(job, row, &job->points[out->index[i]].means->session,
                            shared + (*m)++ * out->n))
                return false;
    }
    return true;
}

/* Scatter against claim, with session errors as what they are: shared by a session's points. The sum
 * of variances that weights the points would take them as fresh for each and look too good. */
static bool judge_scatter(struct job *job)
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
        struct fit_point own = own_errors(job, i);
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

static bool set_scale(struct job *job)
{
    struct efficiency *out = job->out;
    if (!judge_scatter(job))
        return false;
    out->scale_factor = fit_scale_factor(&out->curve, out->scale);
    out->scale_dof = fit_scale_dof(&out->curve, out->scale);
    if (isfinite(out->scale_factor))
        return true;
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the scatter cannot be estimated: %zu points for %zu coefficients", out->n,
                out->form->n_coef);
    fault_expected(fault, "at least one point more than coefficients");
    fault_hint(fault, "add points, take a simpler form, or state the reading errors and use "
                      "'scale = stated'");
    return false;
}

/* Judges a2 by its uncertainty from readings and sessions: calibration moves all points together and
 * cannot make a straight line look bent. */
static bool judge_term(struct job *job, double drop_below, bool *keep)
{
    struct efficiency *out = job->out;
    if (!set_scale(job))
        return false;
    size_t p = out->form->n_coef;
    double u = sqrt(out->curve.cov_reading[2 * p + 2] * out->scale_factor);
    double t = fit_t_quantile(0.95, out->scale_dof);
    out->term.a2 = out->curve.coef[2];
    out->term.u = u;
    out->term.ratio = out->term.a2 / u;
    out->term.upper = fmax(0, out->term.a2) + t * u;
    *keep = out->term.a2 > 0 && out->term.ratio >= drop_below;
    out->term.verdict = out->term.a2 <= 0                ? TERM_NEGATIVE
                        : out->term.ratio < drop_below   ? TERM_WEAK
                        : out->term.ratio < 3            ? TERM_INDICATED
                                                         : TERM_KEPT;
    return true;
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
    if (!refit(job, bent))
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
    if (!automatic || out->form->n_coef != 3)
        return set_scale(job);
    bool keep = true;
    if (!judge_term(job, request->drop_below, &keep))
        return false;
    if (keep)
        return true;
    return fit_form(job, "line") && set_scale(job) && carry_curvature(job);
}

static bool add_comparisons(struct job *job)
{
    struct efficiency *out = job->out;
    enum fit_status status = fit_curve_plain(out->form, out->used, out->n, &out->plain);
    if (status == FIT_OK)
        status = fit_curve_diagnose(&out->curve, out->used, out->cases);
    return status == FIT_OK ? true : fit_refused(status, out->form->name, job->faults);
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
    if (good) {
        add_reading(&job);
        set_new_window(&job);
        good = add_shares(&job);
    }
    if (good)
        add_up(out);
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
