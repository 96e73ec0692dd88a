#include "ingest/relay.h"

#include "base/threads.h"

#include <sched.h>
#include <stdlib.h>
#include <string.h>

enum { LOOKS_MOST = 500 };

void relay_init(struct relay *relay, relay_read *read, relay_take *const take[RELAY_STATIONS],
                void *state)
{
    memset(relay, 0, sizeof *relay);
    relay->state = state;
    relay->read = read;
    for (int station = RELAY_JUDGE; station < RELAY_STATIONS; station++)
        relay->at[station].take = take[station];
}

static bool make_turn(struct relay_turn *turn, const struct log_plan *plan)
{
    for (size_t i = 0; i < RELAY_LOTS + 1; i++) {
        if (!screen_rows_init(&turn->rows[i], plan))
            return false;
        turn->spare[turn->n_spare++] = &turn->rows[i];
    }
    return true;
}

static void free_turns(struct relay *relay)
{
    for (size_t k = 0; relay->turns != NULL && k < RELAY_TURNS; k++)
        for (size_t i = 0; i < RELAY_LOTS + 1; i++)
            screen_rows_free(&relay->turns[k].rows[i]);
    free(relay->turns);
    relay->turns = NULL;
}

static bool make_turns(struct relay *relay, const struct log_plan *plan, struct faults *faults)
{
    relay->turns = calloc(RELAY_TURNS, sizeof *relay->turns);
    for (size_t k = 0; k < RELAY_TURNS; k++)
        if (relay->turns == NULL || !make_turn(&relay->turns[k], plan))
            return fault_memory(faults);
    return true;
}

/* Waits for another thread to change something; the lock is held. A thread that sleeps takes a tenth
 * of a turn to come back: it looks around a while first (some 0.1 ms). */
static void wait_for_change(struct relay *relay, int *looks)
{
    if (*looks == LOOKS_MOST) {
        pthread_cond_wait(&relay->changed, &relay->lock);
        return;
    }
    ++*looks;
    pthread_mutex_unlock(&relay->lock);
    sched_yield();
    pthread_mutex_lock(&relay->lock);
}

/* The reader's next turn. Returns: false if nothing is left to read. */
static bool begin_turn(struct relay *relay, struct relay_turn *turn)
{
    struct relay_at *reader = &relay->at[RELAY_READ];
    pthread_mutex_lock(&relay->lock);
    for (int looks = 0; reader->turn != NULL;)
        wait_for_change(relay, &looks);
    bool begins = !relay->over && !relay->stopped;
    if (begins) {
        turn->number = reader->due;
        reader->turn = turn;
    }
    pthread_mutex_unlock(&relay->lock);
    return begins;
}

/* Waits until the turns before it are through with the station. */
static void enter(struct relay *relay, struct relay_turn *turn, enum relay_station station)
{
    struct relay_at *at = &relay->at[station];
    pthread_mutex_lock(&relay->lock);
    for (int looks = 0; at->due != turn->number;)
        wait_for_change(relay, &looks);
    at->turn = turn;
    pthread_mutex_unlock(&relay->lock);
    turn->before[station].there = true;
}

static void leave(struct relay *relay, struct relay_turn *turn, enum relay_station station)
{
    turn->before[station].there = false;
    pthread_mutex_lock(&relay->lock);
    relay->at[station].turn = NULL;
    relay->at[station].due++;
    pthread_cond_broadcast(&relay->changed);
    pthread_mutex_unlock(&relay->lock);
}

static bool is_stopped(struct relay *relay)
{
    pthread_mutex_lock(&relay->lock);
    bool stopped = relay->stopped;
    pthread_mutex_unlock(&relay->lock);
    return stopped;
}

static void stop(struct relay *relay)
{
    if (relay->threaded)
        pthread_mutex_lock(&relay->lock);
    relay->stopped = true;
    if (relay->threaded)
        pthread_mutex_unlock(&relay->lock);
}

/* A station that has stopped takes nothing more; one behind it takes what was passed before. */
static void take_lot(struct relay *relay, enum relay_station station, struct screen_rows *rows,
                     bool segment_ends)
{
    struct relay_at *at = &relay->at[station];
    if (at->stopped || at->take(relay->state, rows, segment_ends, at->faults))
        return;
    at->stopped = true;
    stop(relay);
}

