/* Quoting, scripts and the four figures as the real gnuplot draws them. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "base/files.h"
#include "plots/figure.h"
#include "plots/gnuplot.h"
#include "plots/quote.h"
#include "plots/templates.h"

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

static void a_quoted_text_cannot_leave_its_quotes(void **state)
{
    (void)state;
    static const struct {
        const char *in;
        const char *out;
    } rows[] = {
        {"Plate A, 45°", "'Plate A, 45°'"},
        {"it's", "'it’s'"},
        {"'; system(\"touch hacked\") #", "'’; system(\"touch hacked\") #'"},
        {"a\n!touch hacked", "'a !touch hacked'"},
        {"`touch hacked`", "'`touch hacked`'"},
        {"bad \xFF\xC3", "'bad \xEF\xBF\xBD\xEF\xBF\xBD'"},
        {"\x1b\x7f\xC2\x9D", "'   '"},
        {"\\", "'\\'"},
        {"", "''"},
        {NULL, "''"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text out = {0};
        quote_add(&out, rows[i].in);
        assert_string_equal(text_string(&out), rows[i].out);
        text_free(&out);
    }
}

static void a_long_text_is_cut_between_characters(void **state)
{
    (void)state;
    struct text in = {0};
    struct text out = {0};
    for (int i = 0; i < 130; i++)
        text_add(&in, "°");
    quote_add(&out, text_string(&in));
    assert_int_equal(out.length, 2 * QUOTE_CHARACTERS + 2);
    assert_true(text_is_utf8(text_string(&out), out.length));
    text_free(&in);
    text_free(&out);
}

/* Hostile titles through the real gnuplot: nothing runs, each picture is whole and well formed. */
static void hostile_titles_are_only_drawn(void **state)
{
    (void)state;
    static const char *const titles[] = {
        "'; system('touch hacked'); '",
        "`touch hacked`",
        "$(touch hacked)",
        "a\n!touch hacked\n",
        "@hacked",
        "'''",
        "\\U+2603 {/Symbol a}_{b}^2 &<>",
        "%s %n %d",
        "\xFF\xFE bad",
        "EOD\n!touch hacked",
        "\"; !touch hacked",
        "<svg onload='x'>",
    };
    char *folder = aid_folder();
    for (size_t i = 0; i < sizeof titles / sizeof titles[0]; i++) {
        struct text script = {0};
        struct text svg = {0};
        text_add(&script, "set encoding utf8\nset terminal svg noenhanced\nset title ");
        quote_add(&script, titles[i]);
        text_add(&script, " noenhanced\nplot [0:1] [0:1] x with lines title ");
        quote_add(&script, titles[i]);
        text_add(&script, " noenhanced\n");
        bool ok = gnuplot_run(folder, "title", text_string(&script), GNUPLOT_SVG, 30, &svg,
                              &faults);
        if (!ok || !aid_is_well_formed(text_string(&svg), svg.length))
            print_message("title %zu: %s\n", i, titles[i]);
        assert_true(ok);
        assert_int_equal(faults.n, 0);
        assert_true(aid_is_well_formed(text_string(&svg), svg.length));
        text_free(&svg);
        text_free(&script);
    }
    char *left = aid_list(folder);
    assert_string_equal(left, "");
    free(left);
    aid_remove(folder);
    free(folder);
}

