#include "window/sliding.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static void list_channels(struct sliding *sliding, const bool *present, const bool *watched)
{
    memcpy(sliding->present, present, sizeof sliding->present);
    for (int c = 0; c < CH_COUNT; c++) {
        if (!present[c])
            continue;
        sliding->list[sliding->n_list++] = (enum channel)c;
        assert(!watched[c] || sliding->n_watched < EXTREMES_LANES);
        if (watched[c])
            sliding->watched[sliding->n_watched++] = (enum channel)c;
    }
}

bool sliding_init(struct sliding *sliding, size_t n_window, size_t n_conditioning, double slot_s,
                  const bool *present, const bool *watched, struct faults *faults)
{
    assert(n_window >= 1);
    memset(sliding, 0, sizeof *sliding);
    sliding->n_window = n_window;
    sliding->n_total = n_window + n_conditioning;
    sliding->slot_s = slot_s;
    list_channels(sliding, present, watched);
    sliding->ring = malloc(sliding->n_total * sizeof *sliding->ring);
    if (sliding->ring == NULL)
        return fault_memory(faults);
    bool fine = extremes_init(&sliding->window, n_window, faults) &&
                extremes_init(&sliding->total, sliding->n_total, faults);
    if (!fine)
        sliding_free(sliding);
    return fine;
}

void sliding_free(struct sliding *sliding)
{
    free(sliding->ring);
    sliding->ring = NULL;
    extremes_free(&sliding->window);
    extremes_free(&sliding->total);
}

static void clear_sums(struct sliding *sliding)
{
    memset(sliding->sum, 0, sizeof sliding->sum);
    memset(sliding->count, 0, sizeof sliding->count);
    sliding->level_sum = 0.0;
    sliding->level_trend = 0.0;
    sliding->fresh = 0;
}

void sliding_restart(struct sliding *sliding)
{
    sliding->next = 0;
    sliding->length = 0;
    clear_sums(sliding);
    extremes_clear(&sliding->window);
    extremes_clear(&sliding->total);
}

/* The slot `back` slots before the newest one (0: the newest). */
static const struct slot *recent(const struct sliding *sliding, size_t back)
{
    size_t at = sliding->next + sliding->n_total - 1 - back;
    return &sliding->ring[at >= sliding->n_total ? at - sliding->n_total : at];
}

static double slot_mean(const struct slot *slot, enum channel channel)
{
    return slot->sum[channel] / slot->count[channel];
}

static void add_slot(struct sliding *sliding, const struct slot *slot, double place)
{
    /* Channels that the log does not have add nothing, and all at once cost less than a few. */
    for (int c = 0; c < CH_COUNT; c++)
        sliding->sum[c] += slot->sum[c];
    for (int c = 0; c < CH_COUNT; c++)
        sliding->count[c] += slot->count[c];
    if (!sliding->present[CH_OUTLET])
        return;
    double level = slot_mean(slot, CH_OUTLET);
    sliding->level_sum += level;
    sliding->level_trend += place * level;
}

/* Takes the window's first slot out; the others move up by one place in the trend. */
static void drop_slot(struct sliding *sliding, const struct slot *slot)
{
    for (int c = 0; c < CH_COUNT; c++)
        sliding->sum[c] -= slot->sum[c];
    for (int c = 0; c < CH_COUNT; c++)
        sliding->count[c] -= slot->count[c];
    if (!sliding->present[CH_OUTLET])
        return;
    sliding->level_sum -= slot_mean(slot, CH_OUTLET);
    sliding->level_trend -= sliding->level_sum;
}

static void form_afresh(struct sliding *sliding)
{
    size_t n = sliding->n_window;
    clear_sums(sliding);
    for (size_t i = 0; i < n; i++)
        add_slot(sliding, recent(sliding, n - 1 - i), (double)i);
}

static void push_extremes(struct sliding *sliding, const struct slot *slot)
{
    double mean[EXTREMES_LANES] = {0.0};
    for (size_t k = 0; k < sliding->n_watched; k++)
        mean[k] = slot_mean(slot, sliding->watched[k]);
    extremes_push(&sliding->window, mean);
    extremes_push(&sliding->total, mean);
}

void sliding_push(struct sliding *sliding, const struct slot *slot)
{
    size_t n = sliding->n_window;
    if (sliding->length >= n)
        drop_slot(sliding, recent(sliding, n - 1));
    /* A call: gcc makes an assignment into a string instruction, which takes several times as long.
     */
    memmove(&sliding->ring[sliding->next], slot, sizeof *slot);
    sliding->next = sliding->next + 1 == sliding->n_total ? 0 : sliding->next + 1;
    push_extremes(sliding, slot);
    double place = sliding->length < n ? (double)sliding->length : (double)(n - 1);
    sliding->length++;
    if (++sliding->fresh > n && sliding->length >= n)
        form_afresh(sliding);
    else
        add_slot(sliding, slot, place);
}

bool sliding_full(const struct sliding *sliding)
{
    return sliding->length >= sliding->n_total;
}

