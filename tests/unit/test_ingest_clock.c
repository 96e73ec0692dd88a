/* What a log's clock may look like: testdata/good/clocks holds the same four rows in each form,
 * testdata/bad/clocks one fault a file with its message, letter for letter. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_ingest.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define GOOD "testdata/good/clocks"
#define BAD "testdata/bad/clocks"
#define S INT64_C(1000000)
/* 2026-06-21T10:00:00Z, by `date -u +%s`. */
#define TEN_US INT64_C(1782036000000000)
#define H 3600

static struct faults faults;
static struct kept kept;

/* How a log's clock is described. */
struct clock_row {
    const char *file;
    const char *second_column; /* NULL: the only one is 'Time' */
    const char *format;
    bool in_stamp;
    int64_t offset_s;
    bool semicolon; /* and decimal comma */
    struct log_timing timing;
};

/* As if switched on some time before TEN_US. */
static const int64_t one_start[] = {TEN_US - 217 * S / 1000};
static const int64_t two_starts[] = {TEN_US - 3590 * S, TEN_US + 12 * S};
static const struct clock_set forward_37_s[] = {{TEN_US - 20 * S, 37 * S, {"test.txt", 7, 1}}};
static const struct clock_set back_an_hour[] = {{TEN_US + 3615 * S, -3600 * S, {"test.txt", 7, 1}}};
static const struct clock_set after_the_log[] = {{TEN_US + 7200 * S, 37 * S, {"test.txt", 7, 1}}};
static const struct clock_set before_the_log[] = {{TEN_US - 7200 * S, 37 * S, {"test.txt", 7, 1}}};
static const struct clock_set forward_in_the_log[] = {
    {TEN_US + 15 * S, 37 * S, {"test.txt", 7, 1}}};
static const struct clock_set back_in_the_log[] = {{TEN_US + 15 * S, -37 * S, {"test.txt", 7, 1}}};
/* +40 s after the first row, -15 s after the third. */
static const struct clock_set set_twice[] = {{TEN_US - 20 * S, 40 * S, {"test.txt", 7, 1}},
                                             {TEN_US + 40 * S, -15 * S, {"test.txt", 8, 1}}};
static const int64_t before_wrap[] = {TEN_US - INT64_C(4294960000000)};

#define STARTS(array)                                                                              \
    {                                                                                              \
        .starts_us = array, .n_starts = sizeof array / sizeof array[0], .starts_at = {             \
            "test.txt",                                                                            \
            6,                                                                                     \
            1                                                                                      \
        }                                                                                          \
    }
#define SETS(array)                                                                                \
    {                                                                                              \
        .sets = array, .n_sets = sizeof array / sizeof array[0]                                    \
    }

/* Reads a log so described. */
static bool read_log(const char *folder, const struct clock_row *row, struct log_account *account)
{
    struct log_plan plan;
    struct zone zone;
    char path[200];
    struct sink sink = aid_sink(&kept);
    snprintf(path, sizeof path, "%s/%s", folder, row->file);
    aid_plan(&plan, path);
    faults_init(&faults);
    zone_fixed(&zone, row->offset_s);
    plan.zone = &zone;
    plan.zone_in_stamp = row->in_stamp;
    plan.timing = row->timing;
    plan.separator = row->semicolon ? ';' : ',';
    plan.decimal = row->semicolon ? ',' : '.';
    const char *first = row->second_column == NULL ? "Time" : "Date";
    assert_true(log_plan_set_time(&plan, first, row->second_column, row->format, &faults));
    bool good = log_read(&plan, &sink, 1, account, &faults);
    assert_int_equal(good, faults_status(&faults) == 0);
    uint64_t refused = 0;
    for (size_t i = 0; i < ROW_REFUSALS; i++)
        refused += account->refused[i];
    assert_int_equal(account->rows_read, account->rows_used + refused);
    log_plan_free(&plan);
    return good;
}

