/* Logs of several loggers joined: rows, readings and what has no partner, against hand arithmetic.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "ingest/join.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)
#define DAY_US (INT64_C(1782000000) * S) /* 2026-06-21T00:00:00Z: 20,625 days */

enum { TEXT_MOST = 1200, ROWS_MOST = 8, NONE = -999 };

static struct faults faults;
static struct kept kept, other_kept;

/* A log with the columns 't' (seconds of that day) and 'x'. */
struct one_log {
    const char *text; /* "0 12.5, 10 12.7": a row each; "-" where there is no reading */
    enum channel channel;
    enum log_joined joined;
    enum stamp_side side;
    double interval_s; /* 0: not stated */
    double ahead_s;
};

static void write_log(const char *folder, const char *name, const char *text, char *path)
{
    char copy[TEXT_MOST];
    struct text out = {0};
    snprintf(copy, sizeof copy, "%s", text);
    text_add(&out, "t,x\n");
    for (char *row = strtok(copy, ","); row != NULL; row = strtok(NULL, ",")) {
        double t_s;
        char x[32];
        assert_int_equal(sscanf(row, "%lf %31s", &t_s, x), 2);
        text_addf(&out, "%.6f,%s\n", 1782000000.0 + t_s, x);
    }
    aid_write(folder, name, text_string(&out), out.length, path);
    text_free(&out);
}

static void make_plan(const struct one_log *log, const char *path, struct log_plan *plan)
{
    static const struct {
        enum channel channel;
        const char *unit;
        enum dimension dimension;
    } units[] = {{CH_IRRADIANCE, "W/m2", DIM_IRRADIANCE},
                 {CH_AZIMUTH, "deg", DIM_ANGLE},
                 {CH_FLOW, "pulses", DIM_PULSES},
                 {CH_INLET, "degC", DIM_TEMPERATURE}};
    log_plan_init(plan);
    assert_true(log_plan_add_file(plan, path, &faults));
    assert_true(log_plan_set_time(plan, "t", NULL, "Unix time", &faults));
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (units[i].channel == log->channel)
            assert_true(log_plan_add_column(plan, log->channel, "x",
                                            unit_find(units[i].unit, units[i].dimension), 1.0, 0.0,
                                            &faults));
    plan->columns[0].joined = log->joined;
    plan->timing.side = log->side;
    plan->timing.interval_us = llround(log->interval_s * 1e6);
}

static bool read_two(const struct one_log *logs, unsigned threads, struct sink sink,
                     struct log_account *accounts, struct join_account *joined)
{
    static const char *const labels[] = {"[log]", "[log b]"};
    struct log_plan plan[2];
    struct join_log join[2];
    char path[300];
    char *folder = aid_folder();
    assert_non_null(folder);
    faults_init(&faults);
    for (int i = 0; i < 2; i++) {
        write_log(folder, labels[i] + 1, logs[i].text, path);
        make_plan(&logs[i], path, &plan[i]);
        plan[i].threads = threads;
        join[i] = (struct join_log){&plan[i], labels[i], fault_at("test.txt", 7 + i, 2),
                                    llround(logs[i].ahead_s * 1e6)};
    }
    bool good = logs_read(join, 2, &sink, 1, accounts, joined, &faults);
    log_plan_free(&plan[0]);
    log_plan_free(&plan[1]);
    aid_remove(folder);
    free(folder);
    return good;
}

/* The joined rows: seconds, the base's reading, the other's (NONE: it has none). */
struct join_row {
    const char *name;
    struct one_log logs[2];
    size_t base;
    size_t n;
    double rows[ROWS_MOST][3];
    uint64_t outside, empty, unused;
};

#define SUN CH_IRRADIANCE
#define IN CH_INLET

