/* Extremes: the smallest and the largest of the last n values, of several channels side by side, at
 * a constant cost a row.
 *
 * Values are taken in groups of n. The last n are the end of one group and the beginning of the
 * next: of the beginning the extremes are kept as it grows, of the end those of each length are
 * formed once, when the group is full. (van Herk, Pattern Recognition Letters 13 (1992) 517, from
 * memory.) All lanes stand at the same place of a group, so that a row is a few operations on them
 * together.
 */
#ifndef WINDOW_EXTREMES_H
#define WINDOW_EXTREMES_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

enum { EXTREMES_LANES = 8 };

struct extremes_range {
    double least[EXTREMES_LANES];
    double most[EXTREMES_LANES];
};

struct extremes {
    size_t span;
    double (*value)[EXTREMES_LANES]; /* of this group, n rows of them */
    size_t n;
    struct extremes_range range; /* of these */
    struct extremes_range *end; /* of the group before, from each place on; without one no limit */
};

/* span >= 1. Returns: false with a machine fault */
bool extremes_init(struct extremes *extremes, size_t span, struct faults *faults);
void extremes_free(struct extremes *extremes); /* safe twice */
void extremes_clear(struct extremes *extremes);

/* The next value of each lane; NaN is none, but takes a place. */
void extremes_push(struct extremes *extremes, const double value[EXTREMES_LANES]);

/* Of the last `span` values, or as many as there are since the last clear. No value: infinite, the
 * least above the most. */
void extremes_get(const struct extremes *extremes, struct extremes_range *range);

#endif