static char *printed(void)
{
    char *text = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&text, &n);
    assert_non_null(out);
    faults_print(&faults, "test", out);
    fclose(out);
    char *copy =
        strdup(text); /* gcc takes what open_memstream wrote for a pointer to `text` itself */
    free(text);
    assert_non_null(copy);
    return copy;
}

/* Ten seconds from row to row, from TEN_US on. */
static void check_rows(const char *file)
{
    static const double in_degC[] = {35.02, 35.04, 35.01, 35.03};
    if (kept.n != 4)
        fail_msg("%s: %zu rows", file, kept.n);
    for (size_t i = 0; i < 4; i++)
        if (kept.time_us[i] != TEN_US + (int64_t)i * 10 * S ||
            kept.value[CH_INLET][i] != in_degC[i])
            fail_msg("%s: row %zu at %lld us, inlet %g", file, i,
                     (long long)(kept.time_us[i] - TEN_US), kept.value[CH_INLET][i]);
}

static void the_same_rows_by_any_clock_read_the_same(void **state)
{
    static const struct clock_row rows[] = {
        {"clock-set-after-the-log.csv", NULL, "ISO 8601", false, 0, false, SETS(after_the_log)},
        {"clock-set-back.csv", NULL, "ISO 8601", false, 0, false, SETS(back_an_hour)},
        {"clock-set-forward.csv", NULL, "ISO 8601", false, 0, false, SETS(forward_37_s)},
        {"clock-set-twice.csv", NULL, "ISO 8601", false, 0, false, SETS(set_twice)},
        {"date-and-clock.csv", "Clock", "%d.%m.%y %I:%M:%S %p", false, 0, false, {0}},
        {"day-name-french.csv", NULL, "%a %d %b %Y %H:%M:%S", false, 0, false, {0}},
        {"day-name.csv", NULL, "%a %b %d %H:%M:%S %Y", false, 0, false, {0}},
        {"day-and-share.csv", "Clock", "%Y-%m-%d %q", false, 0, false, {0}},
        {"day-first.csv", NULL, "%d/%m/%Y %H:%M:%S", false, H, false, {0}},
        {"iso-blank.csv", NULL, "ISO 8601", false, 0, false, {0}},
        {"iso-fraction.csv", NULL, "ISO 8601", false, 0, false, {0}},
        {"iso-zones.csv", NULL, "ISO 8601", true, 0, false, {0}},
        {"midnight-as-24.csv", NULL, "%d/%m/%Y %H:%M:%S", false, -10 * H - 10, false, {0}},
        {"month-first.csv", NULL, "%m/%d/%Y %H:%M:%S", false, 0, false, {0}},
        {"month-name-whole.csv", NULL, "%b %d, %Y %H:%M:%S", false, 0, false, {0}},
        {"month-name.csv", NULL, "%d-%b-%Y %H:%M:%S", false, 0, false, {0}},
        {"month-names-of-europe.csv", NULL, "%d %b %Y %H:%M:%S", false, 0, false, {0}},
        {"packed.csv", NULL, "%Y%m%d%H%M%S", false, 0, false, {0}},
        {"rows-per-stamp.csv", NULL, "%d/%m/%Y %H:%M", false, 0, false, {.rows_per_stamp = 6}},
        {"since-start-hours.csv", NULL, "hours since start", false, 0, false, STARTS(one_start)},
        {"since-start-minutes.csv", NULL, "minutes since start", false, 0, false,
         STARTS(one_start)},
        {"since-start-ms.csv", NULL, "milliseconds since start", false, 0, false,
         STARTS(one_start)},
        {"since-start-seconds.csv", NULL, "seconds since start", false, 0, false,
         STARTS(one_start)},
        {"since-start-twice.csv", NULL, "milliseconds since start", false, 0, false,
         STARTS(two_starts)},
        {"since-start-wrap.csv", NULL, "milliseconds since start", false, 0, false,
         STARTS(before_wrap)},
        {"spreadsheet-days-1904.csv", NULL, "spreadsheet days 1904", false, 0, false, {0}},
        {"spreadsheet-days-apart.csv", "Clock", "spreadsheet days", false, 0, false, {0}},
        {"spreadsheet-days-comma.csv", NULL, "spreadsheet days", false, H, true, {0}},
        {"spreadsheet-days.csv", NULL, "spreadsheet days", false, 0, false, {0}},
        {"stamps-at-end.csv", NULL, "ISO 8601", false, 0, false, {.side = STAMPS_END}},
        {"stamps-at-middle.csv", NULL, "ISO 8601", false, 0, false, {.side = STAMPS_MIDDLE}},
        {"stamps-at-start.csv",
         NULL,
         "ISO 8601",
         false,
         0,
         false,
         {.side = STAMPS_START, .interval_us = 20 * S}},
        {"twelve-hours-dotted.csv", NULL, "%d/%m/%Y %I:%M:%S %p", false, 4 * H, false, {0}},
        {"twelve-hours-letter.csv", NULL, "%m/%d/%Y %I:%M:%S %p", false, 0, false, {0}},
        {"twelve-hours-narrow-blank.csv", NULL, "%m/%d/%Y, %I:%M:%S %p", false, 0, false, {0}},
        {"twelve-hours.csv", NULL, "%m/%d/%y %I:%M:%S %p", false, -10 * H, false, {0}},
        {"unix-fraction.csv", NULL, "Unix time", false, 0, false, {0}},
        {"unix-local.csv", NULL, "local Unix time", false, 2 * H, false, {0}},
        {"unix-ms.csv", NULL, "Unix time ms", false, 5 * H, false, {0}},
        {"unix-us.csv", NULL, "Unix time us", false, 0, false, {0}},
        {"unix.csv", NULL, "Unix time", false, -7 * H, false, {0}},
        {"year-of-two-digits.csv", NULL, "%d.%m.%y %H:%M:%S", false, 0, false, {0}},
        {"zone-beside.csv", "Clock", "ISO 8601", true, 0, false, {0}},
    };
    (void)state;
    assert_int_equal(aid_count_files(GOOD), sizeof rows / sizeof rows[0]);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct log_account account;
        bool good = read_log(GOOD, &rows[i], &account);
        if (!good || faults.worst > FAULT_NOTE)
            fail_msg("%s: %s", rows[i].file, printed());
        check_rows(rows[i].file);
        log_account_free(&account);
    }
}

