#include "run/efficiency_draws.h"

#include "base/threads.h"
#include "fit/bands.h"
#include "fit/combine.h"
#include "fit/draw_ends.h"
#include "run/efficiency_drawer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Draws of each number. A refused draw is NaN. Grows from round to round. */
struct store {
    double *values[EFFICIENCY_COEFS + DRAWS_PLACES];
    double *scratch;
    size_t rows;
};

/* What stays the same over all batches. */
struct task {
    const struct efficiency *e;
    const struct draws_request *request;
    struct draws *out;
    double terms[DRAWS_PLACES][EFFICIENCY_COEFS]; /* of the form at the places */
    size_t most; /* draws */
    struct store store;
    struct drawer *drawers; /* one a thread */
    size_t n_drawers;
};

/* The curve is looked at where the points begin, in the middle and where they end. */
static void choose_places(struct task *task, double g_W_m2)
{
    const struct efficiency *e = task->e;
    task->out->g_W_m2 = g_W_m2;
    for (size_t k = 0; k < DRAWS_PLACES; k++) {
        double part = (double)k / (DRAWS_PLACES - 1);
        double x = e->design.least_x + part * (e->design.most_x - e->design.least_x);
        struct fit_condition at = {.x = x, .g = g_W_m2, .wind = e->draw_wind};
        task->out->x[k] = x;
        e->form->terms(&at, task->terms[k]);
    }
}

/* Whole batches; 0 if not even the least of them is within reach. */
static size_t most_draws(const struct task *task)
{
    bool asked = task->request->draws > 0;
    size_t most = asked ? task->request->draws : DRAWS_POINTS / task->e->n;
    size_t limit = asked ? DRAWS_MOST : DRAWS_USUAL;
    size_t batches = (most < limit ? most : limit) / DRAWS_BATCH;
    return batches >= DRAWS_LEAST ? batches * DRAWS_BATCH : 0;
}

static bool grow(double **values, size_t n, struct faults *faults)
{
    double *grown = realloc(*values, n * sizeof *grown);
    if (grown == NULL)
        return fault_memory(faults);
    *values = grown;
    return true;
}

static bool grow_store(struct store *store, size_t n, struct faults *faults)
{
    for (size_t q = 0; q < store->rows; q++)
        if (!grow(&store->values[q], n, faults))
            return false;
    return grow(&store->scratch, n, faults);
}

static void keep(struct task *task, size_t i, bool drawn, const double *coef)
{
    struct store *store = &task->store;
    size_t p = task->e->form->n_coef;
    for (size_t j = 0; j < p; j++)
        store->values[j][i] = drawn ? coef[j] : NAN;
    for (size_t k = 0; k < DRAWS_PLACES; k++)
        store->values[p + k][i] = drawn ? fit_dot(task->terms[k], coef, p) : NAN;
}

/* A block's draws depend on its number alone: any thread may make it. */
static void draw_block(struct task *task, struct drawer *drawer, size_t block)
{
    double coef[EFFICIENCY_COEFS];
    randoms_seed(&drawer->randoms, task->request->seed, block);
    for (size_t i = 0; i < RANDOMS_BLOCK; i++) {
        bool drawn = drawer_draw(drawer, coef);
        keep(task, block * RANDOMS_BLOCK + i, drawn, coef);
    }
}

/* One thread's share of a round: every n_drawers-th block. */
struct share {
    struct task *task;
    size_t drawer, from, to; /* blocks */
};

static void *draw_share(void *state)
{
    const struct share *share = state;
    struct task *task = share->task;
    for (size_t block = share->from + share->drawer; block < share->to; block += task->n_drawers)
        draw_block(task, &task->drawers[share->drawer], block);
    return NULL;
}

/* Draws from..to on all threads; one that cannot be started is done here. */
static void draw_round(struct task *task, size_t from, size_t to)
{
    struct share shares[DRAWS_THREADS];
    pthread_t threads[DRAWS_THREADS];
    bool started[DRAWS_THREADS] = {false};
    for (size_t i = 0; i < task->n_drawers; i++) {
        shares[i] = (struct share){task, i, from / RANDOMS_BLOCK, to / RANDOMS_BLOCK};
        started[i] = i > 0 && thread_start(&threads[i], draw_share, &shares[i]);
    }
    for (size_t i = 0; i < task->n_drawers; i++)
        if (!started[i])
            draw_share(&shares[i]);
    for (size_t i = 0; i < task->n_drawers; i++)
        if (started[i])
            pthread_join(threads[i], NULL);
}

