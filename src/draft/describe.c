#include "draft/describe.h"

#include "base/calendar.h"
#include "base/files.h"
#include "description/reader.h"
#include "draft/clock_miss.h"
#include "draft/describe_line.h"
#include "draft/missing.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void describe_top(struct text *out, const char *source)
{
    text_addf(out,
              "# A test description, drafted from the %s. Lines that begin with '#' are remarks.\n",
              source);
    text_add(
        out,
        "#   " FILL_IN "what no log can tell, to be written before the mark.\n"
        "#   # guess: taken from a column's name or its numbers, perhaps wrongly.\n"
        "# Every quantity carries its unit (2.05 m2), every error says what it means: 'k=2' is\n"
        "# a certificate's expanded uncertainty, 'standard' one standard deviation, 'limit' a\n"
        "# bound that is never passed. Then run 'etabench check' on this file.\n"
        "\n"
        "[collector]\n");
    describe_line(out, "name", "", FILL_IN, "what the report should call it, such as Plate A");
    describe_line(out, "gross area", "", FILL_IN,
                  "outside of the frame, height times width, such as 2.05 m2");
    describe_line(out, "# aperture area", "1.92 m2", "# ", "opening of the glass, if measured");
    text_add(out, "\n# The place is not needed for the efficiency; the report repeats it.\n"
                  "# [site]\n"
                  "# latitude    = 46.5 deg\n"
                  "# longitude   = 7.1 deg\n"
                  "# tilt        = 45 deg\n"
                  "# facing      = south\n"
                  "\n"
                  "[fluid]\n");
    describe_line(out, "name", "water", "# ",
                  "assumed; for another fluid add 'table = FILE' with its properties");
    describe_line(out, "meter at", "inlet", "# ",
                  "assumed: the flow meter sits before the collector; else 'outlet'");
}

/* The folder of a path, with its last '/'. */
static size_t folder_length(const char *path)
{
    return (size_t)(path_base(path) - path);
}

/* A log as seen from the folder in which the description will stand.
 * Returns: NULL with a machine fault. */
static char *seen_from_there(const struct draft_log *log, size_t i, struct faults *faults)
{
    const char *path = log->logs[i];
    const char *beside = log->beside != NULL ? log->beside : log->logs[0];
    size_t n = folder_length(beside);
    char whole[PATH_MAX];
    if (folder_length(path) == n && strncmp(path, beside, n) == 0)
        return text_copy(path_base(path), faults);
    if (n == 0 || path[0] == '/' || realpath(path, whole) == NULL)
        return text_copy(path, faults);
    return text_copy(whole, faults);
}

static bool can_be_named(const char *file)
{
    if (file[0] == '#' || strstr(file, " #") != NULL || strlen(file) > DESCRIPTION_LINE - 20 ||
        !text_is_utf8(file, strlen(file)))
        return false;
    for (const char *c = file; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7F)
            return false;
    return file[0] != ' ' && file[strlen(file) - 1] != ' ';
}

bool describe_files(const struct draft_log *log, struct text *out, struct faults *faults)
{
    for (size_t i = 0; i < log->n_logs; i++) {
        char *file = seen_from_there(log, i, faults);
        if (file == NULL)
            return false;
        if (can_be_named(file))
            describe_line(out, "file", file, "# ",
                          i == 0 ? "seen from the folder in which this description stands" : NULL);
        else
            describe_line(out, "file", "", FILL_IN,
                          "rename the log: its name is too long or holds ' #' or odd characters");
        free(file);
    }
    return true;
}

static void add_time(const struct draft_log *log, const char *key, const char *format,
                     const char *mark, const char *remark, struct text *out)
{
    const struct clock *clock = &log->clock;
    struct text value = {0};
    text_add(&value, log->sample.head.name[clock->column[0]]);
    for (size_t i = 1; i < clock->n_columns; i++)
        text_addf(&value, " + %s", log->sample.head.name[clock->column[i]]);
    text_addf(&value, ", %s, %s", format,
              clock->in_stamp                    ? "in stamp"
              : clock->counts == CLOCK_COUNT_UTC ? "UTC"
                                                 : "UTC+?");
    if (value.failed)
        out->failed = true;
    describe_line(out, key, text_string(&value), mark, remark);
    text_free(&value);
}

