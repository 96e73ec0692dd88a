#include "study/paired.h"

#include "fit/nuisance.h"
#include "fit/scatter.h"
#include "study/paired_errors.h"
#include "study/paired_job.h"
#include "study/paired_solved.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool allocate(struct paired_job *job)
{
    size_t n = job->n, k = paired_count_solved(job);
    job->out->solved = calloc(k + 1, sizeof *job->out->solved);
    job->out->solved_cov = calloc(k * k + 1, sizeof *job->out->solved_cov);
    job->solved_by = calloc(n * k + 1, sizeof *job->solved_by);
    job->out->points = calloc(n, sizeof *job->out->points);
    job->at = calloc(n, sizeof *job->at);
    job->session = calloc(n, sizeof *job->session);
    job->terms = calloc(n * job->p, sizeof *job->terms);
    job->y = calloc(n, sizeof *job->y);
    job->own = calloc(n, sizeof *job->own);
    job->bend_a = calloc(n * EFFICIENCY_COEFS, sizeof *job->bend_a);
    job->bend_b = calloc(n * EFFICIENCY_COEFS, sizeof *job->bend_b);
    job->effect = calloc((job->n_rows + 1) * n, sizeof *job->effect);
    job->map = calloc((job->p + k) * n, sizeof *job->map);
    job->scratch = calloc(n, sizeof *job->scratch);
    return (job->out->solved && job->out->solved_cov && job->solved_by && job->out->points &&
            job->at && job->session && job->terms && job->y && job->own && job->bend_a &&
            job->bend_b && job->effect && job->map && job->scratch) ||
           fault_memory(job->faults);
}

static void release(struct paired_job *job)
{
    free(job->at);
    free(job->session);
    free(job->terms);
    free(job->y);
    free(job->own);
    free(job->bend_a);
    free(job->bend_b);
    free(job->effect);
    free(job->solved_by);
    free(job->map);
    free(job->scratch);
}

/* An efficiency brought to another condition along its own curve.
 * Out: bend  by how much the curve's terms differ */
static double bring(const struct tested *t, size_t i, const struct fit_condition *to, double *bend)
{
    const struct efficiency *e = &t->e;
    double here[EFFICIENCY_COEFS];
    e->form->terms(&e->used[i].at, here);
    e->form->terms(to, bend);
    for (size_t j = 0; j < e->form->n_coef; j++)
        bend[j] -= here[j];
    return e->used[i].eta + fit_dot(bend, e->curve.coef, e->form->n_coef);
}

static void subtract(struct paired_job *job, const struct pairs *pairs)
{
    size_t n = 0;
    for (size_t k = 0; k < pairs->n; k++) {
        const struct pair *pair = &pairs->items[k];
        struct paired_point *point = &job->out->points[n];
        if (!pair->alike)
            continue;
        point->pair = pair;
        point->of_a = bring(job->a, pair->a, &pair->at, &job->bend_a[n * EFFICIENCY_COEFS]);
        point->of_b = bring(job->b, pair->b, &pair->at, &job->bend_b[n * EFFICIENCY_COEFS]);
        job->at[n] = pair->at;
        job->y[n] = point->of_a - point->of_b;
        job->session[n] = job->a->points[job->a->e.index[pair->a]].means->session;
        job->out->form->terms(&pair->at, &job->terms[n * job->p]);
        n++;
    }
}

static bool refuse(const struct paired_job *job, enum fit_status status)
{
    if (status == FIT_NO_MEMORY)
        return fault_memory(job->faults);
    struct fault *fault = fault_new(job->faults, FAULT_DATA,
                                    fault_at(job->b->reduction->setup.path, 0, 0));
    fault_found(fault, "the differences of the windows at the same times could not be fitted: %s",
                fit_status_text(status));
    fault_hint(fault, "look at the points of both in points.csv; leave one out by name with 'leave "
                      "out'");
    return false;
}

static void take_residuals(struct paired_job *job)
{
    size_t k = job->out->n_solved;
    for (size_t m = 0; m < k; m++)
        job->out->solved[m].value = paired_dot(job, job->p + m, job->y);
    for (size_t i = 0; i < job->n; i++) {
        struct paired_point *point = &job->out->points[i];
        point->residual = job->y[i] - fit_dot(&job->terms[i * job->p], job->out->coef, job->p);
        for (size_t m = 0; m < k; m++)
            point->residual -= job->out->solved[m].value * job->solved_by[i * k + m];
        point->u = job->equal ? NAN : sqrt(job->own[i]);
    }
}

