/* The result document, clean text, typography and CSV. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "result/clean.h"
#include "result/table_csv.h"
#include "result/prose.h"
#include "result/typography.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;

static int reset(void **state)
{
    (void)state;
    faults_init(&faults);
    return 0;
}

static void text_is_cleaned(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *in;
        const char *out;
    } rows[] = {
        {"plain", "Plate A, 45°", "Plate A, 45°"},
        {"controls become blanks", "a\tb\nc\x1b[31m\x7f", "a b c [31m "},
        {"C1 controls too", "a\xC2\x85z", "a z"},
        {"a lone byte", "a\xFFz", "a\xEF\xBF\xBDz"},
        {"latin-1 degree sign", "45\xB0 C", "45\xEF\xBF\xBD C"},
        {"overlong slash", "\xC0\xAF", "\xEF\xBF\xBD\xEF\xBF\xBD"},
        {"overlong in three bytes", "\xE0\x80\xAF", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},
        {"surrogate", "\xED\xA0\x80", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},
        {"cut off", "a\xE2\x82", "a\xEF\xBF\xBD\xEF\xBF\xBD"},
        {"beyond Unicode", "\xF4\x90\x80\x80", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},
        {"four bytes", "\xF0\x9F\x94\xA5", "\xF0\x9F\x94\xA5"},
        {"nothing", "", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *clean = clean_copy(rows[i].in, &faults);
        assert_non_null(clean);
        if (strcmp(clean, rows[i].out) != 0)
            print_message("row '%s': '%s'\n", rows[i].name, clean);
        assert_string_equal(clean, rows[i].out);
        assert_true(text_is_utf8(clean, strlen(clean)));
        free(clean);
    }
}

static void symbols_units_and_numbers_are_set_for_people(void **state)
{
    (void)state;
    static const struct {
        const char *(*map)(const char *, char *, size_t);
        const char *in;
        const char *out;
    } rows[] = {
        {typo_symbol, "eta0", "η₀"},
        {typo_symbol, "a2", "a₂"},
        {typo_symbol, "T*m", "T*m"},
        {typo_unit, "W/(m2 K)", "W/(m² K)"},
        {typo_unit, "W/(m2 K2)", "W/(m² K²)"},
        {typo_unit, "m3/s", "m³/s"},
        {typo_unit, "degC", "°C"},
        {typo_unit, "m2 K/W", "m² K/W"},
        {typo_unit, "deg", "°"},
        {typo_unit, "W/(m2 deg)", "W/(m² °)"},
        {typo_unit, "degrees", "degrees"},
        {typo_unit, "2 weeks", "2 weeks"},
        {typo_number, "-1.5e-07", "−1.5e−07"},
        {typo_number, "3.917", "3.917"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char out[TYPO_SIZE];
        assert_string_equal(rows[i].map(rows[i].in, out, sizeof out), rows[i].out);
    }
    char small[6]; /* "η₀" takes five bytes; "°C" three and a NUL */
    assert_string_equal(typo_symbol("eta0", small, 5), "η");
    assert_string_equal(typo_unit("degC/m", small, sizeof small), "°C/m");
}

/* What stands amid words: units and minus signs, and what must stay as it is. */
static void prose_is_set_for_people(void **state)
{
    (void)state;
    static const struct {
        const char *in;
        const char *out;
    } rows[] = {
        {"outlet is 677.4 degC, above 100 degC", "outlet is 677.4 °C, above 100 °C"},
        {"2.05 m2 (the efficiency refers to it)", "2.05 m² (the efficiency refers to it)"},
        {"1025.3 kg/m3, 5.1 W/(m2 K), 0.01 W/(m2 K2).",
         "1025.3 kg/m³, 5.1 W/(m² K), 0.01 W/(m² K²)."},
        {"-20.6 to 100 degC (-5 K)", "−20.6 to 100 °C (−5 K)"},
        {"7.1 kJ/(m2 K) +- 0.4", "7.1 kJ/(m² K) ± 0.4"},
        {"46.5 deg north; -7.1 deg", "46.5° north; −7.1°"},
        {"write 'gross area = 2.05 m2'; sky's -3 K", "write 'gross area = 2.05 m2'; sky's −3 K"},
        {"column 'T in degC' in degC", "column 'T in degC' in °C"},
        {"'T's -3 degC' of m2", "'T's -3 degC' of m²"},
        {"2026-06-16T09:00-05:30, T-0201, 5e-05", "2026-06-16T09:00-05:30, T-0201, 5e-05"},
        {"m2.csv, logs-m2, m2-1.csv, am2, degCelsius",
         "m2.csv, logs-m2, m2-1.csv, am2, degCelsius"},
        {"20-30, -o there, --threads 4, 1/cos - 1", "20-30, -o there, --threads 4, 1/cos - 1"},
        {"the points bend (a2 = 0.266 W/(m2 K2))", "the points bend (a₂ = 0.266 W/(m² K²))"},
        {"points a1 and a2", "points a1 and a2"},
        {"irradiance at least = 925 W/m2", "irradiance at least = 925 W/m2"},
        {"wind at least = -1 m/s. No m2", "wind at least = −1 m/s. No m²"},
        {"°C, m², −5", "°C, m², −5"},
        {"'unclosed 5 degC", "'unclosed 5 °C"},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text out = {0};
        char buffer[100], small[20];
        prose_add(&out, rows[i].in);
        assert_string_equal(text_string(&out), rows[i].out);
        assert_string_equal(prose_words(rows[i].in, buffer, sizeof buffer), rows[i].out);
        if (strlen(rows[i].out) >= sizeof small) /* whole or not at all */
            assert_string_equal(prose_words(rows[i].in, small, sizeof small), rows[i].in);
        text_free(&out);
    }
}

