/* Each file of testdata/bad/files is named after its fault and has its exact message beside it.
 * With ETABENCH_ACCEPT set the messages are written anew. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_dialect.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "testdata/bad/files"

static struct faults faults;
static struct kept kept;

/* Reads a log. Returns: the faults as printed; the caller frees. */
static char *read_faults(const struct dialect *dialect)
{
    struct log_plan plan;
    struct log_account account;
    char *printed = NULL;
    size_t n = 0;
    struct sink sink = aid_sink(&kept);
    aid_dialect_plan(&plan, FOLDER, dialect);
    faults_init(&faults);
    if (log_read(&plan, &sink, 1, &account, &faults) || kept.finished)
        fail_msg("%s was read", dialect->file);
    log_account_free(&account);
    log_plan_free(&plan);
    FILE *out = open_memstream(&printed, &n);
    assert_non_null(out);
    faults_print(&faults, "test", out);
    fclose(out);
    return printed;
}

static void expected_of(const char *file, char *out, size_t size)
{
    char path[200];
    snprintf(path, sizeof path, FOLDER "/%s.err", file);
    FILE *in = fopen(path, "rb");
    if (in == NULL)
        fail_msg("%s is missing", path);
    size_t n = fread(out, 1, size - 1, in);
    out[n] = '\0';
    fclose(in);
}

static void accept(const char *file, const char *printed)
{
    char path[200];
    snprintf(path, sizeof path, FOLDER "/%s.err", file);
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    fputs(printed, out);
    assert_int_equal(fclose(out), 0);
}

static void each_bad_file_has_its_message(void **state)
{
    static const struct dialect rows[] = {
        {.file = "gzip-cut-off.csv.gz"},
        {.file = "gzip-damaged.csv.gz"},
        {.file = "gzip-check-sum-wrong.csv.gz"},
        {.file = "gzip-followed-by-text.csv.gz"},
        {.file = "gzip-of-nothing.csv.gz"},
        {.file = "gzip-beyond-all-measure.csv.gz"},
        {.file = "bzip2.csv.bz2"},
        {.file = "xz.csv.xz"},
        {.file = "zstd.csv.zst"},
        {.file = "utf-32.csv"},
        {.file = "spreadsheet-of-old.xls"},
        {.file = "page-to-print.pdf"},
        {.file = "page-for-a-browser.xls"},
        {.file = "json.csv"},
        {.file = "nothing-but-nul.csv"},
        {.file = "encoding-stated-utf-16.csv", .encoding = ENCODING_UTF_16LE},
        {.file = "encoding-stated-utf-8.csv", .encoding = ENCODING_UTF_8},
        {.file = "columns-in-other-order-at-power-up.csv"},
        {.file = "column-gone-at-power-up.csv"},
        {.file = "names-of-another-language-at-power-up.csv"},
        {.file = "units-change-at-power-up.csv"},
        {.file = "units-row-first-at-power-up.csv"},
        {.file = "head-unit-contradicts.csv", .inlet = "T in [degF]"},
        {.file = "units-row-contradicts.csv"},
        {.file = "two-lines-run-together.csv"},
        {.file = "cut-line-joined-with-next.csv"},
        {.file = "quote-never-closed.csv"},
        {.file = "quote-never-closed-to-the-end.csv"},
        {.file = "units-rows-too-many.csv"},
        {.file = "names-stated-in-a-comment.csv", .names_line = 1},
        {.file = "names-stated-beyond-the-end.csv", .names_line = 9},
        {.file = "names-stated-in-a-row-of-numbers.csv", .names_line = 2},
        {.file = "no-names-column-beyond.csv", .no_names = true},
        {.file = "station-lines-only.csv"},
        {.file = "summary-rows-too-many.csv"},
        {.file = "other-separator-below-a-title.csv"},
        {.file = "cut-row-is-all.csv"},
        {.file = "nul-in-the-middle.csv"},
    };
    size_t n = sizeof rows / sizeof rows[0];
    (void)state;
    for (size_t i = 0; i < n; i++) {
        char expected[8192];
        char *printed = read_faults(&rows[i]);
        if (getenv("ETABENCH_ACCEPT") != NULL)
            accept(rows[i].file, printed);
        expected_of(rows[i].file, expected, sizeof expected);
        if (strcmp(printed, expected) != 0)
            fail_msg("%s\n--- said:\n%s--- expected:\n%s", rows[i].file, printed, expected);
        assert_int_equal(faults_status(&faults), 3);
        free(printed);
    }
    /* A file and its message each: none is passed over. */
    assert_int_equal(aid_count_files(FOLDER), 2 * n);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_bad_file_has_its_message),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
