#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/calendar.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

/* Noon of every day of the years 1 to 9999: instants rise by a day, and come back as they went. */
static void every_day_goes_there_and_back(void **state)
{
    static const int longest[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int64_t before_us = 0;
    long days = 0;
    (void)state;
    for (int year = 1; year <= 9999; year++)
        for (int month = 1; month <= 12; month++)
            for (int day = 1; day <= longest[month - 1]; day++) {
                struct civil c = {.year = year, .month = month, .day = day, .hour = 12};
                struct civil back;
                int64_t time_us;
                if (!calendar_instant(&c, &time_us)) {
                    assert_true(month == 2 && day == 29);
                    continue;
                }
                calendar_civil(time_us, &back);
                if (back.year != year || back.month != month || back.day != day ||
                    back.hour != 12 || (days > 0 && time_us - before_us != S_PER_DAY * US_PER_S))
                    fail_msg("%04d-%02d-%02d came back as %04d-%02d-%02d", year, month, day,
                             back.year, back.month, back.day);
                before_us = time_us;
                days++;
            }
    /* 9999 years of the Gregorian calendar: 365 each, and 2499 - 99 + 24 leap days. */
    assert_int_equal(days, 365L * 9999 + 2499 - 99 + 24);
}

/* The C library's timegm is the reference. Steps of 86,399 s and 7 us meet every time of day. */
static void instants_agree_with_the_library(void **state)
{
    (void)state;
    for (int64_t s = -2208988800; s < 4102444800; s += 50 * 86399) {
        time_t clock = (time_t)s;
        struct tm tm;
        struct civil c;
        int64_t back_us = 0;
        gmtime_r(&clock, &tm);
        calendar_civil(s * US_PER_S + 7, &c);
        if (c.year != tm.tm_year + 1900 || c.month != tm.tm_mon + 1 || c.day != tm.tm_mday ||
            c.hour != tm.tm_hour || c.minute != tm.tm_min || c.second != tm.tm_sec || c.us != 7)
            fail_msg("%lld s: %04d-%02d-%02d", (long long)s, c.year, c.month, c.day);
        assert_true(calendar_instant(&c, &back_us));
        assert_int_equal(back_us, s * US_PER_S + 7);
    }
}

static void impossible_fields_are_refused(void **state)
{
    static const struct {
        const char *name;
        struct civil civil;
        bool possible;
    } rows[] = {
        {"leap day of 2024", {2024, 2, 29, 23, 59, 59, 999999}, true},
        {"leap day of 2000", {2000, 2, 29, 0, 0, 0, 0}, true},
        {"no leap day in 1900", {1900, 2, 29, 0, 0, 0, 0}, false},
        {"no leap day in 2026", {2026, 2, 29, 0, 0, 0, 0}, false},
        {"30 February", {2026, 2, 30, 0, 0, 0, 0}, false},
        {"31 April", {2026, 4, 31, 0, 0, 0, 0}, false},
        {"year 0", {0, 3, 1, 0, 0, 0, 0}, false},
        {"year 10000", {10000, 1, 1, 0, 0, 0, 0}, false},
        {"month 13", {2026, 13, 1, 0, 0, 0, 0}, false},
        {"month 0", {2026, 0, 1, 0, 0, 0, 0}, false},
        {"day 0", {2026, 6, 0, 0, 0, 0, 0}, false},
        {"hour 24", {2026, 6, 1, 24, 0, 0, 0}, false},
        {"minute 60", {2026, 6, 1, 3, 60, 0, 0}, false},
        {"second 60", {2026, 6, 1, 3, 5, 60, 0}, false},
        {"a million microseconds", {2026, 6, 1, 3, 5, 7, 1000000}, false},
        {"less than no microseconds", {2026, 6, 1, 3, 5, 7, -1}, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int64_t time_us = -17;
        if (calendar_instant(&rows[i].civil, &time_us) != rows[i].possible)
            fail_msg("%s", rows[i].name);
        if (!rows[i].possible)
            assert_int_equal(time_us, -17);
    }
}

static void instants_are_printed(void **state)
{
    static const struct {
        int64_t time_us;
        int64_t offset_s;
        const char *iso;
        const char *plain;
    } rows[] = {
        {INT64_C(1782033330000000), 3600, "2026-06-21T10:15:30+01:00", "2026-06-21 10:15:30"},
        {INT64_C(1782033330250000), 0, "2026-06-21T09:15:30.25Z", "2026-06-21 09:15:30"},
        {INT64_C(1782033330000001), -12600, "2026-06-21T05:45:30.000001-03:30",
         "2026-06-21 05:45:30"},
        {-1, 0, "1969-12-31T23:59:59.999999Z", "1969-12-31 23:59:59"},
        {0, 20700, "1970-01-01T05:45:00+05:45", "1970-01-01 05:45:00"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char out[40];
        assert_string_equal(calendar_iso(rows[i].time_us, rows[i].offset_s, out, sizeof out),
                            rows[i].iso);
        assert_string_equal(calendar_plain(rows[i].time_us, rows[i].offset_s, out, sizeof out),
                            rows[i].plain);
    }
}

static void local_days_are_counted(void **state)
{
    (void)state;
    assert_int_equal(calendar_day(0, 0), 0);
    assert_int_equal(calendar_day(-1, 0), -1);
    assert_int_equal(calendar_day(INT64_C(1782033330000000), 3600), 20625);
    /* 23:30 UTC is the next day an hour to the east. */
    assert_int_equal(calendar_day(INT64_C(84600000000), 3600), 1);
    assert_int_equal(calendar_day(INT64_C(1800000000), -3600), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_day_goes_there_and_back),
        cmocka_unit_test(instants_agree_with_the_library),
        cmocka_unit_test(impossible_fields_are_refused),
        cmocka_unit_test(instants_are_printed),
        cmocka_unit_test(local_days_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
