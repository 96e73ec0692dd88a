#include "report/html.h"

#include "base/numbers.h"
#include "report/first_screen.h"
#include "report/html_picture.h"
#include "report/html_style.h"
#include "report/html_table.h"
#include "report/html_text.h"
#include "report/parts.h"
#include "result/typography.h"

#include <math.h>
#include <string.h>

/* <tag class="...">text</tag>; class may be NULL, tag and class are our own. */
static void element(struct text *out, const char *tag, const char *class, const char *text)
{
    text_addf(out, class ? "<%s class=\"%s\">" : "<%s>", tag, class);
    html_add(out, text);
    text_addf(out, "</%s>", tag);
}

static void heading(struct text *out, const char *id, const char *title)
{
    text_addf(out, "<h2 id=\"%s\">%s</h2>\n", id, title);
}

static void add_head(const struct document *doc, struct text *out)
{
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "img-src data:; style-src 'unsafe-inline'; base-uri 'none'; "
                  "form-action 'none'\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                  "<meta name=\"color-scheme\" content=\"light dark\">\n<title>");
    html_add(out, doc->title);
    text_addf(out, "</title>\n<style>\n%s</style>\n</head>\n<body>\n<main>\n", html_style);
}

static void add_finding(struct text *out, const char *tag, const struct finding *finding)
{
    text_addf(out, finding->doubt ? "<%s class=\"act\"><b>To act on:</b> " : "<%s>", tag);
    html_add(out, finding->text);
    text_addf(out, "</%s>\n", tag);
}

/* Findings of one place; *n counts them. */
static size_t add_place(const struct document *doc, enum finding_place place, const char *label,
                        const char *tag, struct text *out)
{
    size_t n = 0;
    for (size_t i = 0; i < doc->n_findings; i++) {
        if (doc->findings[i].place != place)
            continue;
        if (n++ == 0 && label[0] != '\0')
            text_addf(out, "<dt>%s</dt>\n", label);
        add_finding(out, tag, &doc->findings[i]);
    }
    return n;
}

static bool has_place(const struct document *doc, enum finding_place from, enum finding_place to)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place >= from && doc->findings[i].place <= to)
            return true;
    return false;
}

static void add_first_screen(const struct document *doc, struct text *out)
{
    text_add(out, "<header>\n");
    element(out, "h1", NULL, doc->title);
    text_add(out, "\n<p class=\"soft\">Solar collector test: ");
    html_add(out, doc->kind);
    text_add(out, "</p>\n");
    if (!text_same(doc->status, "complete")) {
        text_add(out, "<p class=\"act\"><b>Not complete:</b> ");
        html_add(out, doc->status);
        text_add(out, "</p>\n");
    }
    text_add(out, "</header>\n");
    if (has_place(doc, FINDING_ANSWER, FINDING_ANSWER)) {
        text_add(out, "<div class=\"answer\">\n");
        add_place(doc, FINDING_ANSWER, "", "p", out);
        text_add(out, "</div>\n");
    }
    if (first_screen_says_plus_minus(doc))
        element(out, "p", "soft", FIRST_SCREEN_PLUS_MINUS);
    if (!has_place(doc, FINDING_CHECKS, FINDING_NOT_STATED))
        return;
    text_add(out, "\n<dl class=\"said\">\n");
    for (int place = FINDING_CHECKS; place < FINDING_DETAIL; place++)
        add_place(doc, (enum finding_place)place, first_screen_label((enum finding_place)place),
                  "dd", out);
    text_add(out, "</dl>\n");
}

static bool is_paperwork(const struct fact *fact)
{
    return text_same(fact->group, DOCUMENT_PAPERWORK);
}

static bool has_facts(const struct document *doc, bool paperwork)
{
    for (size_t i = 0; i < doc->n_facts; i++)
        if (is_paperwork(&doc->facts[i]) == paperwork)
            return true;
    return false;
}

static void add_contents(const struct document *doc, struct text *out)
{
    const struct {
        const char *id;
        const char *words;
        bool there;
    } rows[] = {
        {"report", "Report", has_facts(doc, true)},
        {"numbers", "Numbers", doc->n_numbers > 0},
        {"figures", "Figures", doc->n_figures > 0},
        {"points", "Points", document_has_tables(doc, TABLE_POINTS)},
        {"tables", "Tables",
         document_has_tables(doc, TABLE_RESULT) || document_has_tables(doc, TABLE_TEST)},
        {"details", "Details", has_place(doc, FINDING_DETAIL, FINDING_DETAIL)},
        {"cautions", "Cautions", doc->n_cautions > 0},
        {"origin", "Where this comes from", has_facts(doc, false)},
    };
    text_add(out, "<nav aria-label=\"Contents\">\n<ul>\n");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].there)
            text_addf(out, "<li><a href=\"#%s\">%s</a></li>\n", rows[i].id, rows[i].words);
    text_add(out, "</ul>\n</nav>\n");
}

