/* Stamps: the text of a log's clock -> microseconds of UTC.
 *
 * "ISO 8601":   YYYY-MM-DD, T or a blank, HH:MM[:SS[.fraction]], then Z, +HH:MM, +HHMM, +HH or
 * nothing, also behind a blank and in the other forms of ingest/stamp_zone.h. A pattern:    %Y (4
 * digits) %y (69-99: 19xx, 00-68: 20xx) %m %b (the month's name, ingest/stamp_names.h; a point
 * behind it is passed over) %a (the day's, passed over with its point) %d %H %M %S (1 or 2 digits;
 * two exactly where no literal parts them from a neighbour number; %S takes a fraction) %j (the day
 * of the year, 1 to 366, instead of month and day) %I with %p
 * (12-hour clock; AM, PM, a.m., p.m., a, p), %q (the share of the day instead of its hour, as
 * spreadsheets keep it: 0.427083), %z (the zone, ingest/stamp_zone.h), %% and literal text. A
 * blank in the pattern takes one or more blanks, also such without a break. A count: see
 * ingest/stamp_count.h. The whole text must be used. Nothing is normalised: 30 February and second
 * 60 are refused. 24:00:00 is 00:00:00 of the next day, as loggers write it. A fraction is rounded
 * to a microsecond, a half up.
 */
#ifndef INGEST_STAMP_H
#define INGEST_STAMP_H

#include "base/faults.h"
#include "base/zone.h"
#include "ingest/stamp_count.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { STAMP_PARTS_MAX = 40, STAMP_BYTES_MAX = 80, STAMP_PATTERN_SIZE = 200 };

/* "has no such day": follows the quoted stamp in a message. */
const char *stamp_status_words(enum stamp_status status);

struct stamp_format {
    bool iso;
    const struct stamp_count *count; /* its row; NULL: no count */
    char decimal;                    /* sign of a count's and a share's fraction; '.' after
                                        stamp_compile */
    bool zone_in_stamp;
    const struct zone *zone; /* borrowed; NULL: UTC */
    int year; /* of all stamps, whatever they show; 0: as they show it */
    size_t n; /* parts of a pattern: a letter of a directive, or 0 and a literal */
    char directive[STAMP_PARTS_MAX];
    char literal[STAMP_PARTS_MAX];
    bool two_digits[STAMP_PARTS_MAX]; /* another number touches this one */
    bool hour_and_minute; /* %H%M with no other number beside */
    bool short_clock;     /* and zeros in front may be absent: see stamp_of_columns */
};

/* In:      text            "ISO 8601" (letter case ignored, blanks and '-' between optional), the
 *                          words of a count, or a pattern
 *          zone_in_stamp   stamps carry their zone; a pattern must then hold %z
 *          zone            otherwise the clock's, kept as long as the format; NULL: UTC
 *          at              where the description says so, for the fault
 * Returns: false with an input fault: unknown directive, one given twice, no year, month, day, hour
 *          or minute, too long, or %z missing; a count with its zone in the stamp. */
bool stamp_compile(const char *text, bool zone_in_stamp, const struct zone *zone, struct place at,
                   struct stamp_format *format, struct faults *faults);

/* The same of stamps whose year is stated: they have none, or a wrong one. A count has none to be
 * wrong: an input fault.
 * In:      year  0: it is not stated */
bool stamp_compile_year(const char *text, bool zone_in_stamp, const struct zone *zone, int year,
                        struct place at, struct stamp_format *format, struct faults *faults);

/* The parts of the stamps stand in n columns. With more than one a number of %H%M alone may lack
 * zeros in front, as programs write numbers: 915 is 9:15, 5 is 0:05. In one column it is more
 * likely cut. */
void stamp_of_columns(struct stamp_format *format, size_t n);

/* What a stamp says. */
struct stamp_time {
    int64_t time_us;  /* counts since the start: since then, see ingest/timing.h */
    int64_t again_us; /* the clock shows the stamp once more then; = time_us if it does not */
    int seconds;      /* the last two bytes if they are the whole seconds of a minute that the clock
                         shows once and all of whose stamps differ in them alone; else -1 */
};

/* Reads a whole field (outer blanks already cut). out is untouched unless STAMP_GOOD. */
enum stamp_status stamp_read_time(const struct stamp_format *format, const char *bytes, size_t n,
                                  struct stamp_time *out);

/* The first instant alone. */
enum stamp_status stamp_read(const struct stamp_format *format, const char *bytes, size_t n,
                             int64_t *time_us);

/* Whether stamps count from when the logger was switched on, so that they are no instants yet. */
bool stamp_since_start(const struct stamp_format *format);

/* Whether an instant is one that only a clock shows that was not set: before 1990, after 2100, or
 * on 2000-01-01, the first day of many clocks without a battery (by the clock's zone). Our own
 * limits. Never for counts since the start. */
bool stamp_is_unset(const struct stamp_format *format, int64_t time_us);

/* "an ISO 8601 stamp such as 2026-06-21T10:15:30" or one such as the pattern would print.
 * size >= 160. Returns: out. */
const char *stamp_example(const struct stamp_format *format, char *out, size_t size);

#endif