#define MONTH_HINT                                                                                 \
    "  let the logger write the month as a number, or replace its names; those of Croatian, "      \
    "Czech, Danish, Dutch, English, Finnish, French, German, Hungarian, Italian, Norwegian, "      \
    "Polish, Portuguese, Romanian, Slovak, Slovenian, Spanish, Swedish and Turkish are read, as "  \
    "far as each means one month\n"

static void each_bad_clock_has_its_message(void **state)
{
    static const struct {
        struct clock_row clock;
        const char *message; /* without the folder */
    } rows[] = {
        {{"clock-set-back-by-hand.csv", NULL, "ISO 8601", false, 0, false, {0}},
         "clock-set-back-by-hand.csv:4:1: field 1 'Time': time runs backwards: "
         "2026-06-21T10:39:43Z after 2026-06-21T11:00:10Z of "
         "clock-set-back-by-hand.csv:3 (2 of 4 rows; this is the first)\n"
         "  if the clock was set back there, state it in [log], such as 'clock set = "
         "2026-06-21T11:00:20Z by -1237 s'; if it is the earlier stamp that is wrong, "
         "mend that row; if two loggers wrote the file, each needs a file and a "
         "section [log NAME] of its own\n"},
        {{"clock-set-back-not-seen.csv", NULL, "ISO 8601", false, 0, false, SETS(back_in_the_log)},
         "clock-set-back-not-seen.csv:4: the stamps do not show the clock being put "
         "back by 37 s: they go on from 2026-06-21T10:00:10Z "
         "(clock-set-back-not-seen.csv:3) to 2026-06-21T10:00:20Z\n"
         "  look at 'clock set' on line 7 of the description: it holds what the clock "
         "showed when it was set, before that, and by how much it was put forward (+) "
         "or back (-)\n"},
        {{"clock-set-back-not-stated.csv", NULL, "ISO 8601", false, 0, false, {0}},
         "clock-set-back-not-stated.csv:4:1: field 1 'Time': time runs backwards: "
         "2026-06-21T10:00:20Z after 2026-06-21T11:00:10Z of "
         "clock-set-back-not-stated.csv:3 (2 of 4 rows; this is the first)\n"
         "  if the clock was set back there, state it in [log], such as 'clock set = "
         "2026-06-21T11:00:20Z by -3600 s'; if it is the earlier stamp that is wrong, mend that "
         "row; if two loggers wrote the file, each needs a file and a section [log NAME] of its "
         "own\n"},
        {{"clock-set-before-the-log.csv", NULL, "ISO 8601", false, 0, false, SETS(before_the_log)},
         "test.txt:7:1: no row of the log lies before 2026-06-21T08:00:00Z, when the "
         "clock is said to have been set\n"
         "  mind the day; if the log begins later, take the line out: only rows "
         "before it are corrected\n"},
        {{"clock-set-forward-not-seen.csv", NULL, "ISO 8601", false, 0, false,
          SETS(forward_in_the_log)},
         "clock-set-forward-not-seen.csv:4: the stamps do not show the clock being "
         "put forward by 37 s: they go on from 2026-06-21T10:00:10Z "
         "(clock-set-forward-not-seen.csv:3) to 2026-06-21T10:00:20Z\n"
         "  look at 'clock set' on line 7 of the description: it holds what the clock "
         "showed when it was set, before that, and by how much it was put forward (+) "
         "or back (-)\n"},
        {{"day-month-exchanged-days.csv", NULL, "spreadsheet days", false, H, false, {0}},
         "day-month-exchanged-days.csv:5:1: field 1 'Time': the log falls back from "
         "2026-12-02 (day-month-exchanged-days.csv:4) to 2026-02-13; with day and "
         "month exchanged it would go on from 2026-02-12 to 2026-02-13\n"
         "  expected: day and month in one order in all rows (2 rows run backwards)\n"
         "  a spreadsheet that reads dates in another order exchanges the days up to "
         "12: take the log as the logger wrote it\n"},
        {{"day-month-exchanged.csv", NULL, "%d/%m/%Y %H:%M:%S", false, H, false, {0}},
         "day-month-exchanged.csv:5:1: field 1 'Time': the log falls back from "
         "2026-12-02 (day-month-exchanged.csv:4) to 2026-02-13; with day and month "
         "exchanged it would go on from 2026-02-12 to 2026-02-13\n"
         "  expected: day and month in one order in all rows (2 rows run backwards)\n"
         "  a spreadsheet that reads dates in another order exchanges the days up to "
         "12: take the log as the logger wrote it\n"},
        {{"month-13.csv", NULL, "%d/%m/%Y %H:%M:%S", false, H, false, {0}},
         "month-13.csv:2:1: field 1 'Time': stamp '06/21/2026 10:00:00' is a day that "
         "the calendar does not have (4 of 4 rows; this is the first)\n"
         "  expected: a stamp such as '21/06/2026 14:15:30'\n"
         "  day and month stand the other way round: write '%m/%d/%Y %H:%M:%S' in "
         "'time' of [log]\n"},
        {{"month-name-not-known.csv", NULL, "%d %b %Y %H:%M:%S", false, H, false, {0}},
         "month-name-not-known.csv:2:1: field 1 'Time': stamp '21 июня 2026 10:00:00' names a "
         "month by a word that is not known (4 of 4 rows; this is the first)\n"
         "  expected: a stamp such as '21 Jun 2026 14:15:30'\n" MONTH_HINT},
        {{"month-name-of-two.csv", NULL, "%d %b %Y %H:%M:%S", false, H, false, {0}},
         "month-name-of-two.csv:2:1: field 1 'Time': stamp '21 lip 2026 10:00:00' names a month "
         "by a word that two months have in common (4 of 4 rows; this is the first)\n"
         "  expected: a stamp such as '21 Jun 2026 14:15:30'\n" MONTH_HINT},
        {{"not-set-1970.csv", NULL, "ISO 8601", false, H, false, {0}},
         "not-set-1970.csv:2:1: field 1 'Time': the logger's clock was not set: stamp "
         "'1970-01-01T00:00:00' (4 of 4 rows; this is the first)\n"
         "  expected: a day from 1990 to 2100, other than 2000-01-01\n"
         "  set the logger's clock before a test; who knows when the logger was "
         "switched on can put the right stamps into the file\n"},
        {{"not-set-2000.csv", NULL, "ISO 8601", false, H, false, {0}},
         "not-set-2000.csv:2:1: field 1 'Time': the logger's clock was not set: stamp "
         "'2000-01-01 00:00:00' (4 of 4 rows; this is the first)\n"
         "  expected: a day from 1990 to 2100, other than 2000-01-01\n"
         "  set the logger's clock before a test; who knows when the logger was "
         "switched on can put the right stamps into the file\n"},
        {{"not-set-2165.csv", NULL, "ISO 8601", false, H, false, {0}},
         "not-set-2165.csv:2:1: field 1 'Time': the logger's clock was not set: stamp "
         "'2165-08-25 12:00:00' (4 of 4 rows; this is the first)\n"
         "  expected: a day from 1990 to 2100, other than 2000-01-01\n"
         "  set the logger's clock before a test; who knows when the logger was "
         "switched on can put the right stamps into the file\n"},
        {{"set-too-late.csv", NULL, "ISO 8601", false, H, false, {0}},
         "set-too-late.csv:2:1: field 1 'Time': the logger's clock was not set: stamp "
         "'2000-01-01T00:00:03' (2 of 4 rows; this is the first)\n"
         "  expected: a day from 1990 to 2100, other than 2000-01-01\n"
         "  set the logger's clock before a test; who knows when the logger was "
         "switched on can put the right stamps into the file\n"},
        {{"spreadsheet-days-thousands.csv", NULL, "spreadsheet days", false, H, false, {0}},
         "spreadsheet-days-thousands.csv:2:1: field 1 'Time': stamp "
         "'46,194.4166666667' is not of the stated form (4 of 4 rows; this is the "
         "first)\n"
         "  expected: a stamp such as '46194.5940972222'\n"
         "  set 'time' in [log] to the form that the log writes, or mend its stamps\n"},
        {{"spreadsheet-days-wrong-epoch.csv", NULL, "spreadsheet days", false, H, false, {0}},
         "spreadsheet-days-wrong-epoch.csv:2:1: field 1 'Time': the logger's clock "
         "was not set, or its count is not 'spreadsheet days': stamp "
         "'9194.4166666667' is 1925-03-03T10:00:00+01:00 (4 of 4 rows; this is the "
         "first)\n"
         "  expected: a day from 1990 to 2100, other than 2000-01-01\n"
         "  state in 'time' of [log] what the column counts; if that is right, set "
         "the logger's clock before a test\n"},
        {{"start-not-stated.csv", NULL, "milliseconds since start", false, 0, false,
          STARTS(one_start)},
         "start-not-stated.csv:4:1: field 1 'Time': the count falls to '8000' after "
         "start-not-stated.csv:3, as when the logger is switched on again, and no "
         "'start' says when that was (2 of 4 rows; this is the first)\n"
         "  state a 'start' in [log] for each time that it was switched on, in order; "
         "if nobody knows when, cut the file before this row\n"},
        {{"start-of-which-none.csv", NULL, "ms since start", false, 0, false, STARTS(two_starts)},
         "test.txt:6:1: 2 starts are stated, but the count of the log begins 1 time\n"
         "  state one 'start' for each time that the logger was switched on, in "
         "order\n"},
        {{"unix-ms-as-seconds.csv", NULL, "Unix time", false, H, false, {0}},
         "unix-ms-as-seconds.csv:2:1: field 1 'Time': stamp '1782036000000' is a "
         "count that runs past the year 9999 (4 of 4 rows; this is the first)\n"
         "  expected: a stamp such as '1782051330'\n"
         "  if these are milliseconds, say so in 'time' of [log], such as 'Unix time "
         "ms'\n"},
        {{"zone-of-several.csv", NULL, "ISO 8601", true, 0, false, {0}},
         "zone-of-several.csv:2:1: field 1 'Time': stamp '2026-06-21 10:00:00 CST' names its zone "
         "by a word that is not known or means several (4 of 4 rows; this is the first)\n"
         "  expected: a stamp such as '2026-06-21T14:15:30+01:00'\n"
         "  replace the zone's name by its hours and minutes from UTC, such as +02:00 east of "
         "it\n"},
        {{"unix-rounded.csv", NULL, "Unix time", false, H, false, {0}},
         "unix-rounded.csv:2:1: field 1 'Time': stamp '1.78204E+09' is a count whose "
         "last digits were rounded away (4 of 4 rows; this is the first)\n"
         "  expected: a stamp such as '1782051330'\n"
         "  export the log again, with the column as text or as a number with all its "
         "digits\n"},
        {{"unix-seconds-as-ms.csv", NULL, "Unix time ms", false, H, false, {0}},
         "unix-seconds-as-ms.csv:2:1: field 1 'Time': the logger's clock was not set, "
         "or its count is not 'Unix time ms': stamp '1782036000' is "
         "1970-01-21T16:00:36+01:00 (4 of 4 rows; this is the first)\n"
         "  expected: a day from 1990 to 2100, other than 2000-01-01\n"
         "  state in 'time' of [log] what the column counts; if that is right, set "
         "the logger's clock before a test\n"},
    };
    (void)state;
    assert_int_equal(aid_count_files(BAD), sizeof rows / sizeof rows[0]);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct log_account account;
        assert_false(read_log(BAD, &rows[i].clock, &account));
        char *text = printed();
        for (char *at = strstr(text, BAD "/"); at != NULL; at = strstr(at, BAD "/"))
            memmove(at, at + strlen(BAD "/"), strlen(at + strlen(BAD "/")) + 1);
        if (strcmp(text, rows[i].message) != 0)
            fail_msg("%s:\n%s", rows[i].clock.file, text);
        assert_int_equal(faults_status(&faults), 3);
        assert_false(kept.finished);
        free(text);
        log_account_free(&account);
    }
}

