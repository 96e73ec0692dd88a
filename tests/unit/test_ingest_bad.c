/* Each file of testdata/bad/logs is refused with its own message, letter for letter. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "testdata/bad/logs"

static struct faults faults;
static struct kept kept;

/* Reads a log by the usual plan. Returns: the faults as printed; the caller frees. */
static char *read_faults(const char *path)
{
    struct log_plan plan;
    struct log_account account;
    char *printed = NULL;
    size_t n = 0;
    struct sink sink = aid_sink(&kept);
    aid_plan(&plan, path);
    faults_init(&faults);
    assert_false(log_read(&plan, &sink, 1, &account, &faults));
    assert_false(kept.finished);
    log_account_free(&account);
    log_plan_free(&plan);
    FILE *out = open_memstream(&printed, &n);
    assert_non_null(out);
    faults_print(&faults, "test", out);
    fclose(out);
    return printed;
}

static void each_bad_log_has_its_message(void **state)
{
    static const struct {
        const char *file;
        const char *message;
    } rows[] = {
        {"absent-column.csv",
         FOLDER "/absent-column.csv:1: inlet: column 'T in' is not in the header row\n"
                "  expected: one of 'Time', 'G tilt', 'T air', 'T inn', 'T out', 'Flow'\n"
                "  did you mean 'T inn'? names are compared letter for letter\n"},
        {"binary.csv", FOLDER "/binary.csv: is not a text file\n"
                              "  give the logger's CSV file\n"},
        {"column-twice.csv", FOLDER
         "/column-twice.csv:1: field 4: column 'T in' (inlet) stands 2 times in the header row\n"
         "  from left to right they are called 'T in (1)', 'T in (2)' and so on here; or give them "
         "different names in the header row\n" FOLDER
         "/column-twice.csv:1: outlet: column 'T out' is not in the header row\n"
         "  expected: one of 'Time', 'G tilt', 'T air', 'T in', 'T in', 'Flow'\n"
         "  write 'column' as the header row does, letter for letter\n"},
        {"decimal-comma-and-comma.csv",
         FOLDER "/decimal-comma-and-comma.csv:2: the row has 11 fields\n"
                "  expected: 6, as in the header row\n"
                "  a decimal comma needs quotes around its number or another separator (set "
                "'separator' and 'decimal' in "
                "[log]); if two lines ran together, delete them\n" FOLDER
                "/decimal-comma-and-comma.csv:3: the row has 11 fields\n"
                "  expected: 6, as in the header row\n"
                "  a decimal comma needs quotes around its number or another separator (set "
                "'separator' and 'decimal' in "
                "[log]); if two lines ran together, delete them\n" FOLDER
                "/decimal-comma-and-comma.csv:4: the row has 11 fields\n"
                "  expected: 6, as in the header row\n"
                "  a decimal comma needs quotes around its number or another separator (set "
                "'separator' and 'decimal' in "
                "[log]); if two lines ran together, delete them\n" FOLDER
                "/decimal-comma-and-comma.csv:5: the row has 11 fields\n"
                "  expected: 6, as in the header row\n"
                "  a decimal comma needs quotes around its number or another separator (set "
                "'separator' and 'decimal' in "
                "[log]); if two lines ran together, delete them\n"},
        {"decimal-comma.csv",
         FOLDER "/decimal-comma.csv:2:33: field 4 'T in': '35,02' is not a number (4 of 4 rows; "
                "this is the first)\n"
                "  this log seems to use a decimal comma; set 'decimal = comma' in [log]\n"},
        {"empty.csv", FOLDER "/empty.csv: is empty\n"
                             "  the first line must name the columns, and rows follow\n"},
        {"header-only.csv", FOLDER "/header-only.csv: holds a header row but no rows below it\n"
                                   "  give a log with readings, or leave the file out\n"},
        {"no-header.csv",
         FOLDER "/no-header.csv:2: holds no header row: every line is blank or a comment\n"
                "  the first line that is neither must name the columns\n"},
        {"no-names.csv",
         FOLDER "/no-names.csv:1: the header row names none of the columns; it begins "
                "'2026-06-21T10:00:00'\n"
                "  expected: 'Time', 'G tilt', 'T air', 'T in', 'T out', 'Flow'\n"
                "  no line near the top names them; if the log has no names at all, set "
                "'names = none' in [log] and number the columns\n"},
        {"no-number-but-text.csv", FOLDER "/no-number-but-text.csv:2:33: field 4 'T in': 'n.c.' is "
                                          "not a number (4 of 4 rows; this is the first)\n"
                                          "  such readings are not used; if it marks a missing "
                                          "reading, add it to 'missing' in [log]\n"},
        {"no-number.csv",
         FOLDER "/no-number.csv:2: field 4 'T in': the column holds no number in any of 4 rows\n"
                "  was the sensor connected? name another column, or leave the instrument out\n"},
        {"no-such-day.csv",
         FOLDER "/no-such-day.csv:2:1: field 1 'Time': stamp '2026-02-30T10:00:00' is a day that "
                "the calendar does not have (4 of 4 rows; this is the first)\n"
                "  expected: a stamp such as '2026-06-21T14:15:30'\n"
                "  set 'time' in [log] to the form that the log writes, or mend its stamps\n"},
        {"nul-byte.csv", FOLDER "/nul-byte.csv:4:30: the line holds a NUL byte\n"
                                "  it was damaged, perhaps by a card pulled out while the logger "
                                "wrote: delete the line\n"},
        {"nul-in-header.csv", FOLDER "/nul-in-header.csv:1:12: the line holds a NUL byte\n"
                                     "  it was damaged, perhaps by a card pulled out while the "
                                     "logger wrote: delete the line\n"},
        {"open-quote-in-header.csv", FOLDER
         "/open-quote-in-header.csv:1:13: a quote is opened here and never closed on this line\n"
         "  close the quote, or delete the line\n"},
        {"open-quote.csv",
         FOLDER "/open-quote.csv:3:33: a quote is opened here and never closed on this line\n"
                "  close the quote, or delete the line\n"},
        {"other-separator.csv",
         FOLDER "/other-separator.csv:1: the header row names none of the columns; it begins "
                "'Time;G tilt;T air;T in;T out;Flow'\n"
                "  expected: 'Time', 'G tilt', 'T air', 'T in', 'T out', 'Flow'\n"
                "  it has one field; set 'separator = semicolon' in [log]\n"},
        {"other-stamp.csv",
         FOLDER "/other-stamp.csv:2:1: field 1 'Time': stamp '21/06/2026 10:00:00' is not of the "
                "stated form (4 of 4 rows; this is the first)\n"
                "  expected: a stamp such as '2026-06-21T14:15:30'\n"
                "  set 'time' in [log] to the form that the log writes, or mend its stamps\n"},
        {"out-of-range.csv", FOLDER "/out-of-range.csv:2:33: field 4 'T in': '305.2' makes inlet "
                                    "305.2 degC, which cannot be (4 of 4 rows; this is the first)\n"
                                    "  expected: -50 to 200 degC\n"
                                    "  such readings are not used; check the instrument's 'unit', "
                                    "'gain' and 'add', and the sensor\n"},
        {"spreadsheet.csv",
         FOLDER "/spreadsheet.csv: is a packed file or a spreadsheet, not text\n"
                "  open it in the spreadsheet and save the sheet as CSV in UTF-8\n"},
        {"stray-quote.csv", FOLDER
         "/stray-quote.csv:4:32: a quote stands inside a field, or text follows a closing quote\n"
         "  put the whole field in quotes (a quote inside it is written twice), or delete the "
         "line\n"},
        {"time-backwards.csv",
         FOLDER "/time-backwards.csv:3: 'Time': stamp 2026-06-21T10:30:10Z runs ahead: the rows go "
                "on from 2026-06-21T10:00:00Z (line 2) to 2026-06-21T10:00:20Z (line 4) (1 of 4 "
                "rows)\n"
                "  find out why the stamps leap, and mend them; if two loggers wrote the file, each "
                "needs a file and a section [log NAME] of its own\n"},
    };
    size_t n = sizeof rows / sizeof rows[0];
    (void)state;
    assert_int_equal(aid_count_files(FOLDER), n);
    for (size_t i = 0; i < n; i++) {
        char path[200];
        snprintf(path, sizeof path, FOLDER "/%s", rows[i].file);
        char *printed = read_faults(path);
        if (strcmp(printed, rows[i].message) != 0)
            fail_msg("%s:\n%s", rows[i].file, printed);
        assert_int_equal(faults_status(&faults), 3);
        free(printed);
    }
}

