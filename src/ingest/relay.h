/* Relay: full rows on their way from the reader to whoever judges and uses them, which a thread of
 * its own may do.
 *
 * The same rows come in the same order either way. What is added to faults on the other side is
 * kept apart and joined to the reader's at the end, so that the order of messages does not depend
 * on who was quicker.
 */
#ifndef INGEST_RELAY_H
#define INGEST_RELAY_H

#include "ingest/screen.h"

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

enum { RELAY_SLOTS = 2 };

/* Takes rows out of `rows`, by screen_take, and leaves it empty. Returns: false to stop the
 * reading. */
typedef bool relay_take(void *state, struct screen_rows *rows, bool segment_ends,
                        struct faults *faults);

struct relay {
    relay_take *take;
    void *state;
    struct relay_slot {
        struct screen_rows rows;
        bool segment_ends;
    } slot[RELAY_SLOTS];
    struct relay_slot mine; /* of the thread: what it is at */
    struct faults *faults;  /* of the other side */
    bool stopped;

    bool threaded;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed; /* passed, taken, stopped or over */
    size_t passed;          /* by the reader */
    size_t taken;           /* by the thread */
    bool over;
};

/* In:      plan      its columns are those of the rows
 *          threaded  whether a thread is wanted; if the machine gives none it goes without
 * Returns: false with a machine fault. relay_end must follow either way. */
bool relay_begin(struct relay *relay, const struct log_plan *plan, relay_take *take, void *state,
                 bool threaded, struct faults *faults);

/* The rows to be filled, empty at first. */
struct screen_rows *relay_rows(struct relay *relay);

/* Passes them on. Returns: false if the other side has stopped the reading. */
bool relay_pass(struct relay *relay, bool segment_ends);

/* Waits until all is taken, adds the other side's faults and frees everything.
 * Returns: false if it stopped the reading. Safe twice, and on {0}. */
bool relay_end(struct relay *relay, struct faults *faults);

#endif
