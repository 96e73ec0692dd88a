/* The points of a joint fit: taken, weighed, moved. */
#include "run/joint_job.h"

#include "point/reading_errors.h"
#include "run/joint_refusal.h"
#include "run/modifier_stand.h"

#include <math.h>
#include <string.h>

static const struct point *point_of(const struct joint_job *job, size_t i)
{
    return &job->points[job->out->e.index[i]];
}

void joint_place(const struct point_setup *setup, const struct point_value *value,
                 struct fit_joint_point *to)
{
    to->curve.at = modifier_condition(value, setup);
    to->curve.eta = value->eta;
    to->angle = modifier_angle(value, setup);
    to->diffuse_share = modifier_share_of(value);
}

void joint_take(struct joint_job *job)
{
    struct joint *out = job->out;
    bool stated = false;
    out->e.n = 0;
    out->share_mean = 0;
    for (size_t i = 0; i < job->n_points; i++) {
        const struct point *p = &job->points[i];
        if (p->left_out)
            continue;
        out->e.index[out->e.n++] = i;
        stated = stated || p->u_eta_reading > 0 || p->u_x_reading > 0;
    }
    for (size_t i = 0; i < out->e.n; i++) {
        const struct point *p = point_of(job, i);
        job->used[i] = job->own[i] = (struct fit_joint_point){.diffuse_share = 0};
        joint_place(job->setup, &p->value, &job->used[i]);
        if (stated) {
            job->used[i].curve.u_eta = p->fit.u_eta;
            job->used[i].curve.u_x = p->fit.u_x;
            job->used[i].curve.cov_eta_x = p->fit.cov_eta_x;
        }
        out->share_mean += job->used[i].diffuse_share / (double)out->e.n;
        job->own[i] = job->used[i];
        job->own[i].curve.u_eta = p->u_eta_reading;
        job->own[i].curve.u_x = p->u_x_reading;
        job->own[i].curve.cov_eta_x = p->cov_reading;
    }
    job->shape.diffuse_share = out->share_mean;
}

static bool cannot_form(const struct joint_job *job, const struct means *means, const char *label,
                        enum point_status status)
{
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "point '%s' cannot be formed when %s moves by its uncertainty: %s",
                means->name, label, point_status_text(status));
    fault_hint(fault, "the stated uncertainty is too large for this test; check its unit");
    return false;
}

static bool value_under(const struct joint_job *job, size_t i, const struct error_source *row,
                        double by, struct point_value *value)
{
    const struct means *means = point_of(job, i)->means;
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    if (error_source_acts(row, means))
        shifts_add(&shifts, row, by);
    enum point_status status = point_evaluate(means, job->setup, &shifts, value);
    return status == POINT_OK || cannot_form(job, means, row->label, status);
}

/* What an error does to eta by angle, share and wind, beside what it does by itself: eta is
 * compared with eta0 K - loss, so that theirs count against it. In:      to  u_eta and cov_eta_x
 * are brought up to date */
static bool weigh_error(const struct joint_job *job, size_t i, const struct error_source *row,
                        struct fit_joint_point *to)
{
    const struct fit_joint *fit = &job->out->fit;
    struct fit_joint_point side[2] = {*to, *to};
    for (int s = 0; s < 2; s++) {
        struct point_value value;
        if (!value_under(job, i, row, s == 0 ? row->u : -row->u, &value))
            return false;
        joint_place(job->setup, &value, &side[s]);
    }
    double eta = 0.5 * (side[0].curve.eta - side[1].curve.eta);
    double x = 0.5 * (side[0].curve.at.x - side[1].curve.at.x);
    double more =
        -0.5 * fit->coef[0] * (fit_joint_total(fit, &side[0]) - fit_joint_total(fit, &side[1]));
    if (fit->form->with_wind)
        more += 0.5 * fit->coef[fit->p - 1] * to->curve.at.x *
                (side[0].curve.at.wind - side[1].curve.at.wind);
    to->curve.u_eta = sqrt(fmax(0, to->curve.u_eta * to->curve.u_eta + more * (more + 2 * eta)));
    to->curve.cov_eta_x += more * x;
    return true;
}