static void add_symbol(struct text *out, const struct number *number)
{
    char symbol[TYPO_SIZE];
    html_add(out, typo_symbol(number->symbol, symbol, sizeof symbol));
}

static void add_value(struct text *out, const struct number *number)
{
    struct text value = {0};
    typo_value(&value, number->value, number->low, number->high, number->unit);
    html_add(out, text_string(&value));
    text_fail_with(out, &value);
    text_free(&value);
}

static void add_significant(struct text *out, double value)
{
    char ascii[32];
    char people[TYPO_SIZE];
    number_significant(value, 2, ascii, sizeof ascii);
    html_add(out, typo_number(ascii, people, sizeof people));
}

static void add_number(const struct number *number, struct text *out)
{
    text_add(out, "<tr><th scope=\"row\">");
    html_add(out, number->label);
    text_add(out, "</th><td>");
    add_symbol(out, number);
    text_add(out, "</td><td class=\"value\">");
    add_value(out, number);
    text_add(out, "</td><td class=\"n\">");
    if (isfinite(number->u) && number->u > 0)
        add_significant(out, number->u);
    text_add(out, "</td><td class=\"n\">");
    if (number->dof < DOF_MANY)
        text_addf(out, "%.0f", number->dof);
    else if (number->dof >= DOF_MANY)
        text_add(out, "many");
    text_add(out, "</td></tr>\n");
}

static bool add_parts(const struct number *number, struct text *out, struct faults *faults)
{
    char symbol[TYPO_SIZE];
    struct part_lines list;
    if (!part_lines_make(&list, number, faults))
        return false;
    struct text title = {0};
    const char *name = number->symbol[0] != '\0' ? number->symbol : number->label;
    text_addf(&title, "Where the uncertainty of %s comes from",
              typo_symbol(name, symbol, sizeof symbol));
    html_table_begin(out, text_string(&title), number->label, list.n);
    text_fail_with(out, &title);
    text_free(&title);
    text_add(out, "<thead><tr><th scope=\"col\">source</th><th scope=\"col\" class=\"n\">standard "
                  "uncertainty</th><th scope=\"col\" class=\"n\">share of the square</th></tr>"
                  "</thead>\n<tbody>\n");
    for (size_t i = 0; i < list.n; i++) {
        text_add(out, "<tr><th scope=\"row\">");
        html_add(out, list.lines[i].label);
        text_add(out, "</th><td class=\"n\">");
        add_significant(out, list.lines[i].u);
        text_addf(out, "</td><td class=\"n\">%.0f %%</td></tr>\n", 100 * list.lines[i].share);
    }
    text_add(out, "</tbody>\n");
    html_table_end(out);
    part_lines_free(&list);
    return true;
}

static bool add_numbers(const struct document *doc, struct text *out, struct faults *faults)
{
    if (doc->n_numbers == 0)
        return true;
    heading(out, "numbers", "Numbers");
    html_table_begin(out, "Numbers of this test", "± is half of the 95 % interval",
                     doc->n_numbers);
    text_add(out, "<thead><tr><th scope=\"col\">what</th><th scope=\"col\">symbol</th>"
                  "<th scope=\"col\">value</th><th scope=\"col\" class=\"n\">standard<br>"
                  "uncertainty</th><th scope=\"col\" class=\"n\">degrees of<br>freedom</th></tr>"
                  "</thead>\n<tbody>\n");
    for (size_t i = 0; i < doc->n_numbers; i++)
        add_number(&doc->numbers[i], out);
    text_add(out, "</tbody>\n");
    html_table_end(out);
    for (size_t i = 0; i < doc->n_numbers; i++)
        if (doc->numbers[i].n_parts > 0 && !add_parts(&doc->numbers[i], out, faults))
            return false;
    return true;
}

/* Ids of figures are made of letters, digits, '-' and '_' (run/words.h): fit for a file's name. */
static bool add_figure(const struct figure *figure, const struct folder *pictures,
                       struct text *out, struct faults *faults)
{
    bool ok = true;
    text_add(out, "<figure>\n");
    if (pictures) {
        text_add(out, "<div class=\"card\"><img alt=\"");
        html_add(out, figure->alt);
        text_add(out, "\" src=\"");
        ok = html_picture(pictures, figure->id, out, faults);
        text_add(out, "\"></div>\n");
    }
    text_add(out, "<figcaption>");
    element(out, "b", NULL, figure->title);
    text_add(out, ". ");
    html_add(out, figure->alt);
    if (pictures) {
        text_add(out, " Drawn from ");
        struct text file = {0};
        text_addf(&file, "%s.csv", figure->id);
        element(out, "code", NULL, text_string(&file));
        text_fail_with(out, &file);
        text_free(&file);
        text_add(out, ".");
    }
    text_add(out, "</figcaption>\n</figure>\n");
    return ok;
}

