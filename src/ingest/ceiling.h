/* Ceiling: whether a sun sensor's readings pile up just below the highest one, as at the end of a
 * converter's or an amplifier's range. A plateau of exactly one number is set aside by the screen;
 * this finds the one whose last digit flickers, or that is often left.
 *
 * The readings of real sunshine thin out towards the highest: of a perfect parabola about noon, day
 * after day the same, the uppermost cell holds 2.4 times the next one (the square roots of 1 and
 * 2), and noise lessens that. A lamp's readings scatter to both sides of a mean; one that is steady
 * to 0.3 W/m2 would leave the next cell empty, but then all its readings are in that pile. (If it
 * also warmed up for a twentieth of the time, it would be asked about: lamps flicker by more,
 * ingest/screen_limits.c.) So a ceiling is told where
 *
 *   - 10 % or more of the readings of 400 W/m2 and more are in the uppermost cell,
 *   - 8 times as many as in the next one,
 *   - 5 % or more of them lie below it, and 5 of the 16 cells below hold some.
 *
 * A ceiling that flickers by more than the uppermost cell fills two: then these two are held
 * against the next two, and 15 % and 12 of the cells are asked for. Our own figures.
 */
#ifndef INGEST_CEILING_H
#define INGEST_CEILING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bins are a quarter of a W/m2, cells five of them from the highest reading's bin down. */
enum { CEILING_CELL = 5, CEILING_CELLS = 18, CEILING_BINS = CEILING_CELL * CEILING_CELLS };

/* All zero: nothing was taken yet. */
struct ceiling {
    int64_t top;                /* bin of the highest reading, from 0 W/m2 */
    uint64_t bin[CEILING_BINS]; /* from there down */
    uint64_t bright;            /* readings of 400 W/m2 and more */
    uint64_t rows;              /* seen */
};

/* The next n rows of a channel in W/m2, NaN where none is good: each of the first 16,384, then
 * every 16th for 16. */
void ceiling_take(struct ceiling *ceiling, const double *value_W_m2, size_t n);

/* Out:     least_W_m2  the pile's lower edge
 *          share       of the readings of 400 W/m2 and more that are in it
 * Returns: whether there is one; not with fewer than 100 such readings. */
bool ceiling_found(const struct ceiling *ceiling, double *least_W_m2, double *share);

#endif
