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

/* Capacities are powers of two. */
static double *row_of(double *ring, size_t capacity, uint64_t row)
{
    return &ring[(size_t)(row & (capacity - 1)) * CH_COUNT];
}

static bool grow(struct window_noise *noise, struct faults *faults)
{
    size_t capacity = noise->capacity == 0 ? FIRST_CAPACITY : 2 * noise->capacity;
    double *ring = malloc(capacity * CH_COUNT * sizeof *ring);
    if (ring == NULL)
        return fault_memory(faults);
    for (uint64_t row = noise->from; row < noise->rows; row++)
        memcpy(row_of(ring, capacity, row), row_of(noise->ring, noise->capacity, row),
               CH_COUNT * sizeof *ring);
    free(noise->ring);
    noise->ring = ring;
    noise->capacity = capacity;
    return true;
}

bool window_noise_reading(struct window_noise *noise, const double *value, struct faults *faults)
{
    if (noise->rows - noise->from >= noise->capacity) {
        if (noise->capacity < noise->limit && !grow(noise, faults))
            return false;
        if (noise->rows - noise->from >= noise->capacity)
            noise->from = noise->rows - noise->capacity + 1;
    }
    memcpy(row_of(noise->ring, noise->capacity, noise->rows), value, CH_COUNT * sizeof *value);
    noise->rows++;
    return true;
}

void window_noise_forget(struct window_noise *noise, uint64_t first_row)
{
    if (first_row > noise->from)
        noise->from = first_row;
}

static void feed_channel(struct window_noise *noise, uint64_t first_row, enum channel channel,
                         double mean)
{
    struct fit_noise *pooled = &noise->pooled[channel];
    double squares = 0.0, n = 0.0;
    fit_noise_gap(pooled);
    for (uint64_t row = first_row; row < noise->rows; row++) {
        double value = row_of(noise->ring, noise->capacity, row)[channel];
        fit_noise_add(pooled, value);
        if (isfinite(value)) {
            squares += (value - mean) * (value - mean);
            n += 1.0;
        }
    }
    if (n > 1.0) {
        noise->sum_squares[channel] += squares;
        noise->freedom[channel] += n - 1.0;
    }
}

void window_noise_window(struct window_noise *noise, uint64_t first_row, const double *mean)
{
    uint64_t from = first_row > noise->from ? first_row : noise->from;
    for (int c = 0; c < CH_COUNT; c++)
        if (isfinite(mean[c]))
            feed_channel(noise, from, (enum channel)c, mean[c]);
}

struct channel_noise window_noise_result(const struct window_noise *noise, enum channel channel)
{
    struct fit_noise_result result;
    if (fit_noise_estimate(&noise->pooled[channel], &result) == FIT_OK)
        return (struct channel_noise){true, result.s, result.phi, result.plateau};
    double freedom = noise->freedom[channel];
    double s = freedom > 0.0 ? sqrt(noise->sum_squares[channel] / freedom) : 0.0;
    return (struct channel_noise){false, s, 0.0, false};
}

double channel_noise_of_mean(const struct channel_noise *noise, double n)
{
    return n >= 1.0 ? noise->s / sqrt(fit_noise_effective(noise->phi, n)) : 0.0;
}
