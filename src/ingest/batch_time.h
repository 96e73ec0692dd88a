/* The stamp of a row of a batch, for the loops over rows in ingest/batch_avx2.c and
 * ingest/batch_shapes.c, into which it must be inlined.
 *
 * Nearly every stamp differs from the one before it in the seconds alone.
 */
#ifndef INGEST_BATCH_TIME_H
#define INGEST_BATCH_TIME_H

#include "ingest/batch_target.h"
#include "ingest/row_time.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* The text of a stamp's columns; those of a single one stand in both. */
struct batch_stamp {
    const char *first;
    size_t first_n;
    const char *last;
    size_t last_n;
    bool two;
};

/* Whether n bytes are the same; a call of memcmp would cost more. */
static inline bool batch_same(const char *a, const char *b, size_t n)
{
    uint64_t x, y, differ = 0;
    if (n < sizeof x)
        return memcmp(a, b, n) == 0;
    for (size_t i = 0; i < n; i += sizeof x) {
        size_t at = i + sizeof x <= n ? i : n - sizeof x;
        memcpy(&x, a + at, sizeof x);
        memcpy(&y, b + at, sizeof y);
        differ |= x ^ y;
    }
    return differ == 0;
}

/* Whether the stamp differs from the last minute's in the seconds alone; then they are read. */
static inline bool batch_seconds(struct rows *rows, const struct batch_stamp *stamp)
{
    const struct row_minute *minute = &rows->minute;
    return minute->known && stamp->last_n == minute->stamp_n &&
           batch_same(stamp->last, minute->stamp, stamp->last_n - 2) &&
           (!stamp->two || (stamp->first_n == minute->first_n &&
                            batch_same(stamp->first, minute->first, stamp->first_n))) &&
           row_seconds(rows, stamp->last + stamp->last_n - 2);
}

/* Reads any stamp. Returns: false if it cannot be read or stands for two instants. */
static inline bool batch_whole(struct rows *rows, const struct batch_stamp *stamp)
{
    row_stamp(rows, 0, stamp->first, stamp->first_n);
    if (stamp->two)
        row_stamp(rows, 1, stamp->last, stamp->last_n);
    return row_time(rows) == STAMP_GOOD && rows->again_us == rows->time_us;
}

/* Whether the row follows on the one before, and comes before the limit. */
static inline bool batch_follows(const struct rows *rows, const struct batch_target *target)
{
    return rows->time_us > target->last_us && rows->time_us - target->last_us <= target->gap_us &&
           rows->time_us < target->limit_us;
}

#endif
