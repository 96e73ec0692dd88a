/* Error codes: what loggers and sensors write instead of a reading. One table that can be
 * proof-read; what a description declares as `missing` comes before it.
 *
 * A word ("NAN", "#N/A", "OL") is never a reading. A number can be one, so it is set aside only
 *   where the channel cannot have it at all (-9999 degC, or -127 of an inlet), or
 *   where the channel can have it (85 degC) but it stands apart: for at most a few rows, far from
 *   the readings before and after (ingest/screen.h).
 */
#ifndef INGEST_ERROR_CODES_H
#define INGEST_ERROR_CODES_H

#include "base/units.h"

#include <stdbool.h>
#include <stddef.h>

struct error_code {
    double number;     /* as written in the log, before gain and unit */
    const char *unit;  /* only in a column of this unit; NULL: of any */
    const char *words; /* "the power-up value of digital thermometers" */
};

/* Whether a field that is no number says that there is no reading. ASCII letter case is ignored. */
bool error_code_is_word(const char *bytes, size_t n);

/* The code that a number of a column in this unit may be; NULL if it is none. */
const struct error_code *error_code_find(double number, const struct unit *unit);

/* Both tables, for the documentation and its proof-readers. */
const struct error_code *error_codes(size_t *n);
const char *const *error_code_words(size_t *n);

#endif
