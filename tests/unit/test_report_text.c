/* report.txt, the first screen, wrapping and tables as text. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "report/text.h"
#include "report/text_table.h"
#include "report/wrap.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static struct document doc;
static struct text out;

static int set_up(void **state)
{
    (void)state;
    faults_init(&faults);
    text_init(&out);
    return aid_document(&doc, &faults) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    document_free(&doc);
    text_free(&out);
    return 0;
}

static void lines_break_at_blanks_and_long_words_at_the_edge(void **state)
{
    (void)state;
    static const struct {
        const char *in;
        size_t width;
        const char *line;
        const char *rest;
    } rows[] = {
        {"one two three", 8, "one two", "three"},
        {"one two three", 7, "one two", "three"},
        {"one two three", 6, "one", "two three"},
        {"one  two", 4, "one", "two"},
        {"abcdefgh ij", 5, "abcde", "fgh ij"},
        {"°°°° °°", 5, "°°°°", "°°"},
        {"°°°°°", 3, "°°°", "°°"},
        {"short", 80, "short", ""},
        {"", 10, "", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *next;
        size_t n = wrap_line(rows[i].in, rows[i].width, &next);
        if (n != strlen(rows[i].line) || strcmp(next, rows[i].rest) != 0)
            print_message("row '%s' at %zu: %zu, '%s'\n", rows[i].in, rows[i].width, n, next);
        assert_int_equal(n, strlen(rows[i].line));
        assert_memory_equal(rows[i].in, rows[i].line, n);
        assert_string_equal(next, rows[i].rest);
    }
}

static void no_line_is_wider_than_the_page(void **state)
{
    (void)state;
    struct text word = {0};
    for (int i = 0; i < 40; i++)
        text_add(&word, "°C—");
    assert_true(document_finding(&doc, FINDING_CANNOT, true, &faults, "%s and %s",
                                 text_string(&word), text_string(&word)));
    assert_true(document_fact(&doc, "input", "a long name of a file.csv", &faults, "%s",
                              text_string(&word)));
    assert_true(document_caution(&doc, text_string(&word), &faults));
    text_free(&word);
    assert_true(report_text(&doc, &out, &faults));
    size_t lines = 0;
    for (const char *at = text_string(&out); *at; lines++) {
        size_t n = strcspn(at, "\n");
        if (text_characters(at, n) > 80)
            print_message("%.*s\n", (int)n, at);
        assert_true(text_characters(at, n) <= 80);
        assert_true(n == 0 || at[n - 1] != ' ');
        at += n + (at[n] == '\n');
    }
    assert_true(lines > 60);
}

static void the_first_screen_has_its_places_in_order(void **state)
{
    (void)state;
    static const char expected[] =
        "Plate A, stove paint\n"
        "====================\n"
        "  With water as warm as air it turns 77.3 ± 2.4 % of the sunshine into heat:\n"
        "    1,300 W at 850 W/m² on 1.98 m².\n"
        "  (± is half of the 95 % interval: in 19 of 20 such tests it holds the truth.)\n"
        "Windows       9 windows found, 2 refused.\n"
        "Cannot say  ! Nothing can be said of wind.\n"
        "Uncertainty   The pyranometer's calibration gives 68 % of it.\n"
        "Criteria      4 met, 0 not met.\n"
        "Not stated    Wind; sky.\n"
        "! = something to act on\n";
    report_first_screen(&doc, &out);
    assert_string_equal(text_string(&out), expected);
    text_clear(&out);
    assert_true(report_text(&doc, &out, &faults));
    assert_memory_equal(text_string(&out), expected, strlen(expected));
}

static void a_screen_without_numbers_explains_no_sign(void **state)
{
    (void)state;
    struct document plain;
    assert_true(document_init(&plain, "check", "Day 1", &faults));
    assert_true(document_finding(&plain, FINDING_ANSWER, false, &faults, "Nothing was steady."));
    report_first_screen(&plain, &out);
    assert_string_equal(text_string(&out), "Day 1\n=====\n  Nothing was steady.\n");
    document_free(&plain);
}

static void the_report_holds_each_kind_of_thing(void **state)
{
    (void)state;
    static const char *const pieces[] = {
        "    η₀ = 0.773 ± 0.024\n    standard uncertainty 0.011, 14 degrees of freedom\n",
        "    calibration of the pyranometer                0.0092     67 %\n"
        "    pair offset of the two thermometers           0.0061     30 %\n"
        "    reading                                       0.0019      3 %\n",
        "    a₁ = 3.92 ± 0.54 W/(m² K)\n    standard uncertainty 0.25 W/(m² K)\n",
        "window                    T*m  efficiency  inlet\n"
        "                       m² K/W                 °C\n"
        "06-21 09:15            0.0333       0.701   0.00\n"
        "=SUM(A1:A9), \"quoted\"               0.000  −7.25\n"
        "                       0.0611       0.499  71.13\n",
        "Details\n-------\n  Plain least squares: 0.771.\n",
        "! An idle glazed collector can pass 150 °C: burns, steam.\n",
        "program\n  version                   0.1\n",
        "A line that falls from 0.77 to 0.53.\n",
    };
    assert_true(report_text(&doc, &out, &faults));
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        if (!strstr(text_string(&out), pieces[i]))
            print_message("lacks '%s'\n", pieces[i]);
        assert_non_null(strstr(text_string(&out), pieces[i]));
    }
}

/* A table of nine columns with a long text: parts that repeat the first column, wrapped cells. */
static void a_wide_table_is_printed_in_parts(void **state)
{
    (void)state;
    char names[9][16] = {"name",    "irradiance", "ambient", "inlet", "outlet",
                         "flow kg", "wind speed", "drift",   "note"};
    char none[] = "";
    struct column columns[9];
    struct cell cells[9];
    for (size_t i = 0; i < 9; i++) {
        enum cell_kind kind = i == 0 || i == 8 ? CELL_TEXT : CELL_NUMBER;
        columns[i] = (struct column){names[i], names[i], none, kind, 3};
        cells[i] = cell_number(1000.5 + (double)i);
    }
    cells[0] = cell_text("w1");
    cells[8] = cell_text("refused because the inlet drifted by more than the limit allows");
    struct table *table = document_table(&doc, "wide", "Wide", "", columns, 9, &faults);
    assert_true(table_row(table, cells, &faults));
    assert_true(text_table(table, &out, &faults));
    assert_string_equal(
        text_string(&out),
        "Wide\n"
        "\n"
        "name  irradiance   ambient     inlet    outlet   flow kg  wind speed     drift\n"
        "w1      1001.500  1002.500  1003.500  1004.500  1005.500    1006.500  1007.500\n"
        "\n"
        "name  note\n"
        "w1    refused because the inlet drifted by\n"
        "      more than the limit allows\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_break_at_blanks_and_long_words_at_the_edge),
        cmocka_unit_test_setup_teardown(no_line_is_wider_than_the_page, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_first_screen_has_its_places_in_order, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_screen_without_numbers_explains_no_sign, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(the_report_holds_each_kind_of_thing, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_wide_table_is_printed_in_parts, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
