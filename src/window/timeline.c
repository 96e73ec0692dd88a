#include "window/timeline.h"

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

/* Rows first to end - 1 of a channel, all of one bin. */
static void add_readings(struct timeline_cell *cell, const double *value, const uint8_t *flag,
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

/* The first row from `first` on that lies past the bin's end. */
static size_t end_of_bin(const struct timeline *timeline, const struct block *block, size_t first,
                         size_t bin)
{
    int64_t end_us = timeline_bin_start_us(timeline, bin + 1);
    size_t end = first + 1;
    while (end < block->n && block->time_us[end] < end_us)
        end++;
    return end;
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct timeline *timeline = state;
    (void)faults;
    if (timeline->rows == 0 && block->n > 0)
        timeline->start_us = block->time_us[0];
    for (size_t i = 0, end; i < block->n; i = end) {
        size_t at = bin_of(timeline, block->time_us[i]);
        struct timeline_bin *bin = &timeline->bins[at];
        end = end_of_bin(timeline, block, i, at);
        bin->rows += end - i;
        bin->gap = bin->gap || (i == 0 && block->gap_before);
        for (int c = 0; c < CH_COUNT; c++)
            if (block->present[c])
                add_readings(&bin->cell[c], block->value[c], block->flag[c], i, end);
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
