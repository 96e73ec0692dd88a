#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "ingest/queue.h"
#include "ingest/rows.h"
#include "tests/unit/aid_ingest.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define GOOD "testdata/good/logs/"
#define S INT64_C(1000000)
/* 2026-06-21T10:00:00Z, by `date -u +%s`. */
#define TEN_US INT64_C(1782036000000000)

static struct faults faults;
static struct kept kept;
static struct log_plan plan;
static struct log_account account;

/* Reads by `plan`, which is freed; the account is left for the test to look at and free. */
static bool read_plan(void)
{
    struct sink sink = aid_sink(&kept);
    faults_init(&faults);
    bool ok = log_read(&plan, &sink, 1, &account, &faults);
    uint64_t refused = 0;
    for (size_t i = 0; i < ROW_REFUSALS; i++)
        refused += account.refused[i];
    assert_int_equal(account.rows_read, account.rows_used + refused);
    assert_int_equal(kept.n, account.rows_used);
    for (size_t i = 0; i < plan.n_columns; i++) {
        struct log_channel *channel = &account.channels[plan.columns[i].channel];
        uint64_t sum = 0;
        for (size_t f = 0; f < FLAG_COUNT; f++)
            sum += channel->count[f];
        assert_int_equal(sum, account.rows_used);
        channel->column = NULL; /* borrowed from the plan */
    }
    log_plan_free(&plan);
    return ok;
}

static void must_read(const char *what)
{
    if (read_plan())
        return;
    faults_print(&faults, "test", stderr);
    fail_msg("%s was not read", what);
}

/* The four rows of plain.csv. Litres a minute to m3/s by hand: / 60000. */
static void check_plain(const char *what)
{
    static const double rows[4][5] = {
        {812.3, 24.31, 35.02, 42.17, 2.412},
        {813.9, 24.33, 35.04, 42.21, 2.409},
        {815.2, 24.29, 35.01, 42.26, 2.415},
        {814.7, 24.36, 35.03, 42.24, 2.411},
    };
    static const double scale[5] = {1.0, 1.0, 1.0, 1.0, 1.0 / 60000.0};
    if (kept.n != 4 || kept.blocks != 1 || !kept.first_gap_before || !kept.finished)
        fail_msg("%s: %zu rows in %zu blocks", what, kept.n, kept.blocks);
    for (size_t i = 0; i < 4; i++) {
        if (kept.time_us[i] != TEN_US + (int64_t)i * 10 * S)
            fail_msg("%s: row %zu at %lld us", what, i, (long long)kept.time_us[i]);
        for (size_t ch = 0; ch < 5; ch++)
            if (fabs(kept.value[ch][i] - rows[i][ch] * scale[ch]) > 1e-15 ||
                kept.flag[ch][i] != FLAG_GOOD)
                fail_msg("%s: row %zu, channel %zu is %g", what, i, ch, kept.value[ch][i]);
    }
    assert_int_equal(account.step_us, 10 * S);
    assert_int_equal(account.gap_us, 30 * S);
    assert_int_equal(account.gaps, 0);
    assert_false(account.channels[CH_WIND].present);
}

