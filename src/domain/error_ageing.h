/* Drift of instruments since they were calibrated: grows with the time to the test's first day.
 */
#ifndef DOMAIN_ERROR_AGEING_H
#define DOMAIN_ERROR_AGEING_H

#include "domain/error_source.h"
#include "domain/instrument.h"

#include <stdint.h>

/* Where the day of the calibration or of the test is not stated: what usually passes between two
 * calibrations (common practice, no source). */
#define AGEING_YEARS 2.0

#define AGEING_DAY_UNKNOWN INT64_MIN

/* Standard uncertainty by which the instrument may change in a year, SI or relative; 0 if nothing
 * is known or a check of the test itself has measured it. */
double error_of_a_year(const struct instrument *instrument);

/* Years that count: between the calibration and the day, whichever comes first; AGEING_YEARS where
 * one of the two is not known.
 * In:      first_day  of the test, since 1970-01-01, or AGEING_DAY_UNKNOWN */
double ageing_years(const struct instrument *instrument, int64_t first_day);

/* Fills size and words of an instrument's row: label "drift of 'sun' (irradiance) since 2024-03".
 */
void ageing_fill(const struct instrument *instrument, int64_t first_day, struct error_source *row);

/* Sets the rows that errors_expand made, once it is known when the test began. */
void errors_age(const struct instrument *instruments, size_t n, int64_t first_day,
                struct error_registry *registry);

#endif
