/* A number of a points table that somebody worked out from the others, as it was typed: it is only
 * compared with them, and no closer than it was rounded.
 */
#ifndef POINT_POINTS_COMPARED_H
#define POINT_POINTS_COMPARED_H

#include "base/units.h"

#include <stdbool.h>
#include <stddef.h>

struct points_compared {
    double si;       /* degC, K or W; NaN: the cell is empty, or there is no such column */
    double rounding; /* half of the last digit typed, in K or W; 0 for one with an exponent */
    double typed;    /* in its own unit */
    int places;      /* digits typed behind the decimal sign; -1 with an exponent */
    bool difference; /* of two temperatures */
    const struct unit *unit;
};

void points_compared_init(struct points_compared *compared); /* an empty cell */

/* In:      cell      as typed: value in unit, with that decimal sign; ends in NUL */
void points_compared_take(struct points_compared *compared, const char *cell, char decimal,
                          double value, const struct unit *unit, bool difference);

/* Whether it agrees with what the other numbers give. In: worked, tolerance in SI. */
bool points_compared_agrees(const struct points_compared *compared, double worked,
                            double tolerance);

/* "8.50 K", with the digits typed. size >= 64. Returns: out. */
const char *points_compared_typed(const struct points_compared *compared, char *out, size_t size);

/* "7.071 K": what the other numbers give, SI, in the unit typed. size >= 64. Returns: out. */
const char *points_compared_worked(const struct points_compared *compared, double worked, char *out,
                                   size_t size);

#endif
