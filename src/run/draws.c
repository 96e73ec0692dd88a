#include "run/draws.h"

#include "base/threads.h"
#include "fit/draw_ends.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Draws of each number. A refused draw is NaN. Grows from round to round. */
struct store {
    double *values[DRAWS_NUMBERS];
    double *scratch;
};

struct worker {
    void *of; /* the maker's */
    struct randoms randoms;
};

/* What stays the same over all batches. */
struct task {
    const struct draws_maker *maker;
    const struct draws_request *request;
    struct draws *out;
    size_t most; /* draws */
    struct store store;
    struct worker *workers; /* one a thread */
    size_t n_workers;
};

struct draws_interval *draws_add(struct draws *draws, double value, double u, double half_95)
{
    struct draws_interval *interval = &draws->of[draws->n_of++];
    *interval = (struct draws_interval){.unit = "",
                                        .value = value,
                                        .u_linear = u,
                                        .low_linear = value - half_95,
                                        .high_linear = value + half_95};
    return interval;
}

const struct draws_interval *draws_preferred(const struct draws *draws, size_t number)
{
    if (draws == NULL || draws->n == 0 || !draws->usable || !draws->of[number].differs)
        return NULL;
    return &draws->of[number];
}

/* Whole batches; 0 if not even the least of them is within reach. */
static size_t most_draws(const struct task *task)
{
    bool asked = task->request->draws > 0;
    size_t most = asked ? task->request->draws : DRAWS_POINTS / task->maker->points;
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

static bool grow_store(struct task *task, size_t n, struct faults *faults)
{
    for (size_t q = 0; q < task->out->n_of; q++)
        if (!grow(&task->store.values[q], n, faults))
            return false;
    return grow(&task->store.scratch, n, faults);
}

/* A block's draws depend on its number alone: any thread may make it. */
static void draw_block(struct task *task, struct worker *worker, size_t block)
{
    double numbers[DRAWS_NUMBERS];
    randoms_seed(&worker->randoms, task->request->seed, block);
    for (size_t i = 0; i < RANDOMS_BLOCK; i++) {
        bool drawn = task->maker->draw(worker->of, &worker->randoms, numbers);
        for (size_t q = 0; q < task->out->n_of; q++)
            task->store.values[q][block * RANDOMS_BLOCK + i] = drawn ? numbers[q] : NAN;
    }
}

/* One thread's share of a round: every n_workers-th block. */
struct share {
    struct task *task;
    size_t worker, from, to; /* blocks */
};

/* How many it takes is known where they were asked for. The first share is the calling thread's. */
static void tell(const struct task *task, size_t block)
{
    bool asked = task->request->draws > 0;
    progress_tell(task->request->progress, "Monte Carlo", block * RANDOMS_BLOCK,
                  asked ? task->most : 0);
}

static void *draw_share(void *state)
{
    const struct share *share = state;
    struct task *task = share->task;
    for (size_t block = share->from + share->worker; block < share->to; block += task->n_workers) {
        if (share->worker == 0)
            tell(task, block);
        draw_block(task, &task->workers[share->worker], block);
    }
    return NULL;
}

/* Draws from..to on all threads; one that cannot be started is done here. */
static void draw_round(struct task *task, size_t from, size_t to)
{
    struct share shares[DRAWS_THREADS];
    pthread_t threads[DRAWS_THREADS];
    bool started[DRAWS_THREADS] = {false};
    for (size_t i = 0; i < task->n_workers; i++) {
        shares[i] = (struct share){task, i, from / RANDOMS_BLOCK, to / RANDOMS_BLOCK};
        started[i] = i > 0 && thread_start(&threads[i], draw_share, &shares[i]);
    }
    for (size_t i = 0; i < task->n_workers; i++)
        if (!started[i])
            draw_share(&shares[i]);
    for (size_t i = 0; i < task->n_workers; i++)
        if (started[i])
            pthread_join(threads[i], NULL);
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
    double off =
        fmax(fabs(ends.low - interval->low_linear), fabs(ends.high - interval->high_linear));
    interval->differs = off > interval->tolerance + ends.doubt;
    task->out->settled &= ends.doubt <= interval->tolerance;
    return true;
}

/* Judges what was drawn so far. */
static void judge(struct task *task)
{
    struct draws *out = task->out;
    out->refused = 0;
    for (size_t i = 0; i < out->n; i++)
        out->refused += isnan(task->store.values[0][i]) ? 1 : 0;
    out->usable = out->refused * 1000 <= out->n;
    out->settled = true;
    for (size_t q = 0; q < out->n_of; q++)
        out->usable &= look(task, q, &out->of[q]);
}

/* Rounds that double what there is, until the ends stand still. */
static bool draw_all(struct task *task, struct faults *faults)
{
    size_t most = task->most;
    size_t next = task->request->draws > 0 ? most : DRAWS_FEWEST;
    while (task->out->n < most) {
        if (!grow_store(task, next, faults))
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

static bool open_worker(struct task *task, struct faults *faults)
{
    struct worker *worker = &task->workers[task->n_workers];
    if (!randoms_init(&worker->randoms, faults))
        return false;
    worker->of = task->maker->open(task->maker->of, faults);
    return worker->of != NULL;
}

static bool open_workers(struct task *task, struct faults *faults)
{
    size_t wanted = task->request->threads < 1 ? 1 : task->request->threads;
    task->workers = calloc(DRAWS_THREADS, sizeof *task->workers);
    if (task->workers == NULL)
        return fault_memory(faults);
    for (; task->n_workers < wanted && task->n_workers < DRAWS_THREADS; task->n_workers++)
        if (!open_worker(task, faults))
            return false;
    return true;
}

static void close_task(struct task *task)
{
    for (size_t i = 0; task->workers != NULL && i < DRAWS_THREADS; i++) {
        if (task->workers[i].of != NULL)
            task->maker->close(task->workers[i].of);
        if (task->workers[i].randoms.state != NULL)
            randoms_free(&task->workers[i].randoms);
    }
    free(task->workers);
    for (size_t q = 0; q < DRAWS_NUMBERS; q++)
        free(task->store.values[q]);
    free(task->store.scratch);
}

bool draws_make(const struct draws_maker *maker, const struct draws_request *request,
                struct draws *out, struct faults *faults)
{
    struct task task = {.maker = maker, .request = request, .out = out};
    task.most = most_draws(&task);
    if (task.most == 0)
        return true;
    bool good = open_workers(&task, faults) && draw_all(&task, faults);
    close_task(&task);
    return good;
}
