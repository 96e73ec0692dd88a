#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/calendar.h"
#include "base/zone.h"
#include "tests/unit/aid_folder.h"
#include "tests/unit/aid_zone.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#define S US_PER_S

static struct faults faults;

static int64_t at_utc(int year, int month, int day, int hour, int minute)
{
    struct civil civil = {year, month, day, hour, minute, 0, 0};
    int64_t time_us;
    assert_true(calendar_instant(&civil, &time_us));
    return time_us;
}

static void read_zone(struct zone *zone, const char *name)
{
    faults_init(&faults);
    if (!zone_read(zone, NULL, name, fault_at(NULL, 0, 0), &faults))
        fail_msg("'%s': %s", name, faults.items[0].found);
}

/* The C library's answer for the zone in TZ. */
static int64_t library_offset_s(int64_t at_s)
{
    time_t at = (time_t)at_s;
    struct tm local;
    assert_non_null(localtime_r(&at, &local));
    return local.tm_gmtoff;
}

static void compare_at(const struct zone *zone, int64_t at_s)
{
    int64_t own = zone_offset_s(zone, at_s * S);
    int64_t library = library_offset_s(at_s);
    if (own != library)
        fail_msg("%s at %lld: %lld s, the C library %lld s", zone->name, (long long)at_s,
                 (long long)own, (long long)library);
}

/* Outside check: the C library (glibc) reads the same files with code of its own. */
static void every_zone_is_as_the_library_has_it(void **state)
{
    static struct aid_zones zones;
    (void)state;
    aid_zones_list(&zones);
    assert_true(zones.n > 200);
    size_t changes = 0;
    for (size_t i = 0; i < zones.n; i++) {
        char variable[300];
        struct zone zone;
        read_zone(&zone, zones.name[i]);
        snprintf(variable, sizeof variable, ":%s/%s", AID_ZONES_FOLDER, zones.name[i]);
        setenv("TZ", variable, 1);
        tzset();
        for (size_t k = 0; k < zone.n; k++) {
            compare_at(&zone, zone.changes[k].at_s - 1);
            compare_at(&zone, zone.changes[k].at_s);
        }
        for (int64_t at_s = -3000000000; at_s < 7258118400; at_s += 7654321)
            compare_at(&zone, at_s);
        changes += zone.n;
        zone_free(&zone);
    }
    unsetenv("TZ");
    tzset();
    assert_true(changes > 10000);
}

/* What the clock shows at an instant is read back as that instant, or as one of two. */
static void what_a_clock_shows_is_read_back(void **state)
{
    static struct aid_zones zones;
    (void)state;
    aid_zones_list(&zones);
    for (size_t i = 0; i < zones.n; i++) {
        struct zone zone;
        read_zone(&zone, zones.name[i]);
        for (size_t k = 0; k < zone.n; k++) {
            int64_t at_us = zone.changes[k].at_s * S;
            int64_t before_s = zone_offset_s(&zone, at_us - 1);
            int64_t step_s = zone.changes[k].offset_s - before_s;
            int64_t time_us;
            int64_t again_us;
            for (int64_t t = at_us - 2 * S_PER_H * S; t < at_us + 2 * S_PER_H * S;
                 t += 1731 * S) {
                int64_t local_us = t + zone_offset_s(&zone, t) * S;
                enum zone_local local = zone_instant(&zone, local_us, &time_us, &again_us);
                if (local == ZONE_NEVER || (time_us != t && again_us != t))
                    fail_msg("%s, %lld: not read back", zones.name[i], (long long)t);
            }
            if (step_s < 0)
                continue;
            int64_t skipped_us = at_us + before_s * S + step_s / 2 * S;
            assert_int_equal(zone_instant(&zone, skipped_us, &time_us, &again_us), ZONE_NEVER);
            assert_int_equal(time_us, at_us);
        }
        zone_free(&zone);
    }
}

/* From memory. Directive 2000/84/EC: summer time from 01:00 UTC on the last Sunday of March to that
 * of October. Energy Policy Act of 2005, section 110: from 02:00 local on the second Sunday of
 * March to the first of November. The Sundays are those of a calendar of 2026. */