static void the_script_is_head_and_template(void **state)
{
    (void)state;
    struct document doc;
    struct text sent = {0};
    struct text saved = {0};
    struct text png = {0};
    static const char head[] = "data = 'budget.csv'\n"
                               "figure_name = 'budget'\n"
                               "figure_title = 'It’s 0.5'\n"
                               "longest_text = 7.0\n"
                               "panels = 2.0\n"
                               "total_0 = 0.1\n"
                               "total_1 = NaN\n"
                               "panel_0 = 'a'\n";
    char id[] = "label";
    struct column columns[] = {{id, id, id, CELL_TEXT, 0}, {id, id, id, CELL_TEXT, 0}};
    struct cell cells[] = {cell_text("the first column"), cell_text("α sieve")};
    assert_true(document_init(&doc, "check", "t", &faults));
    struct table *table = document_table(&doc, "t", "t", "", columns, 2, &faults);
    assert_true(table_row(table, cells, &faults));
    struct figure *figure =
        document_figure(&doc, "budget", "budget", "It's 0.5", "alt", "t", &faults);
    assert_true(figure_set_number(figure, "panels", 2, &faults));
    assert_true(figure_set_number(figure, "total_0", 0.1, &faults));
    assert_true(figure_set_number(figure, "total_1", NAN, &faults));
    assert_true(figure_set_text(figure, "panel_0", "a", &faults));
    assert_true(figure_script(figure, table, FIGURE_SVG, &sent, &faults));
    assert_true(figure_script(figure, table, FIGURE_BY_HAND, &saved, &faults));
    assert_true(figure_script(figure, table, FIGURE_PNG, &png, &faults));
    const struct plot_template *template = plot_template_find("budget");
    assert_int_equal(sent.length, strlen(head) + template->n);
    assert_memory_equal(sent.bytes, head, strlen(head));
    assert_memory_equal(sent.bytes + strlen(head), template->bytes, template->n);
    static const char output[] = "set output (exists('png') ? 'budget.png' : 'budget.svg')\n";
    static const char as_png[] = "png = 1\n";
    assert_int_equal(saved.length, sent.length + strlen(output));
    assert_memory_equal(saved.bytes + strlen(head), output, strlen(output));
    assert_int_equal(png.length, sent.length + strlen(as_png));
    assert_memory_equal(png.bytes + strlen(head), as_png, strlen(as_png));
    text_free(&png);
    text_free(&sent);
    text_free(&saved);
    document_free(&doc);
}

static void templates_are_compiled_in(void **state)
{
    (void)state;
    static const char *const names[] = {"budget", "curve", "residuals", "sunpath", "timeline"};
    size_t n;
    assert_non_null(plot_templates(&n));
    assert_true(n >= 4);
    for (size_t i = 0; i < 4; i++) {
        const struct plot_template *template = plot_template_find(names[i]);
        char path[80];
        struct text file = {0};
        assert_non_null(template);
        snprintf(path, sizeof path, "plots/%s.gp", names[i]);
        assert_true(file_read(path, 1000000, &file, &faults));
        assert_int_equal(file.length, template->n);
        assert_memory_equal(file.bytes, template->bytes, template->n);
        text_free(&file);
    }
    assert_null(plot_template_find("nothing"));
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

/* A blank before a tick's figures moves them to the right of the tick in a PNG, and a hyphen is no
 * minus. */
static bool has_odd_ticks(const struct text *svg)
{
    static const char *const heads[] = {"<text> ", "<text>-"};
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++)
        for (const char *at = text_string(svg); (at = strstr(at, heads[i])) != NULL; at++) {
            const char *words = at + strlen(heads[i]);
            if (*words >= '0' && *words <= '9')
                return true;
        }
    return false;
}

/* Draws a figure of a document into a folder that is then given up. */
static void draw(const struct document *doc, const struct figure *figure, struct text *svg)
{
    char *base = aid_folder();
    char target[4096];
    char *path;
    struct folder folder = {0};
    char name[80];
    snprintf(target, sizeof target, "%s/out", base);
    assert_true(folder_open(&folder, target, &faults));
    bool ok = figure_write(figure, doc, PICTURES_SVG, &folder, &faults);
    if (!ok || faults.n > 0)
        print_message("figure '%s': %s %s\n", figure->id, faults.items[0].found,
                      faults.items[0].expected);
    assert_true(ok);
    assert_int_equal(faults.n, 0); /* no warning of gnuplot's either */
    snprintf(name, sizeof name, "%s.svg", figure->id);
    path = folder_path(&folder, name, &faults);
    text_clear(svg);
    assert_true(file_read(path, 50000000, svg, &faults));
    assert_false(has_odd_ticks(svg));
    free(path);
    folder_abandon(&folder);
    aid_remove(base);
    free(base);
}