static const struct join_row rows[] = {
    {"equal steps and stamps: the rows of both",
     {{"0 801.5, 10 802.5, 20 803.5", SUN, 0, 0, 0, 0},
      {"0 21.3, 10 21.7, 20 21.2", IN, 0, 0, 0, 0}},
     0,
     3,
     {{0, 801.5, 21.3}, {10, 802.5, 21.7}, {20, 803.5, 21.2}},
     0,
     0,
     0},
    {"a clock ahead by 7.5 s",
     {{"0 801.5, 10 802.5, 20 803.5", SUN, 0, 0, 0, 0},
      {"7.5 21.3, 17.5 21.7, 27.5 21.2", IN, 0, 0, 0, 7.5}},
     0,
     3,
     {{0, 801.5, 21.3}, {10, 802.5, 21.7}, {20, 803.5, 21.2}},
     0,
     0,
     0},
    {"a clock behind by an hour and a bit",
     {{"3611 801.5, 3621 802.5", SUN, 0, 0, 0, 0}, {"0 21.3, 10 21.7", IN, 0, 0, 0, -3611}},
     0,
     2,
     {{3611, 801.5, 21.3}, {3621, 802.5, 21.7}},
     0,
     0,
     0},
    {"between the rows of the other: each end counts half",
     {{"10 801.5, 20 802.5", SUN, 0, 0, 0, 0}, {"5 21.3, 15 21.7, 25 21.2", IN, 0, 0, 0, 0}},
     0,
     2,
     {{10, 801.5, 21.5}, {20, 802.5, 21.45}},
     0,
     0,
     0},
    /* Slots 15 to 45, 45 to 75: (20+30+40)/3 -> values 2, 3, 4; the next one likewise. */
    {"three times as fast: the mean around the slow row",
     {{"30 801.5, 60 802.5", SUN, 0, 0, 0, 0},
      {"20 22, 30 23.3, 40 24, 50 25, 60 26.6, 70 27", IN, 0, 0, 0, 0}},
     0,
     2,
     {{30, 801.5, 23.1}, {60, 802.5, 26.2}},
     0,
     0,
     0},
    /* Slots 20 to 40 and 40 to 60 with rows at both ends: (22/2 + 23.3 + 24/2) / 2. */
    {"twice as fast: rows at the ends are of two slots",
     {{"30 801.5, 50 802.5", SUN, 0, 0, 0, 0},
      {"20 22, 30 23.3, 40 24, 50 25, 60 26", IN, 0, 0, 0, 0}},
     0,
     2,
     {{30, 801.5, 23.15}, {50, 802.5, 25}},
     0,
     0,
     0},
    {"the second log is the slower one: its clock is corrected to the first's",
     {{"0 22, 10 23, 20 24.6, 30 25, 40 26", IN, 0, 0, 0, 0},
      {"112 801.5, 142 802.5", SUN, 0, 0, 0, 102}},
     1,
     2,
     {{10, 801.5, 23.2}, {40, 802.5, 25.5}},
     0,
     0,
     0},
    /* A mean over 20 s, stamped at its end: instants 20 and 50, slots 10 to 30 and 40 to 60. */
    {"the slower one averages over less than its step",
     {{"30 801.5, 60 802.5", SUN, 0, STAMPS_END, 20, 0},
      {"10 22, 15 22.4, 20 23, 25 23.6, 30 24, 35 99, 45 25, 50 26, 55 27", IN, 0, 0, 0, 0}},
     0,
     2,
     {{20, 801.5, 23}, {50, 802.5, 26}},
     0,
     0,
     1},
    {"no row of the other around a row: no reading, nothing in between is made up",
     {{"0 801.5, 10 802.5, 20 803.5, 30 804.5", SUN, 0, 0, 0, 0},
      {"0 21.3, 10 21.7, 30 21.2, 40 21.4", IN, 0, 0, 0, 0}},
     0,
     4,
     {{0, 801.5, 21.3}, {10, 802.5, 21.7}, {20, 803.5, NONE}, {30, 804.5, 21.2}},
     0,
     1,
     1},
    {"less than half of a slot is covered: no reading",
     {{"30 801.5, 60 802.5, 90 803.5", SUN, 0, 0, 0, 0},
      {"20 22, 30 23, 40 24, 74 25, 80 26, 90 27, 100 28", IN, 0, 0, 0, 0}},
     0,
     3,
     {{30, 801.5, 23}, {60, 802.5, NONE}, {90, 803.5, 27}},
     0,
     1,
     0},
    {"readings that are not good take no part in the mean",
     {{"30 801.5, 60 802.5", SUN, 0, 0, 0, 0},
      {"20 22, 30 -, 40 24.4, 50 -, 60 -, 70 27", IN, 0, 0, 0, 0}},
     0,
     2,
     {{30, 801.5, 23.2}, {60, 802.5, NONE}},
     0,
     0,
     0},
    {"before the other began and after it ended: left out",
     {{"0 801.5, 10 802.5, 20 803.5, 30 804.5, 40 805.5", SUN, 0, 0, 0, 0},
      {"10 21.3, 20 21.7, 30 21.2", IN, 0, 0, 0, 0}},
     0,
     3,
     {{10, 802.5, 21.3}, {20, 803.5, 21.7}, {30, 804.5, 21.2}},
     2,
     0,
     0},
    {"a gap in the slower one: the other's rows there belong to none",
     {{"0 801.5, 10 802.5, 20 803.5, 70 804.5", SUN, 0, 0, 0, 0},
      {"0 21.1, 10 21.2, 20 21.3, 30 21.4, 40 21.5, 50 21.6, 60 21.7, 70 21.8", IN, 0, 0, 0, 0}},
     0,
     4,
     {{0, 801.5, 21.1}, {10, 802.5, 21.2}, {20, 803.5, 21.3}, {70, 804.5, 21.8}},
     0,
     0,
     4},
    {"directions through north",
     {{"30 801.5, 60 802.5", SUN, 0, 0, 0, 0},
      {"20 358, 30 1, 40 4, 50 359, 60 359, 70 2", CH_AZIMUTH, JOINED_DIRECTION, 0, 0, 0}},
     0,
     2,
     {{30, 801.5, 361}, {60, 802.5, 360}},
     0,
     0,
     0},
    {"a counter: as it stands at the slot's end, not before",
     {{"30 801.5, 60 802.5", SUN, 0, 0, 0, 0},
      {"20 100, 30 117, 40 133, 50 151, 60 168, 70 -", CH_FLOW, JOINED_LAST, 0, 0, 0}},
     0,
     2,
     {{30, 801.5, 133}, {60, 802.5, NONE}},
     0,
     0,
     0},
    /* Slots end at 45, 75, 105: 17+16+15 rows between; a row lacks in the last. */
    {"counts since the row before: their sum, if none lacks",
     {{"30 801.5, 60 802.5, 90 803.5, 120 804.5", SUN, 0, 0, 0, 0},
      {"20 19, 30 18, 40 20, 50 17, 60 16, 70 15, 80 11, 90 12, 110 13, 120 14, 130 15", CH_FLOW,
       JOINED_SUM, 0, 0, 0}},
     0,
     4,
     {{30, 801.5, NONE}, {60, 802.5, 48}, {90, 803.5, 23}, {120, 804.5, NONE}},
     0,
     0,
     0},
};

