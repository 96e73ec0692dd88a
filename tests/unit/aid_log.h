/* A synthetic log for tests: rows in memory, fed to a sink in blocks cut where the test likes.
 */
#ifndef AID_LOG_H
#define AID_LOG_H

#include "base/faults.h"
#include "domain/channel.h"
#include "ingest/block.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct aid_log {
    size_t n;
    int64_t *time_us;
    bool *gap; /* a segment starts with this row */
    bool present[CH_COUNT];
    double *value[CH_COUNT];
    uint8_t *flag[CH_COUNT];
};

/* All rows good, all values 0, one step apart, one segment; the channels that every collector test
 * has are present. */
void aid_log_init(struct aid_log *log, size_t n, int64_t start_us, int64_t step_us);
void aid_log_free(struct aid_log *log);

/* Makes a channel present with one value everywhere. */
void aid_log_set(struct aid_log *log, enum channel channel, double value);

/* Removes rows first to first + n - 1. */
void aid_log_remove(struct aid_log *log, size_t first, size_t n);

/* Feeds rows in blocks of 1 to most_rows rows, lengths from a fixed sequence started by `cut`, and
 * finishes. Fails the test if the sink does. */
void aid_log_feed(const struct aid_log *log, struct sink sink, size_t most_rows, uint32_t cut);

/* Deterministic numbers: uniform in [0, 1), and roughly normal with mean 0 and deviation 1. */
double aid_uniform(uint32_t *state);
double aid_normal(uint32_t *state);

#endif
