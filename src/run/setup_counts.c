#include "run/setup_counts.h"

/* Our own figures. A meter is reset now and then, a flow falls in half of its rows; a step is told
 * from so many rises, among which two differ by one step surely unless all are the same. Some loggers
 * begin their counter anew every hour: 60 rows of a minute. */
enum { RESETS_ALLOWED = 10, ROWS_A_RESET = 100, ROWS_A_COUNTER_RESET = 20, RISES_TOLD = 100 };
#define STEP_COARSER 1.9

static struct fault *doubt_count(const struct test_setup *setup, const struct instrument *meter,
                                 const struct stated *at, struct faults *faults)
{
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(setup->path, at->line, at->column));
    fault_field(fault, "[instrument %s]", meter->name);
    return fault;
}

/* More falls than an end and a reset: what it seems to be instead. */
static bool refuse_falls(const struct test_setup *setup, const struct instrument *meter,
                         const struct pulses *pulses, struct faults *faults)
{
    const char *unit = meter->unit->name;
    struct fault *fault = doubt_count(setup, meter, &meter->unit_text.at, faults);
    fault_found(fault,
                "'unit = %s' says that the column '%s' holds a total, but it falls %zu "
                "times in %zu readings",
                unit, meter->column.text, pulses->resets.n, pulses->good);
    fault_expected(fault, "a number that only rises, but for its end and a reset");
    if (meter->channel == CH_METERED)
        fault_hint(fault,
                   "the heat of the moment has a unit like kW; of what came since the row before "
                   "make a power: 'unit = kW' and 'gain = 60' for kWh in a minute");
    else
        fault_hint(fault,
                   "a flow has a unit like L/min; of what came since the row before state "
                   "'litres per pulse = 1 %s' and 'unit = pulses per interval'",
                   unit);
    return false;
}

/* Counts from row to row under the name of a counter fall in every other row or so. A counter that
 * ends so soon falls as often, and one that is reset every few rows serves no window. */
static bool counter_fits(const struct test_setup *setup, const struct instrument *meter,
                         const struct pulses *pulses, struct faults *faults)
{
    size_t resets = pulses->resets.n;
    if (resets <= RESETS_ALLOWED || resets * ROWS_A_COUNTER_RESET <= pulses->good)
        return true;
    struct fault *fault = doubt_count(setup, meter, &meter->unit_text.at, faults);
    fault_found(fault,
                "'unit = pulses' says that the column '%s' holds a counter, but it falls %zu times "
                "in %zu readings",
                meter->column.text, resets, pulses->good);
    fault_expected(fault, "a number that only rises, but for its end and a reset");
    fault_hint(fault,
               "of pulses that came since the row before state 'unit = pulses per interval'; "
               "of a counter that ends every few rows log more often");
    return false;
}

/* The other way round: nearly every row holds more than the one before. */
static bool rows_fit(const struct test_setup *setup, const struct instrument *meter,
                     const struct pulses *pulses, struct faults *faults)
{
    if (pulses->ups < RISES_TOLD || 2 * pulses->ups < pulses->good ||
        pulses->downs * ROWS_A_COUNTER_RESET > pulses->ups)
        return true;
    struct fault *fault = doubt_count(setup, meter, &meter->unit_text.at, faults);
    fault_found(fault,
                "'unit = pulses per interval' says that the column '%s' holds what came since the "
                "row before, but it rises in %zu of %zu readings and falls in %zu",
                meter->column.text, pulses->ups, pulses->good, pulses->downs);
    fault_expected(fault, "a number that goes up and down with the flow");
    fault_hint(fault, "of a counter that only rises state 'unit = pulses'");
    return false;
}

static bool total_fits(const struct test_setup *setup, const struct instrument *meter,
                       const struct pulses *pulses, struct faults *faults)
{
    size_t resets = pulses->resets.n;
    if (resets > RESETS_ALLOWED && resets * ROWS_A_RESET > pulses->good)
        return refuse_falls(setup, meter, pulses, faults);
    if (pulses->rises < RISES_TOLD || !pulses->uneven ||
        pulses->finest < STEP_COARSER * meter->resolution.value)
        return true;
    const char *unit = meter->unit->name;
    struct fault *fault = doubt_count(setup, meter, &meter->resolution.at, faults);
    fault_found(fault,
                "the column '%s' moves by %.3g %s at least, which is more than its resolution",
                meter->column.text, pulses->finest / meter->unit->scale, unit);
    fault_expected(fault, "the smallest step that it really makes: 'resolution = %.3g %s'",
                   pulses->finest / meter->unit->scale, unit);
    return false;
}

bool setup_counts_fit(const struct test_setup *setup, enum counted_kind counted,
                      const struct pulses *pulses, struct faults *faults)
{
    typedef bool fits(const struct test_setup *, const struct instrument *, const struct pulses *,
                      struct faults *);
    static fits *const of_form[] = {[PULSES_COUNTER] = counter_fits,
                                    [PULSES_PER_ROW] = rows_fit,
                                    [PULSES_RATE] = NULL,
                                    [PULSES_TOTAL] = total_fits};
    const struct instrument *meter =
        instrument_of_channel(setup->instruments, setup->n_instruments, counted_channel(counted));
    fits *fit = of_form[pulses->meter.form];
    return fit == NULL || meter == NULL || fit(setup, meter, pulses, faults);
}