static double as_written(enum channel channel, double si)
{
    return channel == CH_AZIMUTH ? si * 180.0 / acos(-1.0) : si;
}

static void check_row(const struct join_row *row, size_t k, const struct kept *seen)
{
    const enum channel base = row->logs[row->base].channel, other = row->logs[!row->base].channel;
    const double *expected = row->rows[k];
    double got = as_written(other, seen->value[other][k]);
    bool none = seen->flag[other][k] != FLAG_GOOD;
    if (seen->time_us[k] != DAY_US + llround(expected[0] * 1e6))
        fail_msg("%s: row %zu at %.6f s", row->name, k, (double)(seen->time_us[k] - DAY_US) / 1e6);
    if (as_written(base, seen->value[base][k]) != expected[1])
        fail_msg("%s: row %zu: %.17g", row->name, k, seen->value[base][k]);
    if (none != (expected[2] == NONE) || none != isnan(got) ||
        (!none && fabs(got - expected[2]) > 1e-9))
        fail_msg("%s: row %zu: %.17g (flag %d), expected %g", row->name, k, got,
                 seen->flag[other][k], expected[2]);
}

static void rows_are_joined(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct join_row *row = &rows[i];
        struct log_account accounts[2];
        struct join_account joined;
        struct sink sink = aid_sink(&kept);
        if (!read_two(row->logs, 1, sink, accounts, &joined))
            fail_msg("%s: %s", row->name, faults.items[0].found);
        const struct join_part *part = &joined.part[!row->base];
        if (joined.base != row->base || joined.rows != row->n || kept.n != row->n ||
            joined.outside != row->outside || part->empty != row->empty ||
            part->unused != row->unused || !kept.finished)
            fail_msg("%s: base %zu, %zu rows, %zu outside, %zu empty, %zu unused", row->name,
                     joined.base, kept.n, (size_t)joined.outside, (size_t)part->empty,
                     (size_t)part->unused);
        assert_int_equal(accounts[row->base].rows_used, joined.rows + joined.outside);
        assert_int_equal(joined.first_us, kept.time_us[0]);
        assert_int_equal(joined.last_us, kept.time_us[kept.n - 1]);
        for (size_t k = 0; k < row->n; k++)
            check_row(row, k, &kept);
        log_account_free(&accounts[0]);
        log_account_free(&accounts[1]);
    }
}

