#include "window/extremes.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static void clear_range(struct extremes_range *range)
{
    for (int i = 0; i < EXTREMES_LANES; i++) {
        range->least[i] = INFINITY;
        range->most[i] = -INFINITY;
    }
}

/* NaN is neither smaller nor larger. */
static inline void widen(struct extremes_range *range, const double *least, const double *most)
{
    for (int i = 0; i < EXTREMES_LANES; i++) {
        range->least[i] = least[i] < range->least[i] ? least[i] : range->least[i];
        range->most[i] = most[i] > range->most[i] ? most[i] : range->most[i];
    }
}

bool extremes_init(struct extremes *extremes, size_t span, struct faults *faults)
{
    assert(span >= 1);
    *extremes = (struct extremes){.span = span};
    extremes->value = malloc(span * sizeof *extremes->value);
    extremes->end = malloc((span + 1) * sizeof *extremes->end);
    if (extremes->value == NULL || extremes->end == NULL) {
        extremes_free(extremes);
        return fault_memory(faults);
    }
    extremes_clear(extremes);
    return true;
}

void extremes_free(struct extremes *extremes)
{
    free(extremes->value);
    free(extremes->end);
    *extremes = (struct extremes){0};
}

void extremes_clear(struct extremes *extremes)
{
    extremes->n = 0;
    clear_range(&extremes->range);
    for (size_t i = 0; extremes->end != NULL && i <= extremes->span; i++)
        clear_range(&extremes->end[i]);
}

/* The group is full: the next one begins. */
static void turn_over(struct extremes *extremes)
{
    struct extremes_range range;
    clear_range(&range);
    for (size_t i = extremes->span; i-- > 0;) {
        widen(&range, extremes->value[i], extremes->value[i]);
        extremes->end[i] = range;
    }
    extremes->n = 0;
    clear_range(&extremes->range);
}

void extremes_push(struct extremes *extremes, const double value[EXTREMES_LANES])
{
    if (extremes->n == extremes->span)
        turn_over(extremes);
    memcpy(extremes->value[extremes->n++], value, sizeof *extremes->value);
    widen(&extremes->range, value, value);
}

void extremes_get(const struct extremes *extremes, struct extremes_range *range)
{
    const struct extremes_range *before = &extremes->end[extremes->n];
    *range = extremes->range;
    widen(range, before->least, before->most);
}
