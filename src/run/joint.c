#include "run/joint_job.h"

#include "base/text.h"
#include "fit/combine.h"
#include "fit/distributions.h"
#include "run/efficiency_job.h"
#include "run/joint_refusal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Days of all session rows, at most. */
static size_t count_daily(const struct joint_job *job)
{
    size_t rows = 0, sessions = 0;
    for (size_t k = 0; k < job->registry->n; k++)
        rows += job->registry->rows[k].kind == ERROR_SESSION;
    for (size_t i = 0; i < job->n_points; i++)
        sessions += i == 0 || job->points[i].means->session != job->points[i - 1].means->session;
    return rows * sessions;
}

static bool allocate(struct joint_job *job)
{
    size_t n = job->n_points + 1, rows = job->registry->n + 1;
    struct efficiency *e = &job->out->e;
    struct modifier *m = &job->out->m;
    e->used = calloc(n, sizeof *e->used);
    e->index = calloc(n, sizeof *e->index);
    e->cases = calloc(n, sizeof *e->cases);
    e->shares = calloc(rows, sizeof *e->shares);
    e->daily = calloc(count_daily(job) + 1, sizeof *e->daily);
    m->used = calloc(n, sizeof *m->used);
    m->points = calloc(n, sizeof *m->points);
    m->pairs = calloc(n, sizeof *m->pairs);
    m->shares = calloc(rows, sizeof *m->shares);
    job->out->brought = calloc(n, sizeof *job->out->brought);
    job->used = job->out->used = calloc(n, sizeof *job->used);
    job->own = calloc(n, sizeof *job->own);
    job->moved = calloc(n, sizeof *job->moved);
    return (e->used && e->index && e->cases && e->shares && e->daily && m->used && m->points &&
            m->pairs && m->shares && job->out->brought && job->used && job->own && job->moved) ||
           fault_memory(job->faults);
}

/* Weights of angle and diffuse share follow from a first fit, with which the second is made. */
static bool fit_weighed(struct joint_job *job)
{
    struct fit_joint *fit = &job->out->fit;
    for (int turn = 0; turn < 2; turn++) {
        if (turn > 0 && !joint_weigh(job))
            return false;
        fit_joint_free(fit);
        if (job->out->spread.most_rad - job->out->spread.least_rad < JOINT_ONE_ANGLE_RAD)
            return joint_not_apart(job);
        enum fit_status status = fit_joint_fit(&job->shape, job->used, job->out->e.n, fit);
        size_t coef;
        if (status != FIT_OK)
            return joint_refused(job, status);
        if (!(joint_widest(fit, &coef) < JOINT_WIDENED_MOST))
            return joint_refused(job, FIT_RANK);
    }
    job->shape.m = fit->m; /* knots stay from here on */
    return true;
}

static bool set_scale(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    if (job->held != NULL) {
        e->scale_factor = job->held->scale_factor;
        e->scale_dof = job->held->scale_dof;
        e->days.extra = job->held->days_extra;
        e->days.seen.between_dof = job->held->days_dof;
        return true;
    }
    struct job curve = {.points = job->points,
                        .setup = job->setup,
                        .registry = job->registry,
                        .form = e->form,
                        .out = e,
                        .faults = job->faults};
    curve.moved = calloc(e->n + 1, sizeof *curve.moved);
    if (curve.moved == NULL)
        return fault_memory(job->faults);
    bool good = job_judge_scatter(&curve);
    free(curve.moved);
    e->scale_factor = fit_scale_factor(&e->curve, e->scale);
    e->scale_dof = fit_scale_dof(&e->curve, e->scale);
    return good && (isfinite(e->scale_factor) || joint_too_few(job, job->out->fit.n_coef));
}

