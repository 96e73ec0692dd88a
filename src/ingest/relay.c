#include "ingest/relay.h"

#include "base/threads.h"

#include <stdlib.h>
#include <string.h>

static bool make_slots(struct relay *relay, const struct log_plan *plan, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!screen_rows_init(&relay->slot[i].rows, plan))
            return false;
    return n == 1 || screen_rows_init(&relay->mine.rows, plan);
}

/* Waits for rows and puts them into `mine`. Returns: false when there will be none. */
static bool next_rows(struct relay *relay)
{
    pthread_mutex_lock(&relay->lock);
    while (relay->passed == relay->taken && !relay->over)
        pthread_cond_wait(&relay->changed, &relay->lock);
    bool any = relay->passed > relay->taken;
    if (any) {
        struct relay_slot *slot = &relay->slot[relay->taken % RELAY_SLOTS];
        screen_rows_exchange(&relay->mine.rows, &slot->rows);
        relay->mine.segment_ends = slot->segment_ends;
        relay->taken++;
        pthread_cond_signal(&relay->changed);
    }
    pthread_mutex_unlock(&relay->lock);
    return any;
}

static void say_stopped(struct relay *relay)
{
    pthread_mutex_lock(&relay->lock);
    relay->stopped = true;
    pthread_cond_signal(&relay->changed);
    pthread_mutex_unlock(&relay->lock);
}

static void *run(void *state)
{
    struct relay *relay = state;
    while (next_rows(relay))
        if (!relay->take(relay->state, &relay->mine.rows, relay->mine.segment_ends,
                         relay->faults)) {
            say_stopped(relay);
            break;
        }
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

bool relay_begin(struct relay *relay, const struct log_plan *plan, relay_take *take, void *state,
                 bool threaded, struct faults *faults)
{
    memset(relay, 0, sizeof *relay);
    relay->take = take;
    relay->state = state;
    relay->faults = malloc(sizeof *relay->faults);
    if (relay->faults == NULL)
        return fault_memory(faults);
    faults_init(relay->faults);
    if (!make_slots(relay, plan, threaded ? RELAY_SLOTS : 1))
        return fault_memory(faults);
    relay->threaded = threaded && start(relay);
    return true;
}

struct screen_rows *relay_rows(struct relay *relay)
{
    return &relay->slot[relay->passed % RELAY_SLOTS].rows;
}

/* Tells the thread and waits until the next slot is free. Returns: false if it has stopped. */
static bool pass_on(struct relay *relay, bool segment_ends)
{
    pthread_mutex_lock(&relay->lock);
    relay->slot[relay->passed % RELAY_SLOTS].segment_ends = segment_ends;
    relay->passed++;
    pthread_cond_signal(&relay->changed);
    while (relay->passed - relay->taken == RELAY_SLOTS && !relay->stopped)
        pthread_cond_wait(&relay->changed, &relay->lock);
    bool stopped = relay->stopped;
    pthread_mutex_unlock(&relay->lock);
    return !stopped;
}

bool relay_pass(struct relay *relay, bool segment_ends)
{
    if (relay->threaded)
        return pass_on(relay, segment_ends);
    relay->stopped = !relay->take(relay->state, relay_rows(relay), segment_ends, relay->faults);
    return !relay->stopped;
}

static void join(struct relay *relay)
{
    pthread_mutex_lock(&relay->lock);
    relay->over = true;
    pthread_cond_signal(&relay->changed);
    pthread_mutex_unlock(&relay->lock);
    pthread_join(relay->thread, NULL);
    pthread_cond_destroy(&relay->changed);
    pthread_mutex_destroy(&relay->lock);
    relay->threaded = false;
}

bool relay_end(struct relay *relay, struct faults *faults)
{
    if (relay->threaded)
        join(relay);
    if (relay->faults != NULL)
        faults_join(faults, relay->faults);
    free(relay->faults);
    relay->faults = NULL;
    for (size_t i = 0; i < RELAY_SLOTS; i++)
        screen_rows_free(&relay->slot[i].rows);
    screen_rows_free(&relay->mine.rows);
    return !relay->stopped;
}
