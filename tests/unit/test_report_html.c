/* report.html: what it holds, in which order, that it stands alone, and that a text stays a text.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "base/files.h"
#include "report/html.h"
#include "report/html_text.h"
#include "report/parts.h"
#include "report/projector.h"

#include <math.h>
#include <nettle/base64.h>
#include <stdio.h>
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

static void a_text_stays_a_text(void **state)
{
    (void)state;
    static const struct {
        const char *in;
        const char *out;
    } rows[] = {
        {"Plate A, 45° — η₀", "Plate A, 45° — η₀"},
        {"<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt;"},
        {"\" onload=\"x", "&quot; onload=&quot;x"},
        {"it's", "it&#39;s"},
        {"a & b &amp; c", "a &amp; b &amp;amp; c"},
        {"<!-- -->]]>", "&lt;!-- --&gt;]]&gt;"},
        {"a\tb\nc\x1b\x7f\xC2\x9D", "a b c   "},
        {"bad \xFF\xC3", "bad \xEF\xBF\xBD\xEF\xBF\xBD"},
        {"", ""},
        {NULL, ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text got = {0};
        html_add(&got, rows[i].in);
        if (strcmp(text_string(&got), rows[i].out) != 0)
            print_message("row %zu: '%s'\n", i, text_string(&got));
        assert_string_equal(text_string(&got), rows[i].out);
        text_free(&got);
    }
}

static size_t count(const char *string, const char *what)
{
    size_t n = 0;
    while ((string = strstr(string, what)) != NULL) {
        n++;
        string++;
    }
    return n;
}

static void the_page_stands_alone(void **state)
{
    (void)state;
    assert_true(report_html(&doc, NULL, &out, &faults));
    const char *page = text_string(&out);
    assert_memory_equal(page, "<!DOCTYPE html>\n<html lang=\"en\">", 31);
    assert_non_null(strstr(page, "<meta charset=\"utf-8\">"));
    assert_non_null(strstr(page, "content=\"default-src 'none'; img-src data:; style-src "
                                 "'unsafe-inline'; base-uri 'none'; form-action 'none'\""));
    static const char *const never[] = {"<script", "<link", "<iframe", "<object", "http:",
                                        "https:", "url(",   "@import", "<form",   "src=\"/"};
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++) {
        if (strstr(page, never[i]))
            print_message("holds '%s'\n", never[i]);
        assert_null(strstr(page, never[i]));
    }
}

/* The order in which somebody reads. */
static void the_parts_come_in_order(void **state)
{
    (void)state;
    static const char *const pieces[] = {
        "<h1>Plate A, stove paint</h1>",
        "it turns 77.3 ± 2.4 % of the sunshine into heat",
        "(± is half of the 95 % interval",
        "<dt>Windows</dt>\n<dd>9 windows found",
        "<dt>Cannot say</dt>\n<dd class=\"act\"><b>To act on:</b> Nothing can be said of wind.",
        "<dt>Uncertainty</dt>\n<dd>The pyranometer&#39;s calibration",
        "<dt>Criteria</dt>",
        "<dt>Not stated</dt>",
        "<h2 id=\"numbers\">",
        "<td>η₀</td><td class=\"value\">0.773 ± 0.024</td><td class=\"n\">0.011</td>"
        "<td class=\"n\">14</td>",
        "<td>a₁</td><td class=\"value\">3.92 ± 0.54 W/(m² K)</td><td class=\"n\">0.25</td>"
        "<td class=\"n\">many</td>",
        "<h2 id=\"log\">",
        "It&#39;s 77 % &lt;with&gt; water &amp; air; `id` $(id) {x}_1",
        "A line that falls from 0.77 to 0.53.",
        "<caption>Points <span class=\"note\">Windows are named by their start.</span></caption>",
        "<th scope=\"col\" class=\"n\">T*m<br><span class=\"unit\">m² K/W</span></th>",
        "<tr><th scope=\"row\">=SUM(A1:A9), &quot;quoted&quot;</th><td class=\"n\"></td>"
        "<td class=\"n\">0.000</td><td class=\"n\">−7.25</td></tr>",
        "<h2 id=\"fit\">",
        "Plain least squares: 0.771.",
        "Where the uncertainty of η₀ comes from",
        "<th scope=\"row\">calibration of the pyranometer</th><td class=\"n\">0.0092</td>"
        "<td class=\"n\">67 %</td>",
        "<h2 id=\"cautions\">",
        "An idle glazed collector can pass 150 °C: burns, steam.",
        "<h2 id=\"words\">",
        "<dt>Birge ratio</dt>",
        "<h2 id=\"origin\">",
        "<h3>input</h3>",
        "<dt>day1.csv</dt><dd>sha256 0f3c</dd>",
        "End of the report",
    };
    assert_true(report_html(&doc, NULL, &out, &faults));
    const char *at = text_string(&out);
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        const char *found = strstr(at, pieces[i]);
        if (!found)
            print_message("lacks, or too early: '%s'\n", pieces[i]);
        assert_non_null(found);
        at = found;
    }
}

