/* One small log in the clothes of many loggers and spreadsheets: each file of
 * testdata/good/dialects, named after its dialect, gives the readings of plain.csv to the last bit.
 */
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
    const char *want[2] = {dialect->note, dialect->second};
    for (size_t i = 0; i < 2; i++) {
        const char *said = i < faults.n ? faults.items[i].found : "nothing";
        if (strcmp(said, want[i] == NULL ? "nothing" : want[i]) != 0)
            fail_msg("%s says '%s'", dialect->file, said);
    }
    assert_true(faults.n <= 2);
    assert_int_equal(faults_status(&faults), 0);
}

static void each_dialect_reads_the_same(void **state)
{
#define AS_1252 "the header row is not UTF-8; its names were read as Windows-1252"
#define UNITS(n) "below the header row stand units or the like (" n " row(s)); they are no readings"
#define AGAIN(n) "the header row stands again (" n " more), as after a restart of the logger"
#define CUT "the file ends inside this row (1), which is not used"
#define FILLED                                                                                     \
    "NUL or 0xFF bytes stand at a line's begin or end (1), as after a power cut; such lines are "  \
    "not used"
#define SUMMARY(n) "below the readings stand rows without a stamp (" n "); they are not used"
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
        {.file = "crlf.csv"},
        {.file = "cr.csv"},
        {.file = "line-ends-mixed.csv"},
        {.file = "semicolon-decimal-comma.csv", .separator = ';', .decimal = ','},
        {.file = "no-break-blanks.csv"},
        {.file = "numbers-as-formulas.csv"},
        {.file = "semicolon-decimal-point.csv", .separator = ';'},
        {.file = "tab-decimal-point.txt", .separator = '\t'},
        {.file = "tab-decimal-comma.txt", .separator = '\t', .decimal = ','},
        {.file = "comma-quoted-decimal-comma.csv", .decimal = ','},
        {.file = "station-lines-units-processing.csv", .note = UNITS("2")},
        {.file = "station-lines-again-at-power-up.csv", .note = AGAIN("1"), .second = UNITS("2")},
        {.file = "title-line.csv"},
        {.file = "separator-line.csv", .separator = ';'},
        {.file = "names-behind-a-hash.csv"},
        {.file = "units-row.csv", .note = UNITS("1")},
        {.file = "units-in-brackets-row.csv", .note = UNITS("1")},
        {.file = "units-row-again-spelled-otherwise.csv", .note = AGAIN("1"), .second = UNITS("1")},
        {.file = "unit-in-name.csv", .inlet = "T in [degC]"},
        {.file = "unit-in-name-wrong-but-stated.csv",
         .inlet = "T in (degF)",
         .head_unit_wrong = true},
        {.file = "names-in-stated-line.csv", .names_line = 2},
        {.file = "no-names.csv", .no_names = true},
        {.file = "no-names-after-comment.csv", .no_names = true},
        {.file = "header-again-at-power-up.csv", .note = AGAIN("1")},
        {.file = "header-again-wider.csv", .note = AGAIN("1")},
        {.file = "cut-last-line.csv", .note = CUT},
        {.file = "cut-in-quotes.csv", .note = CUT},
        {.file = "no-final-line-end.csv",
         .note = "the last row has no line end: if the file was cut off there, its last number "
                 "lacks digits"},
        {.file = "nul-tail.csv", .note = FILLED},
        {.file = "nul-tail-after-cut-line.csv", .note = FILLED},
        {.file = "nul-then-goes-on.csv", .note = FILLED},
        {.file = "ff-tail.csv", .note = FILLED},
        {.file = "long-nul-tail.csv.gz", .note = FILLED},
        {.file = "trailing-separators.csv"},
        {.file = "trailing-separator-in-rows.csv"},
        {.file = "comments-and-blanks.csv"},
        {.file = "summary-rows.csv", .note = SUMMARY("3")},
        {.file = "summary-without-word.csv", .note = SUMMARY("1")},
        {.file = "quoted-remark-over-lines.csv"},
        {.file = "quoted-remark-over-lines-crlf.csv"},
        {.file = "quoted-name-over-lines.csv", .inlet = "T in (lower pipe)"},
        {.file = "columns-in-other-order.csv"},
        {.file = "blanks-around-fields.csv"},
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
