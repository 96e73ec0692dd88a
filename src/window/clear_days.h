/* Clear days: the sunshine of a log in bins of five minutes, day by day of mean solar time; the
 * days with most clear bins are kept. Memory does not grow with the log.
 */
#ifndef WINDOW_CLEAR_DAYS_H
#define WINDOW_CLEAR_DAYS_H

#include "ingest/block.h"
#include "sky/clock.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct clear_days {
    int64_t shift_us; /* mean solar time less UTC */
    bool open;
    int64_t day; /* number of the open one, of mean solar time */
    double sum[CLOCK_BINS];
    uint32_t count[CLOCK_BINS];
    double least[CLOCK_BINS], most[CLOCK_BINS];
    struct clock_day kept[CLOCK_DAYS]; /* after the last block */
    size_t n_kept;
};

void clear_days_init(struct clear_days *days, double longitude_rad);

/* The sink to hand to whoever reads. */
struct sink clear_days_sink(struct clear_days *days);

#endif