static void what_hindered_is_said_at_the_top(void **state)
{
    (void)state;
    assert_true(report_html(&doc, NULL, &out, &faults));
    assert_null(strstr(text_string(&out), "Not complete"));
    text_clear(&out);
    assert_true(document_hindered(&doc, "run 'curve': too few <points>", &faults));
    assert_true(report_html(&doc, NULL, &out, &faults));
    assert_non_null(strstr(text_string(&out), "<p class=\"act\"><b>Not complete:</b> run "
                                              "&#39;curve&#39;: too few &lt;points&gt;</p>\n"
                                              "</header>"));
}

static void place_table(const char *id, enum table_place place)
{
    const struct table *table = document_find_table(&doc, id);
    assert_non_null(table);
    ((struct table *)(uintptr_t)table)->place = place;
}

/* A table stands in the section of its place, which is then in the contents; else neither is. */
static void a_table_stands_in_its_section(void **state)
{
    (void)state;
    static const struct {
        enum table_place place;
        const char *id;
        const char *next; /* section behind it that is always there */
    } rows[] = {{TABLE_INSTRUMENTS, "instruments", "log"},
                {TABLE_METHOD, "method", "log"},
                {TABLE_TEST, "log", "fit"},
                {TABLE_POINTS, "points", "fit"},
                {TABLE_WORKED, "worked", "fit"},
                {TABLE_FIT, "fit", "cautions"},
                {TABLE_RESULT, "results", "cautions"},
                {TABLE_ANSWER, "numbers", "log"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char head[64], next[64], link[64];
        snprintf(head, sizeof head, "<h2 id=\"%s\">", rows[i].id);
        snprintf(next, sizeof next, "<h2 id=\"%s\">", rows[i].next);
        snprintf(link, sizeof link, "href=\"#%s\"", rows[i].id);
        place_table("points", rows[i].place);
        text_clear(&out);
        assert_true(report_html(&doc, NULL, &out, &faults));
        print_message("%s\n", rows[i].id);
        const char *from = strstr(text_string(&out), head);
        assert_non_null(from);
        const char *table = strstr(from, "<caption>Points");
        assert_non_null(table);
        assert_true(table < strstr(from, next));
        assert_non_null(strstr(text_string(&out), link));
        assert_int_equal(count(text_string(&out), "<caption>Points"), 1);
    }
    assert_null(strstr(text_string(&out), "id=\"worked\""));
    assert_null(strstr(text_string(&out), "href=\"#worked\""));
}

/* Six empty keys are one line; a key that says why it is not stated keeps its own. */
static void what_is_not_stated_is_one_line(void **state)
{
    (void)state;
    assert_true(document_fact(&doc, "site", "tilt", &faults, "not stated") &&
                document_fact(&doc, "site", "sky", &faults, "not stated: taken as black") &&
                document_fact(&doc, "site", "azimuth", &faults, "not stated") &&
                document_fact(&doc, "curve", "tested to (m2 K/W)", &faults, "-0.063216450970547"));
    assert_true(report_html(&doc, NULL, &out, &faults));
    const char *page = text_string(&out);
    assert_non_null(strstr(page, "<dt>not stated</dt><dd>tilt, azimuth</dd>"));
    assert_int_equal(count(page, "<dt>not stated</dt>"), 1);
    assert_non_null(strstr(page, "<dt>sky</dt><dd>not stated: taken as black</dd>"));
    assert_non_null(strstr(page, "<dt>tested to (m² K/W)</dt><dd>−0.06322</dd>"));
}

/* Below a sentence that doubts the answer, no truth is promised. */
static void a_doubted_answer_promises_nothing(void **state)
{
    (void)state;
    assert_true(report_html(&doc, NULL, &out, &faults));
    assert_non_null(strstr(text_string(&out), "in 19 of 20 such tests it holds the truth.)"));
    text_clear(&out);
    assert_true(document_finding(&doc, FINDING_ANSWER, true, &faults, "This cannot be true."));
    assert_true(report_html(&doc, NULL, &out, &faults));
    assert_null(strstr(text_string(&out), "in 19 of 20 such tests it holds the truth.)"));
    assert_non_null(strstr(text_string(&out), "It does not count what is marked above."));
}

/* Two runs on one log find the same: one sentence, with the mark if either has it. */
static void a_sentence_said_twice_stands_once(void **state)
{
    (void)state;
    size_t before = doc.n_findings;
    assert_true(document_finding(&doc, FINDING_DETAIL, false, &faults, "Two %s.", "days"));
    assert_true(document_finding(&doc, FINDING_DETAIL, true, &faults, "Two days."));
    assert_int_equal(doc.n_findings, before + 1);
    assert_true(doc.findings[before].doubt);
    assert_true(document_finding(&doc, FINDING_LOG, false, &faults, "Two days."));
    assert_int_equal(doc.n_findings, before + 2);
}

static bool picture_folder(struct folder *folder, char **base)
{
    static const char svg[] = "<svg \n width=\"960\" height=\"640\"\n></svg>";
    char target[4096];
    *base = aid_folder();
    snprintf(target, sizeof target, "%s/out", *base);
    return folder_open(folder, target, &faults) &&
           folder_write(folder, "curve.svg", svg, strlen(svg), &faults);
}

static void the_projector_shows_the_answer(void **state)
{
    (void)state;
    struct folder folder = {0};
    char *base;
    assert_true(picture_folder(&folder, &base));
    assert_false(projector_there(&doc)); /* no figure of the answer yet */
    place_table("curve_table", TABLE_ANSWER);
    assert_true(projector_there(&doc));
    /* With the answer of the document: what was asked, then what to mind. */
    for (int i = 0; i < 3; i++)
        assert_true(document_finding(&doc, FINDING_ANSWER, i == 2, &faults, "Sentence <%d>.", i));
    assert_true(report_projector(&doc, &folder, &out, &faults));
    const char *page = text_string(&out);
    assert_non_null(strstr(page, "<h1>Plate A, stove paint</h1>"));
    assert_int_equal(count(page, "<li"), 4);
    assert_non_null(strstr(page, "<li>Sentence &lt;1&gt;.</li>\n</ul>\n<img "));
    assert_non_null(strstr(page, ">\n<ul class=\"mind\">\n"
                                 "<li class=\"act\">Sentence &lt;2&gt;.</li>\n</ul>"));
    assert_null(strstr(page, "more of these"));
    text_clear(&out);
    assert_true(document_finding(&doc, FINDING_ANSWER, true, &faults, "Hot.") &&
                document_finding(&doc, FINDING_ANSWER, true, &faults, "Hotter."));
    assert_true(report_projector(&doc, &folder, &out, &faults));
    page = text_string(&out);
    assert_non_null(strstr(page, "<li class=\"act\">Hot.</li>"));
    assert_null(strstr(page, "Hotter."));
    assert_non_null(strstr(page, "<li class=\"act\">The report has more of these.</li>\n</ul>"));
    assert_non_null(strstr(page, "\" width=\"960\" height=\"640\" src=\"data:image/svg+xml;"));
    folder_abandon(&folder);
    aid_remove(base);
    free(base);
}

static bool hostile_document(struct document *hostile, const char *text)
{
    char name[] = "x";
    struct number number = {name, (char *)(uintptr_t)text, (char *)(uintptr_t)text,
                            (char *)(uintptr_t)text, 1.5, 0.1, 1.3, 1.7, 5, NULL, 0};
    struct column column = {name, (char *)(uintptr_t)text, (char *)(uintptr_t)text, CELL_TEXT, 0};
    struct cell cell = cell_text(text);
    bool ok = document_init(hostile, text, text, &faults) &&
              document_number(hostile, &number, &faults) &&
              document_finding(hostile, FINDING_ANSWER, true, &faults, "%s", text) &&
              document_finding(hostile, FINDING_DETAIL, false, &faults, "%s", text) &&
              document_caution(hostile, text, &faults) &&
              document_fact(hostile, text, text, &faults, "%s", text);
    struct table *table =
        ok ? document_table(hostile, "t", text, text, &column, 1, &faults) : NULL;
    if (table)
        table->report = true;
    return table && table_row(table, &cell, &faults) &&
           document_figure(hostile, "f", "curve", text, text, "t", &faults) != NULL;
}

/* The same text in every place: no tag, attribute or reference may come of it. */
static void hostile_texts_are_only_shown(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "' onclick='x",
        "</style></title><b>",       "&lt;b&gt;&#60;b&#62;",            "<!--",
    };
    struct document hostile;
    struct text plain = {0};
    assert_true(hostile_document(&hostile, "plain"));
    assert_true(report_html(&hostile, NULL, &plain, &faults));
    document_free(&hostile);
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        text_clear(&out);
        assert_true(hostile_document(&hostile, texts[i]));
        assert_true(report_html(&hostile, NULL, &out, &faults));
        document_free(&hostile);
        struct text shown = {0};
        html_add(&shown, texts[i]);
        assert_true(count(text_string(&out), text_string(&shown)) >= 15);
        assert_null(strstr(text_string(&out), texts[i]));
        assert_int_equal(count(text_string(&out), "<"), count(text_string(&plain), "<"));
        assert_int_equal(count(text_string(&out), ">"), count(text_string(&plain), ">"));
        assert_int_equal(count(text_string(&out), "\""), count(text_string(&plain), "\""));
        text_free(&shown);
    }
    text_free(&plain);
}

