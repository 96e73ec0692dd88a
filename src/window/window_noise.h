/* Noise of the readings inside windows, pooled over all windows of a log: what the reading error of
 * a window's mean is.
 *
 * The last readings are held until it is known whether they belong to a window: at most
 * WINDOW_NOISE_ROWS rows; of a window with more readings the last ones count.
 */
#ifndef WINDOW_WINDOW_NOISE_H
#define WINDOW_WINDOW_NOISE_H

#include "base/faults.h"
#include "domain/channel.h"
#include "fit/noise.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { WINDOW_NOISE_ROWS = 65536 };

/* What was found for a channel. */
struct channel_noise {
    bool known;   /* false: too few differences; s is then the plain scatter inside windows,
                     drift included, and phi is 0 */
    double s;     /* standard deviation of one reading's noise, SI; 0 if nothing was fed */
    double phi;   /* correlation of neighbouring readings */
    bool plateau; /* false: the correlation may reach further than could be seen */
    double swing; /* by which readings go to and fro from one to the next, SI; 0: they do not */
};

struct window_noise {
    double *ring; /* `capacity` values of each channel in turn, NaN where not good; behind them room
                     for those of one channel in order */
    size_t capacity;
    size_t limit;  /* capacity may grow up to it */
    uint64_t rows; /* seen so far */
    uint64_t kept; /* of them, those that the ring has or that were not needed any more */
    uint64_t from; /* rows before it are not needed any more */
    const double *const *lent; /* the values of the others by channel; NULL: it has none */
    size_t lent_first;         /* of row `kept` */
    bool skip[CH_COUNT]; /* set it before the first row: channels that move without wavering */
    bool seen[CH_COUNT]; /* a value of it has come; the others' parts of the ring stay NaN */
    struct fit_noise pooled[CH_COUNT];
    double sum_squares[CH_COUNT]; /* about each window's own mean */
    double freedom[CH_COUNT];
};

void window_noise_init(struct window_noise *noise);
void window_noise_free(struct window_noise *noise);

/* The next row. Returns: false with a machine fault */
bool window_noise_reading(struct window_noise *noise, const double *value, struct faults *faults);

/* The next n rows, first to first + n - 1 of the channels that have values (NULL for the others),
 * where they are good. All are borrowed until the next call of window_noise_keep. */
bool window_noise_span(struct window_noise *noise, const double *const value[CH_COUNT],
                       size_t first, size_t n, struct faults *faults);

/* Copies what is borrowed and still needed. */
bool window_noise_keep(struct window_noise *noise, struct faults *faults);

/* Rows before `first_row` can be forgotten. */
void window_noise_forget(struct window_noise *noise, uint64_t first_row);

/* Rows first_row up to the newest one make a window with these means. Returns: false with a machine
 * fault */
bool window_noise_window(struct window_noise *noise, uint64_t first_row, const double *mean,
                         struct faults *faults);

/* The pooled result of a channel. */
struct channel_noise window_noise_result(const struct window_noise *noise, enum channel channel);

/* Standard uncertainty of the mean of n readings: s / sqrt(effective number of readings). */
double channel_noise_of_mean(const struct channel_noise *noise, double n);

#endif
