#include "window/window_noise.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_CAPACITY = 1024 };

void window_noise_init(struct window_noise *noise)
{
    memset(noise, 0, sizeof *noise);
    noise->limit = WINDOW_NOISE_ROWS;
    for (int c = 0; c < CH_COUNT; c++)
        fit_noise_init(&noise->pooled[c]);
}

void window_noise_free(struct window_noise *noise)
{
    free(noise->ring);
    noise->ring = NULL;
    noise->capacity = 0;
}

/* Where a row of a channel stands; capacities are powers of two. */
static double *place_of(double *ring, size_t capacity, enum channel channel, uint64_t row)
{
    return &ring[(size_t)channel * capacity + (size_t)(row & (capacity - 1))];
}

static bool grow(struct window_noise *noise, struct faults *faults)
{
    size_t capacity = noise->capacity == 0 ? FIRST_CAPACITY : 2 * noise->capacity;
    double *ring = malloc(capacity * (CH_COUNT + 1) * sizeof *ring);
    if (ring == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < capacity * CH_COUNT; i++)
        ring[i] = NAN;
    for (int c = 0; c < CH_COUNT; c++)
        for (uint64_t row = noise->from; row < noise->kept; row++)
            *place_of(ring, capacity, (enum channel)c, row) =
                *place_of(noise->ring, noise->capacity, (enum channel)c, row);
    free(noise->ring);
    noise->ring = ring;
    noise->capacity = capacity;
    return true;
}

/* Room for n more rows, if need be by forgetting the oldest; n <= limit. */
static bool make_room(struct window_noise *noise, size_t n, struct faults *faults)
{
    while (noise->kept + n > noise->from + noise->capacity && noise->capacity < noise->limit)
        if (!grow(noise, faults))
            return false;
    if (noise->kept + n > noise->from + noise->capacity)
        noise->from = noise->kept + n - noise->capacity;
    return true;
}

/* n more values of a channel, in up to two pieces. */
static void put_values(struct window_noise *noise, enum channel channel, const double *value,
                       size_t n)
{
    size_t at = (size_t)(noise->kept & (noise->capacity - 1));
    size_t here = noise->capacity - at < n ? noise->capacity - at : n;
    double *ring = noise->ring + (size_t)channel * noise->capacity;
    memcpy(ring + at, value, here * sizeof *ring);
    memcpy(ring, value + here, (n - here) * sizeof *ring);
}

/* The same for a channel without values. */
static void put_none(struct window_noise *noise, enum channel channel, size_t n)
{
    for (uint64_t row = noise->kept; row < noise->kept + n; row++)
        *place_of(noise->ring, noise->capacity, channel, row) = NAN;
}

/* Goes on behind n of the rows that are borrowed. */
static void pass(struct window_noise *noise, size_t n)
{
    noise->kept += n;
    noise->lent_first += n;
}

bool window_noise_keep(struct window_noise *noise, struct faults *faults)
{
    if (noise->from > noise->kept)
        pass(noise, (size_t)((noise->from < noise->rows ? noise->from : noise->rows) - noise->kept));
    while (noise->kept < noise->rows) {
        size_t left = (size_t)(noise->rows - noise->kept);
        size_t piece = left < FIRST_CAPACITY ? left : FIRST_CAPACITY;
        if (!make_room(noise, piece, faults))
            return false;
        for (int c = 0; c < CH_COUNT; c++) {
            const double *value = noise->lent[c];
            noise->seen[c] = noise->seen[c] || (!noise->skip[c] && value != NULL);
            if (noise->seen[c] && value != NULL)
                put_values(noise, (enum channel)c, value + noise->lent_first, piece);
            else if (noise->seen[c])
                put_none(noise, (enum channel)c, piece);
        }
        pass(noise, piece);
    }
    return true;
}

bool window_noise_reading(struct window_noise *noise, const double *value, struct faults *faults)
{
    if (!window_noise_keep(noise, faults) || !make_room(noise, 1, faults))
        return false;
    for (int c = 0; c < CH_COUNT; c++) {
        noise->seen[c] = noise->seen[c] || (!noise->skip[c] && !isnan(value[c]));
        if (noise->seen[c])
            *place_of(noise->ring, noise->capacity, (enum channel)c, noise->kept) = value[c];
    }
    noise->kept = ++noise->rows;
    return true;
}

/* Whether the rows follow on those that are borrowed. */
static bool follows(const struct window_noise *noise, const double *const value[CH_COUNT],
                    size_t first)
{
    size_t n = (size_t)(noise->rows - noise->kept);
    return n > 0 && value == noise->lent && first == noise->lent_first + n;
}

bool window_noise_span(struct window_noise *noise, const double *const value[CH_COUNT],
                       size_t first, size_t n, struct faults *faults)
{
    if (!follows(noise, value, first)) {
        if (!window_noise_keep(noise, faults))
            return false;
        noise->lent = value;
        noise->lent_first = first;
    }
    noise->rows += n;
    return true;
}

void window_noise_forget(struct window_noise *noise, uint64_t first_row)
{
    if (first_row > noise->from)
        noise->from = first_row;
}

/* The rows from first_row on of a channel, one after the other; borrowed until rows are added. */
static const double *stretch_of(struct window_noise *noise, uint64_t first_row,
                                enum channel channel)
{
    const double *ring = noise->ring + (size_t)channel * noise->capacity;
    size_t at = (size_t)(first_row & (noise->capacity - 1));
    size_t n = (size_t)(noise->rows - first_row), here = noise->capacity - at;
    if (n <= here)
        return ring + at;
    double *in_order = noise->ring + (size_t)CH_COUNT * noise->capacity;
    memcpy(in_order, ring + at, here * sizeof *ring);
    memcpy(in_order + here, ring, (n - here) * sizeof *ring);
    return in_order;
}

static void feed_channel(struct window_noise *noise, uint64_t first_row, enum channel channel,
                         double mean)
{
    const double *value = stretch_of(noise, first_row, channel);
    size_t rows = (size_t)(noise->rows - first_row);
    double squares = 0.0, n = 0.0;
    fit_noise_stretch(&noise->pooled[channel], value, rows);
    for (size_t i = 0; i < rows; i++)
        if (isfinite(value[i])) {
            squares += (value[i] - mean) * (value[i] - mean);
            n += 1.0;
        }
    if (n > 1.0) {
        noise->sum_squares[channel] += squares;
        noise->freedom[channel] += n - 1.0;
    }
}

bool window_noise_window(struct window_noise *noise, uint64_t first_row, const double *mean,
                         struct faults *faults)
{
    if (!window_noise_keep(noise, faults))
        return false;
    uint64_t from = first_row > noise->from ? first_row : noise->from;
    for (int c = 0; c < CH_COUNT; c++)
        if (isfinite(mean[c]) && noise->seen[c])
            feed_channel(noise, from, (enum channel)c, mean[c]);
    return true;
}

struct channel_noise window_noise_result(const struct window_noise *noise, enum channel channel)
{
    struct fit_noise_result result;
    if (fit_noise_estimate(&noise->pooled[channel], &result) == FIT_OK)
        return (struct channel_noise){true, result.s, result.phi, result.plateau,
                                      fit_noise_swing(&noise->pooled[channel])};
    double freedom = noise->freedom[channel];
    double s = freedom > 0.0 ? sqrt(noise->sum_squares[channel] / freedom) : 0.0;
    return (struct channel_noise){false, s, 0.0, false, 0.0};
}

double channel_noise_of_mean(const struct channel_noise *noise, double n)
{
    return n >= 1.0 ? noise->s / sqrt(fit_noise_effective(noise->phi, n)) : 0.0;
}
