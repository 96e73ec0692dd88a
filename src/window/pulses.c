#include "window/pulses.h"

#include <math.h>

#define UPPER 0.9
#define LOWER 0.1

void pulses_init(struct pulses *pulses, const struct pulse_meter *meter)
{
    *pulses = (struct pulses){.meter = *meter};
}

void pulses_restart(struct pulses *pulses)
{
    pulses->started = false;
}

/* What a counter that fell from `before` to `now` has counted; NaN after a reset. */
static double fallen(struct pulses *pulses, double before, double now)
{
    static const double ends[] = {65536.0, 4294967296.0};
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++)
        if (before < ends[i] && before >= UPPER * ends[i] && now <= LOWER * ends[i]) {
            pulses->wraps++;
            return now + ends[i] - before;
        }
    pulses->resets++;
    return NAN;
}

static double counted(struct pulses *pulses, double number)
{
    if (pulses->meter.form == PULSES_PER_ROW)
        return number;
    double rise = number - pulses->count;
    return rise < 0.0 ? fallen(pulses, pulses->count, number) : rise;
}

double pulses_next(struct pulses *pulses, int64_t time_us, double number)
{
    if (isnan(number) && pulses->meter.form == PULSES_PER_ROW)
        pulses->time_us = time_us; /* the next row counts from this one on */
    if (isnan(number))
        return NAN;
    if (pulses->meter.form == PULSES_RATE)
        return number * pulses->meter.m3_per_pulse;
    double flow_m3_s = NAN;
    if (pulses->started)
        flow_m3_s = counted(pulses, number) * pulses->meter.m3_per_pulse /
                    ((double)(time_us - pulses->time_us) * 1e-6);
    pulses->started = true;
    pulses->count = number;
    pulses->time_us = time_us;
    return flow_m3_s;
}
