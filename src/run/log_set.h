/* Log set: the logs of a test, how they are read and what was read: [log] first, then each
 * [log NAME] in the description's order. Times and days are told by the clock and zone of [log].
 */
#ifndef RUN_LOG_SET_H
#define RUN_LOG_SET_H

#include "base/faults.h"
#include "ingest/join.h"
#include "run/setup.h"

#include <stdbool.h>
#include <stddef.h>

struct log_set {
    size_t n;                             /* 0: the readings are no logs' */
    char label[LOGS_MOST][NAME_SIZE + 8]; /* "[log]", "[log weather]" */
    struct place at[LOGS_MOST];           /* of it; the file is the setup's */
    int64_t ahead_us[LOGS_MOST];          /* what its clock shows more than that of [log] */
    struct log_plan plan[LOGS_MOST];
    struct log_account account[LOGS_MOST];
    struct join_account joined;
};

void log_set_init(struct log_set *set);
void log_set_free(struct log_set *set); /* safe twice */

/* Fills an empty set's plans from a setup with a [log], which must outlive it.
 * In:      threads  to read with (struct log_plan)
 * Returns: false only when memory is short. */
bool log_set_plan(struct log_set *set, const struct test_setup *setup, unsigned threads,
                  struct faults *faults);

/* Reads them as one (ingest/join.h). Returns: what logs_read does. */
bool log_set_read(struct log_set *set, struct sink *sinks, size_t n, struct faults *faults);

/* Of all their files, once the reading has begun. */
uint64_t log_set_bytes(const struct log_set *set);

/* The clock's zone by which everything is told; NULL: UTC. */
const struct zone *log_set_zone(const struct log_set *set);

/* The account that holds a channel; where none does, the first one's. */
const struct log_account *log_set_account(const struct log_set *set, enum channel channel);
const struct log_channel *log_set_channel(const struct log_set *set, enum channel channel);

/* How a sentence about one of them begins: "[log weather]: ", or "" where it is the only one. */
const char *log_set_prefix(const struct log_set *set, size_t i, char *out, size_t size);

/* Whether the logs that hold two channels have a file in common. */
bool log_set_share(const struct log_set *a, enum channel of_a, const struct log_set *b,
                   enum channel of_b);

#endif
