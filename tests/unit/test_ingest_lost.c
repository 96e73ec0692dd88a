/* Counts since the row before, where that row was set aside: which are not used, told by hand from
 * the order of the rows. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "ingest/reader.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_ingest.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)
/* 2026-06-21T10:00:00Z, by `date -u +%s`. */
#define TEN_US INT64_C(1782036000000000)

enum { ROWS = 250, ODD = 120, STEP_S = 10 };

static struct faults faults;
static struct kept kept, threaded;
static struct log_account account;

static const char head[] = "Time,G tilt,T air,T in,T out,Flow\n";

/* Rows first to end - 1, with 100 and some pulses each. */
static void add_rows(struct text *out, size_t first, size_t end)
{
    for (size_t i = first; i < end; i++)
        text_addf(out, "2026-06-21T10:%02zu:%02zu,812.%zu,24.3%zu,35.%02zu,42.1%zu,%zu\n",
                  i * STEP_S / 60, i * STEP_S % 60, i % 10, i % 10, i % 100, i % 10, 100 + i % 7);
}

/* Reads the files of a folder; their flow counts since the row before, unless it is a counter. */
static bool read_files(const char *folder, size_t n_files, bool counter, unsigned threads,
                       struct kept *to)
{
    char path[300];
    struct log_plan plan;
    struct sink sink = aid_sink(to);
    static const struct unit pulses = {.name = "pulses", .dimension = DIM_PULSES, .scale = 1.0};
    snprintf(path, sizeof path, "%s/0.csv", folder);
    aid_plan(&plan, path);
    plan.threads = threads;
    struct log_column *flow = &plan.columns[plan.n_columns - 1];
    flow->unit = &pulses;
    flow->joined = counter ? JOINED_LAST : JOINED_SUM;
    faults_init(&faults);
    for (size_t i = 1; i < n_files; i++) {
        snprintf(path, sizeof path, "%s/%zu.csv", folder, i);
        assert_true(log_plan_add_file(&plan, path, &faults));
    }
    bool ok = log_read(&plan, &sink, 1, &account, &faults);
    log_plan_free(&plan);
    return ok;
}

/* "1210": the seconds of rows whose count was set aside. */
static void check(const char *name, const char *expected)
{
    struct text told = {0};
    for (size_t i = 0; i < kept.n; i++) {
        if (kept.flag[CH_FLOW][i] != FLAG_AFTER_LOST)
            continue;
        assert_true(isnan(kept.value[CH_FLOW][i]));
        text_addf(&told, "%s%d", told.length > 0 ? " " : "", (int)((kept.time_us[i] - TEN_US) / S));
    }
    if (strcmp(text_string(&told), expected) != 0)
        fail_msg("%s: rows '%s', expected '%s'", name, text_string(&told), expected);
    text_free(&told);
}

static void read_and_check(const char *name, const char *folder, size_t n_files,
                           const char *expected)
{
    read_files(folder, n_files, false, 1, &kept);
    check(name, expected);
    log_account_free(&account);
    read_files(folder, n_files, false, 3, &threaded);
    aid_same_rows(name, &kept, &threaded);
    log_account_free(&account);
    read_files(folder, n_files, true, 1, &kept);
    check(name, "");
    log_account_free(&account);
}

