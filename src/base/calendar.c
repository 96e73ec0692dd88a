#include "base/calendar.h"

#include <stdio.h>
#include <stdlib.h>

#define US_PER_DAY (S_PER_DAY * US_PER_S)

/* Quotient rounded towards minus infinity; divisor > 0. */
static int64_t floor_div(int64_t value, int64_t divisor)
{
    int64_t quotient = value / divisor;
    return value % divisor < 0 ? quotient - 1 : quotient;
}

static bool leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static int days_in_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && leap(year) ? 29 : days[month - 1];
}

/* Years are counted from March, so that the leap day is the last of its year: day of year is then
 * (153 m + 2) / 5 for the month m = 0 (March) to 11. 719468 days lie between 0000-03-01 and
 * 1970-01-01. */
static int64_t days_from_date(int year, int month, int day)
{
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t m = month <= 2 ? month + 9 : month - 3;
    int64_t day_of_year = (153 * m + 2) / 5 + day - 1;
    return 365 * y + floor_div(y, 4) - floor_div(y, 100) + floor_div(y, 400) + day_of_year - 719468;
}

static void date_from_days(int64_t days, struct civil *civil)
{
    const int64_t cycle = 146097; /* days in 400 years */
    int64_t shifted = days + 719468;
    int64_t era = floor_div(shifted, cycle);
    int64_t d = shifted - era * cycle;
    /* Day of the cycle to year of the cycle: leap days of 4, 100 and 400 years taken out first. */
    int64_t y = (d - d / 1460 + d / 36524 - d / 146096) / 365;
    int64_t day_of_year = d - (365 * y + y / 4 - y / 100);
    int64_t m = (5 * day_of_year + 2) / 153;
    civil->day = (int)(day_of_year - (153 * m + 2) / 5 + 1);
    civil->month = (int)(m < 10 ? m + 3 : m - 9);
    civil->year = (int)(y + era * 400 + (m >= 10 ? 1 : 0));
}

static bool civil_is_valid(const struct civil *c)
{
    return c->year >= 1 && c->year <= 9999 && c->month >= 1 && c->month <= 12 && c->day >= 1 &&
           c->day <= days_in_month(c->year, c->month) && c->hour >= 0 && c->hour <= 23 &&
           c->minute >= 0 && c->minute <= 59 && c->second >= 0 && c->second <= 59 && c->us >= 0 &&
           c->us <= 999999;
}

bool calendar_instant(const struct civil *civil, int64_t *time_us)
{
    if (!civil_is_valid(civil))
        return false;
    int64_t s = days_from_date(civil->year, civil->month, civil->day) * S_PER_DAY +
                civil->hour * S_PER_H + civil->minute * S_PER_MIN + civil->second;
    *time_us = s * US_PER_S + civil->us;
    return true;
}

void calendar_civil(int64_t time_us, struct civil *civil)
{
    int64_t days = floor_div(time_us, US_PER_DAY);
    int64_t rest_us = time_us - days * US_PER_DAY;
    int rest_s = (int)(rest_us / US_PER_S);
    date_from_days(days, civil);
    civil->hour = rest_s / S_PER_H;
    civil->minute = rest_s % S_PER_H / S_PER_MIN;
    civil->second = rest_s % S_PER_MIN;
    civil->us = (int)(rest_us % US_PER_S);
}

int64_t calendar_day(int64_t time_us, int64_t utc_offset_s)
{
    return floor_div(time_us + utc_offset_s * US_PER_S, US_PER_DAY);
}

/* ".25" for 250000 us, "" for none. out holds 8 bytes. */
static void fraction_text(int us, char out[8])
{
    snprintf(out, 8, ".%06d", abs(us) % 1000000);
    for (int last = 6; last >= 0 && (out[last] == '0' || last == 0); last--)
        out[last] = '\0';
}

static void zone_text(int64_t utc_offset_s, char out[16])
{
    int minutes = (int)(llabs(utc_offset_s) / S_PER_MIN % (100 * 60));
    if (utc_offset_s == 0)
        snprintf(out, 16, "Z");
    else
        snprintf(out, 16, "%c%02d:%02d", utc_offset_s < 0 ? '-' : '+', minutes / 60, minutes % 60);
}

const char *calendar_iso(int64_t time_us, int64_t utc_offset_s, char *out, size_t size)
{
    struct civil c;
    char fraction[8];
    char zone[16];
    calendar_civil(time_us + utc_offset_s * US_PER_S, &c);
    fraction_text(c.us, fraction);
    zone_text(utc_offset_s, zone);
    snprintf(out, size, "%04d-%02d-%02dT%02d:%02d:%02d%s%s", c.year, c.month, c.day, c.hour,
             c.minute, c.second, fraction, zone);
    return out;
}

const char *calendar_plain(int64_t time_us, int64_t utc_offset_s, char *out, size_t size)
{
    struct civil c;
    calendar_civil(time_us + utc_offset_s * US_PER_S, &c);
    snprintf(out, size, "%04d-%02d-%02d %02d:%02d:%02d", c.year, c.month, c.day, c.hour, c.minute,
             c.second);
    return out;
}
