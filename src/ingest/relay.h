/* Relay: full rows on their way from the reader through the stations that judge and use them.
 *
 * A station takes rows in order, one lot after the other, and may pass rows on to the next one.
 * Without a thread each lot goes all the way at once. With one, lots wait in front of each station,
 * and whoever is free runs the station nearest to the end that has a lot and that nobody runs: the
 * thread always, the reader when there is no room for what it passes on.
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

enum relay_station { RELAY_JUDGE, RELAY_USE, RELAY_STATIONS };
enum { RELAY_LOTS = 2 }; /* that wait in front of a station, the one that it is at included */

/* Takes a lot: of its rows it may take what it likes, by exchange; what is left of them is of no
 * meaning afterwards. Returns: false to stop the reading. */
typedef bool relay_take(void *state, struct screen_rows *rows, bool segment_ends,
                        struct faults *faults);

struct relay_lot {
    struct screen_rows rows;
    bool segment_ends;
};

struct relay {
    void *state;
    bool stopped;
    struct relay_at {
        relay_take *take;
        struct faults *faults;
        struct relay_lot lot[RELAY_LOTS];
        size_t passed; /* lots, to this station */
        size_t taken;  /* by it */
        bool runs;     /* somebody runs it */
    } at[RELAY_STATIONS];

    bool threaded;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed; /* passed, taken, stopped or over */
    bool over;              /* the reader will pass nothing more */
};

/* In:      plan      its columns are those of the rows
 *          take      of each station, with `state`
 *          threaded  whether a thread is wanted; if the machine gives none it goes without
 * Returns: false with a machine fault. relay_end must follow either way. */
bool relay_begin(struct relay *relay, const struct log_plan *plan,
                 relay_take *const take[RELAY_STATIONS], void *state, bool threaded,
                 struct faults *faults);

/* Passes a lot on to a station: by the reader to the first one, by each station to the next. The
 * rows are others afterwards, of no meaning. Returns: false if a station has stopped the reading.
 */
bool relay_pass(struct relay *relay, enum relay_station to, struct screen_rows *rows,
                bool segment_ends);

/* Waits until all is taken, adds the stations' faults and frees everything.
 * Returns: false if one stopped the reading. Safe twice, and on {0}. */
bool relay_end(struct relay *relay, struct faults *faults);

#endif
