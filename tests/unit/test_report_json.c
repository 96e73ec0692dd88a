/* results.json as other programs read it, and the curve that is read back from it. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "report/json.h"
#include "result/curve.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static struct document doc;
static struct text json;

static int set_up(void **state)
{
    (void)state;
    faults_init(&faults);
    text_init(&json);
    return aid_document(&doc, &faults) && report_json(&doc, &json, &faults) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    document_free(&doc);
    text_free(&json);
    return 0;
}

static json_t *parse(void)
{
    json_error_t error;
    json_t *root = json_loadb(text_string(&json), json.length, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        print_message("line %d: %s\n", error.line, error.text);
    assert_non_null(root);
    return root;
}

static void it_begins_with_the_schema_and_keeps_its_order(void **state)
{
    (void)state;
    static const char *const keys[] = {"schema", "version",  "kind",     "title",
                                       "status", "findings", "numbers",  "covariance",
                                       "tables", "figures",  "cautions", "facts"};
    static const char head[] = "{\n  \"schema\": \"etabench results\",\n  \"version\": 1,\n";
    assert_memory_equal(text_string(&json), head, strlen(head));
    json_t *root = parse();
    const char *key;
    json_t *value;
    size_t i = 0;
    json_object_foreach(root, key, value)
    {
        assert_true(i < sizeof keys / sizeof keys[0]);
        assert_string_equal(key, keys[i++]);
    }
    assert_int_equal(i, sizeof keys / sizeof keys[0]);
    json_decref(root);
}

static void numbers_keep_every_bit_and_missing_is_null(void **state)
{
    (void)state;
    json_t *root = parse();
    json_t *numbers = json_object_get(root, "numbers");
    assert_int_equal(json_array_size(numbers), doc.n_numbers);
    for (size_t i = 0; i < doc.n_numbers; i++) {
        json_t *number = json_array_get(numbers, i);
        double value = json_number_value(json_object_get(number, "value"));
        assert_memory_equal(&value, &doc.numbers[i].value, sizeof value);
        assert_int_equal(json_array_size(json_object_get(number, "parts")), doc.numbers[i].n_parts);
    }
    json_t *last = json_array_get(numbers, 2);
    assert_true(json_is_null(json_object_get(last, "u")));
    assert_true(json_is_null(json_object_get(last, "low")));
    assert_true(json_is_null(json_object_get(last, "dof")));
    assert_string_equal(json_string_value(json_object_get(json_array_get(numbers, 1), "dof")),
                        "infinite");
    json_decref(root);
}

static void tables_are_whole_and_figures_are_named(void **state)
{
    (void)state;
    json_t *root = parse();
    json_t *tables = json_object_get(root, "tables");
    assert_int_equal(json_array_size(tables), 1); /* those of the figures alone are in their CSV */
    json_t *rows = json_object_get(json_array_get(tables, 0), "rows");
    assert_int_equal(json_array_size(rows), 3);
    double third = json_number_value(json_array_get(json_array_get(rows, 0), 1));
    double expected = 0.1 / 3;
    assert_memory_equal(&third, &expected, sizeof third);
    assert_true(json_is_null(json_array_get(json_array_get(rows, 1), 1)));
    assert_true(json_is_null(json_array_get(json_array_get(rows, 2), 0)));
    assert_string_equal(json_string_value(json_array_get(json_array_get(rows, 1), 0)),
                        "=SUM(A1:A9), \"quoted\"");
    json_t *figures = json_object_get(root, "figures");
    assert_int_equal(json_array_size(figures), 4);
    assert_string_equal(json_string_value(json_object_get(json_array_get(figures, 0), "picture")),
                        "curve.svg");
    json_decref(root);
}

static void findings_stand_in_the_order_of_the_screen(void **state)
{
    (void)state;
    json_t *root = parse();
    json_t *findings = json_object_get(root, "findings");
    static const char *const places[] = {"answer",   "windows",    "cannot say", "uncertainty",
                                         "criteria", "not stated", "detail"};
    assert_int_equal(json_array_size(findings), 7);
    for (size_t i = 0; i < 7; i++)
        assert_string_equal(
            json_string_value(json_object_get(json_array_get(findings, i), "place")), places[i]);
    assert_true(json_is_true(json_object_get(json_array_get(findings, 2), "doubt")));
    json_decref(root);
}

static void near(double found, double expected)
{
    if (!(fabs(found - expected) <= 1e-15))
        print_message("found %.17g, expected %.17g\n", found, expected);
    assert_true(fabs(found - expected) <= 1e-15);
}