static void add_dialect(const struct draft_log *log, struct text *out)
{
    const struct dialect *dialect = &log->sample.dialect;
    if (log->sample.head.none)
        describe_line(out, "names", "none",
                      "# guess: ", "the first row holds readings; columns are called 1, 2, ...");
    if (dialect->separator == dialect->decimal)
        describe_line(out, "separator", "comma",
                      "# guess: ", "numbers with a comma stand in quotes");
    else if (dialect->separator != ',')
        describe_line(out, "separator", dialect_separator_word(dialect->separator),
                      "# guess: ", "all lines then have the same number of fields");
    if (dialect->decimal != '.')
        describe_line(out, "decimal", dialect_decimal_word(dialect->decimal),
                      "# guess: ", "23,4 and not 23.4");
}

/* All columns share the markers: a number that one column can have must not go in the others. */
static void add_missing(const struct draft_log *log, struct text *out)
{
    struct text value = {0}, remark = {0};
    text_add(&value, "NAN, NA");
    for (size_t i = 0; i < log->sample.head.n; i++)
        missing_add(log, i, &value, &remark);
    text_fail_with(out, &value);
    text_fail_with(out, &remark);
    if (remark.length > 0)
        describe_line(out, "missing", text_string(&value), "# guess: ", text_string(&remark));
    else
        describe_line(out, "# missing", "NAN, -9999", "# ",
                      "what the logger writes for 'no reading', if it writes something");
    text_free(&value);
    text_free(&remark);
}

static bool clock_can_be_named(const struct draft_log *log)
{
    for (size_t i = 0; i < log->clock.n_columns; i++)
        if (log->columns[log->clock.column[i]].trouble != NULL)
            return false;
    return true;
}

static void add_start(const struct clock *clock, struct text *out)
{
    describe_line(out, "start", "", FILL_IN,
                  "when the logger was switched on, such as 2026-06-14 09:12:00");
    if (clock->run.n_back > 0)
        text_addf(
            out,
            "# The count falls %zu time%s in what was looked at: one more 'start' line for each\n"
            "# time that the logger was switched on, in order.\n",
            clock->run.n_back, clock->run.n_back == 1 ? "" : "s");
}

static const char *first_part(const struct clock *clock)
{
    return strstr(clock->format, "%d") < strstr(clock->format, "%m") ? "day" : "month";
}

/* Which number is the day, where the rows do not tell. */
static void add_order_remark(const struct clock *clock, struct text *out)
{
    bool day = clock->other[0] != '\0';
    bool year = clock->year_first[0] != '\0';
    if (!day && !year)
        return;
    if (clock->asked && day)
        text_addf(out,
                  "# Day first or month first%s? The rows do not tell. Keep the line that is\n"
                  "# right and take the other%s out.\n",
                  year ? ", or the year" : "", year ? "s" : "");
    else if (clock->asked)
        text_addf(out,
                  "# Year first or %s first? The rows do not tell. Keep one of the two lines\n"
                  "# and take the other out.\n",
                  first_part(clock));
    else
        text_addf(out,
                  "# guess: %s, as is usual where dates are written so; the rows\n"
                  "# do not tell. If it is not so, take a line below instead.\n",
                  day && year ? "the day stands first, the year last"
                  : day       ? "the day stands first"
                              : "the year stands last");
}

/* The same days in the other system of spreadsheets: four years later. */
static void add_other_epoch(const struct draft_log *log, struct text *out)
{
    char first[40], other[40];
    int64_t us = log->clock.first_us;
    calendar_iso(us, 0, first, sizeof first);
    calendar_iso(us + CLOCK_FROM_1904_US, 0, other, sizeof other);
    text_addf(out,
              "# guess: the log begins on %.10s. If it was on %.10s, the spreadsheet counts from\n"
              "# 1904: then write 'spreadsheet days 1904'.\n",
              first, other);
}

/* A remark that is too long for the end of its line, as lines of its own; of a text its first line.
 */
static void add_remark(struct text *out, const char *text)
{
    enum { WIDTH = 90 };
    for (size_t left = strcspn(text, "\n"); left > 0; left = strcspn(text, "\n")) {
        size_t n = left;
        if (n > WIDTH)
            for (n = WIDTH; n > 0 && text[n] != ' '; n--)
                continue;
        n = n == 0 ? left : n;
        text_addf(out, "# %.*s\n", (int)n, text);
        text += n;
        text += strspn(text, " ");
    }
}

