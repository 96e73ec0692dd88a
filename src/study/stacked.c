#include "study/stacked.h"

#include "fit/nuisance.h"
#include "study/point_shift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Observations are the fitted points of a, then those of b. */
struct job {
    const struct shared_row *rows;
    size_t n_rows;
    struct stacked *out;
    size_t n, n_a, p;
    double *terms;     /* n*p */
    double *y;         /* n */
    double *own;       /* n variances by readings, scale applied */
    double *effect;    /* n_rows*n */
    double *solved_by; /* n*n_solved */
    double *map;       /* (p + n_solved)*n */
    double *scratch;   /* n */
    struct faults *faults;
};

static const struct tested *test_of(const struct job *job, size_t i)
{
    return i < job->n_a ? job->out->a : job->out->b;
}

/* Which of its test's fitted points. */
static size_t place_of(const struct job *job, size_t i)
{
    return i < job->n_a ? i : i - job->n_a;
}

static int64_t session_of(const struct job *job, size_t i)
{
    const struct tested *t = test_of(job, i);
    return t->points[t->e.index[place_of(job, i)]].means->session;
}

static enum error_kind kind_of(const struct shared_row *row)
{
    return (row->a != NULL ? row->a : row->b)->kind;
}

static bool is_solved(const struct shared_row *row)
{
    return row->a != NULL && row->b != NULL && row->a->bounded &&
           row->a->kind == ERROR_CALIBRATION;
}

static size_t count_solved(const struct shared_row *rows, size_t n)
{
    size_t k = 0;
    for (size_t i = 0; i < n; i++)
        k += is_solved(&rows[i]);
    return k;
}

bool stacked_wanted(const struct tested *a, const struct tested *b, const struct shared_row *rows,
                    size_t n_rows)
{
    return count_solved(rows, n_rows) > 0 && !a->e.curve.equal_weights && !b->e.curve.equal_weights;
}

static bool allocate(struct job *job)
{
    size_t n = job->n, k = job->out->n_solved;
    job->out->solved = calloc(k, sizeof *job->out->solved);
    job->out->solved_cov = calloc(k * k, sizeof *job->out->solved_cov);
    job->terms = calloc(n * job->p, sizeof *job->terms);
    job->y = calloc(n, sizeof *job->y);
    job->own = calloc(n, sizeof *job->own);
    job->effect = calloc(job->n_rows * n, sizeof *job->effect);
    job->solved_by = calloc(n * k, sizeof *job->solved_by);
    job->map = calloc((job->p + k) * n, sizeof *job->map);
    job->scratch = calloc(n, sizeof *job->scratch);
    return (job->out->solved && job->out->solved_cov && job->terms && job->y && job->own &&
            job->effect && job->solved_by && job->map && job->scratch) ||
           fault_memory(job->faults);
}

static void release(struct job *job)
{
    free(job->terms);
    free(job->y);
    free(job->own);
    free(job->effect);
    free(job->solved_by);
    free(job->map);
    free(job->scratch);
}

/* Variance of a point about its curve by its readings, as the curve's scatter has it. */
static double own_variance(const struct tested *t, size_t i)
{
    const struct efficiency *e = &t->e;
    const struct point *point = &t->points[e->index[i]];
    struct fit_point own = e->used[i];
    double windy = e->form->with_wind ? e->curve.coef[e->form->n_coef - 1] : 0;
    own.u_eta = hypot(point->u_eta_reading, windy * point->value.x * point->u_wind_reading);
    own.u_x = point->u_x_reading;
    own.cov_eta_x = point->cov_reading;
    return e->scale_factor * fit_curve_variance(e->form, e->curve.coef, &own);
}

static bool fill(struct job *job)
{
    size_t of_a = job->out->a->e.form->n_coef;
    for (size_t i = 0; i < job->n; i++) {
        const struct tested *t = test_of(job, i);
        const struct fit_point *used = &t->e.used[place_of(job, i)];
        t->e.form->terms(&used->at, &job->terms[i * job->p + (i < job->n_a ? 0 : of_a)]);
        job->y[i] = used->eta;
        job->own[i] = own_variance(t, place_of(job, i));
    }
    for (size_t k = 0; k < job->n_rows; k++)
        for (size_t i = 0; i < job->n; i++) {
            const struct error_source *row = i < job->n_a ? job->rows[k].a : job->rows[k].b;
            if (row != NULL && !point_shift(test_of(job, i), place_of(job, i), row,
                                            &job->effect[k * job->n + i], job->faults))
                return false;
        }
    return true;
}

