/* Pulses: a flow meter's counts -> volume flow, row by row.
 *
 *   counter    total since some day: the row's flow is the rise since the row before
 *   per row    what came since the row before
 *   rate       pulses a second as the logger formed it: volume a pulse times it
 *
 * The flow of a row holds for the time since the row before; after a gap the first row has none. A
 * row that is not good takes no part: the next one's rise of a counter spans both, while what came
 * since the row before is of one step as ever.
 *
 * A counter that falls has either wrapped or was reset:
 *   wrapped    it stood in the upper tenth of 2^16 or 2^32 and stands in the lower tenth: 2^16 or
 *   2^32
 *              is added
 *   reset      anything else: what came in that time is not known, and the row has no flow
 * Both are counted. (The tenths are our own: at a wrap the counter is seen within one row of its
 * end, and no row brings a tenth of 65536.)
 */
#ifndef WINDOW_PULSES_H
#define WINDOW_PULSES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum pulse_form { PULSES_NONE, PULSES_COUNTER, PULSES_PER_ROW, PULSES_RATE };

struct pulse_meter {
    enum pulse_form form;
    double m3_per_pulse;
};

struct pulses {
    struct pulse_meter meter;
    bool started; /* a row of this segment was seen */
    double count; /* the counter at the last good row */
    int64_t time_us;
    size_t wraps;
    size_t resets;
};

void pulses_init(struct pulses *pulses, const struct pulse_meter *meter);

/* A gap: the next row has no row before it. */
void pulses_restart(struct pulses *pulses);

/* The next row.
 * In:      time_us   rising
 *          number    as read; NaN where not good
 * Returns: m3/s; NaN where not known */
double pulses_next(struct pulses *pulses, int64_t time_us, double number);

#endif