/* What stands in the place of a time, and what to do. */
static void add_no_clock(const struct draft_log *log, struct text *out)
{
    struct text why = {0};
    text_add(out, "# The time is said as: column (or several joined by ' + '), form, zone.\n"
                  "# For 21/06/2026 10:15:30: Date + Time, %d/%m/%Y %H:%M:%S, UTC+1\n");
    if (!log->clock.found) {
        clock_miss_add(&log->sample, &log->clock, &why);
        text_fail_with(out, &why);
        add_remark(out, text_string(&why));
        text_free(&why);
    }
    describe_line(out, "time", "", FILL_IN,
                  log->clock.found ? "rename the column of the time in the log, then name it here"
                                   : "no column was recognised as the time");
}

static void add_clock(const struct draft_log *log, struct text *out)
{
    const struct clock *clock = &log->clock;
    if (!clock->found || !clock_can_be_named(log)) {
        add_no_clock(log, out);
        return;
    }
    if (clock->in_stamp) {
        add_time(log, "time", clock->format, "# guess: ", "each stamp carries its zone", out);
        return;
    }
    if (clock->counts == CLOCK_COUNT_UTC) {
        text_add(
            out,
            "# Seconds since 1970 are counted in UTC; another zone here only changes how times\n"
            "# are printed. Was the clock set to local time? Then: local Unix time, and its "
            "zone.\n");
        add_time(log, "time", clock->format, "# guess: ", "its numbers are of our years", out);
        return;
    }
    text_add(out,
             "# The zone is the logger's clock as hours from UTC: UTC+1, UTC-5, UTC+5:30, or UTC\n"
             "# alone. Many loggers are not put forward in summer.\n");
    if (clock->run.n_falls > 0)
        text_add(out,
                 "# This one falls back by an hour, as clocks do in autumn: then write a name\n"
                 "# of the time-zone database, Region/City, instead of UTC+?.\n");
    add_order_remark(clock, out);
    char remark[80];
    if (clock->asked)
        snprintf(remark, sizeof remark, "%s first here; the zone instead of UTC+?, such as UTC+1",
                 first_part(clock));
    else
        snprintf(remark, sizeof remark, "the zone instead of UTC+?, for instance UTC+1");
    add_time(log, "time", clock->format, FILL_IN, remark, out);
    if (clock->counts == CLOCK_COUNT_LOCAL)
        add_other_epoch(log, out);
    if (clock->other[0] != '\0')
        add_time(log, "# time", clock->other, "# ", "month first", out);
    if (clock->year_first[0] != '\0')
        add_time(log, "# time", clock->year_first, "# ", "year first", out);
    if (clock->run.rows_per_stamp > 1) {
        char rows[24];
        snprintf(rows, sizeof rows, "%zu", clock->run.rows_per_stamp);
        describe_line(out, "rows per stamp", rows,
                      "# guess: ", "each stamp stands so often; the rows are spread evenly");
    }
    if (clock->counts == CLOCK_COUNT_START)
        add_start(clock, out);
}

static bool add_log(const struct draft_log *log, struct text *out, struct faults *faults)
{
    text_add(out, "\n[log]\n");
    if (!describe_files(log, out, faults))
        return false;
    add_clock(log, out);
    add_dialect(log, out);
    add_missing(log, out);
    return true;
}

static void add_end(const struct draft_log *log, struct text *out)
{
    text_add(out, "\n[steady state]\n");
    if (log->homemade) {
        text_add(out, "# By the standard's limits no window that was looked at is steady:\n");
        add_remark(out, log->rules_why);
        describe_line(out, "rules", "homemade rig",
                      "# guess: ", "outside any standard; a laboratory's limits: ISO 9806:2017");
    } else {
        describe_line(out, "rules", "ISO 9806:2017", "# ",
                      "assumed: a laboratory's limits; wider ones: homemade rig");
    }
    text_add(out, "# Every limit can be changed here; 'etabench check --rules' prints them all.\n"
                  "\n[run curve]\n");
    describe_line(out, "kind", "efficiency", "", NULL);
}

bool describe_add(const struct draft_log *log, struct text *out, struct faults *faults)
{
    describe_top(out, "log");
    if (!add_log(log, out, faults))
        return false;
    describe_instruments(log, out);
    add_end(log, out);
    return text_ok(out, faults);
}