/* The pairs are weighed by what is their own and what is their session's, as points are. */
static bool solve(struct paired_job *job)
{
    for (size_t i = 0; i < job->n; i++)
        job->scratch[i] = job->own[i];
    for (size_t k = 0; k < job->n_rows && !job->equal; k++)
        for (size_t i = 0; paired_is_session(&job->rows[k]) && i < job->n; i++)
            job->scratch[i] += job->effect[k * job->n + i] * job->effect[k * job->n + i];
    paired_choose_solved(job);
    enum fit_status status = fit_nuisance(job->terms, job->scratch, job->n, job->p, job->solved_by,
                                          job->out->n_solved, job->map);
    if (status != FIT_OK)
        return refuse(job, status);
    paired_shift(job, job->y, job->out->coef);
    take_residuals(job);
    return true;
}

/* What is known of the scatter: rows of session errors, and one for days that differ. */
struct scattered {
    double *residual, *weight, *shared;
    size_t *level;
    size_t n_shared;
};

static bool fill_scattered(struct scattered *s, const struct paired_job *job,
                           const struct design *design)
{
    size_t n = job->n;
    s->residual = calloc(n, sizeof *s->residual);
    s->weight = calloc(n, sizeof *s->weight);
    s->level = calloc(n, sizeof *s->level);
    s->shared = calloc((job->n_rows + 1) * n, sizeof *s->shared);
    if (!s->residual || !s->weight || !s->level || !s->shared)
        return fault_memory(job->faults);
    for (size_t i = 0; i < n; i++) {
        const struct pair *pair = job->out->points[i].pair;
        s->residual[i] = job->out->points[i].residual;
        s->weight[i] = 1 / job->own[i];
        s->level[i] = design_level_of(
            design, job->a->points[job->a->e.index[pair->a]].value.difference_K);
    }
    for (size_t k = 0; k < job->n_rows; k++)
        if (paired_is_session(&job->rows[k]))
            memcpy(s->shared + s->n_shared++ * n, job->effect + k * n, n * sizeof *s->shared);
    return true;
}

/* Days against pairs of one day, as for a curve (run/efficiency_scatter.c). */
static void judge_days(struct scattered *s, struct paired_job *job)
{
    struct fit_sessions seen;
    double claimed = 0;
    if (fit_sessions(s->residual, s->weight, s->level, job->session, job->n, &seen) != FIT_OK ||
        !(seen.p_value < EFFICIENCY_DAYS_CHANCE))
        return;
    for (size_t k = 0; k < s->n_shared * job->n; k++)
        claimed += s->shared[k] * s->shared[k] / (double)job->n;
    job->out->extra_days = fmax(0, seen.between_variance - claimed);
    if (!(job->out->extra_days > 0))
        return;
    for (size_t i = 0; i < job->n; i++)
        s->shared[s->n_shared * job->n + i] = sqrt(job->out->extra_days);
    s->n_shared++;
}

static enum fit_scale scale_of(const struct paired_job *job)
{
    return job->a->e.scale == job->b->e.scale ? job->a->e.scale : FIT_SCALE_AT_LEAST;
}

/* The scatter of the differences against what their readings claim. */
static bool judge_scatter(struct paired_job *job, const struct design *design)
{
    struct scattered s = {0};
    struct fit_scatter seen = {0};
    bool good = fill_scattered(&s, job, design);
    if (good) {
        judge_days(&s, job);
        enum fit_status status =
            fit_scatter(job->out->form, job->at, s.residual, job->own, job->session,
                        job->equal ? NULL : s.shared, job->equal ? 0 : s.n_shared, job->n,
                        &seen);
        good = status == FIT_OK || refuse(job, status);
    }
    if (good) {
        for (size_t m = 0; m < job->out->n_solved; m++)
            fit_scatter_give_back(&seen, job->out->solved[m].value * job->out->solved[m].value);
        struct fit_scaling scaling = fit_scale(&seen, scale_of(job), !job->equal);
        job->out->scale_factor = scaling.factor;
        job->out->scale_dof = scaling.dof;
        job->out->birge = job->equal ? NAN : sqrt(seen.chi2 / (double)(job->n - job->p));
    }
    free(s.residual);
    free(s.weight);
    free(s.level);
    free(s.shared);
    return good;
}

