/* One small log in the clothes of many loggers and spreadsheets: each file of testdata/good/dialects,
 * named after its dialect, gives the readings of plain.csv to the last bit. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_dialect.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define FOLDER "testdata/good/dialects"

static struct faults faults;
static struct kept base;
static struct kept kept;

static void read_dialect(const struct dialect *dialect, struct kept *into)
{
    struct log_plan plan;
    struct log_account account;
    struct sink sink = aid_sink(into);
    aid_dialect_plan(&plan, FOLDER, dialect);
    faults_init(&faults);
    bool good = log_read(&plan, &sink, 1, &account, &faults);
    if (!good)
        faults_print(&faults, dialect->file, stderr);
    if (!good || !into->finished)
        fail_msg("%s was not read", dialect->file);
    log_account_free(&account);
    log_plan_free(&plan);
}

static void want_same(const char *file)
{
    bool same = kept.n == base.n &&
                memcmp(kept.time_us, base.time_us, base.n * sizeof base.time_us[0]) == 0;
    for (size_t ch = 0; same && ch < CH_LOGGED; ch++)
        same = memcmp(kept.flag[ch], base.flag[ch], base.n) == 0 &&
               memcmp(kept.value[ch], base.value[ch], base.n * sizeof base.value[ch][0]) == 0;
    if (!same)
        fail_msg("%s: %zu rows, or other readings than plain.csv", file, kept.n);
}

static void want_note(const struct dialect *dialect)
{
    const char *first = faults.n == 0 ? NULL : faults.items[0].found;
    if ((dialect->note == NULL) != (first == NULL) ||
        (first != NULL && strcmp(first, dialect->note) != 0) || faults.n > 1)
        fail_msg("%s says '%s'", dialect->file, first == NULL ? "nothing" : first);
    assert_int_equal(faults_status(&faults), 0);
}

static void each_dialect_reads_the_same(void **state)
{
#define AS_1252 "the header row is not UTF-8; its names were read as Windows-1252"
    static const struct dialect rows[] = {
        {.file = "plain.csv"},
        {.file = "gzip.csv.gz"},
        {.file = "gzip-joined-files.csv.gz"},
        {.file = "gzip-padded-with-nul.csv.gz"},
        {.file = "gzip-of-utf-16.csv.gz"},
        {.file = "utf-16le-with-mark.csv"},
        {.file = "utf-16be-with-mark.csv"},
        {.file = "utf-16le-without-mark.csv"},
        {.file = "utf-16be-without-mark.csv"},
        {.file = "utf-16le-tabs-decimal-comma.txt", .separator = '\t', .decimal = ','},
        {.file = "utf-8-degree-sign.csv", .inlet = "T in °C", .encoding = ENCODING_UTF_8},
        {.file = "utf-8-with-mark.csv", .inlet = "T in °C"},
        {.file = "latin-1-degree-sign.csv", .inlet = "T in °C", .note = AS_1252},
        {.file = "latin-1-stated.csv", .inlet = "T in °C", .encoding = ENCODING_LATIN_1},
        {.file = "windows-1252-dash.csv", .inlet = "T in – °C", .note = AS_1252},
        {.file = "cp850-degree-sign.csv", .inlet = "T in °C", .encoding = ENCODING_CP850},
    };
    size_t n = sizeof rows / sizeof rows[0];
    (void)state;
    assert_int_equal(aid_count_files(FOLDER), n);
    read_dialect(&rows[0], &base);
    assert_int_equal(base.n, 4);
    for (size_t i = 0; i < n; i++) {
        read_dialect(&rows[i], &kept);
        want_same(rows[i].file);
        want_note(&rows[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_dialect_reads_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