static void the_same_log_in_other_clothes_reads_the_same(void **state)
{
    static const struct {
        const char *file;
        char separator;
        char decimal;
        const char *second_column;
        const char *format;
        bool in_stamp;
        int64_t offset_s;
        size_t notes;
    } rows[] = {
        {"plain.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"crlf.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"cr.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"bom.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"no-final-newline.csv", ',', '.', NULL, "ISO 8601", false, 0, 1},
        {"comments-and-blanks.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"quoted.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"remarks.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"trailing-comma.csv", ',', '.', NULL, "ISO 8601", false, 0, 0},
        {"semicolon-and-comma.csv", ';', ',', NULL, "ISO 8601", false, 0, 0},
        {"tab.csv", '\t', '.', NULL, "ISO 8601", false, 0, 0},
        {"date-and-clock.csv", ',', '.', "Clock", "%d/%m/%Y %H:%M:%S", false, 0, 0},
        {"zone-in-stamp.csv", ',', '.', NULL, "ISO 8601", true, 0, 0},
        {"zone-in-stamp.csv", ',', '.', NULL, "ISO 8601", false, 7200, 0},
        {"header-again.csv", ',', '.', NULL, "ISO 8601", false, 0, 1},
        {"latin1.csv", ',', '.', NULL, "ISO 8601", false, 0, 1},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char path[100];
        snprintf(path, sizeof path, GOOD "%s", rows[i].file);
        aid_plan(&plan, path);
        plan.separator = rows[i].separator;
        plan.decimal = rows[i].decimal;
        plan.zone_in_stamp = rows[i].in_stamp;
        struct zone zone;
        zone_fixed(&zone, rows[i].offset_s);
        plan.zone = &zone;
        faults_init(&faults);
        assert_true(log_plan_set_time(&plan, rows[i].second_column == NULL ? "Time" : "Date",
                                      rows[i].second_column, rows[i].format, &faults));
        must_read(rows[i].file);
        check_plain(rows[i].file);
        assert_int_equal(faults.n, rows[i].notes);
        assert_int_equal(faults_status(&faults), 0);
        log_account_free(&account);
    }
}

static void gain_and_add_come_before_the_unit(void **state)
{
    (void)state;
    aid_plan(&plan, GOOD "plain.csv");
    plan.columns[2].gain = 1.02; /* inlet in degF: SI = (degF - 32) / 1.8 */
    plan.columns[2].add = -0.37;
    plan.columns[2].unit = unit_find("degF", DIM_TEMPERATURE);
    must_read("plain.csv");
    double expected = (1.02 * 35.02 - 0.37 - 32.0) / 1.8;
    assert_true(fabs(kept.value[CH_INLET][0] - expected) < 1e-12);
    log_account_free(&account);
}

static void every_reading_has_its_flag(void **state)
{
    static const enum reading_flag flags[5][5] = {
        {FLAG_GOOD, FLAG_GOOD, FLAG_GOOD, FLAG_GOOD, FLAG_GOOD},
        {FLAG_MISSING, FLAG_MISSING, FLAG_MISSING, FLAG_MISSING, FLAG_ERROR_CODE},
        {FLAG_OUT_OF_RANGE, FLAG_GOOD, FLAG_NOT_A_NUMBER, FLAG_GOOD, FLAG_GOOD},
        {FLAG_GOOD, FLAG_GOOD, FLAG_GOOD, FLAG_SHORT_ROW, FLAG_SHORT_ROW},
        {FLAG_OUT_OF_RANGE, FLAG_ERROR_CODE, FLAG_MISSING, FLAG_GOOD, FLAG_OUT_OF_RANGE},
    };
    (void)state;
    aid_plan(&plan, GOOD "flags.csv");
    must_read("flags.csv");
    assert_int_equal(kept.n, 5);
    for (size_t i = 0; i < 5; i++)
        for (size_t ch = 0; ch < 5; ch++) {
            if (kept.flag[ch][i] != flags[i][ch])
                fail_msg("row %zu, channel %zu is %s", i, ch, flag_word(kept.flag[ch][i]));
            assert_true(isnan(kept.value[ch][i]) == (flags[i][ch] != FLAG_GOOD));
        }
    const struct log_channel *inlet = &account.channels[CH_INLET];
    assert_int_equal(inlet->count[FLAG_NOT_A_NUMBER], 1);
    assert_int_equal(inlet->first[FLAG_NOT_A_NUMBER].line, 4);
    assert_int_equal(account.channels[CH_FLOW].first[FLAG_SHORT_ROW].line, 5);
    assert_true(account.channels[CH_OUTLET].least_si == 42.17);
    assert_true(account.channels[CH_OUTLET].most_si == 85.0);
    /* One warning a channel and kind, at the first reading of it. */
    assert_int_equal(faults.n, 7);
    assert_int_equal(faults_status(&faults), 0);
    assert_int_equal(faults.items[2].line, 4);
    assert_int_equal(faults.items[2].column, 32);
    assert_string_equal(faults.items[2].field, "field 4 'T in'");
    assert_string_equal(faults.items[2].found,
                        "'n.c.' is not a number (1 of 5 rows)");
    assert_string_equal(faults.items[1].found,
                        "'-127' is an error code: a digital thermometer that does not answer (1 of "
                        "5 rows)");
    assert_string_equal(faults.items[4].found,
                        "'-0.2' makes flow -0.2 L/min, which cannot be (1 of 5 rows)");
    assert_string_equal(faults.items[6].found,
                        "'-9999' is an error code: a logger's mark for no reading (1 of 5 rows)");
    log_account_free(&account);
}

static void stated_markers_are_missing(void **state)
{
    (void)state;
    aid_plan(&plan, GOOD "flags.csv");
    faults_init(&faults);
    assert_true(log_plan_add_missing(&plan, "N.C.", &faults));
    assert_true(log_plan_add_missing(&plan, "-9999.0", &faults));
    assert_true(log_plan_add_missing(&plan, "85", &faults));
    must_read("flags.csv");
    assert_int_equal(kept.flag[CH_INLET][2], FLAG_MISSING);
    assert_int_equal(kept.flag[CH_FLOW][1], FLAG_MISSING);
    assert_int_equal(kept.flag[CH_OUTLET][2], FLAG_MISSING);
    /* An empty field and the words that loggers write are always missing. */
    assert_int_equal(kept.flag[CH_AMBIENT][1], FLAG_MISSING);
    assert_int_equal(kept.flag[CH_IRRADIANCE][1], FLAG_MISSING);
    log_account_free(&account);
}

static void gaps_break_blocks(void **state)
{
    static const struct {
        const char *name;
        int64_t gap_us;
        int64_t used_us;
        size_t gaps;
        size_t block_of[7];
    } rows[] = {
        {"three median steps", 0, 30 * S, 2, {0, 0, 0, 0, 1, 1, 2}},
        {"20 s stated", 20 * S, 20 * S, 3, {0, 0, 0, 1, 2, 2, 3}},
        {"an hour stated", 3600 * S, 3600 * S, 0, {0, 0, 0, 0, 0, 0, 0}},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        aid_plan(&plan, GOOD "gaps.csv");
        plan.gap_us = rows[i].gap_us;
        must_read("gaps.csv");
        if (account.gaps != rows[i].gaps || kept.gaps != rows[i].gaps)
            fail_msg("%s: %llu gaps", rows[i].name, (unsigned long long)account.gaps);
        assert_memory_equal(kept.block_of, rows[i].block_of, sizeof rows[i].block_of);
        assert_int_equal(account.step_us, 10 * S);
        assert_int_equal(account.gap_us, rows[i].used_us);
        assert_int_equal(account.n_first_gaps, rows[i].gaps);
        if (rows[i].gaps > 0) {
            assert_int_equal(account.longest.from_us, TEN_US + 91 * S);
            assert_int_equal(account.longest.to_us, TEN_US + 3600 * S);
        }
        log_account_free(&account);
    }
}

static void files_are_read_in_the_order_of_time(void **state)
{
    (void)state;
    aid_plan(&plan, GOOD "next-day.csv");
    faults_init(&faults);
    assert_true(log_plan_add_file(&plan, GOOD "crlf.csv", &faults));
    must_read("two files");
    assert_int_equal(kept.n, 6);
    assert_int_equal(kept.gaps, 1);
    assert_int_equal(kept.time_us[4], TEN_US + 86400 * S);
    assert_true(kept.value[CH_INLET][4] == 36.07);
    assert_int_equal(account.n_files, 2);
    assert_string_equal(account.files[0].path, GOOD "crlf.csv");
    assert_string_equal(account.files[1].path, GOOD "next-day.csv");
    assert_int_equal(account.files[0].rows_used, 4);
    assert_int_equal(account.files[1].last_us, TEN_US + 86410 * S);
    assert_int_equal(account.first_us, TEN_US);
    assert_int_equal(account.last_us, TEN_US + 86410 * S);
    /* By sha256sum(1). */
    assert_string_equal(account.files[1].sha256,
                        "60a47572a96036c0ce73ccb14097efd8fe8584528b44b01a3a3046d040fe8aa6");
    assert_int_equal(account.files[1].bytes, 134);
    log_account_free(&account);
}

static void a_log_given_twice_is_told(void **state)
{
    (void)state;
    aid_plan(&plan, GOOD "plain.csv");
    faults_init(&faults);
    assert_true(log_plan_add_file(&plan, GOOD "../logs/plain.csv", &faults));
    assert_false(read_plan());
    assert_string_equal(faults.items[0].found, "the same file is listed twice");
    assert_int_equal(faults_status(&faults), 3);
    log_account_free(&account);

    aid_plan(&plan, GOOD "plain.csv");
    faults_init(&faults);
    assert_true(log_plan_add_file(&plan, GOOD "quoted.csv", &faults));
    must_read("a log and its copy");
    check_plain("a log and its copy");
    assert_int_equal(account.refused[ROW_OVERLAP], 4);
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults.items[0].kind, FAULT_WARNING);
    assert_string_equal(faults.items[0].found, "the row stands in " GOOD
                                               "plain.csv:2 too (4 of 4 rows; this is the first)");
    assert_string_equal(faults.items[0].hint,
                        "the file adds no row: is the same log given twice?");
    log_account_free(&account);
}

