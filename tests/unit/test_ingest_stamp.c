#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/stamp.h"

#include <stdbool.h>
#include <string.h>

/* 2026-06-21T09:15:30Z, by `date -u +%s`. */
#define MORNING_US INT64_C(1782033330000000)
#define S INT64_C(1000000)
#define H (3600 * S)

static struct faults faults;

struct stamp_row {
    const char *format;
    bool in_stamp;
    int64_t offset_s;
    const char *text;
    enum stamp_status status;
    int64_t time_us;
};

static void check(const struct stamp_row *row)
{
    struct stamp_format format;
    struct zone zone;
    int64_t time_us = -4242;
    faults_init(&faults);
    zone_fixed(&zone, row->offset_s);
    if (!stamp_compile(row->format, row->in_stamp, &zone, fault_at(NULL, 0, 0), &format,
                       &faults))
        fail_msg("'%s' was refused: %s", row->format, faults.items[0].found);
    stamp_of_columns(&format, strstr(row->format, "%H%M ") == row->format ||
                                      strstr(row->format, "%j %H%M") != NULL
                                  ? 2
                                  : 1);
    enum stamp_status status = stamp_read(&format, row->text, strlen(row->text), &time_us);
    int64_t expected_us = row->status == STAMP_GOOD ? row->time_us : -4242;
    if (status != row->status || time_us != expected_us)
        fail_msg("'%s' by '%s': %s, %lld us, not %s, %lld us", row->text, row->format,
                 stamp_status_words(status), (long long)time_us, stamp_status_words(row->status),
                 (long long)expected_us);
}