static void wrong_pairs_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        struct one_log logs[2];
        const char *found;
        long line;
    } bad[] = {
        {"an hour apart",
         {{"0 801.5, 10 802.5, 20 803.5", SUN, 0, 0, 0, 0},
          {"3600 21.3, 3610 21.7", IN, 0, 0, 0, 0}},
         "the logs have no time in common: [log] runs from 2026-06-21T00:00:00Z to "
         "2026-06-21T00:00:20Z, [log b] runs from 2026-06-21T01:00:00Z to "
         "2026-06-21T01:00:10Z",
         8},
        {"made so by the offset",
         {{"0 801.5, 10 802.5", SUN, 0, 0, 0, 0}, {"0 21.3, 10 21.7", IN, 0, 0, 0, -42}},
         "the logs have no time in common: [log] runs from 2026-06-21T00:00:00Z to "
         "2026-06-21T00:00:10Z, [log b] runs from 2026-06-21T00:00:00Z to "
         "2026-06-21T00:00:10Z (clock offset -42 s)",
         8},
        {"in each other's gaps",
         {{"0 801.5, 10 802.5, 20 803.5, 200 804.5", SUN, 0, 0, 0, 0},
          {"100 21.3, 110 21.7, 120 21.7, 300 21", IN, 0, 0, 0, 0}},
         "the logs have no time in common: [log] runs from 2026-06-21T00:00:00Z to "
         "2026-06-21T00:03:20Z, [log b] runs from 2026-06-21T00:01:40Z to "
         "2026-06-21T00:05:00Z",
         8},
        {"a row a day and a row a second",
         {{"0 801.5, 86400 802.5, 172800 803.5", SUN, 0, 0, 0, 0},
          {"0 21.3, 1 21.7, 2 21.2", IN, 0, 0, 0, 0}},
         "a row of [log], every 86400 s, would hold more than 8192 rows of [log b], every 1 s",
         7},
        {"a log without a number",
         {{"0 801.5, 10 802.5", SUN, 0, 0, 0, 0}, {"0 -, 10 -", IN, 0, 0, 0, 0}},
         "the column holds no number in any of 2 rows",
         2},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct log_account accounts[2];
        struct join_account joined;
        struct sink sink = aid_sink(&kept);
        if (read_two(bad[i].logs, 1, sink, accounts, &joined) || kept.finished ||
            faults_errors(&faults) != 1)
            fail_msg("%s: %zu faults: %s", bad[i].name, faults.n, faults.items[0].found);
        if (strcmp(faults.items[0].found, bad[i].found) != 0 ||
            (bad[i].line != 0 && faults.items[0].line != bad[i].line))
            fail_msg("%s: line %ld: %s", bad[i].name, faults.items[0].line, faults.items[0].found);
        log_account_free(&accounts[0]);
        log_account_free(&accounts[1]);
    }
}

/* Both logs' own faults are told in one go, the first log's first. */
static void faults_of_both_are_told(void **state)
{
    (void)state;
    static const struct one_log logs[] = {{"0 -, 10 -", SUN, 0, 0, 0, 0},
                                          {"0 -, 10 -", IN, 0, 0, 0, 0}};
    struct log_account accounts[2];
    struct join_account joined;
    assert_false(read_two(logs, 1, aid_sink(&kept), accounts, &joined));
    assert_int_equal(faults.n, 2);
    assert_non_null(strstr(faults.items[0].file, "/log]"));
    assert_non_null(strstr(faults.items[1].file, "/log b]"));
    log_account_free(&accounts[0]);
    log_account_free(&accounts[1]);
}

