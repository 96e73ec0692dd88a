#include "window/delay.h"

#include <math.h>
#include <stdlib.h>

void delay_init(struct delay *delay, int64_t delay_us)
{
    *delay = (struct delay){.delay_us = delay_us};
}

void delay_free(struct delay *delay)
{
    free(delay->items);
    *delay = (struct delay){.delay_us = delay->delay_us};
}

void delay_restart(struct delay *delay)
{
    delay->first = 0;
    delay->n = 0;
}

static struct delay_item *item(const struct delay *delay, size_t i)
{
    return &delay->items[(delay->first + i) & (delay->capacity - 1)];
}

static bool grow(struct delay *delay, struct faults *faults)
{
    size_t capacity = delay->capacity == 0 ? 64 : 2 * delay->capacity;
    struct delay_item *items = malloc(capacity * sizeof *items);
    if (items == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < delay->n; i++)
        items[i] = *item(delay, i);
    free(delay->items);
    delay->items = items;
    delay->capacity = capacity;
    delay->first = 0;
    return true;
}

static double between(const struct delay_item *a, const struct delay_item *b, int64_t time_us)
{
    if (time_us == a->time_us)
        return a->value;
    double part = (double)(time_us - a->time_us) / (double)(b->time_us - a->time_us);
    return a->value + part * (b->value - a->value);
}

bool delay_next(struct delay *delay, int64_t time_us, double value, double *delayed,
                struct faults *faults)
{
    if (delay->delay_us == 0) {
        *delayed = value;
        return true;
    }
    if (delay->n == delay->capacity && !grow(delay, faults))
        return false;
    *item(delay, delay->n) = (struct delay_item){time_us, value};
    delay->n++;
    int64_t wanted_us = time_us - delay->delay_us;
    while (delay->n >= 2 && item(delay, 1)->time_us <= wanted_us) {
        delay->first = (delay->first + 1) & (delay->capacity - 1);
        delay->n--;
    }
    bool seen = delay->n >= 2 && item(delay, 0)->time_us <= wanted_us;
    *delayed = seen ? between(item(delay, 0), item(delay, 1), wanted_us) : NAN;
    return true;
}