/* Logs that are too odd to keep as files are written here. */
static void each_odd_log_has_its_message(void **state)
{
    enum { HUGE_BYTES = 10000000 };
    static const char head[] = "Time,G tilt,T air,T in,T out,Flow\n";
    char path[300];
    char expected[800];
    char *text = malloc(HUGE_BYTES);
    (void)state;
    assert_non_null(text);
    char *folder = aid_folder();
    assert_non_null(folder);
    memset(text, '7', HUGE_BYTES);
    memcpy(text, head, strlen(head));
    aid_write(folder, "huge-line.csv", text, HUGE_BYTES, path);
    char *printed = read_faults(path);
    snprintf(expected, sizeof expected,
             "%s:2: the line is longer than 1 MiB\n"
             "  is this the logger's CSV file? else delete the line\n",
             path);
    assert_string_equal(printed, expected);
    free(printed);

    uint32_t random = 5;
    for (size_t i = 0; i < 20000; i++) {
        random = random * 1664525U + 1013904223U;
        text[i] = (char)(random >> 24);
    }
    aid_write(folder, "random.csv", text, 20000, path);
    printed = read_faults(path);
    snprintf(expected, sizeof expected, "%s: is not a text file\n  give the logger's CSV file\n",
             path);
    assert_string_equal(printed, expected);
    free(printed);
    free(text);
    aid_remove(folder);
    free(folder);
}

