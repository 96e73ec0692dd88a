/* Blocks: how readings travel. Nothing in the program holds a whole log.
 *
 * A block is at most BLOCK_ROWS rows in time order, one array a channel, a flag a reading. Sinks
 * take blocks one after the other; a block belongs to its producer and is reused after the call.
 */
#ifndef INGEST_BLOCK_H
#define INGEST_BLOCK_H

#include "base/faults.h"
#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { BLOCK_ROWS = 4096 };

/* A reading is used, or set aside with its flag; it is never repaired. */
enum reading_flag {
    FLAG_GOOD,
    FLAG_MISSING,      /* empty field, or a marker that the description names */
    FLAG_NOT_A_NUMBER, /* text where a number should be */
    FLAG_OUT_OF_RANGE, /* outside the channel's physical range (domain/channel.h) */
    FLAG_SHORT_ROW,    /* the row ended before this column */
    FLAG_ERROR_CODE,   /* a known code instead of a reading (ingest/error_codes.h) */
    FLAG_SPIKE,        /* one reading far from both beside it; see ingest/screen.h */
    FLAG_STUCK,        /* one of a long run of exactly the same number */
    FLAG_SATURATED,    /* one of a plateau at the highest reading of a sun sensor */
    FLAG_AFTER_LOST,   /* counted since a row that was set aside; see ingest/reading_lost.c */
    FLAG_COUNT
};
const char *flag_word(enum reading_flag flag); /* "missing" */

/* Where a row stands. A line beyond 2^32 - 1 is told as that one. */
struct row_place {
    uint32_t file; /* into the account's files */
    uint32_t line;
};

struct block {
    size_t n;                    /* rows, <= BLOCK_ROWS */
    uint64_t bytes_done;         /* of the log's files, read by then: for progress */
    bool gap_before; /* time does not run on from the previous block: segments restart */
    int64_t *time_us;            /* UTC, strictly rising within and across blocks */
    const struct row_place *place; /* of each row; NULL where logs were joined */
    bool present[CH_COUNT];      /* the log has (or the derivation made) this channel */
    double *value[CH_COUNT]; /* SI (degC); NaN where the flag is not good; NULL if not present */
    uint8_t *flag[CH_COUNT];     /* enum reading_flag; NULL if not present */
    bool all_good[CH_COUNT];     /* every reading of the channel is good; false: not looked at */
};

/* Whatever wants to see the readings. Called in registration order; false stops the reading. */
struct sink {
    void *state;
    bool (*take)(void *state, const struct block *block, struct faults *faults);
    bool (*finish)(void *state, struct faults *faults); /* after the last block; may be NULL */
};

#endif