static bool add_figures_of(const struct document *doc, enum table_place place,
                           const struct folder *pictures, struct text *out, struct faults *faults)
{
    for (size_t i = 0; i < doc->n_figures; i++) {
        const struct table *table = document_find_table(doc, doc->figures[i].table_id);
        if (table && table->n_rows > 0 && table->place == place &&
            !add_figure(&doc->figures[i], pictures, out, faults))
            return false;
    }
    return true;
}

/* What was found, then how the test went. */
static bool add_figures(const struct document *doc, const struct folder *pictures,
                        struct text *out, struct faults *faults)
{
    if (doc->n_figures == 0)
        return true;
    heading(out, "figures", "Figures");
    if (!pictures)
        text_add(out, "<p class=\"soft\">No pictures were asked for (--no-plots); this is what "
                      "they would show.</p>\n");
    return add_figures_of(doc, TABLE_RESULT, pictures, out, faults) &&
           add_figures_of(doc, TABLE_POINTS, pictures, out, faults) &&
           add_figures_of(doc, TABLE_TEST, pictures, out, faults);
}

static void add_tables(const struct document *doc, enum table_place place, struct text *out)
{
    for (size_t i = 0; i < doc->n_tables; i++) {
        const struct table *table = &doc->tables[i];
        if (table->report && table->n_rows > 0 && table->place == place)
            html_table(table, out);
    }
}

static void add_all_tables(const struct document *doc, struct text *out)
{
    bool result = document_has_tables(doc, TABLE_RESULT);
    bool test = document_has_tables(doc, TABLE_TEST);
    if (document_has_tables(doc, TABLE_POINTS)) {
        heading(out, "points", "Points");
        add_tables(doc, TABLE_POINTS, out);
    }
    if (result || test)
        heading(out, "tables", "Tables");
    add_tables(doc, TABLE_RESULT, out);
    add_tables(doc, TABLE_TEST, out);
}

static void add_details(const struct document *doc, struct text *out)
{
    if (!has_place(doc, FINDING_DETAIL, FINDING_DETAIL))
        return;
    heading(out, "details", "Details");
    add_place(doc, FINDING_DETAIL, "", "p", out);
}

static void add_cautions(const struct document *doc, struct text *out)
{
    if (doc->n_cautions == 0)
        return;
    heading(out, "cautions", "Cautions");
    for (size_t i = 0; i < doc->n_cautions; i++) {
        element(out, "p", "act", doc->cautions[i]);
        text_add(out, "\n");
    }
}

static void add_fact(const struct fact *fact, struct text *out)
{
    element(out, "dt", NULL, fact->key);
    element(out, "dd", NULL, fact->value);
    text_add(out, "\n");
}

/* Who asked for the test, of what, who answers for it. */
static void add_paperwork(const struct document *doc, struct text *out)
{
    if (!has_facts(doc, true))
        return;
    heading(out, "report", "Report");
    text_add(out, "<dl class=\"facts\">\n");
    for (size_t i = 0; i < doc->n_facts; i++)
        if (is_paperwork(&doc->facts[i]))
            add_fact(&doc->facts[i], out);
    text_add(out, "</dl>\n");
}

/* A group's name stands once above its facts. */
static void add_facts(const struct document *doc, struct text *out)
{
    const char *group = NULL;
    if (!has_facts(doc, false))
        return;
    heading(out, "origin", "Where this comes from");
    for (size_t i = 0; i < doc->n_facts; i++) {
        const struct fact *fact = &doc->facts[i];
        if (is_paperwork(fact))
            continue;
        if (group == NULL || !text_same(group, fact->group)) {
            text_add(out, group ? "</dl>\n" : "");
            element(out, "h3", NULL, fact->group);
            text_add(out, "\n<dl class=\"facts\">\n");
        }
        group = fact->group;
        add_fact(fact, out);
    }
    text_add(out, "</dl>\n");
}

bool report_html(const struct document *doc, const struct folder *pictures, struct text *out,
                 struct faults *faults)
{
    add_head(doc, out);
    add_first_screen(doc, out);
    add_contents(doc, out);
    add_paperwork(doc, out);
    if (!add_numbers(doc, out, faults) || !add_figures(doc, pictures, out, faults))
        return false;
    add_all_tables(doc, out);
    add_details(doc, out);
    add_cautions(doc, out);
    add_facts(doc, out);
    text_add(out, "<p class=\"end\">End of the report</p>\n</main>\n</body>\n</html>\n");
    return text_ok(out, faults);
}
