#include "window/timeline.h"

#include "ingest/span.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool timeline_init(struct timeline *timeline, struct faults *faults)
{
    memset(timeline, 0, sizeof *timeline);
    timeline->width_us = TIMELINE_FIRST_WIDTH_US;
    timeline->bins = calloc(TIMELINE_BINS, sizeof *timeline->bins);
    return timeline->bins != NULL || fault_memory(faults);
}

void timeline_free(struct timeline *timeline)
{
    free(timeline->bins);
    timeline->bins = NULL;
    timeline->n = 0;
}

static void join_cell(struct timeline_cell *into, const struct timeline_cell *from)
{
    into->flags |= from->flags;
    into->bad += from->bad;
    if (from->good == 0)
        return;
    into->least = into->good == 0 || from->least < into->least ? from->least : into->least;
    into->most = into->good == 0 || from->most > into->most ? from->most : into->most;
    into->sum += from->sum;
    into->good += from->good;
}

static void join_bin(struct timeline_bin *into, const struct timeline_bin *from)
{
    into->rows += from->rows;
    into->gap = into->gap || from->gap;
    for (int c = 0; c < CH_COUNT; c++)
        join_cell(&into->cell[c], &from->cell[c]);
}

/* Twice the width: neighbours are joined, the upper half becomes free. */
static void widen(struct timeline *timeline)
{
    struct timeline_bin *bins = timeline->bins;
    for (size_t i = 0; i < TIMELINE_BINS / 2; i++) {
        struct timeline_bin joined = bins[2 * i];
        join_bin(&joined, &bins[2 * i + 1]);
        bins[i] = joined;
    }
    memset(&bins[TIMELINE_BINS / 2], 0, TIMELINE_BINS / 2 * sizeof *bins);
    timeline->n = (timeline->n + 1) / 2;
    timeline->width_us *= 2;
}

static size_t bin_of(struct timeline *timeline, int64_t time_us)
{
    while ((time_us - timeline->start_us) / timeline->width_us >= TIMELINE_BINS)
        widen(timeline);
    return (size_t)((time_us - timeline->start_us) / timeline->width_us);
}

/* Rows first to end - 1 of a channel, all of one bin and not all good. */
static void add_mixed(struct timeline_cell *cell, const double *value, const uint8_t *flag,
                         size_t first, size_t end)
{
    for (size_t i = first; i < end; i++) {
        cell->flags |= UINT32_C(1) << flag[i];
        if (flag[i] != FLAG_GOOD) {
            cell->bad++;
            continue;
        }
        if (cell->good++ == 0)
            cell->least = cell->most = value[i];
        cell->least = value[i] < cell->least ? value[i] : cell->least;
        cell->most = value[i] > cell->most ? value[i] : cell->most;
        cell->sum += value[i];
    }
}

/* The same where all are good. */
static void add_good(struct timeline_bin *bin, const struct block *block, const enum channel *list,
                     size_t n, size_t first, size_t end)
{
    struct span_tally tally[CH_COUNT];
    for (size_t k = 0; k < n; k++) {
        const struct timeline_cell *cell = &bin->cell[list[k]];
        bool empty = cell->good == 0;
        tally[k] = (struct span_tally){.sum = cell->sum,
                                       .least = empty ? INFINITY : cell->least,
                                       .most = empty ? -INFINITY : cell->most};
    }
    span_tally(block, list, n, first, end, tally);
    for (size_t k = 0; k < n; k++) {
        struct timeline_cell *cell = &bin->cell[list[k]];
        cell->sum = tally[k].sum;
        cell->least = tally[k].least;
        cell->most = tally[k].most;
        cell->good += end - first;
        cell->flags |= UINT32_C(1) << FLAG_GOOD;
    }
}

static size_t present_channels(const struct block *block, enum channel *list)
{
    size_t n = 0;
    for (int c = 0; c < CH_COUNT; c++)
        if (block->present[c])
            list[n++] = (enum channel)c;
    return n;
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct timeline *timeline = state;
    (void)faults;
    enum channel list[CH_COUNT];
    size_t n = present_channels(block, list);
    if (timeline->rows == 0 && block->n > 0)
        timeline->start_us = block->time_us[0];
    for (size_t i = 0, end; i < block->n; i = end) {
        size_t at = bin_of(timeline, block->time_us[i]);
        struct timeline_bin *bin = &timeline->bins[at];
        end = span_end(block, i + 1, timeline_bin_start_us(timeline, at + 1));
        bin->rows += end - i;
        bin->gap = bin->gap || (i == 0 && block->gap_before);
        if (span_good(block, list, n, i, end))
            add_good(bin, block, list, n, i, end);
        else
            for (size_t k = 0; k < n; k++)
                add_mixed(&bin->cell[list[k]], block->value[list[k]], block->flag[list[k]], i, end);
        timeline->n = at + 1 > timeline->n ? at + 1 : timeline->n;
    }
    for (int c = 0; c < CH_COUNT; c++)
        timeline->present[c] = timeline->present[c] || block->present[c];
    timeline->rows += block->n;
    return true;
}

struct sink timeline_sink(struct timeline *timeline)
{
    return (struct sink){timeline, take, NULL};
}

int64_t timeline_bin_start_us(const struct timeline *timeline, size_t bin)
{
    return timeline->start_us + (int64_t)bin * timeline->width_us;
}

double timeline_mean(const struct timeline *timeline, size_t bin, enum channel channel)
{
    const struct timeline_cell *cell = &timeline->bins[bin].cell[channel];
    return cell->good > 0 ? cell->sum / (double)cell->good : NAN;
}