static void the_laws_dates_are_found(void **state)
{
    static const struct {
        const char *rule;
        int month, day, hour; /* UTC of the change */
        int64_t before_s, after_s;
    } rows[] = {
        {"CET-1CEST,M3.5.0,M10.5.0/3", 3, 29, 1, 3600, 7200},
        {"CET-1CEST,M3.5.0,M10.5.0/3", 10, 25, 1, 7200, 3600},
        {"EET-2EEST,M3.5.0/3,M10.5.0/4", 3, 29, 1, 7200, 10800},
        {"EET-2EEST,M3.5.0/3,M10.5.0/4", 10, 25, 1, 10800, 7200},
        {"EST5EDT,M3.2.0,M11.1.0", 3, 8, 7, -18000, -14400},
        {"EST5EDT,M3.2.0,M11.1.0", 11, 1, 6, -14400, -18000},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char name[ZONE_NAME_SIZE];
        struct zone zone;
        if (!aid_zone_of_rule(rows[i].rule, name))
            fail_msg("no zone of the rule %s", rows[i].rule);
        read_zone(&zone, name);
        int64_t at_us = at_utc(2026, rows[i].month, rows[i].day, rows[i].hour, 0);
        const struct zone_change *change = zone_change_within(&zone, at_us - S, at_us);
        if (change == NULL || change->at_s * S != at_us ||
            zone_offset_s(&zone, at_us - 1) != rows[i].before_s ||
            zone_offset_s(&zone, at_us) != rows[i].after_s)
            fail_msg("row %zu, %s: no such change", i, rows[i].rule);
        zone_free(&zone);
    }
}

/* A rule alone, from UTC-less beginnings: the first change of 2027, by a calendar and by hand. */
static void rules_are_followed(void **state)
{
    static const struct {
        const char *rule;
        int64_t offset_s; /* before the first change */
        int month, day, hour, minute; /* UTC of a change in 2027 */
        int64_t before_s, after_s;
    } rows[] = {
        /* the last Sunday of March 2027 is the 28th, of October the 31st */
        {"AAA-1BBB,M3.5.0,M10.5.0/3", 3600, 3, 28, 1, 0, 3600, 7200},
        {"AAA-1BBB,M3.5.0,M10.5.0/3", 3600, 10, 31, 1, 0, 7200, 3600},
        /* southern: the first Sunday of October is the 3rd, of April the 4th; half an hour */
        {"<+1030>-10:30<+11>-11,M10.1.0,M4.1.0", 37800, 4, 3, 15, 0, 39600, 37800},
        {"<+1030>-10:30<+11>-11,M10.1.0,M4.1.0", 37800, 10, 2, 15, 30, 37800, 39600},
        /* a winter time that is taken off */
        {"AAA-1BBB0,M10.5.0,M3.5.0/1", 3600, 3, 28, 1, 0, 0, 3600},
        /* J60 is 1 March in every year, 59 (from 0) in years of 365 days */
        {"AAA0BBB,J60,300", 0, 3, 1, 2, 0, 0, 3600},
        {"AAA0BBB,59,300", 0, 3, 1, 2, 0, 0, 3600},
        /* 24 h before the last Sunday, and 50 h after its midnight */
        {"AAA2BBB,M3.5.0/-24,M10.5.0/50", -7200, 3, 27, 2, 0, -7200, -3600},
        {"AAA2BBB,M3.5.0/-24,M10.5.0/50", -7200, 11, 2, 3, 0, -3600, -7200},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct zone zone;
        bool memory = false;
        zone_fixed(&zone, rows[i].offset_s);
        if (!zone_follow_rule(&zone, rows[i].rule, &memory))
            fail_msg("'%s' was refused", rows[i].rule);
        int64_t at_us = at_utc(2027, rows[i].month, rows[i].day, rows[i].hour, rows[i].minute);
        if (zone_offset_s(&zone, at_us - 1) != rows[i].before_s ||
            zone_offset_s(&zone, at_us) != rows[i].after_s)
            fail_msg("row %zu, '%s': %lld then %lld", i, rows[i].rule,
                     (long long)zone_offset_s(&zone, at_us - 1),
                     (long long)zone_offset_s(&zone, at_us));
        int64_t last_us = zone.changes[zone.n - 1].at_s * S;
        assert_true(last_us > at_utc(2199, 1, 1, 0, 0) && last_us < at_utc(2200, 1, 2, 0, 0));
        zone_free(&zone);
    }
}

