#include "ingest/stamp.h"

#include "base/calendar.h"
#include "ingest/stamp_names.h"
#include "ingest/stamp_zone.h"

#include <string.h>

enum { FRACTION_DIGITS = 6 };

const char *stamp_status_words(enum stamp_status status)
{
    static const char *const words[STAMP_STATUS_COUNT] = {
        [STAMP_GOOD] = "is good",
        [STAMP_EMPTY] = "is empty",
        [STAMP_PART] = "lacks the part of one column",
        [STAMP_FORM] = "is not of the stated form",
        [STAMP_DATE] = "is a day that the calendar does not have",
        [STAMP_MONTH] = "names a month by a word that is not known",
        [STAMP_TWO_MONTHS] = "names a month by a word that two months have in common",
        [STAMP_HOUR] = "is a time that the day does not have",
        [STAMP_NO_ZONE] = "does not carry its zone",
        [STAMP_ZONE] = "names its zone by a word that is not known or means several",
        [STAMP_OTHER_ZONE] = "carries another zone than the stated one",
        [STAMP_SKIPPED] = "is a time over which the zone's clock is put forward",
        [STAMP_RANGE] = "is a count that runs past the year 9999",
        [STAMP_ROUNDED] = "is a count whose last digits were rounded away",
        [STAMP_UNSET] = "is what a clock shows that was not set",
    };
    return words[status];
}

/* What has been read of a stamp so far. */
struct stamp {
    const char *at;
    const char *end;
    struct civil civil; /* without the fraction */
    int day_of_year;    /* from 1; 0: month and day say the day */
    int fraction_us;    /* up to a whole second */
    int64_t of_day_us;  /* what a share of the day comes to */
    const char *whole_seconds; /* where two digits of seconds without a fraction end, or NULL */
    bool next_day; /* it said 24:00 */
    bool twelve_hours;
    bool afternoon;
    bool zone_seen;
    int64_t zone_s;
    enum stamp_status trouble; /* why a part is not read; STAMP_GOOD: it has another form */
};

/* Reads least to most digits. */
static bool take_number(struct stamp *s, int least, int most, int *value)
{
    int digits = 0;
    int sum = 0;
    for (; digits < most && s->at < s->end && *s->at >= '0' && *s->at <= '9'; digits++)
        sum = sum * 10 + (*s->at++ - '0');
    *value = sum;
    return digits >= least;
}

static bool take_char(struct stamp *s, char c)
{
    if (s->at >= s->end || *s->at != c)
        return false;
    s->at++;
    return true;
}

/* Reads nothing or a sign (point or comma) and at least one digit, rounded to a microsecond. */
static bool take_fraction(struct stamp *s)
{
    int digits = 0;
    if (!take_char(s, '.') && !take_char(s, ','))
        return true;
    s->fraction_us = 0;
    for (; s->at < s->end && *s->at >= '0' && *s->at <= '9'; s->at++, digits++)
        if (digits < FRACTION_DIGITS)
            s->fraction_us = s->fraction_us * 10 + (*s->at - '0');
        else if (digits == FRACTION_DIGITS && *s->at >= '5')
            s->fraction_us++;
    for (int i = digits; i < FRACTION_DIGITS; i++)
        s->fraction_us *= 10;
    return digits > 0;
}

static bool take_seconds(struct stamp *s, int least)
{
    const char *from = s->at;
    if (!take_number(s, least, 2, &s->civil.second))
        return false;
    s->whole_seconds = s->at - from == 2 ? s->at : NULL;
    from = s->at;
    if (!take_fraction(s))
        return false;
    if (s->at != from)
        s->whole_seconds = NULL;
    return true;
}

/* Reads nothing, or a zone (ingest/stamp_zone.h). */
static bool take_zone(struct stamp *s)
{
    if (s->at == s->end)
        return true;
    s->zone_seen = true;
    enum stamp_zone zone = stamp_zone_take(&s->at, s->end, &s->zone_s);
    if (zone == STAMP_ZONE_UNKNOWN)
        s->trouble = STAMP_ZONE;
    return zone == STAMP_ZONE_GOOD;
}

