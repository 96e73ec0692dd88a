#include "window/extremes.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

static const struct extremes_range none = {INFINITY, -INFINITY};

/* NaN is neither smaller nor larger. */
static inline struct extremes_range with(struct extremes_range range, double value)
{
    range.least = value < range.least ? value : range.least;
    range.most = value > range.most ? value : range.most;
    return range;
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
    extremes->range = none;
    for (size_t i = 0; extremes->end != NULL && i <= extremes->span; i++)
        extremes->end[i] = none;
}

/* The group is full: the next one begins. */
static void turn_over(struct extremes *extremes)
{
    struct extremes_range range = none;
    for (size_t i = extremes->span; i-- > 0;)
        extremes->end[i] = range = with(range, extremes->value[i]);
    extremes->n = 0;
    extremes->range = none;
}

void extremes_push(struct extremes *extremes, double value)
{
    if (extremes->n == extremes->span)
        turn_over(extremes);
    extremes->value[extremes->n++] = value;
    extremes->range = with(extremes->range, value);
}

struct extremes_range extremes_get(const struct extremes *extremes)
{
    struct extremes_range range = extremes->range, before = extremes->end[extremes->n];
    range.least = before.least < range.least ? before.least : range.least;
    range.most = before.most > range.most ? before.most : range.most;
    return range;
}
