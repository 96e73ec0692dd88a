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
        {"ISO 8601", false, 0, "2026-06-21T09:15:30,000001999", STAMP_GOOD, MORNING_US + 1},
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
        {"%Y%m%d%H%M%S", false, 0, "2026062109153", STAMP_FORM, 0},
        {"%d/%m/%Y %H:%M:%S", false, 0, "2026-06-21 10:15:30", STAMP_FORM, 0},
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
        {"%d %Y %H:%M", false, 0, "time format '%d %Y %H:%M' needs %m and %d"},
        {"%d/%m/%Y %M", false, 0, "time format '%d/%m/%Y %M' needs either %H or %I"},
        {"%d/%m/%Y %I:%M", false, 0, "time format '%d/%m/%Y %I:%M' needs %I and %p together"},
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
        cmocka_unit_test(useless_patterns_are_refused),
        cmocka_unit_test(examples_are_of_their_format),
        cmocka_unit_test(a_zone_skips_and_repeats_stamps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
