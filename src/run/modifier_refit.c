/* Curve and modifier under a move of whatever is uncertain. */
#include "run/modifier_job.h"

#include "fit/redraw.h"
#include "run/modifier_stand.h"

#include <math.h>
#include <string.h>

enum { TURNS = 60 };

static bool value_of(const struct modifier_job *job, size_t index, const struct modifier_move *move,
                     struct point_value *value)
{
    const struct means *means = job->points[index].means;
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    if (move->row != NULL && (move->session == NULL || means->session == *move->session) &&
        error_source_acts(move->row, means))
        shifts_add(&shifts, move->row, move->value);
    enum point_status status = point_evaluate(means, job->setup, &shifts, value);
    if (status == POINT_OK)
        return true;
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "point '%s' cannot be formed when %s moves by its uncertainty: %s",
                means->name, move->row == NULL ? "nothing" : move->row->label,
                point_status_text(status));
    fault_hint(fault, "the stated uncertainty is too large for this test; check its unit");
    return false;
}

/* All points under a move. Out: job->near_values, job->values */
static bool form_values(const struct modifier_job *job, const struct modifier_move *move)
{
    for (size_t i = 0; i < job->e->n; i++)
        if (!value_of(job, job->e->index[i], move, &job->near_values[i]))
            return false;
    for (size_t i = 0; i < job->out->n; i++)
        if (!value_of(job, job->out->points[i].index, move, &job->values[i]))
            return false;
    return true;
}

bool modifier_refused(enum fit_status status, const struct modifier_job *job)
{
    if (status == FIT_NO_MEMORY)
        return fault_memory(job->faults);
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    bool planes = job->form == FIT_MODIFIER_TWO_PLANES;
    fault_found(fault, "the modifier could not be fitted: %s", fit_status_text(status));
    fault_expected(fault, planes
                              ? "points far off the normal along the tubes, and others across them"
                              : "points at several angles between the normal and 60 deg");
    fault_hint(fault,
               planes ? "each of both tables has a figure for each 10 deg that a point is near "
                        "to; a rack that stands still sees other angles along its slope on days "
                        "weeks apart, or when it is tilted; 'shape = table' needs less"
                      : "a table has a figure for each 10 deg that a point is near to: 'shape = "
                        "b0' needs less");
    return false;
}

/* Where the curve's points stand: their mean diffuse share, and the angle whose 1/cos - 1 is the
 * mean of theirs, where a b0 form has the mean of their modifiers; in each of two planes, where
 * tables are straight, the mean of theirs.
 * Out: job->near, with the angles and shares of each in job->stand */
static void find_near(const struct modifier_job *job, struct fit_modifier_near *near)
{
    const struct efficiency *e = job->e;
    double beyond = 0;
    *near = (struct fit_modifier_near){0};
    for (size_t i = 0; i < e->n; i++) {
        struct point_value value = job->near_values[i];
        if (!isfinite(value.incidence_rad))
            value.incidence_rad = 0;
        struct fit_angle at = modifier_angle(&value, job->setup);
        job->near[i] = e->used[i];
        job->near[i].eta = value.eta;
        job->near[i].at = modifier_condition(&value, job->setup);
        job->stand[i].diffuse_share = modifier_share_of(&value);
        job->stand[i].at = at;
        near->at.along_rad += fabs(at.along_rad) / (double)e->n;
        near->at.across_rad += fabs(at.across_rad) / (double)e->n;
        near->diffuse_share += job->stand[i].diffuse_share / (double)e->n;
        beyond += (1 / cos(at.theta_rad) - 1) / (double)e->n;
    }
    near->at.theta_rad = acos(1 / (1 + beyond));
}

/* Every point of the curve as it would be at their mean angle and diffuse share: otherwise a share
 * that grows from the cold points to the warm ones would look like heat loss. */
static void bring_together(const struct modifier_job *job, const struct modifier_state *state,
                           const struct fit_modifier_near *near)
{
    double k_d = fit_modifier_diffuse(&state->m), k_near = fit_modifier_beam(&state->m, &near->at);
    for (size_t i = 0; i < job->e->n; i++) {
        double k = fit_modifier_total(fit_modifier_beam(&state->m, &job->stand[i].at), k_d,
                                      job->stand[i].diffuse_share, k_near, near->diffuse_share);
        job->near[i].eta += state->eta0 * (1 - k);
    }
}

/* The curve, its points brought together by the modifier as far as it is known. */
static enum fit_status find_curve(const struct modifier_job *job, const double *by,
                                  struct modifier_state *state, double *coef,
                                  struct fit_modifier_near *near)
{
    const struct efficiency *e = job->e;
    find_near(job, near);
    if (state->known)
        bring_together(job, state, near);
    enum fit_status status = job->drawn ? fit_redraw(&e->curve, job->near, coef)
                                        : fit_curve_coef(e->form, job->near, e->n, coef);
    for (size_t j = 0; j < e->form->n_coef && by != NULL; j++)
        coef[j] += by[j];
    state->eta0 = coef[0];
    return status;
}

/* One turn of curve and modifier, from what is known of both.
 * Out: near, fit; job->moved */
static enum fit_status take_turn(const struct modifier_job *job, const double *by,
                                 struct modifier_state *state, struct fit_modifier_near *near,
                                 struct fit_modifier_fit *fit)
{
    double coef[FIT_FORM_MAX_COEF];
    enum fit_status status = find_curve(job, by, state, coef, near);
    if (status != FIT_OK)
        return status;
    for (size_t i = 0; i < job->out->n; i++) {
        const struct point_value *value = &job->values[i];
        job->moved[i].at = modifier_angle(value, job->setup);
        job->moved[i].diffuse_share = modifier_share_fitted(value);
        job->moved[i].k_total = modifier_ratio(job->e->form, coef, value, job->setup);
    }
    return job->drawn ? fit_modifier_step(&state->m, job->moved, job->out->n, near, fit)
                      : fit_modifier_refit(&state->m, job->moved, job->out->n, near, fit);
}