/* Rounding must not leave a covariance beyond its bound. */
static void keep_bound(struct fit_point *point)
{
    double most = point->u_eta * point->u_x;
    point->cov_eta_x = fmax(-most, fmin(most, point->cov_eta_x));
}

bool joint_weigh(struct joint_job *job)
{
    if (job->out->fit.equal_weights)
        return true;
    for (size_t i = 0; i < job->out->e.n; i++) {
        const struct means *means = point_of(job, i)->means;
        struct error_source row;
        for (size_t k = 0; k < reading_errors_count(job->registry); k++)
            if (reading_error(means, job->registry, k, &row) &&
                (!weigh_error(job, i, &row, &job->own[i]) ||
                 !weigh_error(job, i, &row, &job->used[i])))
                return false;
        for (size_t k = 0; k < job->registry->n; k++)
            if (job->registry->rows[k].kind == ERROR_SESSION && job->registry->rows[k].u > 0 &&
                !weigh_error(job, i, &job->registry->rows[k], &job->used[i]))
                return false;
        keep_bound(&job->own[i].curve);
        keep_bound(&job->used[i].curve);
    }
    return true;
}

bool joint_refit(const struct joint_job *job, double *d)
{
    const struct fit_joint *fit = &job->out->fit;
    enum fit_status status = fit_joint_again(fit, job->moved, d);
    for (size_t j = 0; j < fit->n_coef; j++)
        d[j] -= fit->coef[j];
    return status == FIT_OK || joint_refused(job, status);
}

/* Half the difference of the coefficients under a source and its opposite, in one session or all.
 */
static bool shift(const struct joint_job *job, const struct error_source *row,
                  const int64_t *session, double *d)
{
    double side[2][FIT_MAX_COEF];
    for (int s = 0; s < 2; s++) {
        for (size_t i = 0; i < job->out->e.n; i++) {
            struct point_value value;
            job->moved[i] = job->used[i];
            if (session != NULL && point_of(job, i)->means->session != *session)
                continue;
            if (!value_under(job, i, row, s == 0 ? row->u : -row->u, &value))
                return false;
            joint_place(job->setup, &value, &job->moved[i]);
        }
        if (!joint_refit(job, side[s]))
            return false;
    }
    for (size_t j = 0; j < job->out->fit.n_coef; j++)
        d[j] = 0.5 * (side[0][j] - side[1][j]);
    return true;
}

/* Whether point i is the first of its session. */
static bool session_is_new(const struct joint_job *job, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (point_of(job, k)->means->session == point_of(job, i)->means->session)
            return false;
    return true;
}

static void add_outer(const struct fit_joint *fit, const double *d, double *cov)
{
    for (size_t j = 0; j < fit->n_coef; j++)
        for (size_t k = 0; k < fit->n_coef; k++)
            cov[j * fit->n_coef + k] += d[j] * d[k];
}

/* In: session  of which it is; NULL: of all */
static bool keep_part(struct joint_job *job, const struct error_source *row, const double *d,
                      const int64_t *session)
{
    struct efficiency *e = &job->out->e;
    struct error_part part = error_part_of(row, d, job->out->fit.n_coef);
    if (session != NULL) {
        struct efficiency_day *day = &e->daily[e->n_daily++];
        *day = (struct efficiency_day){.row = row, .session = *session};
        memcpy(day->d, d, e->form->n_coef * sizeof *d);
    }
    return error_parts_add(&job->out->parts, &part, job->faults);
}

