/* Join: the logs of several loggers -> rows for sinks as if one logger had written them.
 *
 * The rows are those of the slowest log (the one with the longest median step, of equal ones the
 * first), at its instants; of the others each row has what they read in the slot around it
 * (ingest/partner.h). A slot is as long as the interval over which the slowest log averages, or its
 * step, and at least as long as the other's step. Rows of the slowest log before another log begins
 * or after it ends are left out and counted. Memory does not grow with the logs' length.
 *
 * All times are by the first log's clock.
 */
#ifndef INGEST_JOIN_H
#define INGEST_JOIN_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/block.h"
#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { LOGS_MOST = 4 };

struct join_log {
    const struct log_plan *plan; /* no two with a channel in common */
    const char *label;           /* in messages: "[log weather]" */
    struct place at;             /* of it in the description */
    int64_t ahead_us; /* what its clock shows more than the first one's; 0 of the first */
};

/* What became of the rows; each row of a log is counted once. */
struct join_account {
    size_t base;      /* the log whose rows are the joined ones */
    uint64_t rows;    /* joined */
    uint64_t outside; /* rows of the base while another log did not run */
    int64_t first_us; /* of the joined rows, by the first log's clock */
    int64_t last_us;
    int64_t gap_us;    /* of the base */
    struct join_part { /* by log, empty for the base */
        int64_t slot_us;
        uint64_t empty; /* joined rows in whose slot it has no reading */
        int64_t first_empty_us;
        uint64_t unused; /* its rows in no slot */
    } part[LOGS_MOST];
};

/* Reads the logs side by side, each by a thread of its own; one log alone is read as log_read does.
 * In:      n         1 to LOGS_MOST
 *          sinks     as for log_read; of several logs they are called by the caller's thread
 * Out:     accounts  one a log, by its own clock; the caller frees them, also after a failure
 * Returns: false with the faults of each reading (ingest/reader.h), all logs' in one go, or
 *          input     the logs have no row in common; a row of the slowest would hold more than 8192
 *                    of another
 *          machine   no thread can be had, memory is short */
bool logs_read(const struct join_log *logs, size_t n, struct sink *sinks, size_t n_sinks,
               struct log_account *accounts, struct join_account *joined, struct faults *faults);

#endif
