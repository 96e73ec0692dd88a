/* Bucket and stopwatch: what came into a bucket against what the meter showed. */
#include "run/check.h"

#include "domain/error_expand.h"

#include <math.h>
#include <string.h>

/* Where nothing is stated: a kitchen scale (common practice, no source), start and stop by hand,
 * what a meter may change between check and test (our own figures). */
#define U_BUCKET (0.005 / 1.7320508075688772)
#define U_STOPWATCH_S 0.3
#define GAIN_LEFT_SHARE 0.2
#define GAIN_LEFT 0.005

/* A scale that was adjusted with steel weights shows water too light by the air that it displaces:
 * 1.2 kg/m3 (1/998 - 1/8000) = 1.05e-3. Source: ISO 4787, annex B [memory]. */
#define BUOYANCY 1.00105

/* Volume or mass that went through the meter, in the meter's kind. */
static double through(const struct test_setup *setup, const struct check_keys *keys,
                      const struct instrument *meter, const struct bucket_fill *fill)
{
    bool weighs = meter->channel == CH_MASS_FLOW;
    double amount = fill->by_mass ? BUOYANCY * fill->bucket : fill->bucket;
    if (weighs == fill->by_mass)
        return amount;
    double density = fluid_density(&setup->fluid, keys->water_degC.value);
    return weighs ? amount * density : amount / density;
}

static double shown(const struct instrument *meter, const struct bucket_fill *fill)
{
    if (!isnan(fill->pulses))
        return fill->pulses * meter->m3_per_pulse.value;
    return isnan(fill->flow) ? fill->shown : fill->flow * fill->time_s;
}

/* Relative, of one fill: the hand on the watch where a flow was read, the two edges of a count
 * where pulses or the steps of a total were (each lost part of a pulse is uniform: together
 * 1/sqrt 6 of one). */
static double least_scatter(const struct instrument *in, const struct check_keys *keys,
                            const struct bucket_fill *fill)
{
    double u_watch_s = keys->stopwatch_error.at.given ? keys->stopwatch_error.u : U_STOPWATCH_S;
    if (!isnan(fill->flow))
        return u_watch_s / fill->time_s;
    if (!isnan(fill->pulses))
        return 1.0 / sqrt(6.0) / fill->pulses;
    return instrument_is_total(in) ? in->resolution.value / sqrt(6.0) / fill->shown : 0.0;
}

static void scatter(const struct instrument *in, const struct check_keys *keys,
                    struct check_meter *meter)
{
    double order[CHECK_FILLS], least = 0;
    size_t n = keys->n_fills;
    for (size_t i = 0; i < n; i++) {
        order[i] = (double)i;
        least += pow(least_scatter(in, keys, &keys->fills[i]), 2) / (double)n;
    }
    struct check_sample sample = check_sample(order, meter->each, n);
    meter->gain = sample.mean;
    meter->u = sample.u / sample.mean;
    meter->dof = (double)(n - 1);
    double stated = sqrt(least / (double)n);
    if (!(stated > meter->u))
        return;
    meter->u = stated;
    meter->dof = INFINITY;
    meter->counts_stated = true;
}

void bucket_find(const struct test_setup *setup, const struct run_section *run,
                 struct check_result *result)
{
    const struct check_keys *keys = &run->check;
    struct check_meter *meter = &result->meter;
    memset(result, 0, sizeof *result);
    result->run = run;
    result->n = keys->n_fills;
    result->length_s = NAN;
    result->reference = CHECK_NO_PROBE;
    const struct instrument *in =
        instrument_of_channel(setup->instruments, setup->n_instruments, CH_FLOW);
    if (in == NULL)
        in = instrument_of_channel(setup->instruments, setup->n_instruments, CH_MASS_FLOW);
    meter->instrument = (size_t)(in - setup->instruments);
    for (size_t i = 0; i < keys->n_fills; i++)
        meter->each[i] = through(setup, keys, in, &keys->fills[i]) / shown(in, &keys->fills[i]);
    scatter(in, keys, meter);
    meter->u_before = error_of_gain(in);
    double left = meter->u_before > 0 ? GAIN_LEFT_SHARE * meter->u_before : GAIN_LEFT;
    double bucket = keys->bucket_error.at.given ? keys->bucket_error.u : U_BUCKET;
    meter->u_left = hypot(left, bucket);
    result->found = isfinite(meter->gain) && meter->gain > 0.5 && meter->gain < 2;
    if (!result->found)
        check_fails(result, "a meter that shows what comes into the bucket, within a factor of 2",
                    isnan(keys->fills[0].pulses)
                        ? "look at the units of 'fill': of what came, and of what the meter showed"
                        : "look at the units of 'fill', and at 'litres per pulse'",
                    "%.3g times as much came into the bucket as the meter showed", meter->gain);
}