/* A log of a row a second. `odd` may replace a row's stamp. */
static char *make_log(size_t rows, size_t *n, const char *(*odd)(size_t row))
{
    char *text = NULL;
    FILE *out = open_memstream(&text, n);
    assert_non_null(out);
    fputs("Time,G tilt,T air,T in,T out,Flow\n", out);
    for (size_t i = 0; i < rows; i++) {
        const char *stamp = odd == NULL ? NULL : odd(i);
        if (stamp != NULL)
            fputs(stamp, out);
        else
            fprintf(out, "2026-06-21T%02zu:%02zu:%02zu", i / 3600, i / 60 % 60, i % 60);
        fprintf(out, ",%zu.5,24.31,35.02,42.17,2.412\n", 300 + i % 700);
    }
    fclose(out);
    return text;
}

static bool read_made(size_t rows, const char *(*odd)(size_t row))
{
    char path[300];
    size_t n;
    char *text = make_log(rows, &n, odd);
    char *folder = aid_folder();
    assert_non_null(folder);
    aid_write(folder, "made.csv", text, n, path);
    free(text);
    aid_plan(&plan, path);
    bool ok = read_plan();
    aid_remove(folder);
    free(folder);
    return ok;
}

/* Full but for the rows that may still be joined by a late one. */
static void a_long_log_comes_in_full_blocks(void **state)
{
    (void)state;
    enum { FULL = BLOCK_ROWS - QUEUE_LATE_ROWS };
    assert_true(read_made(30001, NULL));
    assert_int_equal(kept.n, 30001);
    assert_int_equal(kept.blocks, 30001 / FULL + 1);
    assert_int_equal(kept.gaps, 0);
    for (size_t i = 0; i < kept.n; i++) {
        if (kept.time_us[i] != TEN_US - 36000 * S + (int64_t)i * S ||
            kept.value[CH_IRRADIANCE][i] != 300.5 + (double)(i % 700))
            fail_msg("row %zu", i);
        assert_int_equal(kept.block_of[i], i / FULL);
    }
    assert_true(account.channels[CH_IRRADIANCE].least_si == 300.5);
    assert_true(account.channels[CH_IRRADIANCE].most_si == 999.5);
    log_account_free(&account);
}