static void add_reading(struct paired_job *job)
{
    for (size_t j = 0; j < job->p; j++)
        for (size_t k = 0; k < job->p; k++)
            for (size_t i = 0; i < job->n; i++)
                job->out->reading[j * job->p + k] += job->out->scale_factor * job->own[i] *
                                                     job->map[j * job->n + i] *
                                                     job->map[k * job->n + i];
}

/* One session of a row after the other. */
static void add_sessions(struct paired_job *job, const double *effect)
{
    for (size_t first = 0; first < job->n;) {
        int64_t session = job->session[first];
        memset(job->scratch, 0, job->n * sizeof *job->scratch);
        for (; first < job->n && job->session[first] == session; first++)
            job->scratch[first] = effect[first];
        paired_add(job, job->scratch);
    }
}

/* The curves along which pairs were brought are made of the same readings as the pairs. Their part
 * is small (no more than half of DESIGN_LEVEL_WIDTH_K along the slope) and is counted by a bound:
 * twice the sum, as (a + b)^2 <= 2 a^2 + 2 b^2. */
static void add_bringing(struct paired_job *job, const struct tested *t, const double *bend)
{
    size_t m = t->e.form->n_coef;
    double by[EFFICIENCY_COV] = {0}, cov[EFFICIENCY_COV] = {0};
    fit_cov_add(cov, m, t->e.reading, 2);
    fit_cov_add(cov, m, t->e.session, 2);
    for (size_t j = 0; j < job->p; j++)
        for (size_t c = 0; c < m; c++)
            for (size_t i = 0; i < job->n; i++)
                by[j * m + c] += job->map[j * job->n + i] * bend[i * EFFICIENCY_COEFS + c];
    for (size_t j = 0; j < job->p; j++)
        for (size_t k = 0; k < job->p; k++)
            for (size_t c = 0; c < m; c++)
                for (size_t d = 0; d < m; d++)
                    job->out->common[j * job->p + k] +=
                        by[j * m + c] * cov[c * m + d] * by[k * m + d];
}

static void add_up(struct paired_job *job)
{
    add_reading(job);
    for (size_t k = 0; k < job->n_rows; k++) {
        const double *effect = job->effect + k * job->n;
        if (paired_is_session(&job->rows[k]))
            add_sessions(job, effect);
        else
            paired_add(job, effect);
    }
    if (job->out->extra_days > 0) {
        double *day = job->effect + job->n_rows * job->n; /* the row beyond the last */
        for (size_t i = 0; i < job->n; i++)
            day[i] = sqrt(job->out->extra_days);
        add_sessions(job, day);
    }
    paired_add_solved(job);
    paired_surroundings(job);
    add_bringing(job, job->a, job->bend_a);
    add_bringing(job, job->b, job->bend_b);
}

bool paired_fit(struct paired *paired, const struct tested *a, const struct tested *b,
                const struct pairs *pairs, const struct shared_row *rows, size_t n_rows,
                struct faults *faults)
{
    memset(paired, 0, sizeof *paired);
    paired->form = pairs->form;
    paired->n = pairs->n_alike;
    struct paired_job job = {.a = a, .b = b, .rows = rows, .n_rows = n_rows, .out = paired,
                             .n = pairs->n_alike, .p = pairs->form->n_coef, .faults = faults};
    bool good = allocate(&job);
    if (good) {
        subtract(&job, pairs);
        good = paired_own(&job) && paired_effects(&job) && solve(&job) &&
               judge_scatter(&job, &pairs->design);
    }
    if (good)
        add_up(&job);
    release(&job);
    return good;
}

void paired_free(struct paired *paired)
{
    free(paired->points);
    free(paired->solved);
    free(paired->solved_cov);
    paired->points = NULL;
    paired->solved = NULL;
    paired->solved_cov = NULL;
    paired->n = paired->n_solved = 0;
}

void paired_look(const struct paired *paired, const struct fit_condition *at, double *value,
                 struct fit_part *reading, double *common)
{
    double terms[EFFICIENCY_COEFS];
    size_t p = paired->form->n_coef;
    paired->form->terms(at, terms);
    *value = fit_dot(terms, paired->coef, p);
    *reading = (struct fit_part){fit_variance(terms, paired->reading, p), paired->scale_dof};
    *common = fit_variance(terms, paired->common, p);
}
