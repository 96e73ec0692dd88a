#include "window/pulses.h"

#include <math.h>

#define UPPER 0.9
#define LOWER 0.1
#define RISE_MOST 3.0
#define STEPS_MORE 2.0
#define ROUNDING 0.01
/* A fall of one step, with what rounding makes of it. */
#define PLAY 1.5

static const double registers[] = {32768.0, 65536.0, 2147483648.0, 4294967296.0};
enum { REGISTERS = sizeof registers / sizeof registers[0], DIGITS_MOST = 9 };
/* Powers of ten at which a counter may end: one of fewer digits runs over every few rows. */
enum { COUNTER_DIGITS_LEAST = 3 };

enum channel counted_channel(enum counted_kind counted)
{
    static const enum channel channels[COUNTED] = {CH_FLOW, CH_METERED};
    return channels[counted];
}

void pulses_init(struct pulses *pulses, const struct pulse_meter *meter)
{
    *pulses = (struct pulses){.meter = *meter, .below = NAN};
}

void pulses_restart(struct pulses *pulses)
{
    pulses->started = false;
    pulses->below = NAN;
    pulses->step_us = 0;
    pulses->late = 0;
}

static bool is_total(const struct pulses *pulses)
{
    return pulses->meter.form == PULSES_TOTAL;
}

/* In what is counted. */
static double step_of(const struct pulses *pulses)
{
    return is_total(pulses) ? pulses->meter.per_pulse : 1.0;
}

static void happened(struct pulses_event *event, int64_t time_us)
{
    if (event->n++ == 0)
        event->first_us = time_us;
}

/* Not more than a flow like the last one brings in that time. */
static bool is_likely(const struct pulses *pulses, int64_t time_us, double rise)
{
    double longer =
        pulses->rise > 0.0 ? fmax(1.0, (double)(time_us - pulses->time_us) / pulses->rise_us) : 0.0;
    return rise <= RISE_MOST * pulses->rise * longer + STEPS_MORE * step_of(pulses);
}

/* What came if it ran over the end of a register that begins at `low`; NaN if it did not. */
static double over(const struct pulses *pulses, int64_t time_us, double now, double low,
                   double length)
{
    double before = pulses->count - low;
    now -= low;
    double rise = now + length - before;
    bool at_end = before < length && before >= UPPER * length && now <= LOWER * length;
    return at_end && is_likely(pulses, time_us, rise) ? rise : NAN;
}

static double over_register(const struct pulses *pulses, int64_t time_us, double now)
{
    double unit = is_total(pulses) ? pulses->meter.per_number : 1.0;
    double rise = NAN;
    for (size_t i = 0; i < REGISTERS && isnan(rise); i++) {
        double length = registers[i] * unit;
        /* What is below 0 is half of a register with a sign. */
        rise = over(pulses, time_us, now, now < 0.0 ? -0.5 * length : 0.0, length);
        if (isnan(rise) && is_total(pulses))
            rise = over(pulses, time_us, now, 0.0, registers[i] * step_of(pulses));
    }
    return rise;
}

static double over_any(const struct pulses *pulses, int64_t time_us, double now)
{
    double rise = over_register(pulses, time_us, now);
    double end = is_total(pulses) ? pulses->meter.per_number : 1.0;
    for (int digits = 1; digits <= DIGITS_MOST && isnan(rise); digits++) {
        end *= 10.0;
        if (is_total(pulses) || digits >= COUNTER_DIGITS_LEAST)
            rise = over(pulses, time_us, now, 0.0, end);
    }
    return rise;
}

/* What a counter that fell has counted; NaN after a reset. */
static double fallen(struct pulses *pulses, int64_t time_us, double now)
{
    double rise = over_any(pulses, time_us, now);
    happened(isnan(rise) ? &pulses->resets : &pulses->wraps, time_us);
    return rise;
}

/* The smallest step that was seen. What is far below the stated one is rounding. */
static void take_finest(struct pulses *pulses, double rise)
{
    double scale = is_total(pulses) ? 1.0 : pulses->meter.per_pulse;
    double off = fabs(rise - pulses->rise);
    bool differs = pulses->rise > 0.0 && off > ROUNDING * step_of(pulses);
    double finest = differs ? fmin(rise, off) : rise;
    pulses->uneven = pulses->uneven || differs;
    if (pulses->rises++ == 0 || finest * scale < pulses->finest)
        pulses->finest = finest * scale;
}

