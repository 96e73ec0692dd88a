#include "window/pace.h"

#include <stdlib.h>

void pace_forget(struct pace *pace)
{
    *pace = (struct pace){0};
}

int64_t pace_next(struct pace *pace, int64_t step_us)
{
    if (10 * llabs(pace->n * step_us - pace->sum_us) > pace->sum_us)
        pace_forget(pace);
    pace->sum_us += step_us;
    if (++pace->n < PACE_ROWS)
        return 0;
    int64_t settled_us = pace->sum_us / pace->n;
    pace_forget(pace);
    return settled_us;
}
