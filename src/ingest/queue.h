/* Queue: rows that were read and may still be joined by one that comes late.
 *
 * Loggers that send their rows by radio, or several of them through one recorder, leave rows out of
 * order. A row whose stamp lies before that of the newest one is put where it belongs if
 *
 *     fewer than QUEUE_LATE_ROWS rows stand behind that place: so much is kept, whatever the length
 *       of the log, and which rows are in order does not depend on how it is read, and
 *     there is a hole for it: 1.5 of the log's steps between the rows on both sides, and half a step
 *       to each. A clock that is put back runs through stamps that have been; its rows find no hole
 *       and stay refused.
 *
 * A log in order is not slowed by it: rows are written into the queue as they are read, and full
 * ones change hands; only the last QUEUE_LATE_ROWS are copied.
 */
#ifndef INGEST_QUEUE_H
#define INGEST_QUEUE_H

#include "ingest/account.h"
#include "ingest/relay.h"
#include "ingest/screen.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { QUEUE_LATE_ROWS = 256 };

struct queue {
    struct screen_rows rows; /* in time order; filled by the reader */
    struct screen_rows lot;  /* on its way out */
    bool passed;             /* rows were passed on, the last one of passed_us */
    int64_t passed_us;
};

/* Returns: false with a machine fault; queue_free may follow either way. */
bool queue_init(struct queue *queue, const struct log_plan *plan, struct faults *faults);
void queue_free(struct queue *queue); /* safe twice, and on {0} */

/* Makes room for a row that comes late (the queue is not full).
 * In:      step_us  of the log; 0 (not known): there is no hole
 * Out:     row      where its stamp and readings go
 * Returns: false if it does not belong anywhere; nothing has changed then */
bool queue_late(struct queue *queue, int64_t time_us, int64_t step_us, size_t *row);

/* Out: row  the one of that stamp. Returns: false if there is none among those that are held. */
bool queue_find(const struct queue *queue, int64_t time_us, size_t *row);

/* Passes on the rows that none can join any more, and with `all` the others too, which end a
 * segment. A step longer than account->gap_us (0: none is) ends one, and is noted there.
 * In:      bytes_done  read by then; goes with the rows
 * Returns: false if a station has stopped the reading */
bool queue_pass(struct queue *queue, struct relay *relay, struct log_account *account,
                uint64_t bytes_done, bool all);

#endif