/* Pictures of all lengths modulo 3 come back byte by byte. */
static void a_picture_is_inside_to_the_byte(void **state)
{
    (void)state;
    static const char head[] = "src=\"data:image/svg+xml;base64,";
    char *base = aid_folder();
    struct folder folder = {0};
    char target[4096];
    snprintf(target, sizeof target, "%s/out", base);
    assert_true(folder_open(&folder, target, &faults));
    static unsigned char bytes[30000];
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (unsigned char)((i * 2654435761U) >> 13);
    static const size_t lengths[] = {29991, 29990, 13};
    static const char *const names[] = {"curve.svg", "residuals.svg", "budget.svg"};
    for (size_t i = 0; i < 3; i++)
        assert_true(folder_write(&folder, names[i], (char *)bytes, lengths[i], &faults));
    assert_false(report_html(&doc, &folder, &out, &faults)); /* the timeline is not there */
    assert_int_equal(faults_status(&faults), 5);
    assert_true(folder_write(&folder, "timeline.svg", "<svg/>", 6, &faults));
    text_clear(&out);
    assert_true(report_html(&doc, &folder, &out, &faults));
    const char *at = text_string(&out);
    assert_int_equal(count(at, head), 4);
    for (size_t i = 0; i < 3; i++) {
        at = strstr(at, head) + strlen(head);
        size_t n = strcspn(at, "\"");
        uint8_t *back = malloc(BASE64_DECODE_LENGTH(n));
        struct base64_decode_ctx decoding;
        size_t got = 0;
        base64_decode_init(&decoding);
        assert_int_equal(base64_decode_update(&decoding, &got, back, n, at), 1);
        assert_int_equal(base64_decode_final(&decoding), 1); /* with its padding */
        assert_int_equal(n, 4 * ((lengths[i] + 2) / 3));
        assert_int_equal(got, lengths[i]);
        assert_memory_equal(back, bytes, lengths[i]);
        free(back);
    }
    assert_int_equal(count(text_string(&out), "<img alt=\""), 4);
    folder_abandon(&folder);
    aid_remove(base);
    free(base);
}

