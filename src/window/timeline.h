/* Timeline: the whole log as an envelope for a picture: smallest, mean and largest reading of each
 * channel in at most TIMELINE_BINS equal bins. When the bins are used up their width doubles and
 * neighbours are joined; memory does not grow.
 */
#ifndef WINDOW_TIMELINE_H
#define WINDOW_TIMELINE_H

#include "base/faults.h"
#include "domain/channel.h"
#include "ingest/block.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TIMELINE_BINS = 2048 };

struct timeline_cell {
    double least; /* SI; meaningless while good is 0 */
    double most;
    double sum;
    uint64_t good;  /* readings */
    uint64_t bad;   /* readings set aside */
    uint32_t flags; /* bit 1 << enum reading_flag for each flag seen, good ones included */
};

struct timeline_bin {
    uint64_t rows;
    bool gap; /* a segment starts in this bin: no line across its left side */
    struct timeline_cell cell[CH_COUNT];
};

struct timeline {
    struct timeline_bin *bins;
    size_t n;         /* used: up to the last bin that holds a row */
    int64_t start_us; /* of bin 0: the first row's time */
    int64_t width_us; /* doubles; starts with TIMELINE_FIRST_WIDTH_US */
    bool present[CH_COUNT];
    uint64_t rows;
};

#define TIMELINE_FIRST_WIDTH_US INT64_C(1000000)

bool timeline_init(struct timeline *timeline, struct faults *faults);
void timeline_free(struct timeline *timeline);
struct sink timeline_sink(struct timeline *timeline);

int64_t timeline_bin_start_us(const struct timeline *timeline, size_t bin);

/* NaN where the bin holds no good reading. */
double timeline_mean(const struct timeline *timeline, size_t bin, enum channel channel);

#endif