static void each_figure_shows_what_is_in_its_table(void **state)
{
    (void)state;
    static const struct {
        const char *id;
        const char *shown;
    } rows[] = {
        {"curve", "It’s 77 % &lt;with> water &amp; air; `id` $(id) {x}_1"},
        {"curve", "η = 0.773 − 3.92 T*"},
        {"curve", "● 8 points, cross = 95 %"},
        {"curve", "× 1 left out, with its name"},
        {"curve", "”group 5”, it's"},
        {"curve", "dashed: one more"},
        {"curve", "temperature difference at 850 W/m² (K)"},
        {"residuals", "local time of day (h)"},
        {"residuals", "No pattern is left"},
        {"residuals", "measured − curve, efficiency"},
        {"budget", "a₁ = 3.92 ± 0.54 W/(m² K)"},
        {"budget", "all together 0.011"},
        {"budget", "session"},
        {"timeline", "windows accepted (2)"},
        {"timeline", "inlet drifts"},
        {"timeline", "outlet"},
        {"timeline", "11:00"},
        {"timeline", "10:00"},
    };
    struct document doc;
    struct text svg = {0};
    const char *drawn = "";
    assert_true(aid_document(&doc, &faults));
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (size_t k = 0; k < doc.n_figures && strcmp(drawn, rows[i].id) != 0; k++) {
            if (strcmp(doc.figures[k].id, rows[i].id) != 0)
                continue;
            drawn = rows[i].id;
            draw(&doc, &doc.figures[k], &svg);
            assert_true(aid_is_well_formed(text_string(&svg), svg.length));
        }
        if (!strstr(text_string(&svg), rows[i].shown))
            print_message("figure '%s' lacks '%s'\n", rows[i].id, rows[i].shown);
        assert_non_null(strstr(text_string(&svg), rows[i].shown));
    }
    text_free(&svg);
    document_free(&doc);
}

/* The marks between the beginning of a plot's group and of the next. */
static size_t marks(const struct text *svg, const char *group, const char *next, const char *mark)
{
    const char *from = strstr(text_string(svg), group);
    const char *to = from ? strstr(from, next) : NULL;
    assert_non_null(from);
    assert_non_null(to);
    char *part = strndup(from, (size_t)(to - from));
    size_t n = count(part, mark);
    free(part);
    return n;
}

/* The ninth and eleventh plots of the template are the marks of points and of left-out points. */
static void every_point_is_drawn_once(void **state)
{
    (void)state;
    struct document doc;
    struct text svg = {0};
    assert_true(aid_document(&doc, &faults));
    draw(&doc, &doc.figures[0], &svg);
    assert_int_equal(marks(&svg, "\"curve_plot_9\"", "\"curve_plot_10\"", "'#gpPt6'"), 8);
    assert_int_equal(marks(&svg, "\"curve_plot_11\"", "\"curve_plot_12\"", "'#gpPt1'"), 1);
    text_free(&svg);
    document_free(&doc);
}

/* Tables as a poor test gives them: each must still draw, without a word from gnuplot. */
static void poor_tables_draw_too(void **state)
{
    (void)state;
    struct document doc;
    struct text svg = {0};
    assert_true(aid_document(&doc, &faults));
    for (size_t k = 0; k < doc.n_figures; k++) {
        const struct figure *figure = &doc.figures[k];
        for (size_t i = 0; i < doc.n_tables; i++)
            if (strcmp(doc.tables[i].id, figure->table_id) == 0) {
                struct table *table = &doc.tables[i];
                size_t all = table->n_rows;
                table->n_rows = 1;
                draw(&doc, figure, &svg);
                assert_true(aid_is_well_formed(text_string(&svg), svg.length));
                table->n_rows = all;
            }
    }
    text_free(&svg);
    document_free(&doc);
}

static void a_table_without_rows_gives_no_figure(void **state)
{
    (void)state;
    struct document doc;
    char id[] = "part";
    struct column column = {id, id, id, CELL_TEXT, 0};
    char *base = aid_folder();
    char target[4096];
    struct folder folder = {0};
    snprintf(target, sizeof target, "%s/out", base);
    assert_true(document_init(&doc, "check", "t", &faults));
    assert_non_null(document_table(&doc, "t", "t", "", &column, 1, &faults));
    const struct figure *figure =
        document_figure(&doc, "curve", "curve", "title", "alt", "t", &faults);
    assert_true(folder_open(&folder, target, &faults));
    assert_true(figure_write(figure, &doc, PICTURES_SVG, &folder, &faults));
    char *list = aid_list(folder.partial);
    assert_string_equal(list, "");
    free(list);
    folder_abandon(&folder);
    aid_remove(base);
    free(base);
    document_free(&doc);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(a_quoted_text_cannot_leave_its_quotes, reset),
        cmocka_unit_test_setup(a_long_text_is_cut_between_characters, reset),
        cmocka_unit_test_setup(hostile_titles_are_only_drawn, reset),
        cmocka_unit_test_setup(the_script_is_head_and_template, reset),
        cmocka_unit_test_setup(templates_are_compiled_in, reset),
        cmocka_unit_test_setup(each_figure_shows_what_is_in_its_table, reset),
        cmocka_unit_test_setup(every_point_is_drawn_once, reset),
        cmocka_unit_test_setup(poor_tables_draw_too, reset),
        cmocka_unit_test_setup(a_table_without_rows_gives_no_figure, reset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
