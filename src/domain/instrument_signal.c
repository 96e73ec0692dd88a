#include "domain/instrument_signal.h"

/* Longwave is no such channel: the signal of its sensor is only the difference to the radiation of
 * its own body. */
static bool is_sun_sensor(const struct instrument *instrument)
{
    return channel_row(instrument->channel)->dimension == DIM_IRRADIANCE &&
           instrument->channel != CH_LONGWAVE;
}

static bool refuse(const struct instrument *instrument, const char *file, struct faults *faults)
{
    const struct stated *at = &instrument->sensitivity.at;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
    fault_found(fault, "'sensitivity' is of a sun sensor, not of %s",
                channel_row(instrument->channel)->word);
    fault_expected(fault, "'measures = irradiance', or another kind of sunshine, beside it");
    return false;
}

bool instrument_settle_signal(struct instrument *instrument, const char *file,
                              struct faults *faults)
{
    if (!instrument->sensitivity.at.given)
        return true;
    if (!is_sun_sensor(instrument))
        return refuse(instrument, file, faults);
    if (instrument->unit == NULL)
        return true;
    double by = instrument->sensitivity.value / instrument->unit->scale;
    instrument->gain_value /= by;
    instrument->add_value /= by;
    instrument->unit = unit_find("W/m2", DIM_IRRADIANCE);
    return true;
}