/* Takes the turn's lots to the station and through it; it is there afterwards. */
static void run_station(struct relay *relay, struct relay_turn *turn, enum relay_station station)
{
    struct relay_queue *queue = &turn->before[station];
    if (!queue->there)
        enter(relay, turn, station);
    for (size_t i = 0; i < queue->n; i++) {
        take_lot(relay, station, queue->lot[i].rows, queue->lot[i].segment_ends);
        turn->spare[turn->n_spare++] = queue->lot[i].rows;
    }
    queue->n = 0;
}

static void read_turn(struct relay *relay, struct relay_turn *turn)
{
    bool over = false;
    bool good = relay->read(relay->state, &over);
    pthread_mutex_lock(&relay->lock);
    relay->failed = !good;
    relay->over = over || !good;
    pthread_mutex_unlock(&relay->lock);
    leave(relay, turn, RELAY_READ);
}

static void take_turns(struct relay *relay, struct relay_turn *turn)
{
    while (begin_turn(relay, turn)) {
        read_turn(relay, turn);
        for (int station = RELAY_JUDGE; station < RELAY_STATIONS; station++) {
            run_station(relay, turn, (enum relay_station)station);
            leave(relay, turn, (enum relay_station)station);
        }
    }
}

static void *help(void *state)
{
    struct relay *relay = state;
    take_turns(relay, &relay->turns[1]);
    return NULL;
}

static bool run_threaded(struct relay *relay, const struct log_plan *plan, struct faults *faults)
{
    pthread_t helper;
    bool good = make_turns(relay, plan, faults);
    if (good) {
        pthread_mutex_init(&relay->lock, NULL);
        pthread_cond_init(&relay->changed, NULL);
        relay->threaded = true; /* the helper looks at it */
        if (thread_start(&helper, help, relay)) {
            take_turns(relay, &relay->turns[0]);
            pthread_join(helper, NULL);
        } else {
            relay->threaded = false;
        }
        pthread_cond_destroy(&relay->changed);
        pthread_mutex_destroy(&relay->lock);
    }
    free_turns(relay);
    return good;
}

static void run_alone(struct relay *relay)
{
    while (!relay->over && !relay->failed && !relay->stopped)
        relay->failed = !relay->read(relay->state, &relay->over);
}

static bool make_faults(struct relay *relay)
{
    for (int station = RELAY_JUDGE; station < RELAY_STATIONS; station++) {
        relay->at[station].faults = malloc(sizeof *relay->at[station].faults);
        if (relay->at[station].faults == NULL)
            return false;
        faults_init(relay->at[station].faults);
    }
    return true;
}

static void join_faults(struct relay *relay, struct faults *faults)
{
    for (int station = RELAY_JUDGE; station < RELAY_STATIONS; station++) {
        if (relay->at[station].faults != NULL)
            faults_join(faults, relay->at[station].faults);
        free(relay->at[station].faults);
        relay->at[station].faults = NULL;
    }
}

bool relay_run(struct relay *relay, const struct log_plan *plan, bool threaded,
               struct faults *faults)
{
    bool good = make_faults(relay) || fault_memory(faults);
    if (good && threaded)
        good = run_threaded(relay, plan, faults);
    if (good && !relay->threaded)
        run_alone(relay);
    join_faults(relay, faults);
    return good && !relay->failed && !relay->stopped;
}

bool relay_is_due(const struct relay *relay)
{
    return relay->threaded && relay->at[RELAY_READ].turn->before[RELAY_JUDGE].n >= RELAY_LOTS;
}

bool relay_pass(struct relay *relay, enum relay_station to, struct screen_rows *rows,
                bool segment_ends)
{
    if (!relay->threaded) {
        take_lot(relay, to, rows, segment_ends);
        return !relay->stopped;
    }
    struct relay_turn *turn = relay->at[to - 1].turn;
    struct relay_queue *queue = &turn->before[to];
    /* Many short lots: what waits is taken now, to make room. */
    if (turn->n_spare == 0 || queue->n == RELAY_LOTS)
        run_station(relay, turn, to);
    struct screen_rows *spare = turn->spare[--turn->n_spare];
    screen_rows_exchange(spare, rows);
    queue->lot[queue->n++] = (struct relay_lot){spare, segment_ends};
    return !is_stopped(relay);
}
