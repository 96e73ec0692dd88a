/* Counted stamps: a clock that writes one number.
 *
 *     Unix time                 s since 1970-01-01 00:00 UTC
 *     Unix time ms              the same in ms
 *     seconds since 1904        s since 1904-01-01 00:00 UTC, the epoch of some measuring programs
 *     local Unix time           s since 1970-01-01 00:00 by the logger's clock, as loggers count
 *                               whose clock was set to local time
 *     milliseconds since start  since the logger was switched on; 32 bits: falls to 0 after 2^32 ms
 *     seconds since start       the same in s
 *     spreadsheet days          days of the clock since 1899-12-30 (the "1900 system", right from
 *                               1900-03-01 on)
 *     spreadsheet days 1904     days since 1904-01-01
 *
 * Each may have a fraction. It is rounded to a microsecond, a half up, by whole numbers; that of
 * spreadsheet days to a millisecond, which is as fine as spreadsheets keep a time. Five digits or
 * more of a day that can be a whole second are it: 0.42708 is 36900 of 86400 s, give or take
 * 0.43 s.
 */
#ifndef INGEST_STAMP_COUNT_H
#define INGEST_STAMP_COUNT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum stamp_status {
    STAMP_GOOD,
    STAMP_EMPTY,
    STAMP_PART,       /* one of its columns is empty; given by ingest/row_time.h */
    STAMP_FORM,       /* not of the stated form */
    STAMP_DATE,       /* no such day */
    STAMP_MONTH,      /* a month's name that is not known (ingest/stamp_names.h) */
    STAMP_TWO_MONTHS, /* a name that two months have in common */
    STAMP_HOUR,       /* no such time of day */
    STAMP_NO_ZONE,    /* the zone should stand in the stamp and does not */
    STAMP_ZONE,       /* a zone's name that is not known (ingest/stamp_zone.h) */
    STAMP_OTHER_ZONE, /* the stamp carries a zone other than the stated one */
    STAMP_SKIPPED,    /* the zone's clock never shows it: it was put forward over it */
    STAMP_RANGE,      /* a count past the year 9999 */
    STAMP_ROUNDED,    /* a count written with an exponent, which has lost its last digits */
    STAMP_UNSET,      /* what a clock shows that was not set; given by ingest/row_time.h */
    STAMP_STATUS_COUNT
};

enum count_from { COUNT_FROM_UTC, COUNT_FROM_LOCAL, COUNT_FROM_START };

struct stamp_count {
    const char *words;   /* as in a description */
    const char *also;    /* another way to say it; NULL */
    enum count_from from;
    int64_t epoch_s;     /* s from 1970-01-01 to where it begins, by its clock */
    int64_t most;        /* the largest whole number, within the year 9999 */
    int64_t steps;       /* a unit has */
    int64_t step_us;     /* to which it is rounded */
    const char *example;
};

/* Letter case is ignored. Returns: NULL if no count is called so. */
const struct stamp_count *stamp_count_find(const char *text);

/* "'Unix time', 'Unix time ms', ..." size >= 200. Returns: out. */
const char *stamp_count_list(char *out, size_t size);

/* Reads digits, and behind the decimal sign more of them (up to 18 count). Of spreadsheet days the
 * whole ones and the share of the day may stand apart, a blank between: "46187 0.427083".
 * Out:     count_us  us since 1970-01-01 00:00 by the count's clock, or since the start; untouched
 *                    unless STAMP_GOOD
 * Returns: STAMP_GOOD, STAMP_FORM, STAMP_RANGE or STAMP_ROUNDED */
enum stamp_status stamp_count_read(const struct stamp_count *count, char decimal,
                                   const char *bytes, size_t n, int64_t *count_us);

/* Takes a share of a day: from "0" to below 1, "0.427083" or ".427083".
 * Out:     at, us   behind it; what it comes to, as a fraction of spreadsheet days is rounded
 * Returns: false if there is none */
bool stamp_share_take(const char **at, const char *end, char decimal, int64_t *us);

#endif