static char *folder;

/* Reads a log that is written here. */
static bool read_text(const char *text, const struct clock_row *row, struct log_account *account)
{
    char path[300];
    folder = aid_folder();
    assert_non_null(folder);
    aid_write(folder, row->file, text, strlen(text), path);
    bool good = read_log(folder, row, account);
    aid_remove(folder);
    free(folder);
    return good;
}

/* Six rows a minute under stamps of whole minutes; five of six are lost, and the hint says what to
 * state. */
static void rows_that_share_a_stamp_are_counted(void **state)
{
    static const struct clock_row clock = {"minutes.csv", NULL, "%d/%m/%Y %H:%M", false, 0,
                                           false,         {0}};
    static const struct clock_row stated = {
        "minutes.csv", NULL, "%d/%m/%Y %H:%M", false, 0, false, {.rows_per_stamp = 6}};
    static const struct clock_row too_few = {
        "minutes.csv", NULL, "%d/%m/%Y %H:%M", false, 0, false, {.rows_per_stamp = 5}};
    struct log_account account;
    char *text = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&text, &n);
    (void)state;
    assert_non_null(out);
    fputs("Time,G tilt,T air,T in,T out,Flow\n", out);
    for (int i = 0; i < 120; i++)
        fprintf(out, "21/06/2026 10:%02d,%d.5,24.31,35.02,42.17,2.412\n", (i + 3) / 6, 700 + i % 7);
    fclose(out);
    assert_true(read_text(text, &clock, &account));
    assert_int_equal(account.refused[ROW_DUPLICATE], 99);
    assert_non_null(strstr(faults.items[0].hint, "state 'rows per stamp = 6' in [log]"));
    log_account_free(&account);

    /* The three rows of the first minute are set aside, the others lie 10 s apart. */
    assert_true(read_text(text, &stated, &account));
    assert_int_equal(account.refused[ROW_PART], 3);
    assert_true(row_refusal_is_plain(ROW_PART));
    assert_string_equal(
        faults.items[0].found,
        "the rows of '21/06/2026 10:00' are not used: a log may begin, or go on "
        "after a gap, in the middle of the 6 rows of a stamp, so those of the first "
        "stamp are left out (3 of 120 rows; this is the first)");
    assert_string_equal(faults.items[0].hint, "nothing needs to be done");
    assert_int_equal(kept.n, 117);
    assert_int_equal(account.step_us, 10 * S);
    for (size_t i = 0; i < kept.n; i++)
        assert_int_equal(kept.time_us[i], TEN_US + 60 * S + (int64_t)i * 10 * S);
    log_account_free(&account);

    assert_true(read_text(text, &too_few, &account));
    assert_int_equal(account.refused[ROW_DUPLICATE], 19);
    assert_string_equal(faults.items[0].found, "more than the stated 5 rows have the stamp "
                                               "'21/06/2026 10:01' (19 of 120 rows; this is the "
                                               "first)");
    log_account_free(&account);
    free(text);
}