static void summer_time_all_year_is_one_offset(void **state)
{
    struct zone zone;
    bool memory = false;
    (void)state;
    zone_fixed(&zone, -4 * S_PER_H);
    assert_true(zone_follow_rule(&zone, "AAA3BBB4,0/0,J365/23", &memory));
    for (int month = 1; month <= 12; month++)
        assert_int_equal(zone_offset_s(&zone, at_utc(2027, month, 1, 2, 59)), -4 * S_PER_H);
    zone_free(&zone);
}

static void other_rules_are_refused(void **state)
{
    static const char *const rules[] = {
        "",          "AAA",       "AA1",        "1AAA",        "AAA-1BBB",   "AAA-1BBB,M3.5.0",
        "<AAA-1",    "AAA19",     "AAA1:60",    "AAA-1BBB,,",  "AAA-1BBB,M13.1.0,M10.5.0",
        "AAA-1BBB,M3.6.0,M10.5.0", "AAA-1BBB,M3.5.7,M10.5.0",  "AAA-1BBB,J0,J365",
        "AAA-1BBB,M3.5.0/168,M10.5.0", "AAA-1BBB,M3.5.0,M10.5.0/3 ", "AAA-1BBB,M3.5.0,M10.5.0,J1",
    };
    (void)state;
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
        struct zone zone;
        bool memory = false;
        zone_fixed(&zone, 3600);
        if (zone_follow_rule(&zone, rules[i], &memory))
            fail_msg("'%s' was taken", rules[i]);
        assert_false(memory);
        zone_free(&zone);
    }
}

static void put_number(unsigned char **to, int64_t value, int width)
{
    for (int i = width - 1; i >= 0; i--)
        *(*to)++ = (unsigned char)((uint64_t)value >> (8 * i));
}

/* A header and its part: -3 h, from 2026-03-01 on -2 h, from 2026-11-01 on -3 h again. */
static void put_part(unsigned char **to, char version, int width, int leaps)
{
    memcpy(*to, "TZif", 4);
    (*to)[4] = (unsigned char)version;
    memset(*to + 5, 0, 15);
    *to += 20;
    const int64_t counts[] = {0, 0, leaps, 2, 2, 4};
    for (size_t i = 0; i < 6; i++)
        put_number(to, counts[i], 4);
    put_number(to, at_utc(2026, 3, 1, 3, 0) / S, width);
    put_number(to, at_utc(2026, 11, 1, 2, 0) / S, width);
    *(*to)++ = 1;
    *(*to)++ = 0;
    for (int type = 0; type < 2; type++) {
        put_number(to, type == 0 ? -10800 : -7200, 4);
        *(*to)++ = (unsigned char)type;
        *(*to)++ = 0;
    }
    memcpy(*to, "AAA", 4);
    *to += 4;
    for (int i = 0; i < leaps; i++) {
        put_number(to, 78796800, width);
        put_number(to, 1, 4);
    }
}

static size_t put_file(unsigned char *bytes, char version, int leaps, const char *rule)
{
    unsigned char *to = bytes;
    put_part(&to, version, 4, leaps);
    if (version == '\0')
        return (size_t)(to - bytes);
    put_part(&to, version, 8, leaps);
    to += sprintf((char *)to, "\n%s\n", rule);
    return (size_t)(to - bytes);
}

static bool read_written(const char *folder, const unsigned char *bytes, size_t n,
                         struct zone *zone)
{
    char path[300];
    aid_write(folder, "Written", (const char *)bytes, n, path);
    faults_init(&faults);
    bool good = zone_read(zone, folder, "Written", fault_at("plate.txt", 3, 8), &faults);
    assert_int_equal(faults_status(&faults), good ? 0 : 3);
    return good;
}