static void places_that_are_no_files_are_refused(void **state)
{
    static const struct {
        const char *path;
        const char *message;
    } rows[] = {
        {"testdata", "testdata: is a directory\n  name the log file itself\n"},
        {"/dev/null", "/dev/null: is not a regular file\n  name the log file itself\n"},
        {"testdata/absent.csv", "testdata/absent.csv: cannot be opened: No such file or directory\n"
                                "  check the file's name, and who may read it\n"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *printed = read_faults(rows[i].path);
        assert_string_equal(printed, rows[i].message);
        assert_int_equal(faults_status(&faults), 3);
        free(printed);
    }
}

/* 50 bad lines are named, one line counts the others, and the good rows have been read. */
static void bad_lines_are_named_up_to_a_number(void **state)
{
    char file[300];
    char *text = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&text, &n);
    (void)state;
    assert_non_null(out);
    fputs("Time,G tilt,T air,T in,T out,Flow\n", out);
    for (int i = 0; i < 1300; i++)
        fprintf(out, "2026-06-21T10:%02d:%02d,%d.3,24.31,35.02,42.17,2.412%s\n", i / 60, i % 60,
                700 + i % 60, i >= 40 && i < 1277 ? ",3\"" : "");
    fclose(out);
    char *folder = aid_folder();
    assert_non_null(folder);
    aid_write(folder, "many.csv", text, n, file);
    char *printed = read_faults(file);
    assert_int_equal(faults.n, 51);
    assert_int_equal(faults.items[0].line, 42);
    assert_int_equal(faults.items[49].line, 91);
    assert_string_equal(faults.items[50].found, "and 1,187 more bad lines, not listed");
    assert_int_equal(kept.n, 63);
    free(printed);
    free(text);
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_bad_log_has_its_message),
        cmocka_unit_test(each_odd_log_has_its_message),
        cmocka_unit_test(places_that_are_no_files_are_refused),
        cmocka_unit_test(bad_lines_are_named_up_to_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