/* What stands where row ODD (1200 s) does, or between it and the row before. */
static void a_count_after_a_row_that_was_set_aside(void **state)
{
    (void)state;
    static const struct {
        const char *name, *lines;
        bool before; /* row ODD comes behind */
        const char *expected;
    } cases[] = {
        {"in order", "", true, ""},
        {"a row is absent", "", false, ""},
        {"a day of next month", "2026-07-21T10:20:00,812,24,35,42,101\n", false, "1210"},
        {"three of them",
         "2026-07-21T10:19:54,812,24,35,42,101\n2026-07-21T10:19:56,812,24,35,42,101\n"
         "2026-07-21T10:20:00,812,24,35,42,101\n",
         false, "1210"},
        {"a stamp that cannot be read", "2026-06-2x,812,24,35,42,101\n", false, "1210"},
        {"two", "2026-06-2x,812,24,35,42,101\n2026-06-2x,812,24,35,42,101\n", true, "1200"},
        {"no stamp", ",812,24,35,42,101\n", false, "1210"},
        {"a clock that was not set", "2000-01-01T00:00:10,812,24,35,42,101\n", false, "1210"},
        {"a quote that does not end", "\"2026-06-21,812,24,35,42,101\n", false, "1210"},
        {"a field too many", "2026-06-21T10:20:00,812,24,35,42,101,5\n", false, "1210"},
        {"the stamp of the row before", "2026-06-21T10:19:50,812,24,35,42,101\n", true, "1200"},
        {"the row before once more", "2026-06-21T10:19:50,812.9,24.39,35.19,42.19,100\n", true, ""},
        {"an older row once more", "2026-06-21T10:19:00,812.4,24.34,35.14,42.14,102\n", true, ""},
        {"a stamp between older ones", "2026-06-21T10:18:53,812,24,35,42,101\n", true, "1200"},
        {"the names again", head, true, ""},
        {"the count is bad itself", "2026-06-21T10:20:00,812,24,35,42,-\n", false, ""},
        {"the count behind is bad too",
         "2026-06-2x,812,24,35,42,101\n2026-06-21T10:19:58,812,24,35,42,-\n", true, ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char path[300];
        struct text out = {0};
        char *folder = aid_folder();
        assert_non_null(folder);
        text_add(&out, head);
        add_rows(&out, 0, ODD);
        text_add(&out, cases[i].lines);
        add_rows(&out, cases[i].before ? ODD : ODD + 1, ROWS);
        aid_write(folder, "0.csv", text_string(&out), out.length, path);
        read_and_check(cases[i].name, folder, 1, cases[i].expected);
        text_free(&out);
        aid_remove(folder);
        free(folder);
    }
}

/* What ends the first of two files, and the row with which the second one begins. */
static void what_is_set_aside_at_the_end_of_a_file(void **state)
{
    (void)state;
    static const struct {
        const char *name, *lines;
        size_t next;
        const char *expected;
    } cases[] = {
        {"nothing", "", ODD, ""},
        {"a stamp that cannot be read", "2026-06-2x,812,24,35,42,101\n", ODD + 1, "1210"},
        {"a last row alone, days ahead", "2026-07-21T10:20:00,812,24,35,42,101\n", ODD + 1, "1210"},
        {"a row cut off", "2026-06-21T10:20:00,812,24", ODD + 1, "1210"},
        {"a row cut off, and whole in the second file", "2026-06-21T10:20:00,812,24", ODD - 3, ""},
        {"means", ",812,24,35,42,101\n", ODD, ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char path[300];
        struct text out[2] = {{0}, {0}};
        char *folder = aid_folder();
        assert_non_null(folder);
        text_add(&out[0], head);
        add_rows(&out[0], 0, ODD);
        text_add(&out[0], cases[i].lines);
        text_add(&out[1], head);
        add_rows(&out[1], cases[i].next, ROWS);
        aid_write(folder, "0.csv", text_string(&out[0]), out[0].length, path);
        aid_write(folder, "1.csv", text_string(&out[1]), out[1].length, path);
        read_and_check(cases[i].name, folder, 2, cases[i].expected);
        text_free(&out[0]);
        text_free(&out[1]);
        aid_remove(folder);
        free(folder);
    }
}

/* Two files whose rows lie between each other's: the row that is lost is followed by that of its
 * own file, 20 s on, though one of the other comes first. */
static void rows_of_two_files_by_turns(void **state)
{
    (void)state;
    struct text out[2] = {{0}, {0}};
    char path[300], *folder = aid_folder();
    assert_non_null(folder);
    for (size_t file = 0; file < 2; file++) {
        text_add(&out[file], head);
        for (size_t i = file; i < ROWS; i += 2)
            if (i == ODD)
                text_add(&out[file], "2026-06-2x,812,24,35,42,101\n");
            else
                add_rows(&out[file], i, i + 1);
        aid_write(folder, file == 0 ? "0.csv" : "1.csv", text_string(&out[file]), out[file].length,
                  path);
        text_free(&out[file]);
    }
    read_and_check("by turns", folder, 2, "1220");
    aid_remove(folder);
    free(folder);
}

/* The first of them is named, with its count. */
static void the_first_is_named(void **state)
{
    (void)state;
    struct text out = {0};
    char path[300], *folder = aid_folder();
    assert_non_null(folder);
    text_add(&out, head);
    add_rows(&out, 0, ODD);
    text_add(&out, "2026-07-21T10:20:00,812,24,35,42,101\n");
    add_rows(&out, ODD + 1, ROWS);
    aid_write(folder, "0.csv", text_string(&out), out.length, path);
    assert_true(read_files(folder, 1, false, 1, &kept));
    const struct log_channel *flow = &account.channels[CH_FLOW];
    assert_int_equal(flow->count[FLAG_AFTER_LOST], 1);
    assert_int_equal(flow->count[FLAG_GOOD], ROWS - 2);
    assert_int_equal(flow->first[FLAG_AFTER_LOST].line, ODD + 3);
    assert_int_equal(faults.n, 2);
    assert_string_equal(faults.items[1].found,
                        "'102' was counted since a row that was set aside, so that its time is not "
                        "known (1 of 249 rows)");
    log_account_free(&account);
    text_free(&out);
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_count_after_a_row_that_was_set_aside),
        cmocka_unit_test(what_is_set_aside_at_the_end_of_a_file),
        cmocka_unit_test(rows_of_two_files_by_turns),
        cmocka_unit_test(the_first_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