/* Two days a month apart, or 11 and 12 June read in the wrong order: nobody but the user knows. */
static void a_leap_of_a_month_is_told(void **state)
{
    static const struct clock_row clock = {"leap.csv", NULL, "%d/%m/%Y %H:%M:%S", false, 0,
                                           false,      {0}};
    static const char text[] = "Time,G tilt,T air,T in,T out,Flow\n"
                               "06/11/2026 10:00:00,812.3,24.31,35.02,42.17,2.412\n"
                               "06/11/2026 10:00:10,812.3,24.31,35.02,42.17,2.412\n"
                               "06/12/2026 10:00:00,812.3,24.31,35.02,42.17,2.412\n"
                               "06/12/2026 10:00:10,812.3,24.31,35.02,42.17,2.412\n";
    struct log_account account;
    (void)state;
    assert_true(read_text(text, &clock, &account));
    assert_int_equal(account.rows_used, 4);
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults.items[0].kind, FAULT_WARNING);
    assert_int_equal(faults.items[0].line, 4);
    assert_non_null(strstr(faults.items[0].found,
                           "with day and month exchanged it would go on from "
                           "2026-06-11 to 2026-06-12"));
    log_account_free(&account);
}

/* A clock that was set after the first rows: 2 of 400 are not used, and said. */
static void a_few_rows_of_an_unset_clock_are_set_aside(void **state)
{
    static const struct clock_row clock = {"late.csv", NULL, "ISO 8601", false, 0, false, {0}};
    struct log_account account;
    char *text = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&text, &n);
    (void)state;
    assert_non_null(out);
    fputs("Time,G tilt,T air,T in,T out,Flow\n", out);
    for (int i = 0; i < 400; i++)
        fprintf(out, "%s:%02d:%02d,812.3,24.31,35.02,42.17,2.412\n",
                i < 2 ? "2000-01-01T00" : "2026-06-21T10", i / 60, i % 60);
    fclose(out);
    assert_true(read_text(text, &clock, &account));
    assert_int_equal(account.refused[ROW_UNSET], 2);
    assert_int_equal(account.first_refused[ROW_UNSET].line, 2);
    assert_int_equal(account.rows_used, 398);
    assert_int_equal(faults.items[0].kind, FAULT_WARNING);
    log_account_free(&account);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_rows_by_any_clock_read_the_same),
        cmocka_unit_test(each_bad_clock_has_its_message),
        cmocka_unit_test(rows_that_share_a_stamp_are_counted),
        cmocka_unit_test(a_leap_of_a_month_is_told),
        cmocka_unit_test(a_few_rows_of_an_unset_clock_are_set_aside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
