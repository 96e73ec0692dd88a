/* Relay: the rows of a log on their way through three stations, where they are read, judged and
 * used.
 *
 * A station sees lots of rows in order, one after the other, and passes rows on to the next one.
 * Without a thread each lot goes all the way at once. With one, two take turns: one reads a few
 * lots, then judges and uses them itself, while the other reads the next ones and waits behind it
 * at each station. So the rows stay with one processor core: to hand each lot to another one costs
 * as much time as to judge it.
 *
 * A station sees the same lots in the same order either way. What it adds to faults is kept apart
 * and joined to the reader's at the end, in the order of the stations, so that the order of
 * messages does not depend on who was quicker.
 */
#ifndef INGEST_RELAY_H
#define INGEST_RELAY_H

#include "ingest/screen.h"

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum relay_station { RELAY_READ, RELAY_JUDGE, RELAY_USE, RELAY_STATIONS };
enum {
    RELAY_TURNS = 2, /* by threads, where there are any */
    RELAY_LOTS = 4   /* that a turn reads, and at most as many that wait in front of a station */
};

/* Reads on until relay_is_due, or to the end. Out: over  nothing is left to read.
 * Returns: false if the reading cannot go on; what was passed on is judged and used all the same */
typedef bool relay_read(void *state, bool *over);

/* Takes a lot: of its rows it may take what it likes, by exchange; what is left of them is of no
 * meaning afterwards. Returns: false to stop the reading. */
typedef bool relay_take(void *state, struct screen_rows *rows, bool segment_ends,
                        struct faults *faults);

struct relay_lot {
    struct screen_rows *rows;
    bool segment_ends;
};

/* What is carried from station to station. */
struct relay_turn {
    uint64_t number;
    struct screen_rows rows[RELAY_LOTS + 1]; /* one more: a lot is passed on before it is free */
    struct screen_rows *spare[RELAY_LOTS + 1];
    size_t n_spare;
    struct relay_queue {
        bool there; /* it is at the station */
        struct relay_lot lot[RELAY_LOTS];
        size_t n;
    } before[RELAY_STATIONS];
};

struct relay {
    void *state;
    relay_read *read;
    struct relay_at {
        relay_take *take;
        struct faults *faults;
        bool stopped;            /* by itself */
        struct relay_turn *turn; /* that is there; NULL: none is */
        uint64_t due;            /* number of the turn that comes next */
    } at[RELAY_STATIONS];
    bool over;    /* nothing is left to read */
    bool failed;  /* the reader */
    bool stopped; /* by a station */

    bool threaded;
    struct relay_turn *turns; /* RELAY_TURNS of them */
    pthread_mutex_t lock;     /* of at[].turn, at[].due, over, failed and stopped */
    pthread_cond_t changed;
};

/* In:      take  of each station but the first, with `state` */
void relay_init(struct relay *relay, relay_read *read, relay_take *const take[RELAY_STATIONS],
                void *state);

/* Reads, judges and uses all, and adds the stations' faults.
 * In:      plan      its columns are those of the rows
 *          threaded  whether a thread is wanted; if the machine gives none it goes without
 * Returns: false if the reading failed or was stopped, or with a machine fault. */
bool relay_run(struct relay *relay, const struct log_plan *plan, bool threaded,
               struct faults *faults);

/* Whether the reader is to leave off for now: it has read its turn's lots. */
bool relay_is_due(const struct relay *relay);

/* Passes a lot on to a station, by the one before it. The rows are others afterwards, of no
 * meaning. Returns: false if a station has stopped the reading. */
bool relay_pass(struct relay *relay, enum relay_station to, struct screen_rows *rows,
                bool segment_ends);

#endif