/* A blank, or one without a break as before some programs' "PM" (U+00A0, U+202F). */
static bool take_blank(struct stamp *s)
{
    static const char *const wide[] = {"\xC2\xA0", "\xE2\x80\xAF"};
    for (size_t i = 0; i < 2; i++) {
        size_t n = strlen(wide[i]);
        if ((size_t)(s->end - s->at) >= n && memcmp(s->at, wide[i], n) == 0) {
            s->at += n;
            return true;
        }
    }
    return take_char(s, ' ');
}

static bool read_iso(struct stamp *s)
{
    struct civil *c = &s->civil;
    if (!take_number(s, 4, 4, &c->year) || !take_char(s, '-') || !take_number(s, 2, 2, &c->month) ||
        !take_char(s, '-') || !take_number(s, 2, 2, &c->day))
        return false;
    if (!take_char(s, 'T') && !take_char(s, ' ') && !take_char(s, 't'))
        return false;
    if (!take_number(s, 2, 2, &c->hour) || !take_char(s, ':') || !take_number(s, 2, 2, &c->minute))
        return false;
    if (take_char(s, ':') && !take_seconds(s, 2))
        return false;
    while (take_blank(s))
        continue;
    return take_zone(s);
}

static bool take_short_year(struct stamp *s)
{
    int year;
    if (!take_number(s, 2, 2, &year))
        return false;
    s->civil.year = year + (year >= 69 ? 1900 : 2000);
    return true;
}

/* "AM", "pm", "a.m.", and "a", "p" where no letter follows. */
static bool take_half_of_day(struct stamp *s)
{
    if (s->at >= s->end || strchr("AaPp", *s->at) == NULL || *s->at == '\0')
        return false;
    s->afternoon = *s->at == 'P' || *s->at == 'p';
    s->at++;
    if (s->at == s->end || *s->at == ' ')
        return true;
    bool dotted = take_char(s, '.');
    return (take_char(s, 'M') || take_char(s, 'm')) && (!dotted || take_char(s, '.'));
}

/* A name that was cut may end with a point, where no point of the pattern follows. */
static void take_point(struct stamp *s, const struct stamp_format *format, size_t part)
{
    bool pattern = part + 1 < format->n && format->directive[part + 1] == '\0' &&
                   format->literal[part + 1] == '.';
    if (!pattern)
        take_char(s, '.');
}

static bool take_month_name(struct stamp *s, const struct stamp_format *format, size_t part)
{
    const char *from = s->at;
    int month = stamp_month_take(&s->at, s->end);
    if (month < 1) {
        bool other_script = from < s->end && (unsigned char)*from >= 0x80;
        if (s->at > from || other_script)
            s->trouble = month == MONTH_OF_TWO ? STAMP_TWO_MONTHS : STAMP_MONTH;
        return false;
    }
    s->civil.month = month;
    take_point(s, format, part);
    return true;
}

/* The date says which day it is: the name is passed over. */
static bool take_day_name(struct stamp *s, const struct stamp_format *format, size_t part)
{
    if (!stamp_day_take(&s->at, s->end))
        return false;
    take_point(s, format, part);
    return true;
}

/* A blank of the pattern stands for one or more. */
static bool take_literal(struct stamp *s, char literal)
{
    if (literal != ' ')
        return take_char(s, literal);
    if (!take_blank(s))
        return false;
    while (take_blank(s))
        continue;
    return true;
}

/* "915" is 9:15 and "5" is 0:05, as programs write a number. */
static bool take_hour_and_minute(struct stamp *s)
{
    int number;
    if (!take_number(s, 1, 4, &number))
        return false;
    s->civil.hour = number / 100;
    s->civil.minute = number % 100;
    return true;
}

/* "172"; 0 is no day. */
static bool take_day_of_year(struct stamp *s, int least)
{
    return take_number(s, least, 3, &s->day_of_year) && s->day_of_year > 0;
}