static void small_parts_stand_together(void **state)
{
    (void)state;
    char label[] = "x", big[] = "big", middle[] = "middle", small[] = "small";
    struct part parts[] = {{label, small, 0.05}, {label, middle, -0.3}, {label, small, 0.08},
                           {label, big, 0.9},    {label, small, 0},     {label, small, NAN}};
    struct number number = {.parts = parts, .n_parts = 6};
    static const struct {
        const char *label;
        double u;
    } expected[] = {{"big", 0.9}, {"middle", 0.3}, {"all others together", 0.0943398113}};
    struct part_lines list;
    assert_true(part_lines_make(&list, &number, &faults));
    assert_int_equal(list.n, 3);
    double sum = 0;
    for (size_t i = 0; i < 3; i++) {
        assert_string_equal(list.lines[i].label, expected[i].label);
        assert_true(fabs(list.lines[i].u - expected[i].u) < 1e-9);
        sum += list.lines[i].share;
    }
    assert_true(fabs(sum - 1) < 1e-12);
    part_lines_free(&list);
    number.n_parts = 2; /* a single small one stands itself: 0.05^2 is 2.7 % here */
    assert_true(part_lines_make(&list, &number, &faults));
    assert_int_equal(list.n, 2);
    part_lines_free(&list);
    parts[0].u = 0.02; /* 0.4 %: alone all the same */
    assert_true(part_lines_make(&list, &number, &faults));
    assert_int_equal(list.n, 2);
    assert_string_equal(list.lines[1].label, "small");
    part_lines_free(&list);
    number.n_parts = 0;
    assert_true(part_lines_make(&list, &number, &faults));
    assert_int_equal(list.n, 0);
    part_lines_free(&list);
    part_lines_free(&list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_text_stays_a_text),
        cmocka_unit_test_setup_teardown(the_page_stands_alone, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_parts_come_in_order, set_up, tear_down),
        cmocka_unit_test_setup_teardown(what_hindered_is_said_at_the_top, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_table_stands_in_its_section, set_up, tear_down),
        cmocka_unit_test_setup_teardown(what_is_not_stated_is_one_line, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_doubted_answer_promises_nothing, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_sentence_said_twice_stands_once, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_projector_shows_the_answer, set_up, tear_down),
        cmocka_unit_test_setup_teardown(hostile_texts_are_only_shown, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_picture_is_inside_to_the_byte, set_up, tear_down),
        cmocka_unit_test(small_parts_stand_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