static const char *two_odd_stamps(size_t row)
{
    return row == 150 ? "2026-06-21T00:01:07" : row == 220 ? "2026-06-21T00:03:39" : NULL;
}

static const char *one_bad_stamp(size_t row)
{
    return row == 17 ? "2000-00-00T00:00:00" : NULL;
}

static const char *repeated_stamps(size_t row)
{
    return row % 2 == 1 && row < 3600 ? "2026-06-21T00:00:00" : NULL;
}

static const char *bad_stamps(size_t row)
{
    (void)row;
    return "yesterday";
}

static const char *three_in_200(size_t row)
{
    return row > 0 && row % 60 == 0 ? "?" : NULL;
}

static void stray_stamps_are_refused_with_a_warning(void **state)
{
    (void)state;
    assert_true(read_made(1000, two_odd_stamps));
    assert_int_equal(kept.n, 998);
    assert_int_equal(account.refused[ROW_BACKWARD], 1);
    assert_int_equal(account.refused[ROW_DUPLICATE], 1);
    assert_int_equal(account.first_refused[ROW_BACKWARD].line, 152);
    assert_int_equal(account.first_refused[ROW_DUPLICATE].line, 222);
    assert_int_equal(faults.n, 2);
    assert_int_equal(faults_status(&faults), 0);
    assert_int_equal(account.gaps, 0);
    log_account_free(&account);

    assert_true(read_made(1000, one_bad_stamp));
    assert_int_equal(account.refused[ROW_BAD_STAMP], 1);
    assert_int_equal(faults.n, 1);
    assert_string_equal(
        faults.items[0].found,
        "stamp '2000-00-00T00:00:00' is a day that the calendar does not have (1 of "
        "1,000 rows)");
    assert_int_equal(faults_status(&faults), 0);
    log_account_free(&account);
}

