/* A sun sensor whose column holds its signal: part of domain/instrument.h.
 */
#ifndef DOMAIN_INSTRUMENT_SIGNAL_H
#define DOMAIN_INSTRUMENT_SIGNAL_H

#include "domain/instrument.h"

/* Takes the sensitivity into gain and add, so that the column is one of W/m2 from here on:
 *     irradiance = (gain * number + add) * (1 V, 1 mV or 1 uV) / sensitivity
 * A relative error of the sensitivity is thereby one of the irradiance.
 * In/out:  channel, unit (of voltage, or NULL), gain_value and add_value are settled
 * Returns: false with a fault if the channel is no irradiance. Without a sensitivity nothing happens
 * Source:  the definition, as certificates of pyranometers state it; common practice */
bool instrument_settle_signal(struct instrument *instrument, const char *file,
                              struct faults *faults);

#endif