int64_t sliding_start_us(const struct sliding *sliding)
{
    return recent(sliding, sliding->n_window - 1)->start_us;
}

uint64_t sliding_first_row(const struct sliding *sliding)
{
    return recent(sliding, sliding->n_window - 1)->first_row;
}

/* Slope of a straight line through n equally spaced values from their sum and the sum of i * value;
 * NaN for n < 2. */
static double slope(double sum, double trend, size_t n, double step_s)
{
    double count = (double)n;
    if (n < 2)
        return NAN;
    return (trend - 0.5 * (count - 1.0) * sum) / (count * (count * count - 1.0) / 12.0) / step_s;
}

static double larger(double up, double down)
{
    return up > down ? up : down;
}

static void fill_deviations(const struct sliding *sliding, struct candidate *candidate)
{
    struct extremes_range window, total;
    extremes_get(&sliding->window, &window);
    extremes_get(&sliding->total, &total);
    for (size_t k = 0; k < sliding->n_watched; k++) {
        enum channel c = sliding->watched[k];
        double mean = candidate->mean[c];
        candidate->deviation[c] = larger(window.most[k] - mean, mean - window.least[k]);
        candidate->deviation_before[c] = larger(total.most[k] - mean, mean - total.least[k]);
    }
}

void sliding_candidate(const struct sliding *sliding, struct candidate *candidate)
{
    candidate->start_us = sliding_start_us(sliding);
    candidate->end_us = recent(sliding, 0)->end_us;
    for (size_t i = 0; i < sliding->n_list; i++) {
        enum channel c = sliding->list[i];
        candidate->has[c] = sliding->count[c] >= sliding->n_window;
        candidate->mean[c] = candidate->has[c] ? sliding->sum[c] / sliding->count[c] : NAN;
    }
    fill_deviations(sliding, candidate);
    candidate->drift_K_s =
        sliding->present[CH_OUTLET]
            ? slope(sliding->level_sum, sliding->level_trend, sliding->n_window, sliding->slot_s)
            : NAN;
}

void sliding_readings(const struct sliding *sliding, size_t *readings, size_t *lost)
{
    *readings = *lost = 0;
    for (size_t i = 0; i < sliding->n_window; i++) {
        *readings += recent(sliding, i)->readings;
        *lost += recent(sliding, i)->lost;
    }
}

bool sliding_edges(const struct sliding *sliding, enum counted_kind counted,
                   struct sliding_edges *edges)
{
    bool any = false;
    int64_t first_us = 0, last_us = 0;
    size_t rows = 0, n = 0;
    *edges = (struct sliding_edges){0};
    for (size_t i = 0; i < sliding->n_window; i++) {
        const struct slot *slot = recent(sliding, sliding->n_window - 1 - i);
        const struct slot_edges *of = &slot->edges[counted];
        rows += slot->readings;
        n += of->n;
        edges->holed = edges->holed || of->holed;
        if (of->n == 0)
            continue;
        edges->most = fmax(edges->most, of->most);
        edges->came += of->sum - (any ? 0.0 : of->first);
        if (!any)
            first_us = of->first_us;
        last_us = of->last_us;
        any = true;
    }
    edges->held = 4 * n <= 3 * rows;
    edges->time_s = (double)(last_us - first_us) * 1e-6;
    return edges->time_s > 0.0;
}

double sliding_least_span_s(const struct sliding *sliding, enum counted_kind counted)
{
    int64_t least_us = INT64_MAX;
    for (size_t i = 0; i < sliding->n_total; i++) {
        int64_t span_us = recent(sliding, i)->edges[counted].span_us;
        least_us = span_us < least_us ? span_us : least_us;
    }
    return (double)least_us * 1e-6;
}

double sliding_beam_mean(const struct sliding *sliding, enum channel channel)
{
    double sum = 0.0, weights = 0.0;
    for (size_t i = 0; i < sliding->n_window; i++) {
        const struct slot *slot = recent(sliding, i);
        double beam = slot_mean(slot, CH_IRRADIANCE);
        if (sliding->present[CH_DIFFUSE])
            beam -= slot_mean(slot, CH_DIFFUSE);
        beam = beam > 0.0 ? beam : 0.0;
        sum += beam * slot_mean(slot, channel);
        weights += beam;
    }
    return weights > 0.0 ? sum / weights : sliding->sum[channel] / sliding->count[channel];
}

double sliding_fluid_drift_K_s(const struct sliding *sliding)
{
    if (!sliding->present[CH_INLET] || !sliding->present[CH_OUTLET])
        return NAN;
    size_t n = sliding->n_window;
    double sum = 0.0, trend = 0.0;
    for (size_t i = 0; i < n; i++) {
        const struct slot *slot = recent(sliding, n - 1 - i);
        double level = 0.5 * (slot_mean(slot, CH_INLET) + slot_mean(slot, CH_OUTLET));
        sum += level;
        trend += (double)i * level;
    }
    return slope(sum, trend, n, sliding->slot_s);
}
