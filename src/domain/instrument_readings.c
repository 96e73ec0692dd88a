#include "domain/instrument_readings.h"

#define OFF (-1.0)
#define STUCK_MOST_S 86400.0

/* A quantity or 'off'. Out: 0 where nothing is stated. */
static bool settle_or_off(const struct stated_text *text, enum dimension dimension,
                          const struct value_limits *limits, const char *file, double *value,
                          struct faults *faults)
{
    *value = 0.0;
    if (!text->at.given)
        return true;
    if (text_same_nocase(text->text, "off")) {
        *value = OFF;
        return true;
    }
    struct place at = fault_at(file, text->at.line, text->at.column);
    return value_quantity(text->text, dimension, true, limits, at, value, faults);
}

bool instrument_settle_readings(struct instrument *instrument, const char *file,
                                struct faults *faults)
{
    static const struct value_limits stuck = {0.0, STUCK_MOST_S, true};
    static const struct value_limits spike = {0.0, 1e9, true};
    enum dimension dimension = channel_row(instrument->channel)->dimension;
    bool good = settle_or_off(&instrument->stuck_text, DIM_TIME, &stuck, file, &instrument->stuck_s,
                              faults);
    return settle_or_off(&instrument->spike_text, dimension, &spike, file, &instrument->spike_si,
                         faults) &&
           good;
}
