/* Extremes: smallest or largest of the last n values, at constant cost a value.
 *
 * A monotonic queue: a value that a later one beats can never be the extreme again and is
 * forgotten.
 */
#ifndef WINDOW_EXTREMES_H
#define WINDOW_EXTREMES_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct extremes_item {
    double value;
    uint64_t at;
};

struct extremes {
    struct extremes_item *items; /* ring */
    size_t capacity;             /* a power of two, >= span */
    size_t first;
    size_t n;
    uint64_t span;
    double sign; /* +1: largest, -1: smallest */
};

/* span >= 1. Returns: false with a machine fault */
bool extremes_init(struct extremes *extremes, size_t span, bool largest, struct faults *faults);
void extremes_free(struct extremes *extremes);
void extremes_clear(struct extremes *extremes);

/* The next value; `at` counts up by one from push to push since the last clear. Finite values only.
 */
void extremes_push(struct extremes *extremes, uint64_t at, double value);

/* Of the last `span` values, or as many as there are; at least one push must have been made. */
double extremes_get(const struct extremes *extremes);

#endif