static void files_of_all_versions_are_read(void **state)
{
    static const struct {
        char version;
        const char *rule;
        int64_t july_2027_s;
    } rows[] = {
        {'\0', "", -10800},
        {'2', "", -10800},
        {'2', "AAA3", -10800},
        {'3', "AAA3BBB,M3.1.0,M11.1.0", -7200},
        {'4', "AAA3BBB,M3.1.0,M11.1.0", -7200},
    };
    char *folder = aid_folder();
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        unsigned char bytes[400];
        struct zone zone;
        size_t n = put_file(bytes, rows[i].version, 0, rows[i].rule);
        if (!read_written(folder, bytes, n, &zone))
            fail_msg("row %zu: %s", i, faults.items[0].found);
        assert_int_equal(zone_offset_s(&zone, at_utc(2026, 3, 1, 2, 59)), -10800);
        assert_int_equal(zone_offset_s(&zone, at_utc(2026, 3, 1, 3, 0)), -7200);
        assert_int_equal(zone_offset_s(&zone, at_utc(2026, 11, 1, 2, 0)), -10800);
        assert_int_equal(zone_offset_s(&zone, at_utc(2027, 7, 1, 0, 0)), rows[i].july_2027_s);
        assert_string_equal(zone.database, "");
        zone_free(&zone);
    }
    aid_remove(folder);
    free(folder);
}

static void damaged_files_are_refused(void **state)
{
    unsigned char bytes[400];
    struct zone zone;
    char *folder = aid_folder();
    (void)state;
    size_t n = put_file(bytes, '2', 0, "AAA3BBB,M3.1.0,M11.1.0");
    for (size_t cut = 0; cut < n; cut++) {
        if (read_written(folder, bytes, cut, &zone))
            fail_msg("%zu of %zu bytes were taken", cut, n);
        assert_int_equal(zone.n, 0);
    }
    assert_string_equal(faults.items[0].found,
                        "zone 'Written' has a file in the time-zone database that cannot be read");
    assert_true(read_written(folder, bytes, n, &zone));
    zone_free(&zone);
    n = put_file(bytes, '2', 1, "");
    assert_false(read_written(folder, bytes, n, &zone));
    n = put_file(bytes, '2', 0, "AAA3BBB");
    assert_false(read_written(folder, bytes, n, &zone));
    n = put_file(bytes, '2', 0, "");
    bytes[n - 20] = 9; /* a change to a kind of time that the file does not have */
    assert_false(read_written(folder, bytes, n, &zone));
    aid_remove(folder);
    free(folder);
}

static void names_are_found_or_the_nearest_is_told(void **state)
{
    static const struct {
        const char *name;
        const char *found;
        const char *hint;
    } rows[] = {
        {"Plain/Fareast", "zone 'Plain/Fareast' is not in the time-zone database (%s)",
         "did you mean 'Plain/Far_East'? names are compared letter for letter"},
        {"written", "zone 'written' is not in the time-zone database (%s)",
         "did you mean 'Written'? names are compared letter for letter"},
        {"Far_Eest", "zone 'Far_Eest' is not in the time-zone database (%s)",
         "did you mean 'Plain/Far_East'? names are compared letter for letter"},
        {"Nowhere/At_All", "zone 'Nowhere/At_All' is not in the time-zone database (%s)",
         "the names are those of the files in %s"},
        {"Plain", "zone 'Plain' is not in the time-zone database (%s)",
         "the names are those of the files in %s"},
        {"Plain/../Written", "zone 'Plain/../Written' is not in the time-zone database (%s)",
         "the names are those of the files in %s"},
        {"/etc/hostname", "zone '/etc/hostname' is not in the time-zone database (%s)",
         "the names are those of the files in %s"},
        {"Etc/GMT-1", "zone 'Etc/GMT-1' counts its offset westward, so that its sign misleads", ""},
        {"localtime", "zone 'localtime' is the zone of the machine on which it is read", ""},
        {"right/Written", "zone 'right/Written' counts leap seconds, which no logger does", ""},
    };
    unsigned char bytes[400];
    char path[300];
    char *folder = aid_folder();
    (void)state;
    size_t n = put_file(bytes, '2', 0, "");
    aid_write(folder, "Written", (const char *)bytes, n, path);
    aid_write(folder, "Writter.tab", "no zone", 7, path);
    aid_write(folder, "WRITTEM", "no zone either", 14, path);
    snprintf(path, sizeof path, "%s/Plain", folder);
    assert_int_equal(mkdir(path, 0700), 0);
    aid_write(folder, "Plain/Far_East", (const char *)bytes, n, path);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char found[400];
        char hint[400];
        struct zone zone;
        faults_init(&faults);
        if (zone_read(&zone, folder, rows[i].name, fault_at("plate.txt", 3, 8), &faults))
            fail_msg("'%s' was taken", rows[i].name);
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
        snprintf(found, sizeof found, rows[i].found, folder);
        snprintf(hint, sizeof hint, rows[i].hint, folder);
#pragma GCC diagnostic pop
        assert_string_equal(faults.items[0].found, found);
        assert_string_equal(faults.items[0].hint, hint);
        assert_int_equal(faults.items[0].line, 3);
        assert_int_equal(faults_status(&faults), 3);
    }
    aid_remove(folder);
    free(folder);
}