static void iso_stamps_are_read(void **state)
{
    static const struct stamp_row rows[] = {
        {"ISO 8601", false, 0, "2026-06-21T09:15:30", STAMP_GOOD, MORNING_US},
        {"iso8601", false, 3600, "2026-06-21 10:15:30", STAMP_GOOD, MORNING_US},
        {"ISO 8601", false, 0, "2026-06-21T09:15", STAMP_GOOD, MORNING_US - 30 * S},
        {"ISO 8601", false, 0, "2026-06-21T09:15:30.25", STAMP_GOOD, MORNING_US + S / 4},
        {"ISO 8601", false, 0, "2026-06-21T09:15:30,0000014999", STAMP_GOOD, MORNING_US + 1},
        {"ISO 8601", false, 0, "2026-06-21T09:15:30,0000015", STAMP_GOOD, MORNING_US + 2},
        {"ISO 8601", false, 0, "2026-06-21T09:15:29.9999995", STAMP_GOOD, MORNING_US},
        {"ISO 8601", false, 0, "2026-06-20T23:59:59.9999999", STAMP_GOOD,
         MORNING_US - 9 * H - 930 * S},
        {"ISO 8601", false, 0, "2026-06-21T09:15:30Z", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21T09:15:30Z", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21T10:15:30+01:00", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21T05:45:30-0330", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21T11:15:30.5+02", STAMP_GOOD, MORNING_US + S / 2},
        {"ISO 8601", false, 3600, "2026-06-21T10:15:30+01:00", STAMP_GOOD, MORNING_US},
        {"ISO 8601", false, 0, "2026-06-20T24:00:00", STAMP_GOOD, MORNING_US - 9 * H - 930 * S},
        {"ISO 8601", false, 0, "2026-02-28T24:00", STAMP_GOOD, INT64_C(1772323200000000)},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

static void other_iso_texts_are_refused(void **state)
{
    static const struct stamp_row rows[] = {
        {"ISO 8601", false, 0, "", STAMP_EMPTY, 0},
        {"ISO 8601", false, 0, "2026-02-30T10:15:30", STAMP_DATE, 0},
        {"ISO 8601", false, 0, "2025-02-29T10:15:30", STAMP_DATE, 0},
        {"ISO 8601", false, 0, "2026-13-01T10:15:30", STAMP_DATE, 0},
        {"ISO 8601", false, 0, "0000-01-01T10:15:30", STAMP_DATE, 0},
        {"ISO 8601", false, 0, "2026-06-21T24:00:01", STAMP_HOUR, 0},
        {"ISO 8601", false, 0, "2026-06-21T24:30:00", STAMP_HOUR, 0},
        {"ISO 8601", false, 0, "2026-06-21T24:00:00.000001", STAMP_HOUR, 0},
        {"ISO 8601", false, 0, "2026-06-21T25:00:00", STAMP_HOUR, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:60:00", STAMP_HOUR, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:60", STAMP_HOUR, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:30x", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:30.", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:3", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-6-21T10:15:30", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21T10", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "21/06/2026 10:15:30", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:30+25:00", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:30+01:7", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:30+01:", STAMP_FORM, 0},
        {"ISO 8601", false, 0, "-026-06-21T10:15:30", STAMP_FORM, 0},
        {"ISO 8601", true, 0, "2026-06-21T10:15:30", STAMP_NO_ZONE, 0},
        {"ISO 8601", false, 3600, "2026-06-21T10:15:30Z", STAMP_OTHER_ZONE, 0},
        {"ISO 8601", false, 0, "2026-06-21T10:15:30+02:00", STAMP_OTHER_ZONE, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

static void patterns_are_followed(void **state)
{
    static const struct stamp_row rows[] = {
        {"%d/%m/%Y %H:%M:%S", false, 3600, "21/06/2026 10:15:30", STAMP_GOOD, MORNING_US},
        {"%Y %j %H:%M:%S", false, 0, "2026 172 9:15:30", STAMP_GOOD, MORNING_US},
        {"%Y%j%H%M%S", false, 0, "2026172091530", STAMP_GOOD, MORNING_US},
        {"%y %j %H%M", false, 0, "26 172 915", STAMP_GOOD, MORNING_US - 30 * S},
        {"%H%M %d/%m/%Y", false, 0, "0915 21/06/2026", STAMP_GOOD, MORNING_US - 30 * S},
        {"%Y %j %H%M", false, 0, "2026 172 5", STAMP_GOOD, INT64_C(1782000300000000)},
        {"%Y %j %H%M", false, 0, "2026 172 2400", STAMP_GOOD, INT64_C(1782086400000000)},
        {"%Y %j %H%M", false, 0, "2024 366 0", STAMP_GOOD, INT64_C(1735603200000000)},
        {"%Y %j %H%M", false, 0, "2026 1 0", STAMP_GOOD, INT64_C(1767225600000000)},
        {"%Y %m %d %H %M %S", false, 0, "2026 6 21 9 15 30", STAMP_GOOD, MORNING_US},
        {"%d/%m/%Y %H:%M:%S", false, 0, "21/6/2026  9:15:30.75", STAMP_GOOD,
         MORNING_US + 3 * S / 4},
        {"%m/%d/%y %I:%M:%S %p", false, 0, "6/21/26 9:15:30 AM", STAMP_GOOD, MORNING_US},
        {"%m/%d/%y %I:%M:%S %p", false, 0, "6/21/26 9:15:30 pm", STAMP_GOOD, MORNING_US + 12 * H},
        {"%m/%d/%y %I:%M %p", false, 0, "6/21/26 12:00 AM", STAMP_GOOD,
         MORNING_US - 9 * H - 930 * S},
        {"%m/%d/%y %I:%M %p", false, 0, "6/21/26 12:00 PM", STAMP_GOOD,
         MORNING_US + 3 * H - 930 * S},
        {"%Y%m%d%H%M%S", false, 0, "20260621091530", STAMP_GOOD, MORNING_US},
        {"%d.%m.%y, %H.%M", false, 0, "21.06.26, 09.15", STAMP_GOOD, MORNING_US - 30 * S},
        {"%Y-%m-%d %H:%M:%S %z", true, 0, "2026-06-21 10:15:30 +01:00", STAMP_GOOD, MORNING_US},
        {"day %d.%m.%Y at %H h %M (100%%)", false, 0, "day 21.06.2026 at 09 h 15 (100%)",
         STAMP_GOOD, MORNING_US - 30 * S},
        {"%d/%m/%y %H:%M", false, 0, "01/01/69 00:00", STAMP_GOOD, -INT64_C(31536000000000)},
        {"%d/%m/%Y %H:%M", false, 0, "20/06/2026 24:00", STAMP_GOOD, MORNING_US - 9 * H - 930 * S},
        {"%d-%b-%Y %H:%M:%S", false, 0, "21-Jun-2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%b %d, %Y %H:%M:%S", false, 0, "JUNE 21, 2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%d%b%y %H:%M:%S", false, 0, "21jun26 09:15:30", STAMP_GOOD, MORNING_US},
        {"%d %b %Y %H:%M", false, 0, "21 Sept 2026 09:15", STAMP_GOOD,
         MORNING_US + 92 * 24 * H - 30 * S},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026 09:15 a.m.", STAMP_GOOD, MORNING_US - 30 * S},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026 09:15 P.M.", STAMP_GOOD,
         MORNING_US + 12 * H - 30 * S},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026 09:15 p", STAMP_GOOD,
         MORNING_US + 12 * H - 30 * S},
        {"%d/%m/%Y %I:%M%p", false, 0, "21/06/2026 09:15A", STAMP_GOOD, MORNING_US - 30 * S},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026\xC2\xA0" "09:15 \xE2\x80\xAF" "AM", STAMP_GOOD,
         MORNING_US - 30 * S},
        {"%a %b %d %H:%M:%S %Y", false, 0, "Sun Jun 21 09:15:30 2026", STAMP_GOOD, MORNING_US},
        {"%a, %d %b %Y %H:%M:%S", false, 0, "SUNDAY, 21 Jun 2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%a %d.%m.%Y %H:%M", false, 0, "So 21.06.2026 09:15", STAMP_GOOD,
         MORNING_US - 30 * S},
        {"%a %d.%m.%Y %H:%M", false, 0, "Xy 21.06.2026 09:15", STAMP_FORM, 0},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026 09:15 px", STAMP_FORM, 0},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026 09:15 \xE2\x80", STAMP_FORM, 0},
        {"%d/%m/%Y %I:%M%p", false, 0, "21/06/2026 09:15a.m", STAMP_FORM, 0},
        {"%d/%m/%Y %I:%M %p", false, 0, "21/06/2026 09:15 ", STAMP_FORM, 0},
        {"%d-%b-%Y %H:%M:%S", false, 0, "21-Ju-2026 09:15:30", STAMP_MONTH, 0},
        {"%d-%b-%Y %H:%M:%S", false, 0, "21-Junk-2026 09:15:30", STAMP_MONTH, 0},
        {"%d-%b-%Y %H:%M:%S", false, 0, "31-Jun-2026 09:15:30", STAMP_DATE, 0},
        {"%d-%b-%Y %H:%M:%S", false, 0, "21-", STAMP_FORM, 0},
        {"%Y%m%d%H%M%S", false, 0, "2026062109153", STAMP_FORM, 0},
        {"%d/%m/%Y %H:%M:%S", false, 0, "2026-06-21 10:15:30", STAMP_FORM, 0},
        {"%Y %j %H%M", false, 0, "2026 366 915", STAMP_DATE, 0},
        {"%Y-%m-%d %H%M", false, 0, "2026-06-21 915", STAMP_FORM, 0},
        {"%Y %j %H%M", false, 0, "2026 0 915", STAMP_FORM, 0},
        {"%Y %j %H%M", false, 0, "2026 172 12345", STAMP_FORM, 0},
        {"%Y %j %H%M", false, 0, "2026 172 1260", STAMP_HOUR, 0},
        {"%Y %j %H%M", false, 0, "2026 172 2401", STAMP_HOUR, 0},
        {"%Y %j %H%M", false, 0, "2026 172 ", STAMP_FORM, 0},
        {"%Y%j%H%M%S", false, 0, "202617291530", STAMP_FORM, 0},
        {"%Y%m%d%H%M", false, 0, "20260621915", STAMP_FORM, 0},
        {"%d/%m/%Y %H:%M:%S", false, 0, "06/21/2026 10:15:30", STAMP_DATE, 0},
        {"%d/%m/%Y %H:%M:%S", false, 0, "31/04/2026 10:15:30", STAMP_DATE, 0},
        {"%d/%m/%Y %H:%M", false, 0, "21/06/2026 10:15:30", STAMP_FORM, 0},
        {"%m/%d/%y %I:%M %p", false, 0, "6/21/26 13:00 PM", STAMP_HOUR, 0},
        {"%m/%d/%y %I:%M %p", false, 0, "6/21/26 0:30 AM", STAMP_HOUR, 0},
        {"%m/%d/%y %I:%M %p", false, 0, "6/21/26 9:15 XM", STAMP_FORM, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

/* 1782033330 s is MORNING_US; the serial days are (1782033330 / 86400) + 25569 and + 24107, by
 * bc(1); 25569 and 24107 days lie between the epochs by `date -u -d 1899-12-30 +%s`. */
static void counts_are_read(void **state)
{
    static const struct stamp_row rows[] = {
        {"Unix time", false, 0, "1782033330", STAMP_GOOD, MORNING_US},
        {"Unix time us", false, 0, "1782033330250000", STAMP_GOOD, MORNING_US + S / 4},
        {"minutes since start", false, 0, "60.0041666667", STAMP_GOOD, 3600 * S + S / 4},
        {"hours since start", false, 0, "1.0000694444444", STAMP_GOOD, 3600 * S + S / 4},
        {"hours since start", false, 0, "70389529", STAMP_RANGE, 0},
        {"unix TIME s", false, 3600, "1782033330", STAMP_GOOD, MORNING_US},
        {"local Unix time", false, 3600, "1782036930", STAMP_GOOD, MORNING_US},
        {"Unix time", false, 0, "1782033330.0000004999999", STAMP_GOOD, MORNING_US},
        {"Unix time", false, 0, "1782033330.0000005", STAMP_GOOD, MORNING_US + 1},
        {"Unix time", false, 0, "1782033329.999999500", STAMP_GOOD, MORNING_US},
        {"Unix time", false, 0, "1782033330.25", STAMP_GOOD, MORNING_US + S / 4},
        {"Unix time", false, 0, "0", STAMP_GOOD, 0},
        {"Unix time", false, 0, "253402300799", STAMP_GOOD, INT64_C(253402300799000000)},
        {"Unix time", false, 0, "253402300800", STAMP_RANGE, 0},
        {"Unix time", false, 0, "99999999999999999999", STAMP_RANGE, 0},
        {"Unix time", false, 0, "1782033330.", STAMP_FORM, 0},
        {"Unix time", false, 0, "-1782033330", STAMP_FORM, 0},
        {"Unix time", false, 0, "1,782,033,330", STAMP_FORM, 0},
        {"Unix time", false, 0, "1782033330Z", STAMP_FORM, 0},
        {"Unix time", false, 0, "1.78203E+09", STAMP_ROUNDED, 0},
        {"Unix time", false, 0, "178203333e1", STAMP_ROUNDED, 0},
        {"Unix time", false, 0, "1.78203E", STAMP_FORM, 0},
        {"Unix time", false, 0, "", STAMP_EMPTY, 0},
        {"Unix time ms", false, 0, "1782033330000", STAMP_GOOD, MORNING_US},
        {"Unix milliseconds", false, 0, "1782033330000.0005", STAMP_GOOD, MORNING_US + 1},
        {"Unix time ms", false, 0, "1782033330000.00049999999999999999999", STAMP_GOOD,
         MORNING_US},
        {"milliseconds since start", false, 0, "4294967295", STAMP_GOOD, INT64_C(4294967295000)},
        {"ms since start", false, 3600, "217", STAMP_GOOD, 217000},
        {"seconds since start", false, 0, "217.0000005", STAMP_GOOD, 217000001},
        {"spreadsheet days", false, 0, "46194.3857638889", STAMP_GOOD, MORNING_US},
        {"spreadsheet days 1900", false, 3600, "46194.427430556", STAMP_GOOD, MORNING_US},
        {"spreadsheet days 1904", false, 0, "44732.385763888888888889", STAMP_GOOD, MORNING_US},
        /* 5 decimals are 0.864 s: .38576 of a day is 33329.664 s, MORNING_US 33330 s, the one whole
         * second within 0.432 s; .38577 is 33330.528 s, which is none. */
        {"spreadsheet days", false, 0, "46194.38576", STAMP_GOOD, MORNING_US},
        {"spreadsheet days", false, 0, "46194.38577", STAMP_GOOD, MORNING_US + 528000},
        {"seconds since 1904", false, 0, "3864878130", STAMP_GOOD, MORNING_US},
        {"spreadsheet days", false, 0, "2958466", STAMP_RANGE, 0},
        {"spreadsheet days", false, 0, "46194,3857638889", STAMP_FORM, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

static void a_count_follows_the_decimal_sign(void **state)
{
    struct stamp_format format;
    int64_t time_us = 0;
    (void)state;
    faults_init(&faults);
    assert_true(stamp_compile("spreadsheet days", false, NULL, fault_at(NULL, 0, 0), &format,
                              &faults));
    format.decimal = ',';
    assert_int_equal(stamp_read(&format, "46194,3857638889", 16, &time_us), STAMP_GOOD);
    assert_int_equal(time_us, MORNING_US);
    assert_int_equal(stamp_read(&format, "46194.3857638889", 16, &time_us), STAMP_FORM);
}

/* Days by `date -u -d DAY +%s`, 00:00 by a clock 3 h east of UTC and a second around it. */
static void a_clock_that_was_not_set_is_known(void **state)
{
    static const struct {
        const char *format;
        int64_t time_s;
        bool unset;
    } rows[] = {
        {"ISO 8601", 0, true},
        {"ISO 8601", 631141199, true},
        {"ISO 8601", 631141200, false}, /* 1990-01-01 */
        {"ISO 8601", 946673999, false},
        {"ISO 8601", 946674000, true}, /* 2000-01-01 */
        {"ISO 8601", 946760399, true},
        {"ISO 8601", 946760400, false}, /* 2000-01-02 */
        {"ISO 8601", 1782033330, false},
        {"ISO 8601", 4133969999, false},
        {"ISO 8601", 4133970000, true}, /* 2101-01-01 */
        {"Unix time", 1782033, true},
        {"milliseconds since start", 217, false},
    };
    struct zone zone;
    (void)state;
    zone_fixed(&zone, 10800);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stamp_format format;
        faults_init(&faults);
        assert_true(stamp_compile(rows[i].format, false, &zone, fault_at(NULL, 0, 0), &format,
                                  &faults));
        if (stamp_is_unset(&format, rows[i].time_s * S) != rows[i].unset)
            fail_msg("%s, %lld s", rows[i].format, (long long)rows[i].time_s);
    }
}

/* Names of the GNU C library's locales; zones of the time-zone database. */
static void names_and_zones_are_read(void **state)
{
    static const struct stamp_row rows[] = {
        {"%d. %b %Y %H:%M:%S", false, 0, "21. Juni 2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%d %b %Y %H:%M:%S", false, 0, "21 JUIN 2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%d de %b de %Y %H:%M:%S", false, 0, "21 de junio de 2026 09:15:30",
         STAMP_GOOD, MORNING_US},
        {"%d-%b-%Y %H:%M:%S", false, 0, "21-giu-2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%d %b %Y %H:%M:%S", false, 0, "21 kes\xC3\xA4kuuta 2026 09:15:30",
         STAMP_GOOD, MORNING_US},
        {"%d %b %Y %H:%M:%S", false, 0, "21 \xC4\x8D" "ervna 2026 09:15:30",
         STAMP_GOOD, MORNING_US},
        {"%d %b %Y %H:%M:%S", false, 0, "21 \xC4\x8D" "ervence 2026 09:15:30", STAMP_GOOD,
         MORNING_US + 30 * 24 * H},
        {"%d %b %Y %H:%M:%S", false, 0, "21 juil. 2026 09:15:30", STAMP_GOOD,
         MORNING_US + 30 * 24 * H},
        {"%d %b %Y %H:%M:%S", false, 0, "21 ao\xC3\xBBt 2026 09:15:30", STAMP_GOOD,
         MORNING_US + 61 * 24 * H},
        {"%d %b %Y %H:%M:%S", false, 0, "21 ao\xFBt 2026 09:15:30", STAMP_GOOD,
         MORNING_US + 61 * 24 * H},
        {"%d %b %Y %H:%M:%S", false, 0, "21 aou\xCC\x82t 2026 09:15:30", STAMP_GOOD,
         MORNING_US + 61 * 24 * H},
        {"%d %b %Y %H:%M:%S", false, 0, "21 mar 2026 09:15:30", STAMP_GOOD,
         MORNING_US - 92 * 24 * H},
        {"%d %b %Y %H:%M:%S", false, 0, "21 mar. 2026 09:15:30", STAMP_GOOD,
         MORNING_US - 92 * 24 * H},
        {"%a %d %b %Y %H:%M:%S", false, 0, "mar. 21 juin 2026 09:15:30", STAMP_GOOD, MORNING_US},
        {"%d %b %Y %H:%M:%S", false, 0, "mar. 21 juin 2026 09:15:30", STAMP_FORM, 0},
        {"%d %b %Y %H:%M:%S", false, 0, "21 jui 2026 09:15:30", STAMP_TWO_MONTHS, 0},
        {"%d %b %Y %H:%M:%S", false, 0, "21 listopada 2026 09:15:30", STAMP_TWO_MONTHS, 0},
        {"%d %b %Y %H:%M:%S", false, 0, "21 srp 2026 09:15:30", STAMP_TWO_MONTHS, 0},
        {"%d %b %Y %H:%M:%S", false, 0, "21 lundi 2026 09:15:30", STAMP_MONTH, 0},
        {"%d %b %Y %H:%M:%S", false, 0, "21 iyun 2026 09:15:30", STAMP_MONTH, 0},
        {"%d %b %Y %H:%M:%S", false, 0, "21 jun.. 2026 09:15:30", STAMP_FORM, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 CET", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21 11:15:30 CEST", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21 11:15:30 UTC+2", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21 11:15:30 utc +02:00", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21 05:45:30 GMT-3:30", STAMP_GOOD, MORNING_US},
        {"ISO 8601", true, 0, "2026-06-21 11:15:30 +2", STAMP_GOOD, MORNING_US},
        {"%d/%m/%Y %H:%M:%S %z", true, 0, "21/06/2026 05:15:30 EDT", STAMP_GOOD, MORNING_US},
        {"%z %d/%m/%Y %H:%M:%S", true, 0, "+0200 21/06/2026 11:15:30", STAMP_GOOD, MORNING_US},
        {"ISO 8601", false, 7200, "2026-06-21 11:15:30 CEST", STAMP_GOOD, MORNING_US},
        {"ISO 8601", false, 3600, "2026-06-21 11:15:30 CEST", STAMP_OTHER_ZONE, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 CST", STAMP_ZONE, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 IST", STAMP_ZONE, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 CETX", STAMP_ZONE, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 UTC+19", STAMP_FORM, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 UTC+1:5", STAMP_FORM, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 +01:60", STAMP_FORM, 0},
        {"ISO 8601", true, 0, "2026-06-21 10:15:30 CET+1", STAMP_FORM, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

/* By `python3 -c 'print(SHARE * 86400)'`: 0.385764 of a day is 33330.0096 s; 9:15:30 is 33330. */
static void shares_of_a_day_are_read(void **state)
{
    static const struct stamp_row rows[] = {
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.385764", STAMP_GOOD, MORNING_US},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 .3857638889", STAMP_GOOD, MORNING_US},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.38576", STAMP_GOOD, MORNING_US},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.38577", STAMP_GOOD, MORNING_US + 528000},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.3858", STAMP_GOOD, MORNING_US + 3120000},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.385770", STAMP_GOOD, MORNING_US + 528000},
        {"%d/%m/%y %q %z", true, 0, "21/06/26 0.5 +12", STAMP_GOOD, MORNING_US - 9 * H - 930 * S},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0", STAMP_GOOD, MORNING_US - 9 * H - 930 * S},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.9999999", STAMP_GOOD,
         MORNING_US + 14 * H + 2669 * S + 991000},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 1", STAMP_FORM, 0},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 1.2", STAMP_FORM, 0},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.", STAMP_FORM, 0},
        {"%Y-%m-%d %q", false, 0, "2026-06-21 0.4E-2", STAMP_FORM, 0},
        {"%Y-%m-%d %q", false, 0, "2026-02-30 0.25", STAMP_DATE, 0},
        {"spreadsheet days", false, 0, "46194 0.385764", STAMP_GOOD, MORNING_US},
        {"spreadsheet days", false, 0, "46194.0  .385764", STAMP_GOOD, MORNING_US},
        {"spreadsheet days", false, 0, "46194.385764", STAMP_GOOD, MORNING_US},
        {"spreadsheet days 1904", false, 0, "44732 0.385764", STAMP_GOOD, MORNING_US},
        {"spreadsheet days", false, 0, "46194.3 0.385764", STAMP_FORM, 0},
        {"spreadsheet days", false, 0, "46194 1.385764", STAMP_FORM, 0},
        {"Unix time", false, 0, "1782033330 0.5", STAMP_FORM, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

static void useless_patterns_are_refused(void **state)
{
    static const struct {
        const char *format;
        bool in_stamp;
        int64_t offset_s;
        const char *found;
    } rows[] = {
        {"%d/%m %H:%M", false, 0, "time format '%d/%m %H:%M' needs either %Y or %y"},
        {"%d/%m/%Y %y %H:%M", false, 0, "time format '%d/%m/%Y %y %H:%M' needs either %Y or %y"},
        {"%d %Y %H:%M", false, 0, "time format '%d %Y %H:%M' needs either %m or %b, and %d; or %j, the day of the year"},
        {"%Y %j %m %H:%M", false, 0,
         "time format '%Y %j %m %H:%M' says the day twice, by %j and by the month"},
        {"%d %m %b %Y %H:%M", false, 0,
         "time format '%d %m %b %Y %H:%M' needs either %m or %b, and %d; or %j, the day of the year"},
        {"Unix time", true, 0,
         "time format 'Unix time' is a count, which cannot carry a zone"},
        {"Unix times", false, 0, "time format 'Unix times' needs either %Y or %y"},
        {"%d/%m/%Y %M", false, 0, "time format '%d/%m/%Y %M' needs either %H or %I"},
        {"%d/%m/%Y %I:%M", false, 0, "time format '%d/%m/%Y %I:%M' needs %I and %p together"},
        {"%d/%m/%Y %H %q", false, 0,
         "time format '%d/%m/%Y %H %q' says the time of day twice, by %q and by the hour or its "
         "parts"},
        {"%d/%m/%Y %q", true, 0,
         "time format '%d/%m/%Y %q' needs %z, since the zone is said to stand in the stamp"},
        {"%d/%m/%Y %H", false, 0, "time format '%d/%m/%Y %H' needs %M"},
        {"%d/%m/%Y %H:%M", true, 0,
         "time format '%d/%m/%Y %H:%M' needs %z, since the zone is said to stand in the stamp"},
        {"%d/%m/%Y %H:%M:%Q", false, 0,
         "time format '%d/%m/%Y %H:%M:%Q' holds a '%' that is not known"},
        {"%d/%m/%Y %H:%M%", false, 0,
         "time format '%d/%m/%Y %H:%M%' holds a '%' that is not known"},
        {"%d/%d/%m/%Y %H:%M", false, 0,
         "time format '%d/%d/%m/%Y %H:%M' says the same thing twice"},
        {"ISO 8601", false, 70000, "time format 'ISO 8601' has a zone more than 18 h from UTC"},
        {"%d/%m/%Y %H:%M ........................................", false, 0,
         "time format '%d/%m/%Y %H:%M ........................................' is too long"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stamp_format format;
        struct zone zone;
        faults_init(&faults);
        zone_fixed(&zone, rows[i].offset_s);
        if (stamp_compile(rows[i].format, rows[i].in_stamp, &zone,
                          fault_at("plate.txt", 14, 8), &format, &faults))
            fail_msg("'%s' was taken", rows[i].format);
        assert_string_equal(faults.items[0].found, rows[i].found);
        assert_int_equal(faults.items[0].line, 14);
        assert_int_equal(faults_status(&faults), 3);
    }
}

/* A year that is stated holds for all stamps, whatever they show: 1781684110 s is 2026-06-17
 * 08:15:10 UTC by `date -u -d @1781684110`. */
static void a_stated_year_holds(void **state)
{
    static const struct {
        const char *format, *stamp;
        enum stamp_status status;
    } rows[] = {
        {"%d.%m. %H:%M:%S", "17.06. 08:15:10", STAMP_GOOD},
        {"%b %d %H:%M:%S", "Jun 17 08:15:10", STAMP_GOOD},
        {"%j %H:%M:%S", "168 08:15:10", STAMP_GOOD},
        {"%d/%m/%Y %H:%M:%S", "17/06/1985 08:15:10", STAMP_GOOD},
        {"%d/%m/%y %H:%M:%S", "17/06/00 08:15:10", STAMP_GOOD},
        {"ISO 8601", "1970-06-17T08:15:10", STAMP_GOOD},
        {"%d.%m. %H:%M:%S", "29.02. 08:15:10", STAMP_DATE},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stamp_format format;
        int64_t time_us = 0;
        faults_init(&faults);
        assert_true(stamp_compile_year(rows[i].format, false, NULL, 2026, fault_at("a.txt", 1, 1),
                                       &format, &faults));
        if (stamp_read(&format, rows[i].stamp, strlen(rows[i].stamp), &time_us) != rows[i].status)
            fail_msg("'%s': another status", rows[i].stamp);
        if (rows[i].status == STAMP_GOOD && time_us != INT64_C(1781684110) * 1000000)
            fail_msg("'%s': %lld us", rows[i].stamp, (long long)time_us);
    }
}

/* An example must itself be readable by its format. */
static void examples_are_of_their_format(void **state)
{
    static const struct {
        const char *format;
        bool in_stamp;
        const char *example;
    } rows[] = {
        {"ISO 8601", false, "2026-06-21T14:15:30"},
        {"ISO 8601", true, "2026-06-21T14:15:30+01:00"},
        {"%d/%m/%Y %H:%M:%S", false, "21/06/2026 14:15:30"},
        {"%m/%d/%y %I:%M %p", false, "06/21/26 02:15 PM"},
        {"%d-%b-%Y %H:%M", false, "21-Jun-2026 14:15"},
        {"%Y %j %H%M", false, "2026 172 1415"},
        {"Unix time", false, "1782051330"},
        {"Unix time ms", false, "1782051330000"},
        {"local Unix time", false, "1782051330"},
        {"seconds since start", false, "3600.25"},
        {"milliseconds since start", false, "3600250"},
        {"spreadsheet days", false, "46194.5940972222"},
        {"spreadsheet days 1904", false, "44732.5940972222"},
        {"100%% %Y%m%d %H:%M%z", true, "100% 20260621 14:15+01:00"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stamp_format format;
        char out[160];
        int64_t time_us;
        faults_init(&faults);
        assert_true(stamp_compile(rows[i].format, rows[i].in_stamp, NULL, fault_at(NULL, 0, 0),
                                  &format, &faults));
        assert_string_equal(stamp_example(&format, out, sizeof out), rows[i].example);
        assert_int_equal(stamp_read(&format, out, strlen(out), &time_us), STAMP_GOOD);
    }
}

/* A clock that is put forward at 02:00 on 29 March, put back at 03:00 on 25 October, both 01:00Z,
 * and put forward at 24:00 on 27 March of the next year. */
static void a_zone_skips_and_repeats_stamps(void **state)
{
    static struct zone_change changes[] = {
        {1774746000, 7200}, {1792890000, 3600}, {1806188400, 7200}};
    static const struct zone zone = {.name = "Made", .offset_s = 3600, .changes = changes, .n = 3};
    static const struct {
        const char *text;
        enum stamp_status status;
        int64_t time_s;
        int64_t again_s;
        int seconds;
    } rows[] = {
        {"2026-03-29T01:59:59", STAMP_GOOD, 1774745999, 1774745999, 59},
        {"2026-03-29T02:00:00", STAMP_SKIPPED, 0, 0, 0},
        {"2026-03-29T02:59:59", STAMP_SKIPPED, 0, 0, 0},
        {"2026-03-29T03:00:00", STAMP_GOOD, 1774746000, 1774746000, 0},
        {"2026-10-25T01:59:59", STAMP_GOOD, 1792886399, 1792886399, 59},
        {"2026-10-25T02:00:00", STAMP_GOOD, 1792886400, 1792890000, -1},
        {"2026-10-25T02:59:59", STAMP_GOOD, 1792889999, 1792893599, -1},
        {"2026-10-25T03:00:00", STAMP_GOOD, 1792893600, 1792893600, 0},
        {"2026-10-25T02:30:00+02:00", STAMP_GOOD, 1792888200, 1792888200, -1},
        {"2026-10-25T02:30:00+01:00", STAMP_GOOD, 1792891800, 1792891800, -1},
        {"2026-10-25T04:30:00+02:00", STAMP_OTHER_ZONE, 0, 0, 0},
        {"2026-03-29T02:30:00+01:00", STAMP_OTHER_ZONE, 0, 0, 0},
        {"2027-03-27T24:00:00", STAMP_GOOD, 1806188400, 1806188400, -1},
        {"2027-03-28T00:00:00", STAMP_SKIPPED, 0, 0, 0},
        {"2027-03-28T01:00:00", STAMP_GOOD, 1806188400, 1806188400, 0},
        {"2026-06-30T24:00:00", STAMP_GOOD, 1782856800, 1782856800, -1},
    };
    struct stamp_format format;
    (void)state;
    faults_init(&faults);
    assert_true(stamp_compile("ISO 8601", false, &zone, fault_at(NULL, 0, 0), &format, &faults));
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stamp_time time = {0, 0, 0};
        enum stamp_status status =
            stamp_read_time(&format, rows[i].text, strlen(rows[i].text), &time);
        if (status != rows[i].status || time.time_us != rows[i].time_s * S ||
            time.again_us != rows[i].again_s * S || time.seconds != rows[i].seconds)
            fail_msg("'%s' %s: %lld, %lld, %d", rows[i].text, stamp_status_words(status),
                     (long long)(time.time_us / S), (long long)(time.again_us / S), time.seconds);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(iso_stamps_are_read),
        cmocka_unit_test(other_iso_texts_are_refused),
        cmocka_unit_test(patterns_are_followed),
        cmocka_unit_test(counts_are_read),
        cmocka_unit_test(a_count_follows_the_decimal_sign),
        cmocka_unit_test(a_clock_that_was_not_set_is_known),
        cmocka_unit_test(names_and_zones_are_read),
        cmocka_unit_test(shares_of_a_day_are_read),
        cmocka_unit_test(useless_patterns_are_refused),
        cmocka_unit_test(a_stated_year_holds),
        cmocka_unit_test(examples_are_of_their_format),
        cmocka_unit_test(a_zone_skips_and_repeats_stamps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
