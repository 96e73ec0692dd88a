/* Pace: whether a logger's rows have settled at a step, told from rows one after the other.
 *
 * A step is settled when PACE_ROWS rows, one after the other, came alike: each within a tenth of
 * the mean of those before it. Rows that are lost here and there settle nothing, and stamps that
 * jitter by more than that do not either. (Our own figures: no sound log leaves every second row
 * out ten times running.)
 */
#ifndef WINDOW_PACE_H
#define WINDOW_PACE_H

#include <stdint.h>

enum { PACE_ROWS = 10 };

struct pace {
    int64_t sum_us; /* of the steps that came alike */
    int64_t n;
};

/* A gap, or rows that were not looked at: counting begins again. */
void pace_forget(struct pace *pace);

/* In:      step_us   from the row before to this one, >= 0
 * Returns: the mean of the last PACE_ROWS steps; 0 while they are fewer, or differ */
int64_t pace_next(struct pace *pace, int64_t step_us);

#endif