static bool add_share(struct joint_job *job, const struct error_source *row)
{
    struct joint *out = job->out;
    const struct fit_joint *fit = &out->fit;
    double all[FIT_MAX_COEF] = {0}, d[FIT_MAX_COEF];
    bool daily = row->kind == ERROR_SESSION;
    for (size_t i = 0; i < (daily ? out->e.n : 1); i++) {
        if (daily && !session_is_new(job, i))
            continue;
        if (!shift(job, row, daily ? &point_of(job, i)->means->session : NULL, d))
            return false;
        add_outer(fit, d, daily ? job->session : job->calibration);
        if (!keep_part(job, row, d, daily ? &point_of(job, i)->means->session : NULL))
            return false;
        for (size_t j = 0; j < fit->n_coef; j++)
            all[j] = daily ? hypot(all[j], d[j]) : d[j];
    }
    struct efficiency_share *of_curve = &out->e.shares[out->e.n_shares++];
    struct modifier_share *of_modifier = &out->m.shares[out->m.n_shares++];
    of_curve->row = of_modifier->row = row;
    memcpy(of_curve->d, all, fit->p * sizeof *all);
    memcpy(of_modifier->d, all + fit->p, fit->q * sizeof *all);
    return true;
}

bool joint_add_sources(struct joint_job *job, enum error_kind kind)
{
    for (size_t k = 0; k < job->registry->n; k++) {
        const struct error_source *row = &job->registry->rows[k];
        if (row->kind == kind && row->u > 0 && !add_share(job, row))
            return false;
    }
    return true;
}

/* What days differ by beyond what is claimed, as a curve's run counts it. */
bool joint_add_days(struct joint_job *job)
{
    struct efficiency *e = &job->out->e;
    const struct fit_joint *fit = &job->out->fit;
    struct efficiency_extra extra = {.id = "days",
                                     .label = "what days differ by, seen in the points",
                                     .cure = "more days; find what differed between them",
                                     .session = true};
    e->n_extras = 0;
    if (!(e->days.extra > 0))
        return true;
    for (size_t i = 0; i < e->n; i++) {
        struct error_part part = {RANK_SESSION, extra.id, extra.label, extra.cure, {0}};
        if (!session_is_new(job, i))
            continue;
        for (size_t k = i; k < e->n; k++)
            for (size_t j = 0; j < fit->n_coef; j++)
                if (point_of(job, k)->means->session == point_of(job, i)->means->session)
                    part.d[j] += sqrt(e->days.extra) * fit->d_coef_d_eta[j * e->n + k];
        add_outer(fit, part.d, job->session);
        for (size_t j = 0; j < fit->p; j++)
            extra.d[j] = hypot(extra.d[j], part.d[j]);
        if (!error_parts_add(&job->out->parts, &part, job->faults))
            return false;
    }
    memcpy(e->days.d, extra.d, sizeof extra.d);
    e->extras[e->n_extras++] = extra;
    return true;
}

void joint_add_reading(struct joint_job *job)
{
    const struct fit_joint *fit = &job->out->fit;
    const struct efficiency *e = &job->out->e;
    for (size_t i = 0; i < e->n; i++) {
        const struct fit_point *own = &job->own[i].curve;
        double ue2 = fit->equal_weights ? 1 : own->u_eta * own->u_eta;
        double ux2 = fit->equal_weights ? 0 : own->u_x * own->u_x;
        double both = fit->equal_weights ? 0 : own->cov_eta_x;
        for (size_t j = 0; j < fit->n_coef; j++)
            for (size_t k = 0; k < fit->n_coef; k++) {
                double ej = fit->d_coef_d_eta[j * e->n + i], ek = fit->d_coef_d_eta[k * e->n + i];
                double xj = fit->d_coef_d_x[j * e->n + i], xk = fit->d_coef_d_x[k * e->n + i];
                job->reading[j * fit->n_coef + k] +=
                    e->scale_factor * (ej * ek * ue2 + xj * xk * ux2 + (ej * xk + xj * ek) * both);
            }
    }
}
