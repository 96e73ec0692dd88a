/* Words: numbers inside sentences for people. ± is always half the width of a 95 % interval.
 */
#ifndef RUN_WORDS_H
#define RUN_WORDS_H

#include "base/zone.h"

#include <stddef.h>
#include <stdint.h>

enum { WORDS_SIZE = 96 };

/* "0.762 ± 0.019" (two digits of the half width decide the places); without a finite half width the
 * value to four digits. unit "" or "W/(m² K)", set after the numbers. size >= WORDS_SIZE. Returns:
 * out. */
const char *words_pm(double value, double half, const char *unit, char *out, size_t size);

/* "76.2 ± 1.9 %" of a share. */
const char *words_percent(double share, double half, char *out, size_t size);

/* A plain number with `places` digits after the point and a typographic minus: "−0.0012"; never
 * "−0".
 * Returns: out. */
const char *words_fixed(double value, int places, char *out, size_t size);

/* The same of a difference, with its sign: "+1.4", "−0.3"; "+0" where nothing is left of it. */
const char *words_signed(double value, int places, char *out, size_t size);

/* A volume that was stated: "2.22 mL", "250 mL", from a litre on "2 L"; three digits, no exponent. */
const char *words_volume(double m3, char *out, size_t size);

/* A rough share in per cent: "0.13", "29", "172"; two digits, no exponent. */
const char *words_rough_percent(double share, char *out, size_t size);

/* "10 min", "1 h 20 min", "45 s". */
const char *words_duration(double seconds, char *out, size_t size);

/* "1 window", "12 windows", "no window". */
const char *words_count(size_t n, const char *noun, char *out, size_t size);

/* A clock's zone as in a description: its name, or "UTC", "UTC+1", "UTC-5:30" with a typographic
 * minus. size >= ZONE_NAME_SIZE. Returns: out. */
const char *words_zone(const struct zone *zone, char *out, size_t size);

/* A count with thin groups for people: "43,200". */
const char *words_number(uint64_t n, char *out, size_t size);

/* How often, before "such tests": "1 of 12", "fewer than 1 of 1000", "most". size >= 32.
 * In: share   0 to 1 */
const char *words_chance(double share, char *out, size_t size);

/* A name that is safe as part of a file name and of an id: letters, digits, '-' and '_' stay,
 * anything else becomes '_'. */
const char *words_id(const char *name, char *out, size_t size);

#endif
