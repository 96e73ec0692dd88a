/* Stamps that run ahead: which rows of a file are told. Rows are written as their seconds, the
 * first on line 2; what is expected was told by hand from the order of the rows. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "ingest/stray.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define S 1000000

/* "4<3>6 5": lines found; of the first of those that left together "<line before>line behind"
 * follows.
 * In:      rows  seconds; "A..B" goes on from A to B in steps of 10 */
static char *lines_found(const char *rows)
{
    struct stray stray;
    struct text out = {0};
    long line = 2;
    assert_true(stray_init(&stray, 10 * S, 30 * S));
    while (*rows != '\0') {
        char *end;
        long from = strtol(rows, &end, 10);
        long to = strncmp(end, "..", 2) == 0 ? strtol(end + 2, &end, 10) : from;
        for (long s = from; s <= to; s += 10)
            stray_row(&stray, (int64_t)s * S, line++);
        rows = end + strspn(end, " ");
    }
    assert_true(stray_end(&stray));
    for (size_t i = 0; i < stray.n; i++) {
        text_addf(&out, "%s%ld", i == 0 ? "" : " ", stray.found[i].line);
        if (stray.found[i].first)
            text_addf(&out, "<%ld>%ld", stray.found[i].before.line, stray.found[i].after.line);
    }
    char *found = strdup(text_string(&out));
    text_free(&out);
    stray_free(&stray);
    stray_free(&stray);
    return found;
}