static void the_environment_changes_nothing(void **state)
{
    char name[ZONE_NAME_SIZE];
    struct zone plain;
    struct zone wild;
    (void)state;
    assert_true(aid_zone_of_rule("CET-1CEST,M3.5.0,M10.5.0/3", name));
    read_zone(&plain, name);
    setenv("TZ", "XYZ+11:37", 1);
    setenv("TZDIR", "/dev/null", 1);
    read_zone(&wild, name);
    unsetenv("TZ");
    unsetenv("TZDIR");
    assert_int_equal(wild.n, plain.n);
    assert_memory_equal(wild.changes, plain.changes, plain.n * sizeof *plain.changes);
    zone_free(&plain);
    zone_free(&wild);
    zone_free(&wild);
}

/* A day of 23 h, one of 25 h, and one that begins at 01:00. */
static void days_begin_where_the_clock_does(void **state)
{
    struct zone_change changes[] = {
        {at_utc(2026, 3, 29, 1, 0) / S, 7200},
        {at_utc(2026, 10, 25, 1, 0) / S, 3600},
        {at_utc(2027, 3, 27, 23, 0) / S, 7200}, /* 24:00 of the 27th */
    };
    const struct zone zone = {.name = "Made", .offset_s = 3600, .changes = changes, .n = 3};
    int64_t day = calendar_day(at_utc(2026, 3, 29, 12, 0), 0);
    (void)state;
    assert_int_equal(zone_day_us(&zone, day), at_utc(2026, 3, 28, 23, 0));
    assert_int_equal(zone_day_us(&zone, day + 1), at_utc(2026, 3, 29, 22, 0));
    assert_int_equal(zone_day(&zone, at_utc(2026, 3, 29, 22, 0) - 1), day);
    assert_int_equal(zone_day(&zone, at_utc(2026, 3, 29, 22, 0)), day + 1);
    day = calendar_day(at_utc(2026, 10, 25, 12, 0), 0);
    assert_int_equal(zone_day_us(&zone, day + 1) - zone_day_us(&zone, day), 25 * 3600 * S);
    day = calendar_day(at_utc(2027, 3, 28, 12, 0), 0);
    assert_int_equal(zone_day_us(&zone, day), at_utc(2027, 3, 27, 23, 0));
    assert_int_equal(zone_day(NULL, at_utc(1969, 12, 31, 23, 59)), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_zone_is_as_the_library_has_it),
        cmocka_unit_test(what_a_clock_shows_is_read_back),
        cmocka_unit_test(the_laws_dates_are_found),
        cmocka_unit_test(rules_are_followed),
        cmocka_unit_test(summer_time_all_year_is_one_offset),
        cmocka_unit_test(other_rules_are_refused),
        cmocka_unit_test(files_of_all_versions_are_read),
        cmocka_unit_test(damaged_files_are_refused),
        cmocka_unit_test(names_are_found_or_the_nearest_is_told),
        cmocka_unit_test(the_environment_changes_nothing),
        cmocka_unit_test(days_begin_where_the_clock_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