static void values_show_the_digits_that_their_interval_allows(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double value, low, high;
        const char *unit;
        const char *out;
    } rows[] = {
        {"plain", 0.77312, 0.74912, 0.79712, "", "0.773 ± 0.024"},
        {"unit", 3.9172, 3.381, 4.4534, "W/(m2 K)", "3.92 ± 0.54 W/(m² K)"},
        {"negative", -2.3651, -2.5051, -2.2251, "degC", "−2.37 ± 0.14 °C"},
        {"leaning", 187.3, 171.2, 221.4, "degC", "187 (171 to 221) °C"},
        {"no interval", 0.77362, NAN, NAN, "", "0.774"},
        {"an angle", 46.23, NAN, NAN, "deg", "46.2°"},
        {"not a number", NAN, NAN, NAN, "K", "not known"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text out = {0};
        typo_value(&out, rows[i].value, rows[i].low, rows[i].high, rows[i].unit);
        if (strcmp(text_string(&out), rows[i].out) != 0)
            print_message("row '%s'\n", rows[i].name);
        assert_string_equal(text_string(&out), rows[i].out);
        text_free(&out);
    }
}

static struct table *one_column(struct document *doc, enum cell_kind kind)
{
    char id[] = "value";
    struct column column = {id, id, id, kind, 3};
    assert_true(document_init(doc, "check", "t", &faults));
    return document_table(doc, "t", "t", "", &column, 1, &faults);
}

static void text_cells_are_quoted_and_never_formulas(void **state)
{
    (void)state;
    static const struct {
        const char *in;
        const char *csv;
        const char *gnuplot;
    } rows[] = {
        {"plain", "plain", "plain"},
        {"a,b", "\"a,b\"", "\"a,b\""},
        {"a \"b\"", "\"a \"\"b\"\"\"", "\"a ”b”\""},
        {"=1+1", "'=1+1", "'=1+1"},
        {"-cmd|' /C x'!A0", "'-cmd|' /C x'!A0", "'-cmd|' /C x'!A0"},
        {"@SUM(1)", "'@SUM(1)", "'@SUM(1)"},
        {"+49,5", "\"'+49,5\"", "\"'+49,5\""},
        {"  =1", "\"'  =1\"", "\"'  =1\""},
        {"\t=1", "\"' =1\"", "\"' =1\""},
        {"two\nlines", "two lines", "two lines"},
        {NULL, "", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct document doc;
        struct table *table = one_column(&doc, CELL_TEXT);
        struct cell cell = cell_text(rows[i].in);
        struct text out = {0};
        char expected[80];
        assert_true(table_row(table, &cell, &faults));
        table_csv(table, false, &out);
        snprintf(expected, sizeof expected, "value\r\n%s\r\n", rows[i].csv);
        assert_string_equal(text_string(&out), expected);
        text_clear(&out);
        table_csv(table, true, &out);
        snprintf(expected, sizeof expected, "value\r\n%s\r\n", rows[i].gnuplot);
        assert_string_equal(text_string(&out), expected);
        text_free(&out);
        document_free(&doc);
    }
}

static void number_cells_read_back_to_the_last_bit(void **state)
{
    (void)state;
    static const double values[] = {0.1,           1.0 / 3,       -7.25,
                                    1e-7,          6.02214076e23, 4.9e-324,
                                    850,           -0.001,        0.30000000000000004,
                                    1782032400.125};
    struct document doc;
    struct table *table = one_column(&doc, CELL_NUMBER);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        struct cell cell = cell_number(values[i]);
        assert_true(table_row(table, &cell, &faults));
    }
    struct cell missing = cell_number(NAN);
    assert_true(table_row(table, &missing, &faults));
    struct text out = {0};
    table_csv(table, false, &out);
    const char *at = strstr(text_string(&out), "\r\n");
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        double read = strtod(at + 2, NULL);
        assert_memory_equal(&read, &values[i], sizeof read);
        at = strstr(at + 2, "\r\n");
    }
    assert_string_equal(at, "\r\n\r\n");
    text_free(&out);
    document_free(&doc);
}