static bool take_part(struct stamp *s, const struct stamp_format *format, size_t part)
{
    int least = format->two_digits[part] ? 2 : 1;
    switch (format->directive[part]) {
    case 'Y':
        return take_number(s, 4, 4, &s->civil.year);
    case 'y':
        return take_short_year(s);
    case 'm':
        return take_number(s, least, 2, &s->civil.month);
    case 'a':
        return take_day_name(s, format, part);
    case 'b':
        return take_month_name(s, format, part);
    case 'd':
        return take_number(s, least, 2, &s->civil.day);
    case 'j':
        return take_day_of_year(s, least == 2 ? 3 : 1);
    case 'I':
        s->twelve_hours = true;
        return take_number(s, least, 2, &s->civil.hour);
    case 'H':
        return take_number(s, least, 2, &s->civil.hour);
    case 'M':
        return take_number(s, least, 2, &s->civil.minute);
    case 'S':
        return take_seconds(s, least);
    case 'p':
        return take_half_of_day(s);
    case 'z':
        return take_zone(s);
    case 'q':
        return stamp_share_take(&s->at, s->end, format->decimal, &s->of_day_us);
    default:
        return take_literal(s, format->literal[part]);
    }
}

static bool read_pattern(const struct stamp_format *format, struct stamp *s)
{
    for (size_t i = 0; i < format->n; i++) {
        bool both = format->short_clock && format->directive[i] == 'H';
        if (both ? !take_hour_and_minute(s) : !take_part(s, format, i))
            return false;
        i += both;
    }
    return true;
}

/* 12 AM is 0 h, 12 PM is 12 h. */
static bool settle_hour(struct stamp *s)
{
    if (!s->twelve_hours)
        return true;
    if (s->civil.hour < 1 || s->civil.hour > 12)
        return false;
    s->civil.hour = s->civil.hour % 12 + (s->afternoon ? 12 : 0);
    return true;
}

/* A day of the year is told as its first day and what comes to that. Returns: false if the year has
 * no such day. */
static bool settle_day_of_year(struct stamp *s, int64_t *later_us)
{
    struct civil first = {.year = s->civil.year, .month = 1, .day = 1}, next = first;
    int64_t first_us, next_us;
    *later_us = 0;
    if (s->day_of_year == 0)
        return true;
    next.year++;
    *later_us = (s->day_of_year - 1) * S_PER_DAY * US_PER_S;
    s->civil.month = s->civil.day = 1;
    return calendar_instant(&first, &first_us) && calendar_instant(&next, &next_us) &&
           *later_us < next_us - first_us;
}

/* Local time; 24:00 is 00:00 of the next day. */
static enum stamp_status settle_local(struct stamp *s, int64_t *local_us)
{
    int64_t later_us;
    if (!settle_day_of_year(s, &later_us))
        return STAMP_DATE;
    struct civil day = {.year = s->civil.year, .month = s->civil.month, .day = s->civil.day};
    if (!calendar_instant(&day, local_us))
        return STAMP_DATE;
    if (!settle_hour(s))
        return STAMP_HOUR;
    s->next_day = s->civil.hour == 24 && s->civil.minute == 0 && s->civil.second == 0 &&
                  s->fraction_us == 0;
    if (s->next_day)
        s->civil.hour = 0;
    if (!calendar_instant(&s->civil, local_us))
        return STAMP_HOUR;
    *local_us += later_us + s->of_day_us + (s->next_day ? S_PER_DAY * US_PER_S : 0) +
                 s->fraction_us;
    return STAMP_GOOD;
}

/* The stamp's own zone counts; a stated one must be the same at that instant. */
static enum stamp_status settle_own_zone(const struct stamp_format *format, const struct stamp *s,
                                         int64_t local_us, struct stamp_time *out)
{
    int64_t time_us = local_us - s->zone_s * US_PER_S;
    if (!format->zone_in_stamp && zone_offset_s(format->zone, time_us) != s->zone_s)
        return STAMP_OTHER_ZONE;
    out->time_us = out->again_us = time_us;
    return STAMP_GOOD;
}

