#include "window/extremes.h"

#include <assert.h>
#include <stdlib.h>

bool extremes_init(struct extremes *extremes, size_t span, bool largest, struct faults *faults)
{
    assert(span >= 1);
    *extremes = (struct extremes){0};
    size_t capacity = 1;
    while (capacity < span)
        capacity *= 2;
    extremes->items = malloc(capacity * sizeof *extremes->items);
    if (extremes->items == NULL)
        return fault_memory(faults);
    extremes->capacity = capacity;
    extremes->span = span;
    extremes->sign = largest ? 1.0 : -1.0;
    return true;
}

void extremes_free(struct extremes *extremes)
{
    free(extremes->items);
    *extremes = (struct extremes){0};
}

void extremes_clear(struct extremes *extremes)
{
    extremes->first = 0;
    extremes->n = 0;
}

void extremes_push(struct extremes *extremes, uint64_t at, double value)
{
    size_t mask = extremes->capacity - 1;
    struct extremes_item *items = extremes->items;
    double signed_value = extremes->sign * value;
    if (extremes->n > 0 && items[extremes->first].at + extremes->span <= at) {
        extremes->first = (extremes->first + 1) & mask;
        extremes->n--;
    }
    while (extremes->n > 0 &&
           items[(extremes->first + extremes->n - 1) & mask].value <= signed_value)
        extremes->n--;
    items[(extremes->first + extremes->n) & mask] = (struct extremes_item){signed_value, at};
    extremes->n++;
}

double extremes_get(const struct extremes *extremes)
{
    assert(extremes->n > 0);
    return extremes->sign * extremes->items[extremes->first].value;
}