static void many_odd_stamps_are_an_input_fault(void **state)
{
    (void)state;
    assert_false(read_made(200, three_in_200));
    assert_int_equal(account.refused[ROW_BAD_STAMP], 3);
    assert_int_equal(faults_status(&faults), 3);
    log_account_free(&account);

    assert_false(read_made(1000, repeated_stamps));
    assert_int_equal(account.refused[ROW_BACKWARD] + account.refused[ROW_DUPLICATE], 500);
    assert_int_equal(faults_status(&faults), 3);
    log_account_free(&account);
}

/* A wrong format is not read to the log's end, and a part of a file has no hash. */
static void a_hopeless_file_is_given_up(void **state)
{
    (void)state;
    assert_false(read_made(5000, bad_stamps));
    assert_int_equal(account.rows_read, 1000);
    assert_int_equal(account.rows_used, 0);
    assert_string_equal(account.files[0].sha256, "");
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults_status(&faults), 3);
    log_account_free(&account);
}

static void a_sink_can_stop_the_reading(void **state)
{
    struct sink sink = aid_sink(&kept);
    (void)state;
    kept.stop_after = 1;
    aid_plan(&plan, GOOD "gaps.csv");
    faults_init(&faults);
    assert_false(log_read(&plan, &sink, 1, &account, &faults));
    assert_int_equal(kept.blocks, 1);
    assert_false(kept.finished);
    log_account_free(&account);
    log_account_free(&account);
    log_plan_free(&plan);
    log_plan_free(&plan);
}

static void one_row_has_no_step(void **state)
{
    (void)state;
    assert_true(read_made(1, NULL));
    assert_int_equal(account.step_us, 0);
    assert_int_equal(account.gap_us, 0);
    assert_int_equal(kept.n, 1);
    log_account_free(&account);
}