/* Curve and modifier in turn, until neither moves: each step leaves about a tenth of what is wrong.
 */
enum fit_status modifier_settle_values(const struct modifier_job *job, const double *by,
                                       struct modifier_state *state,
                                       struct fit_modifier_near *near,
                                       struct fit_modifier_fit *fit)
{
    for (int turn = 0; turn < TURNS; turn++) {
        double most = 0;
        enum fit_status status = take_turn(job, by, state, near, fit);
        if (status != FIT_OK)
            return status;
        for (size_t j = 0; j < fit->m.n && state->known; j++)
            most = fmax(most, fabs(fit->m.coef[j] - state->m.coef[j]));
        bool still = state->known && most < job->settled;
        state->m = fit->m;
        state->known = true;
        if (still)
            return FIT_OK;
    }
    return FIT_NOT_CONVERGED;
}

bool modifier_settle(const struct modifier_job *job, const struct modifier_move *move,
                     struct modifier_state *state, struct fit_modifier_near *near,
                     struct fit_modifier_fit *fit)
{
    if (!form_values(job, move))
        return false;
    enum fit_status status = modifier_settle_values(job, move->curve, state, near, fit);
    return status == FIT_OK || modifier_refused(status, job);
}

/* The coefficients under a move. */
static bool refit(const struct modifier_job *job, const struct modifier_move *move, double *coef)
{
    struct modifier_state state = {
        .m = job->out->fit.m, .known = true, .eta0 = job->e->curve.coef[0]};
    struct fit_modifier_fit fit;
    struct fit_modifier_near near;
    if (!modifier_settle(job, move, &state, &near, &fit))
        return false;
    memcpy(coef, fit.m.coef, fit.m.n * sizeof *coef);
    return true;
}

/* Half the difference of the coefficients under a move and its opposite. */
bool modifier_shift(const struct modifier_job *job, struct modifier_move move, double *d)
{
    double up[FIT_MAX_COEF], down[FIT_MAX_COEF], opposite[FIT_FORM_MAX_COEF];
    if (!refit(job, &move, up))
        return false;
    move.value = -move.value;
    for (size_t j = 0; move.curve != NULL && j < job->e->form->n_coef; j++)
        opposite[j] = -move.curve[j];
    if (move.curve != NULL)
        move.curve = opposite;
    if (!refit(job, &move, down))
        return false;
    for (size_t j = 0; j < job->out->fit.m.n; j++)
        d[j] = 0.5 * (up[j] - down[j]);
    return true;
}

/* One turn of curve and modifier from these coefficients. In: job's values, of no move */
static bool turn(const struct modifier_job *job, const struct fit_modifier *from, double *coef)
{
    struct modifier_state state = {.m = *from, .known = true, .eta0 = job->e->curve.coef[0]};
    struct fit_modifier_near near;
    struct fit_modifier_fit fit;
    enum fit_status status = take_turn(job, NULL, &state, &near, &fit);
    memcpy(coef, fit.m.coef, fit.m.n * sizeof *coef);
    return status == FIT_OK || modifier_refused(status, job);
}

/* With F the slopes of a turn's result against where it began, an error e of one turn ends as
 * (1 - F)^-1 e. Out: gain  that matrix */
static bool find_gain(const struct modifier_job *job, double *gain)
{
    const struct fit_modifier *m = &job->out->fit.m;
    size_t n = m->n;
    double rest[FIT_MAX_COEF * FIT_MAX_COEF], up[FIT_MAX_COEF], down[FIT_MAX_COEF];
    const struct modifier_move none = {.row = NULL};
    if (!form_values(job, &none))
        return false;
    for (size_t j = 0; j < n; j++) {
        struct fit_modifier high = *m, low = *m;
        double h = 1e-4 * fmax(fabs(m->coef[j]), 0.1);
        high.coef[j] += h;
        low.coef[j] -= h;
        if (!turn(job, &high, up) || !turn(job, &low, down))
            return false;
        for (size_t i = 0; i < n; i++)
            rest[i * n + j] = (i == j ? 1 : 0) - (up[i] - down[i]) / (2 * h);
    }
    for (size_t j = 0; j < n; j++) {
        struct fit_linear solved;
        double unit[FIT_MAX_COEF] = {0};
        unit[j] = 1;
        enum fit_status status = fit_linear(rest, unit, NULL, n, n, &solved);
        if (status != FIT_OK)
            return modifier_refused(status, job);
        for (size_t i = 0; i < n; i++)
            gain[i * n + j] = solved.coef[i];
    }
    return true;
}

bool modifier_feed_back(const struct modifier_job *job, double *cov)
{
    enum { SQUARE = FIT_MAX_COEF * FIT_MAX_COEF };
    size_t n = job->out->fit.m.n;
    double gain[SQUARE], half[SQUARE] = {0};
    if (!find_gain(job, gain))
        return false;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            for (size_t k = 0; k < n; k++)
                half[i * n + j] += gain[i * n + k] * cov[k * n + j];
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            cov[i * n + j] = 0;
            for (size_t k = 0; k < n; k++)
                cov[i * n + j] += half[i * n + k] * gain[j * n + k];
        }
    return true;
}