static bool fit_form(struct joint_job *job, const char *name)
{
    struct efficiency *e = &job->out->e;
    e->form = job->shape.form = fit_form_find(name);
    e->n_shares = e->n_daily = job->out->m.n_shares = job->out->parts.n = 0;
    memset(job->reading, 0, sizeof job->reading);
    memset(job->session, 0, sizeof job->session);
    joint_take(job);
    if (!fit_weighed(job) || !joint_fill_curve(job) || !set_scale(job))
        return false;
    joint_add_reading(job);
    return joint_add_sources(job, ERROR_SESSION) && joint_add_days(job);
}

/* As a curve's own run judges a2. Returns: whether it stays */
static bool bend_stays(struct joint_job *job, double drop_below)
{
    struct efficiency *e = &job->out->e;
    struct efficiency_term *term = &e->term;
    size_t at = 2 * job->out->fit.n_coef + 2;
    term->value = job->out->fit.coef[2];
    term->u = sqrt(job->reading[at] + job->session[at]);
    term->ratio = term->value / term->u;
    term->upper = fmin(EFFICIENCY_MOST_A2,
                       fmax(0, term->value) + fit_t_quantile(0.95, e->scale_dof) * term->u);
    term->verdict = term->value <= 0                   ? TERM_NEGATIVE
                    : term->ratio < drop_below         ? TERM_WEAK
                    : term->value > EFFICIENCY_MOST_A2 ? TERM_TOO_BENT
                    : term->ratio < 3                  ? TERM_INDICATED
                                                       : TERM_KEPT;
    return term->verdict == TERM_KEPT || term->verdict == TERM_INDICATED;
}

/* 'automatic' takes no wind term: angle, wind and loss at once ask for more than most tests hold.
 */
static bool choose_form(struct joint_job *job, const struct efficiency_request *request)
{
    struct efficiency *e = &job->out->e;
    bool asked = !text_same(request->form, "automatic");
    const char *name = asked ? request->form : design_best_form(&e->design);
    if (name == NULL)
        name = "mean";
    if (!design_require(&e->design, name, job->faults) || !fit_form(job, name))
        return false;
    if (text_same(name, "mean"))
        return joint_add_loss(job);
    if (asked)
        return true;
    if (text_same(name, "second order")) {
        if (bend_stays(job, request->drop_below))
            return true;
        if (!fit_form(job, "line"))
            return false;
    } else {
        e->term = (struct efficiency_term){.verdict = TERM_UNSEEN, .upper = EFFICIENCY_USUAL_A2};
    }
    return joint_add_curvature(job);
}

bool joint_fit(struct joint *out, const struct point *points, size_t n,
               const struct point_setup *setup, const struct error_registry *registry,
               const struct efficiency_request *request, enum fit_modifier_form shape,
               struct faults *faults)
{
    struct joint_job *job = calloc(1, sizeof *job);
    memset(out, 0, sizeof *out);
    if (job == NULL)
        return fault_memory(faults);
    *job = (struct joint_job){.out = out,
                              .points = points,
                              .n_points = n,
                              .setup = setup,
                              .registry = registry,
                              .held = request->held,
                              .shape = {.m = {.form = shape}},
                              .faults = faults};
    out->e.scale = request->scale;
    for (size_t j = 0; j < FIT_MAX_COEF; j++)
        out->fit.widened[j] = NAN;
    joint_spread_of(points, n, &out->spread);
    design_audit(&out->e.design, points, n, setup->longitude_rad);
    bool good = allocate(job) && choose_form(job, request) &&
                joint_add_sources(job, ERROR_CALIBRATION) && joint_add_surroundings(job) &&
                joint_fill(job);
    free(job->own);
    free(job->moved);
    free(job);
    if (!good)
        joint_free(out);
    return good;
}

void joint_free(struct joint *joint)
{
    fit_joint_free(&joint->fit);
    efficiency_free(&joint->e);
    modifier_free(&joint->m);
    error_parts_free(&joint->parts);
    free(joint->used);
    joint->used = NULL;
    free(joint->brought);
    joint->brought = NULL;
}