static void the_document_owns_what_it_was_given(void **state)
{
    (void)state;
    struct document doc;
    char id[] = "curve.eta0";
    char label[] = "efficiency\n";
    struct part part = {id, label, 0.0092};
    struct number number = {id, label, id, id, 0.7731, 0.0112, 0.749, 0.797, 13.7, &part, 1};
    assert_true(document_init(&doc, "efficiency", "Plate A", &faults));
    assert_true(document_number(&doc, &number, &faults));
    memset(id, 'x', sizeof id - 1);
    memset(label, 'x', sizeof label - 1);
    const struct number *kept = document_find_number(&doc, "curve.eta0");
    assert_non_null(kept);
    assert_string_equal(kept->label, "efficiency ");
    assert_string_equal(kept->parts[0].id, "curve.eta0");
    assert_null(document_find_number(&doc, "curve.eta"));
    assert_true(
        document_finding(&doc, FINDING_ANSWER, true, &faults, "%d windows\t%s", 31, "\xFF"));
    assert_string_equal(doc.findings[0].text, "31 windows \xEF\xBF\xBD");
    assert_string_equal(doc.status, "complete");
    document_free(&doc);
    document_free(&doc); /* twice is safe */
    assert_null(doc.numbers);
}

static void tables_keep_rows_in_order_past_their_first_room(void **state)
{
    (void)state;
    struct document doc;
    struct table *table = one_column(&doc, CELL_NUMBER);
    for (int i = 0; i < 1003; i++) {
        struct cell cell = cell_number(i * 1.5);
        assert_true(table_row(table, &cell, &faults));
    }
    assert_int_equal(table->n_rows, 1003);
    for (int i = 0; i < 1003; i++)
        assert_true(fabs(table_cell(table, (size_t)i, 0).value - i * 1.5) < 1e-12);
    assert_null(document_find_table(&doc, "other"));
    assert_ptr_equal(document_find_table(&doc, "t"), table);
    document_free(&doc);
}

/* Equal texts below each other share their bytes; that may not show. */
static void texts_of_a_table_come_back_as_they_were_added(void **state)
{
    (void)state;
    static const char *const texts[] = {"met", "met",     NULL,   "met", "",
                                        "",    "not met", "a\tb", "a b"};
    static const char *const back[] = {"met", "met", NULL, "met", "", "", "not met", "a b", "a b"};
    enum { N = sizeof texts / sizeof texts[0], ROUNDS = 41 };
    struct document doc;
    struct table *table = one_column(&doc, CELL_TEXT);
    for (size_t i = 0; i < N * ROUNDS; i++) {
        struct cell cell = {.text = (char *)(uintptr_t)texts[i % N], .value = 2.385};
        assert_true(table_row(table, &cell, &faults));
    }
    for (size_t i = 0; i < N * ROUNDS; i++) {
        struct cell cell = table_cell(table, i, 0);
        if (back[i % N] == NULL)
            assert_null(cell.text);
        else
            assert_string_equal(cell.text, back[i % N]);
        assert_true(isnan(cell.value));
    }
    document_free(&doc);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(texts_of_a_table_come_back_as_they_were_added, reset),
        cmocka_unit_test_setup(text_is_cleaned, reset),
        cmocka_unit_test_setup(symbols_units_and_numbers_are_set_for_people, reset),
        cmocka_unit_test_setup(prose_is_set_for_people, reset),
        cmocka_unit_test_setup(values_show_the_digits_that_their_interval_allows, reset),
        cmocka_unit_test_setup(text_cells_are_quoted_and_never_formulas, reset),
        cmocka_unit_test_setup(number_cells_read_back_to_the_last_bit, reset),
        cmocka_unit_test_setup(the_document_owns_what_it_was_given, reset),
        cmocka_unit_test_setup(tables_keep_rows_in_order_past_their_first_room, reset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