/* The rise of a counter since the last good row. */
static double risen(struct pulses *pulses, int64_t time_us, double number)
{
    double rise = number - pulses->count;
    if (rise < 0.0)
        rise = fallen(pulses, time_us, number);
    else if (rise > 0.0)
        take_finest(pulses, rise);
    else
        pulses->uneven = true;
    if (rise > 0.0) {
        pulses->rise = rise;
        pulses->rise_us = (double)(time_us - pulses->time_us);
    }
    return rise;
}

/* Whether a total fell by one step: it then stands where it stood. */
static bool plays(struct pulses *pulses, int64_t time_us, double number)
{
    double fall = pulses->count - number;
    if (!is_total(pulses) || !pulses->started || !(fall > 0.0) ||
        fall > PLAY * pulses->meter.per_pulse)
        return false;
    happened(&pulses->plays, time_us);
    return true;
}

/* Whether it may be what one step brings, though more time has passed. */
static bool is_of_one_step(const struct pulses *pulses, int64_t step_us, double number)
{
    if (pulses->step_us == 0 || pulses->late == PULSES_LATE_ROWS ||
        (double)step_us < PULSES_LATE * (double)pulses->step_us)
        return false;
    double beyond = number - pulses->per_us * (double)pulses->step_us;
    double rest = pulses->per_us * (double)(step_us - pulses->step_us);
    return !(beyond > 1.0 && beyond >= 0.5 * rest);
}

/* What came since the row before; NaN if it is not known whether a row is absent in between. */
static double since_row(struct pulses *pulses, int64_t time_us, double number)
{
    int64_t step_us = time_us - pulses->time_us;
    pulses->ups += number > pulses->count;
    pulses->downs += number < pulses->count;
    pulses->fractions += fabs(number - round(number)) > ROUNDING;
    if (is_of_one_step(pulses, step_us, number)) {
        happened(&pulses->holes, time_us);
        pulses->late++;
        return NAN;
    }
    pulses->step_us = step_us;
    pulses->per_us = number / (double)step_us;
    pulses->late = 0;
    return number;
}

/* Whether a number below 0 is what a register with a sign shows behind its end: it follows from the
 * end, or rises from another one. Out: started  false where that other one was not used */
static bool is_signed(struct pulses *pulses, int64_t time_us, double number)
{
    double below = pulses->below;
    pulses->below = number;
    if (pulses->started && (pulses->count < 0.0 || !isnan(over_any(pulses, time_us, number))))
        return true;
    if (!(number > below))
        return false;
    if (pulses->started)
        happened(&pulses->resets, time_us);
    pulses->started = false;
    pulses->negatives.n -= pulses->negatives.n > 0; /* that other one is explained */
    return true;
}

/* Whether the row's number is none that this meter shows. */
static bool is_none(struct pulses *pulses, int64_t time_us, double number)
{
    if (isnan(number))
        return true;
    if (!(number < 0.0)) {
        pulses->below = NAN;
        return false;
    }
    if (is_signed(pulses, time_us, number))
        return false;
    happened(&pulses->negatives, time_us);
    return true;
}

/* A row without a number: the next one counts from it on, if it counts from row to row. */
static double without_number(struct pulses *pulses, int64_t time_us)
{
    if (pulses->meter.form == PULSES_PER_ROW) {
        pulses->started = true;
        pulses->time_us = time_us;
    }
    return NAN;
}

double pulses_next(struct pulses *pulses, int64_t time_us, double number)
{
    if (is_none(pulses, time_us, number))
        return without_number(pulses, time_us);
    if (pulses->meter.form == PULSES_RATE)
        return number * pulses->meter.per_pulse;
    double rate = NAN;
    pulses->good++;
    if (plays(pulses, time_us, number))
        number = pulses->count;
    if (pulses->started) {
        double rise = pulses->meter.form == PULSES_PER_ROW ? since_row(pulses, time_us, number)
                                                           : risen(pulses, time_us, number);
        rate = rise * (is_total(pulses) ? 1.0 : pulses->meter.per_pulse) /
                    ((double)(time_us - pulses->time_us) * 1e-6);
    }
    pulses->started = true;
    pulses->count = number;
    pulses->time_us = time_us;
    return rate;
}
