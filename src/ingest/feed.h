/* Feed: a log that is read by a thread of its own and taken block by block, for who needs the rows
 * of several logs at once (ingest/join.h). At most FEED_SLOTS blocks and one are held: a reader
 * that is ahead waits.
 */
#ifndef INGEST_FEED_H
#define INGEST_FEED_H

#include "ingest/account.h"
#include "ingest/log_plan.h"
#include "ingest/screen.h"

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

enum { FEED_SLOTS = 2 };

struct feed {
    const struct log_plan *plan;
    const char *label;
    struct log_account *account;
    struct faults *faults; /* of the reading; joined to the taker's at the end */
    struct screen_rows slot[FEED_SLOTS];
    struct screen_rows mine; /* what the taker is at */
    bool started;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed; /* passed, taken, over or unwanted */
    size_t passed;
    size_t taken;
    bool over;     /* the reading has ended */
    bool unwanted; /* nothing more will be taken */
    bool good;     /* what log_read returned */
};

/* Starts to read.
 * In:      plan     kept until feed_end
 *          label    of its section in messages, "[log weather]"; kept likewise
 * Out:     account  the feed's own during the reading; freed by the caller. Its step and sizes may
 *                   be looked at once a block was taken, the rest after feed_end
 * Returns: false with a machine fault. feed_end must follow either way. */
bool feed_begin(struct feed *feed, const struct log_plan *plan, const char *label,
                struct log_account *account, struct faults *faults);

/* The next block, good until the next call; NULL when there are no more, also after a failure. */
const struct block *feed_next(struct feed *feed);

/* Waits for the end of the reading, frees the feed and adds its faults.
 * In:      read_on  to the log's end, for its account and its faults; otherwise it is stopped
 * Returns: false if the reading failed or was stopped. Safe twice, and on {0}. */
bool feed_end(struct feed *feed, bool read_on, struct faults *faults);

#endif
