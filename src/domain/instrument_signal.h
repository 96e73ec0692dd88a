/* A sensor whose column holds its signal: part of domain/instrument.h.
 */
#ifndef DOMAIN_INSTRUMENT_SIGNAL_H
#define DOMAIN_INSTRUMENT_SIGNAL_H

#include "domain/instrument.h"

/* Settles what the column's numbers mean: by a sensitivity, a resistance, or a table.
 * In/out:  channel, unit (of the column, or NULL), gain_value and add_value are settled
 * Returns: false with a fault for each statement that does not suit the channel or another one
 *
 * A sensitivity is taken into gain and add, so that the column is one of W/m2 from here on:
 *     irradiance = (gain * number + add) * (1 V, 1 mV or 1 uV) / sensitivity
 * A relative error of the sensitivity is thereby one of the irradiance.
 *     (the definition, as certificates of pyranometers state it; common practice)
 * With a resistance gain and add give ohm and the unit is degC (domain/signal.h); so with a table
 * they give what its pairs begin with. */
bool instrument_settle_signal(struct instrument *instrument, const char *file,
                              struct faults *faults);

/* Corrects what its readings are from here on, as a check run found: value = factor * value +
 * add_si. A thermometer's factor is 1. Without a unit, known faulty already, nothing happens. */
void instrument_correct(struct instrument *instrument, double factor, double add_si);

#endif