static void useless_plans_are_refused(void **state)
{
    static const char *const found[] = {
        "column 'T out' is said to carry two channels",
        "channel 'inlet' is said to stand in two columns, 'T in' and 'T out'",
        "the separator is none of comma, semicolon and tab",
        "the decimal sign is neither point nor comma",
        "no column is said to hold the time",
        "no log file is named",
    };
    (void)state;
    for (size_t i = 0; i < sizeof found / sizeof found[0]; i++) {
        aid_plan(&plan, GOOD "plain.csv");
        faults_init(&faults);
        if (i == 0) {
            free(plan.columns[2].name);
            plan.columns[2].name = text_copy("T out", &faults);
        }
        if (i == 1)
            plan.columns[3].channel = CH_INLET;
        plan.separator = i == 2 ? ' ' : ',';
        plan.decimal = i == 3 ? '\'' : '.';
        plan.n_time_columns = i == 4 ? 0 : 1;
        plan.n_files = i == 5 ? 0 : 1;
        assert_false(log_read(&plan, NULL, 0, &account, &faults));
        assert_string_equal(faults.items[0].found, found[i]);
        assert_int_equal(faults_status(&faults), 3);
        plan.n_files = 1;
        log_account_free(&account);
        log_plan_free(&plan);
    }
}

/* Damaged texts: whatever stands in them, each line ends in one of the outcomes, in order. */
static void damaged_logs_are_survived(void **state)
{
    static const char odd[] = "\",;\n\r#\t e-.+:TZ0129\x00\xFF\xEF";
    struct row_form form;
    size_t n = 0;
    char *whole = make_log(40, &n, NULL);
    char *text = malloc(n);
    uint32_t random = 17;
    size_t rows_seen = 0;
    size_t refused = 0;
    (void)state;
    assert_non_null(text);
    aid_plan(&plan, "made.csv");
    faults_init(&faults);
    assert_true(row_form_init(&form, &plan, &faults));
    for (int round = 0; round < 4000; round++) {
        struct rows rows;
        enum row_status status;
        long line = 0;
        memcpy(text, whole, n);
        for (int k = 0; k <= round % 40; k++) {
            random = random * 1664525U + 1013904223U;
            size_t at = 34 + (random >> 8) % (n - 34);
            text[at] = odd[(random >> 3) % (sizeof odd - 1)];
        }
        faults_init(&faults);
        assert_true(rows_open_memory(&rows, &form, "made.csv", text, n - random % 60, &faults));
        while ((status = rows_next(&rows, &faults)) != ROWS_END) {
            assert_true(status != ROWS_FAILED);
            assert_true(rows.line.number > line);
            line = rows.line.number;
            rows_seen += status == ROWS_ROW;
            refused += status != ROWS_ROW;
            if (status == ROWS_BAD_LINE)
                assert_false(rows_complain(&rows, &faults));
        }
        rows_close(&rows);
    }
    assert_true(rows_seen > 40000);
    assert_true(refused > 10000);
    log_plan_free(&plan);
    free(text);
    free(whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_log_in_other_clothes_reads_the_same),
        cmocka_unit_test(gain_and_add_come_before_the_unit),
        cmocka_unit_test(every_reading_has_its_flag),
        cmocka_unit_test(stated_markers_are_missing),
        cmocka_unit_test(gaps_break_blocks),
        cmocka_unit_test(files_are_read_in_the_order_of_time),
        cmocka_unit_test(a_log_given_twice_is_told),
        cmocka_unit_test(a_long_log_comes_in_full_blocks),
        cmocka_unit_test(stray_stamps_are_refused_with_a_warning),
        cmocka_unit_test(many_odd_stamps_are_an_input_fault),
        cmocka_unit_test(a_hopeless_file_is_given_up),
        cmocka_unit_test(a_sink_can_stop_the_reading),
        cmocka_unit_test(one_row_has_no_step),
        cmocka_unit_test(useless_plans_are_refused),
        cmocka_unit_test(damaged_logs_are_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
