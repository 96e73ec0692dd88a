/* How the readings of an instrument's column are taken: part of domain/instrument.h.
 */
#ifndef DOMAIN_INSTRUMENT_READINGS_H
#define DOMAIN_INSTRUMENT_READINGS_H

#include "domain/instrument.h"

/* Of its column's unit; DIM_COUNT while it is not known what it measures. */
enum dimension instrument_column_dimension(const void *target, const char *unit);

/* Settles what is said of its readings; channel and unit are settled.
 * Returns: false with all faults */
bool instrument_settle_readings(struct instrument *instrument, const char *file,
                                struct faults *faults);

#endif
