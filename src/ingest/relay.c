#include "ingest/relay.h"

#include "base/threads.h"

#include <stdlib.h>
#include <string.h>

static bool make_station(struct relay_at *at, relay_take *take, const struct log_plan *plan,
                         bool threaded)
{
    at->take = take;
    at->faults = malloc(sizeof *at->faults);
    if (at->faults == NULL)
        return false;
    faults_init(at->faults);
    for (size_t i = 0; threaded && i < RELAY_LOTS; i++)
        if (!screen_rows_init(&at->lot[i].rows, plan))
            return false;
    return true;
}

/* The station nearest to the end that has a lot and that nobody runs; NULL if there is none. */
static struct relay_at *next_station(struct relay *relay)
{
    for (size_t k = RELAY_STATIONS; k-- > 0;)
        if (!relay->at[k].runs && relay->at[k].passed > relay->at[k].taken)
            return &relay->at[k];
    return NULL;
}

/* Runs a station with its next lot; the lock is held before and after it. */
static void run_station(struct relay *relay, struct relay_at *at)
{
    struct relay_lot *lot = &at->lot[at->taken % RELAY_LOTS];
    at->runs = true;
    pthread_mutex_unlock(&relay->lock);
    bool good = at->take(relay->state, &lot->rows, lot->segment_ends, at->faults);
    pthread_mutex_lock(&relay->lock);
    at->runs = false;
    at->taken++;
    relay->stopped = relay->stopped || !good;
    pthread_cond_broadcast(&relay->changed);
}

/* Runs stations until all is taken or the reading is stopped. Whoever runs one looks again behind
 * it: who finds none when the reader is over can leave. */
static void *run(void *state)
{
    struct relay *relay = state;
    pthread_mutex_lock(&relay->lock);
    while (!relay->stopped) {
        struct relay_at *at = next_station(relay);
        if (at != NULL)
            run_station(relay, at);
        else if (relay->over)
            break;
        else
            pthread_cond_wait(&relay->changed, &relay->lock);
    }
    pthread_mutex_unlock(&relay->lock);
    return NULL;
}

static bool start(struct relay *relay)
{
    pthread_mutex_init(&relay->lock, NULL);
    pthread_cond_init(&relay->changed, NULL);
    if (thread_start(&relay->thread, run, relay))
        return true;
    pthread_cond_destroy(&relay->changed);
    pthread_mutex_destroy(&relay->lock);
    return false;
}

bool relay_begin(struct relay *relay, const struct log_plan *plan,
                 relay_take *const take[RELAY_STATIONS], void *state, bool threaded,
                 struct faults *faults)
{
    memset(relay, 0, sizeof *relay);
    relay->state = state;
    for (size_t k = 0; k < RELAY_STATIONS; k++)
        if (!make_station(&relay->at[k], take[k], plan, threaded))
            return fault_memory(faults);
    relay->threaded = threaded && start(relay);
    return true;
}

/* Waits for room in front of a station, and runs what can be run meanwhile. A station is passed to
 * by one before it, so what is run here never comes back to where it is run from. */
static void make_room(struct relay *relay, size_t station)
{
    const struct relay_at *to = &relay->at[station];
    while (to->passed - to->taken == RELAY_LOTS && !relay->stopped) {
        struct relay_at *at = next_station(relay);
        if (at != NULL)
            run_station(relay, at);
        else
            pthread_cond_wait(&relay->changed, &relay->lock);
    }
}

bool relay_pass(struct relay *relay, enum relay_station station, struct screen_rows *rows,
                bool segment_ends)
{
    struct relay_at *to = &relay->at[station];
    if (!relay->threaded) {
        relay->stopped = !to->take(relay->state, rows, segment_ends, to->faults) || relay->stopped;
        return !relay->stopped;
    }
    pthread_mutex_lock(&relay->lock);
    make_room(relay, station);
    if (!relay->stopped) {
        struct relay_lot *lot = &to->lot[to->passed++ % RELAY_LOTS];
        screen_rows_exchange(&lot->rows, rows);
        lot->segment_ends = segment_ends;
        pthread_cond_broadcast(&relay->changed);
    }
    bool stopped = relay->stopped;
    pthread_mutex_unlock(&relay->lock);
    return !stopped;
}

/* What is left is run by both. */
static void join(struct relay *relay)
{
    pthread_mutex_lock(&relay->lock);
    relay->over = true;
    pthread_cond_broadcast(&relay->changed);
    pthread_mutex_unlock(&relay->lock);
    run(relay);
    pthread_join(relay->thread, NULL);
    pthread_cond_destroy(&relay->changed);
    pthread_mutex_destroy(&relay->lock);
    relay->threaded = false;
}

bool relay_end(struct relay *relay, struct faults *faults)
{
    if (relay->threaded)
        join(relay);
    for (size_t k = 0; k < RELAY_STATIONS; k++) {
        struct relay_at *at = &relay->at[k];
        if (at->faults != NULL)
            faults_join(faults, at->faults);
        free(at->faults);
        at->faults = NULL;
        for (size_t i = 0; i < RELAY_LOTS; i++)
            screen_rows_free(&at->lot[i].rows);
    }
    return !relay->stopped;
}