static void choose_solved(struct job *job)
{
    size_t k = 0;
    for (size_t r = 0; r < job->n_rows; r++) {
        if (!is_solved(&job->rows[r]))
            continue;
        job->out->solved[k].row = &job->rows[r];
        for (size_t i = 0; i < job->n; i++)
            job->solved_by[i * job->out->n_solved + k] = job->effect[r * job->n + i];
        k++;
    }
}

/* Row j of the map times a shift of the points. */
static double mapped(const struct job *job, size_t j, const double *shift)
{
    return fit_dot(job->map + j * job->n, shift, job->n);
}

/* Points are weighed by what is their own and what is their session's, as in a curve. */
static bool solve(struct job *job)
{
    memcpy(job->scratch, job->own, job->n * sizeof *job->scratch);
    for (size_t r = 0; r < job->n_rows; r++)
        for (size_t i = 0; kind_of(&job->rows[r]) == ERROR_SESSION && i < job->n; i++)
            job->scratch[i] += job->effect[r * job->n + i] * job->effect[r * job->n + i];
    enum fit_status status = fit_nuisance(job->terms, job->scratch, job->n, job->p, job->solved_by,
                                          job->out->n_solved, job->map);
    if (status == FIT_NO_MEMORY)
        return fault_memory(job->faults);
    if (status != FIT_OK) {
        struct fault *fault = fault_new(job->faults, FAULT_DATA,
                                        fault_at(job->out->b->reduction->setup.path, 0, 0));
        fault_found(fault, "both curves with what was swapped could not be fitted: %s",
                    fit_status_text(status));
        fault_hint(fault, "points of both tests on both sides of the swap are needed");
        return false;
    }
    for (size_t j = 0; j < job->p; j++)
        job->out->coef[j] = mapped(job, j, job->y);
    for (size_t m = 0; m < job->out->n_solved; m++)
        job->out->solved[m].value = mapped(job, job->p + m, job->y);
    return true;
}

/* One error that moves the points so: its part of all covariances. row: which, if it is one; -1:
 * none */
static void add_shift(struct job *job, size_t row, const double *shift)
{
    double d[STACKED_COEFS];
    size_t k = job->out->n_solved;
    for (size_t j = 0; j < job->p; j++)
        d[j] = mapped(job, j, shift);
    fit_cov_add_outer(job->out->common, job->p, d);
    for (size_t j = 0; j < k; j++)
        for (size_t m = 0; m < k; m++) {
            double by_j = mapped(job, job->p + j, shift), by_m = mapped(job, job->p + m, shift);
            by_j -= row < job->n_rows && job->out->solved[j].row == &job->rows[row];
            by_m -= row < job->n_rows && job->out->solved[m].row == &job->rows[row];
            job->out->solved_cov[j * k + m] += by_j * by_m;
        }
}

static bool session_is_new(const struct job *job, size_t i, size_t from)
{
    for (size_t k = from; k < i; k++)
        if (session_of(job, k) == session_of(job, i))
            return false;
    return true;
}

/* A shift that is another one each session; points from..until only. */
static void add_sessions(struct job *job, const double *shift, size_t from, size_t until)
{
    for (size_t first = from; first < until; first++) {
        if (!session_is_new(job, first, from))
            continue;
        memset(job->scratch, 0, job->n * sizeof *job->scratch);
        for (size_t i = first; i < until; i++)
            if (session_of(job, i) == session_of(job, first))
                job->scratch[i] = shift[i];
        add_shift(job, job->n_rows, job->scratch);
    }
}