/* 24:00 of a day at whose end the clock is put forward is the instant of the change. */
static enum stamp_status settle_clock(const struct stamp_format *format, bool next_day,
                                      int64_t local_us, struct stamp_time *out)
{
    int64_t time_us;
    int64_t again_us;
    enum zone_local local = zone_instant(format->zone, local_us, &time_us, &again_us);
    int64_t before_us = zone_offset_s(format->zone, time_us - 1) * US_PER_S;
    if (local == ZONE_NEVER && !(next_day && local_us - before_us == time_us))
        return STAMP_SKIPPED;
    out->time_us = time_us;
    out->again_us = again_us;
    return STAMP_GOOD;
}

static enum stamp_status settle_zone(const struct stamp_format *format, const struct stamp *s,
                                     int64_t local_us, struct stamp_time *out)
{
    if (s->zone_seen)
        return settle_own_zone(format, s, local_us, out);
    if (format->zone_in_stamp)
        return STAMP_NO_ZONE;
    return settle_clock(format, s->next_day, local_us, out);
}

enum stamp_status stamp_read(const struct stamp_format *format, const char *bytes, size_t n,
                             int64_t *time_us)
{
    struct stamp_time out;
    enum stamp_status status = stamp_read_time(format, bytes, n, &out);
    if (status == STAMP_GOOD)
        *time_us = out.time_us;
    return status;
}

/* Clocks are put forward and back on whole minutes, so that a minute is shown once or twice as a
 * whole.
 */
static int whole_seconds(const struct stamp *s, const struct stamp_time *time)
{
    bool plain = s->whole_seconds == s->end && !s->next_day && time->again_us == time->time_us;
    return plain ? s->civil.second : -1;
}

static enum stamp_status read_count(const struct stamp_format *format, const char *bytes, size_t n,
                                    struct stamp_time *out)
{
    int64_t count_us;
    enum stamp_status status =
        stamp_count_read(format->count, format->decimal, bytes, n, &count_us);
    if (status != STAMP_GOOD)
        return status;
    out->seconds = -1;
    out->time_us = out->again_us = count_us;
    return format->count->from == COUNT_FROM_LOCAL ? settle_clock(format, false, count_us, out)
                                                   : STAMP_GOOD;
}

enum stamp_status stamp_read_time(const struct stamp_format *format, const char *bytes, size_t n,
                                  struct stamp_time *out)
{
    struct stamp s = {.at = bytes, .end = bytes + n};
    int64_t local_us;
    if (n == 0)
        return STAMP_EMPTY;
    if (format->count != NULL)
        return read_count(format, bytes, n, out);
    bool read = format->iso ? read_iso(&s) : read_pattern(format, &s);
    if (!read || s.at != s.end)
        return s.trouble != STAMP_GOOD ? s.trouble : STAMP_FORM;
    if (format->year > 0)
        s.civil.year = format->year;
    enum stamp_status status = settle_local(&s, &local_us);
    if (status == STAMP_GOOD)
        status = settle_zone(format, &s, local_us, out);
    if (status == STAMP_GOOD)
        out->seconds = whole_seconds(&s, out);
    return status;
}

bool stamp_since_start(const struct stamp_format *format)
{
    return format->count != NULL && format->count->from == COUNT_FROM_START;
}

bool stamp_is_unset(const struct stamp_format *format, int64_t time_us)
{
    static const int64_t LEAST_DAY = 7305;   /* 1990-01-01 */
    static const int64_t MOST_DAY = 47846;   /* 2100-12-31 */
    static const int64_t DEFAULT_DAY = 10957; /* 2000-01-01 */
    if (stamp_since_start(format))
        return false;
    int64_t day = zone_day(format->zone, time_us);
    return day < LEAST_DAY || day > MOST_DAY || day == DEFAULT_DAY;
}