static void rows_ahead_are_told(void **state)
{
    static const struct {
        const char *name;
        const char *rows;
        const char *found;
    } rows[] = {
        {"in order", "0..200", ""},
        {"a gap", "0..200 5000..5200", ""},
        {"a night", "0..200 60000..60200", ""},
        {"a day ahead", "0..50 86460 70..200", "8<7>9"},
        {"five minutes ahead, where another row comes to stand", "0..50 360 70..500", "8<7>9"},
        {"two steps ahead", "0..50 80 70..200", "8<7>9"},
        {"an hour ahead, behind the last row", "0..50 3660 70..200", "8<7>9"},
        {"three rows a day ahead", "0..50 86460 86470 86480 90..200", "8<7>11 9 10"},
        {"six rows a minute ahead", "0..50 120..170 120..300", "8<7>14 9 10 11 12 13"},
        {"two that lead by different days", "0..50 86460 777670 80..200", "8<7>10 9<7>10"},
        {"two that lead by falling days", "0..50 777660 86470 80..200", "8<7>10 9<7>10"},
        {"the same day ahead twice", "0..50 86460 70..130 86540 150..300", "8<7>9 16<15>17"},
        {"by three minutes, then by four", "0..50 240 70..130 380 150..600", "8<7>9 16<15>17"},
        {"after a night", "0..50 777600 86410..86600", "8<7>9"},
        {"the first row", "86400 10..200", "2<0>3"},
        {"the first row, by a minute", "60 10..200", "2<0>3"},
        {"the first two rows", "86400 86410 20..200", "2<0>4 3"},
        {"a last row alone, days later", "0..50 86460", "8<7>0"},
        {"a last row alone, some hours later", "0..50 18060", ""},
        {"two last rows, days later", "0..50 86460 86470", ""},
        {"one that comes late", "0..50 70 60 80..200", ""},
        {"one that comes late where another is lost", "0..50 80 70 90..200", ""},
        {"three that come late", "0..50 90 100 110 60 70 80 120..200", ""},
        {"the newest first, then what was stored", "0..50 500 60..490 510..600", ""},
        {"the same with one lost", "0..50 500 70..490 510..600", ""},
        {"the same at the beginning", "500 0..490 510..600", ""},
        {"the newest rows first all through", "90 80 70 60 50 40 30 20 10 0", ""},
        {"a clock that is put back an hour", "3600..3900 300..600", ""},
        {"a stamp that runs behind", "86400..86600 10 86620..86800", ""},
        {"two loggers, one a day ahead", "0 86400 10 86410 20 86420 30 86430 40 86440 50 86450",
         ""},
        {"a session of another day between", "0..50 777600..778000 86400..86600", ""},
        {"many rows ahead", "0..50 86460..88460 2070..4000", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *found = lines_found(rows[i].rows);
        if (strcmp(found, rows[i].found) != 0)
            fail_msg("%s: '%s'", rows[i].name, found);
        free(found);
    }
}

/* With no step nothing can be told. */
static void no_step_tells_nothing(void **state)
{
    struct stray stray;
    (void)state;
    assert_true(stray_init(&stray, 0, 0));
    stray_row(&stray, 90000 * (int64_t)S, 2);
    stray_row(&stray, 10 * S, 3);
    assert_true(stray_end(&stray));
    assert_int_equal(stray.n, 0);
    stray_free(&stray);
}

enum { ROWS = 9000 };

static struct kept kept;

/* The stamp of row i, in a log of a row every 10 s of two days, from row `first` to `end` (0: none)
 * ahead by so much. */
static void write_log(const char *path, int first, int end, long ahead_s)
{
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    fputs("Time,G tilt,T air,T in,T out,Flow\n", out);
    for (int i = 0; i < ROWS; i++) {
        long s = 36000 + 10L * i + (i >= first && i < end ? ahead_s : 0);
        fprintf(out, "2026-06-%02ldT%02ld:%02ld:%02ld,%d.25,21.%02d,40.%02d,47.%02d,2.%03d\n",
                1 + s / 86400, s / 3600 % 24, s / 60 % 60, s % 60, 700 + i % 97, 30 + i % 13,
                10 + i % 7, 90 + i % 9, 385 + i % 11);
    }
    assert_int_equal(fclose(out), 0);
}

/* All other rows are used, each once and in its place, and these are counted. */
static void want_without(const char *name, const struct log_account *account, int first, int end)
{
    size_t k = 0;
    uint64_t left_out = (uint64_t)(end - first);
    if (account->refused[ROW_STRAY] != left_out || account->rows_used != ROWS - left_out ||
        account->rows_read != ROWS || account->late.n != 0 || kept.n != ROWS - left_out)
        fail_msg("%s: %d set aside, %d used, %d late", name, (int)account->refused[ROW_STRAY],
                 (int)account->rows_used, (int)account->late.n);
    if (account->first_refused[ROW_STRAY].line != first + 2)
        fail_msg("%s: the first is line %ld", name, account->first_refused[ROW_STRAY].line);
    for (int i = 0; i < ROWS; i++) {
        if (i >= first && i < end)
            continue;
        if (kept.time_us[k] % ((int64_t)86400 * S) != (36000 + INT64_C(10) * i) % 86400 * S ||
            kept.value[CH_IRRADIANCE][k] != 700.25 + i % 97 ||
            (k > 0 && kept.time_us[k] <= kept.time_us[k - 1]))
            fail_msg("%s: row %d is not in its place", name, i);
        k++;
    }
}

/* Rows that were used are taken back, wherever a block ends; threads change nothing. */
static void the_reader_leaves_them_out(void **state)
{
    static const struct {
        const char *name;
        int first, end;
        long ahead_s;
        unsigned threads;
    } rows[] = {
        {"the first, by a day", 0, 1, 86400, 1},
        {"the second, by nine days", 1, 2, 9 * 86400, 1},
        {"a minute", 517, 518, 60, 1},
        {"two steps", 4090, 4091, 20, 1},
        {"the last of a block, by 5 h", 4095, 4096, 18000, 1},
        {"the first of a block, by a day", 4096, 4097, 86400, 3},
        {"thirty over a block's end, by a minute", 4080, 4110, 60, 3},
        {"two hundred, by nine days", 4000, 4200, 9 * 86400, 1},
        {"the last, by a day", ROWS - 1, ROWS, 86400, 2},
    };
    (void)state;
    char *folder = aid_folder(), path[300];
    snprintf(path, sizeof path, "%s/log.csv", folder);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct log_plan plan;
        struct log_account account;
        struct faults faults;
        struct sink sink = aid_sink(&kept);
        faults_init(&faults);
        write_log(path, rows[i].first, rows[i].end, rows[i].ahead_s);
        aid_plan(&plan, path);
        plan.threads = rows[i].threads;
        if (!log_read(&plan, &sink, 1, &account, &faults) || faults.n != 1 ||
            faults.items[0].kind != FAULT_WARNING)
            fail_msg("%s: not read, or not with one warning", rows[i].name);
        want_without(rows[i].name, &account, rows[i].first, rows[i].end);
        log_account_free(&account);
        log_plan_free(&plan);
    }
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_ahead_are_told),
        cmocka_unit_test(no_step_tells_nothing),
        cmocka_unit_test(the_reader_leaves_them_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