/* Long logs of uneven steps, 40,000 and 14,000 rows, so that many blocks are under way. */
static char *long_log(uint64_t seed, size_t n, double step_s)
{
    struct text out = {0};
    for (size_t i = 0; i < n; i++) {
        double t_s = step_s * ((double)i + 0.3 * (double)aid_below(&seed, 100) / 100.0);
        if (aid_below(&seed, 900) == 0)
            i += aid_below(&seed, 40);
        text_addf(&out, "%s%.3f %zu.%zu", out.length > 0 ? "," : "", t_s, 10 + aid_below(&seed, 60),
                  aid_below(&seed, 1000));
    }
    return out.bytes;
}

static void write_long(const char *folder, const char *name, uint64_t seed, size_t n, double step_s,
                       char *path)
{
    char *text = long_log(seed, n, step_s);
    struct text out = {0};
    text_add(&out, "t,x\n");
    for (char *row = strtok(text, ","); row != NULL; row = strtok(NULL, ",")) {
        char *blank = strchr(row, ' ');
        text_addf(&out, "%.3f,%s\n", 1782000000.0 + atof(row), blank + 1);
    }
    aid_write(folder, name, text_string(&out), out.length, path);
    text_free(&out);
    free(text);
}

struct long_logs {
    struct log_plan plan[2];
    struct join_log join[2];
    char *folder;
};

static void open_long(struct long_logs *logs)
{
    static const struct one_log forms[] = {{"", SUN, 0, 0, 0, 0}, {"", IN, 0, 0, 0, 0}};
    char path[300];
    logs->folder = aid_folder();
    assert_non_null(logs->folder);
    for (int i = 0; i < 2; i++) {
        write_long(logs->folder, i == 0 ? "a" : "b", 17 + (uint64_t)i, i == 0 ? 40000 : 14000,
                   i == 0 ? 5 : 14, path);
        make_plan(&forms[i], path, &logs->plan[i]);
        logs->join[i] = (struct join_log){&logs->plan[i], i == 0 ? "[log]" : "[log b]",
                                          fault_at("test.txt", 1, 1), 0};
    }
}

static void close_long(struct long_logs *logs)
{
    log_plan_free(&logs->plan[0]);
    log_plan_free(&logs->plan[1]);
    aid_remove(logs->folder);
    free(logs->folder);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    struct long_logs logs;
    struct log_account accounts[2];
    struct join_account first = {0}, joined;
    open_long(&logs);
    for (unsigned threads = 1; threads <= 3; threads++) {
        faults_init(&faults);
        struct sink sink = aid_sink(threads == 1 ? &kept : &other_kept);
        logs.plan[0].threads = logs.plan[1].threads = threads;
        assert_true(logs_read(logs.join, 2, &sink, 1, accounts, &joined, &faults));
        if (threads == 1)
            first = joined;
        else
            aid_same_rows("threads", &kept, &other_kept);
        assert_memory_equal(&first, &joined, sizeof first);
        assert_int_equal(joined.base, 1);
        assert_true(kept.n > 10000 && kept.blocks > 3);
        log_account_free(&accounts[0]);
        log_account_free(&accounts[1]);
    }
    close_long(&logs);
}

/* A sink that has had enough ends both readings. */
static void a_sink_stops_both(void **state)
{
    (void)state;
    struct long_logs logs;
    open_long(&logs);
    for (size_t blocks = 1; blocks <= 3; blocks++) {
        struct log_account accounts[2];
        struct join_account joined;
        struct sink sink = aid_sink(&kept);
        kept.stop_after = blocks;
        faults_init(&faults);
        assert_false(logs_read(logs.join, 2, &sink, 1, accounts, &joined, &faults));
        assert_false(kept.finished);
        assert_int_equal(kept.blocks, blocks);
        log_account_free(&accounts[0]);
        log_account_free(&accounts[1]);
    }
    close_long(&logs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_joined),         cmocka_unit_test(wrong_pairs_are_refused),
        cmocka_unit_test(faults_of_both_are_told), cmocka_unit_test(threads_change_nothing),
        cmocka_unit_test(a_sink_stops_both),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
