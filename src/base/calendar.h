/* Instants: microseconds of UTC since 1970-01-01 in an int64, and the civil date of an instant.
 *
 * Proleptic Gregorian calendar, no leap seconds (as POSIX counts). Valid range: years 1 to 9999.
 * Own arithmetic (days from civil date), because the C library's calls normalise 30 February and
 * read the environment's time zone.
 */
#ifndef BASE_CALENDAR_H
#define BASE_CALENDAR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define US_PER_S INT64_C(1000000)
#define S_PER_MIN 60
#define S_PER_H 3600
#define S_PER_DAY 86400

struct civil {
    int year;   /* 1 to 9999 */
    int month;  /* 1 to 12 */
    int day;    /* 1 to 31 */
    int hour;   /* 0 to 23 */
    int minute; /* 0 to 59 */
    int second; /* 0 to 59 */
    int us;     /* microseconds, 0 to 999999 */
};

/* Returns: false if any field is out of its range (30 February included). */
bool calendar_instant(const struct civil *civil, int64_t *time_us);

void calendar_civil(int64_t time_us, struct civil *civil);

/* Day number since 1970-01-01 of an instant shifted by a fixed offset: the local day. */
int64_t calendar_day(int64_t time_us, int64_t utc_offset_s);

/* "2026-06-21T10:15:30+01:00", with the fraction only where there is one; offset 0 prints "Z".
 * size >= 40. Returns: out. */
const char *calendar_iso(int64_t time_us, int64_t utc_offset_s, char *out, size_t size);

/* "2026-06-21 10:15:30" local, for people; the zone is said elsewhere. size >= 32. */
const char *calendar_plain(int64_t time_us, int64_t utc_offset_s, char *out, size_t size);

#endif