static void a_curve_reads_back(void **state)
{
    (void)state;
    struct curve curve;
    curve_init(&curve);
    assert_true(curve_read(&curve, "results.json", text_string(&json), json.length, &faults));
    assert_string_equal(curve.title, "Plate A, stove paint");
    assert_string_equal(curve.form, "line");
    assert_string_equal(curve.area_basis, "gross");
    assert_string_equal(curve.temperature, "mean");
    assert_int_equal(curve.n, 2);
    assert_string_equal(curve.ids[1], "curve.a1");
    near(curve.coefficients[0], 0.7731);
    near(curve.coefficients[1], 3.917);
    near(curve.area_m2, 1.98);
    near(curve.x_low, 0.0017);
    near(curve.x_high, 0.0585);
    near(curve.g_low_W_m2, 702.3);
    near(curve.g_high_W_m2, 938.1);
    near(curve.dof, 13.7);
    near(curve.covariance[1], doc.covariance[1]);
    assert_int_equal(curve.n_parts, 2); /* "reading" is scatter */
    assert_string_equal(curve.parts[0].id, "sun.calibration");
    near(curve.parts[0].shift[0], -0.0092);
    near(curve.parts[0].shift[1], 0.0551);
    near(curve.parts[1].shift[1], -0.211);
    near(curve.scatter[0], 0.011201 * 0.011201 - 0.0092 * 0.0092 - 0.0061 * 0.0061);
    near(curve.scatter[1], -0.00018);
    near(curve.scatter[3], 0.250355 * 0.250355 - 0.0551 * 0.0551 - 0.211 * 0.211);
    curve_free(&curve);
    curve_free(&curve);
}

/* The text with one piece replaced. */
static char *with(const char *old, const char *fresh)
{
    const char *at = strstr(text_string(&json), old);
    struct text out = {0};
    assert_non_null(at);
    text_add_bytes(&out, text_string(&json), (size_t)(at - text_string(&json)));
    text_add(&out, fresh);
    text_add(&out, at + strlen(old));
    return out.bytes;
}

static void spoilt_results_are_refused_with_a_reason(void **state)
{
    (void)state;
    static const struct {
        const char *old;
        const char *fresh;
        const char *found;
    } rows[] = {
        {"\"schema\": \"etabench results\"", "\"schema\": \"other\"",
         "not results of this program"},
        {"\"version\": 1", "\"version\": 2", "version 2"},
        {"\"title\"", "\"title", "not JSON"},
        {"\"curve.a1\",\n      \"label\"", "\"other.a1\",\n      \"label\"",
         "coefficient 'curve.a1' that it does not hold"},
        {"[\"curve.eta0\", \"curve.a1\"]", "[\"curve.eta0\"]", "no covariance for its 1"},
        {"\"value\": 0.7731", "\"value\": null", "no value for 'curve.eta0'"},
        {"-0.00197402]", "-0.00297402]", "not symmetric"},
        {"[0.00012546", "[-0.00012546", "cannot be one"},
        {"\"area basis\"", "\"area\"", "no usable fact 'curve: area basis'"},
        {"\"1.98\"", "\"1,98\"", "no usable fact 'curve: area (m2)'"},
        {"\"u\": -0.0092", "\"u\": -0.0192", "larger than its uncertainty"},
        {"\"u\": -0.0092", "\"u\": null", "without id, label or u"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct curve curve;
        char *spoilt = with(rows[i].old, rows[i].fresh);
        curve_init(&curve);
        faults_init(&faults);
        bool read = curve_read(&curve, "a.json", spoilt, strlen(spoilt), &faults);
        if (read || faults.n != 1 || !strstr(faults.items[0].found, rows[i].found))
            print_message("row %zu '%s': '%s'\n", i, rows[i].fresh, faults.items[0].found);
        assert_false(read);
        assert_int_equal(faults.n, 1);
        assert_int_equal(faults_status(&faults), 3);
        assert_non_null(strstr(faults.items[0].found, rows[i].found));
        assert_int_equal(curve.n, 0);
        assert_null(curve.parts);
        free(spoilt);
    }
}

static void results_without_a_curve_are_refused(void **state)
{
    (void)state;
    struct document empty;
    struct text out = {0};
    struct curve curve;
    curve_init(&curve);
    assert_true(document_init(&empty, "check", "t", &faults));
    assert_true(report_json(&empty, &out, &faults));
    assert_false(curve_read(&curve, "a.json", text_string(&out), out.length, &faults));
    assert_non_null(strstr(faults.items[0].found, "holds no curve"));
    text_free(&out);
    document_free(&empty);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(it_begins_with_the_schema_and_keeps_its_order, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(numbers_keep_every_bit_and_missing_is_null, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(tables_are_whole_and_figures_are_named, set_up, tear_down),
        cmocka_unit_test_setup_teardown(findings_stand_in_the_order_of_the_screen, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_curve_reads_back, set_up, tear_down),
        cmocka_unit_test_setup_teardown(spoilt_results_are_refused_with_a_reason, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(results_without_a_curve_are_refused, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