static void linear_coef(const struct efficiency *e, size_t j, struct draws_interval *interval)
{
    double u, dof;
    efficiency_combined(e, j, &u, &dof);
    double half = fit_coverage_95(dof) * u;
    interval->value = e->curve.coef[j];
    interval->u_linear = u;
    interval->low_linear = interval->value - half;
    interval->high_linear = interval->value + half;
}

static void linear_place(const struct task *task, size_t k, struct draws_interval *interval)
{
    struct fit_parts parts = efficiency_parts(task->e);
    struct fit_band band;
    fit_band_curve(&parts, task->terms[k], &band);
    interval->value = band.value;
    interval->u_linear = band.u;
    interval->low_linear = band.value - band.half_95;
    interval->high_linear = band.value + band.half_95;
}

/* Both ways beside each other. Returns: false if too few draws are left to say anything. */
static bool look(struct task *task, size_t row, struct draws_interval *interval)
{
    struct fit_draw_ends ends;
    const struct store *store = &task->store;
    if (fit_draw_ends(store->values[row], task->out->n, DRAWS_BATCH, store->scratch, &ends) !=
        FIT_OK)
        return false;
    interval->u = ends.sd;
    interval->low = ends.low;
    interval->high = ends.high;
    interval->doubt = ends.doubt;
    interval->tolerance = fit_draw_tolerance(ends.sd);
    double off = fmax(fabs(ends.low - interval->low_linear),
                      fabs(ends.high - interval->high_linear));
    interval->differs = off > interval->tolerance + ends.doubt;
    task->out->settled &= ends.doubt <= interval->tolerance;
    return true;
}

/* Judges what was drawn so far. */
static void judge(struct task *task)
{
    struct draws *out = task->out;
    size_t p = task->e->form->n_coef;
    out->refused = 0;
    for (size_t i = 0; i < out->n; i++)
        out->refused += isnan(task->store.values[0][i]) ? 1 : 0;
    out->usable = out->refused * 1000 <= out->n;
    out->settled = true;
    for (size_t j = 0; j < p; j++)
        out->usable &= look(task, j, &out->coef[j]);
    for (size_t k = 0; k < DRAWS_PLACES; k++)
        out->usable &= look(task, p + k, &out->at[k]);
}

/* Rounds that double what there is, until the ends stand still. */
static bool draw_all(struct task *task, struct faults *faults)
{
    size_t most = task->most;
    size_t next = task->request->draws > 0 ? most : DRAWS_FEWEST;
    while (task->out->n < most) {
        if (!grow_store(&task->store, next, faults))
            return false;
        draw_round(task, task->out->n, next);
        task->out->n = next;
        judge(task);
        if (task->out->settled || !task->out->usable)
            break;
        next = 2 * next < most ? 2 * next : most;
    }
    return true;
}

static bool open_drawers(struct task *task, const struct point *points,
                         const struct point_setup *setup, const struct error_registry *registry,
                         struct faults *faults)
{
    size_t wanted = task->request->threads < 1 ? 1 : task->request->threads;
    task->drawers = calloc(DRAWS_THREADS, sizeof *task->drawers);
    if (task->drawers == NULL)
        return fault_memory(faults);
    for (; task->n_drawers < wanted && task->n_drawers < DRAWS_THREADS; task->n_drawers++)
        if (!drawer_init(&task->drawers[task->n_drawers], task->e, points, setup, registry, faults))
            return false;
    return true;
}

static void close_task(struct task *task)
{
    for (size_t i = 0; task->drawers != NULL && i < DRAWS_THREADS; i++)
        drawer_free(&task->drawers[i]);
    free(task->drawers);
    for (size_t q = 0; q < task->store.rows; q++)
        free(task->store.values[q]);
    free(task->store.scratch);
}

bool efficiency_draw(const struct efficiency *e, const struct point *points,
                     const struct point_setup *setup, const struct error_registry *registry,
                     const struct draws_request *request, double g_W_m2, struct draws *out,
                     struct faults *faults)
{
    struct task task = {.e = e, .request = request, .out = out};
    memset(out, 0, sizeof *out);
    choose_places(&task, g_W_m2);
    for (size_t j = 0; j < e->form->n_coef; j++)
        linear_coef(e, j, &out->coef[j]);
    for (size_t k = 0; k < DRAWS_PLACES; k++)
        linear_place(&task, k, &out->at[k]);
    task.most = most_draws(&task);
    task.store.rows = e->form->n_coef + DRAWS_PLACES;
    if (task.most == 0)
        return true;
    bool good =
        open_drawers(&task, points, setup, registry, faults) && draw_all(&task, faults);
    close_task(&task);
    return good;
}