/* What one test has beside the registry: days that differ, what its form left out. */
static void add_rest(struct job *job, double *shift, size_t from, size_t until)
{
    const struct efficiency *e = &test_of(job, from)->e;
    double a2 = fit_variance((double[EFFICIENCY_COEFS]){1, 1, 1, 1}, e->curvature,
                             e->form->n_coef) > 0 ? e->term.upper / sqrt(3.0) : 0;
    memset(shift, 0, job->n * sizeof *shift);
    for (size_t i = from; i < until; i++)
        shift[i] = sqrt(fmax(0, e->days.extra));
    add_sessions(job, shift, from, until);
    static double (*const left_out[])(const struct tested *, size_t) = {point_shift_wind,
                                                                        point_shift_sky};
    for (size_t k = 0; k < 2; k++) {
        for (size_t i = from; i < until; i++)
            shift[i] = left_out[k](test_of(job, i), place_of(job, i));
        add_shift(job, job->n_rows, shift);
    }
    for (size_t i = from; i < until; i++) {
        const struct fit_condition *at = &e->used[place_of(job, i)].at;
        shift[i] = a2 * at->g * at->x * at->x;
    }
    add_shift(job, job->n_rows, shift);
}

static void add_readings(struct job *job)
{
    size_t k = job->out->n_solved;
    for (size_t i = 0; i < job->n; i++) {
        double d[STACKED_COEFS];
        for (size_t j = 0; j < job->p; j++)
            d[j] = sqrt(job->own[i]) * job->map[j * job->n + i];
        fit_cov_add_outer(i < job->n_a ? job->out->reading_a : job->out->reading_b, job->p, d);
        for (size_t j = 0; j < k; j++)
            for (size_t m = 0; m < k; m++)
                job->out->solved_cov[j * k + m] += job->own[i] *
                                                   job->map[(job->p + j) * job->n + i] *
                                                   job->map[(job->p + m) * job->n + i];
    }
}

static bool add_up(struct job *job)
{
    double *shift = calloc(job->n, sizeof *shift);
    if (shift == NULL)
        return fault_memory(job->faults);
    add_readings(job);
    for (size_t r = 0; r < job->n_rows; r++) {
        const double *effect = job->effect + r * job->n;
        if (kind_of(&job->rows[r]) == ERROR_SESSION)
            add_sessions(job, effect, 0, job->n);
        else
            add_shift(job, r, effect);
    }
    add_rest(job, shift, 0, job->n_a);
    add_rest(job, shift, job->n_a, job->n);
    free(shift);
    return true;
}

bool stacked_fit(struct stacked *stacked, const struct tested *a, const struct tested *b,
                 const struct shared_row *rows, size_t n_rows, struct faults *faults)
{
    memset(stacked, 0, sizeof *stacked);
    stacked->a = a;
    stacked->b = b;
    stacked->p = a->e.form->n_coef + b->e.form->n_coef;
    stacked->n_solved = count_solved(rows, n_rows);
    struct job job = {.rows = rows, .n_rows = n_rows, .out = stacked, .n = a->e.n + b->e.n,
                      .n_a = a->e.n, .p = stacked->p, .faults = faults};
    bool good = allocate(&job) && fill(&job);
    if (good)
        choose_solved(&job);
    good = good && solve(&job) && add_up(&job);
    release(&job);
    return good;
}

void stacked_free(struct stacked *stacked)
{
    free(stacked->solved);
    free(stacked->solved_cov);
    stacked->solved = NULL;
    stacked->solved_cov = NULL;
    stacked->n_solved = 0;
}

void stacked_look(const struct stacked *stacked, const double *terms_a, const double *terms_b,
                  double *value, struct fit_part reading[2], double *common)
{
    double terms[STACKED_COEFS];
    size_t of_a = stacked->a->e.form->n_coef;
    for (size_t j = 0; j < stacked->p; j++)
        terms[j] = j < of_a ? terms_a[j] : -terms_b[j - of_a];
    *value = fit_dot(terms, stacked->coef, stacked->p);
    reading[0] = (struct fit_part){fit_variance(terms, stacked->reading_a, stacked->p),
                                   stacked->a->e.scale_dof};
    reading[1] = (struct fit_part){fit_variance(terms, stacked->reading_b, stacked->p),
                                   stacked->b->e.scale_dof};
    *common = fit_variance(terms, stacked->common, stacked->p);
}
