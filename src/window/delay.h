/* Delay line: a channel as it was a fixed time ago, on the straight line between its readings.
 * Memory grows to what one delay holds and no further.
 */
#ifndef WINDOW_DELAY_H
#define WINDOW_DELAY_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct delay_item {
    int64_t time_us;
    double value; /* NaN: not good */
};

struct delay {
    int64_t delay_us;
    struct delay_item *items; /* ring */
    size_t capacity;          /* a power of two */
    size_t first;
    size_t n;
};

void delay_init(struct delay *delay, int64_t delay_us); /* delay_us >= 0 */
void delay_free(struct delay *delay);
void delay_restart(struct delay *delay);

/* The reading of this instant (NaN: not good; time strictly rising) -> the value one delay ago.
 * Out:     delayed   NaN if that instant was not seen, or if a reading that it needs was not good
 * Returns: false with a machine fault */
bool delay_next(struct delay *delay, int64_t time_us, double value, double *delayed,
                struct faults *faults);

#endif
