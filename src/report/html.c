#include "report/html.h"

#include "report/glossary.h"
#include "report/html_facts.h"
#include "report/html_figure.h"
#include "report/html_first.h"
#include "report/html_numbers.h"
#include "report/html_style.h"
#include "report/html_table.h"
#include "report/html_text.h"

enum { GROUPS = 2, NO_FINDINGS = FINDING_PLACES, NO_TABLES = TABLE_PLACES };

/* What a section holds, printed in the order of the fields. */
struct section {
    const char *id;
    const char *title;
    const char *said;           /* a sentence of ours below the heading; NULL: none */
    const char *groups[GROUPS]; /* of facts; NULL: none */
    int findings;               /* enum finding_place or NO_FINDINGS */
    int tables;                 /* enum table_place or NO_TABLES: its figures, then its tables */
    bool parts;                 /* the sources of every number's uncertainty */
};

static const char only_the_item[] =
    "The results relate only to the item tested, in the state in which it was tested.";
static const char no_claim[] =
    "What the rules ask, what was used, and every deviation. Nothing here claims conformity with "
    "a standard, a certification or an accreditation.";

/* In the order in which a reviewer asks. */
static const struct section sections[] = {
    {"item", "The item and its areas", only_the_item, {DOCUMENT_PAPERWORK, "collector"},
     NO_FINDINGS, NO_TABLES, false},
    {"instruments", "Instruments", NULL, {"instrument", NULL}, NO_FINDINGS, TABLE_INSTRUMENTS,
     false},
    {"site", "Site and fluid", NULL, {"site", "fluid"}, NO_FINDINGS, NO_TABLES, false},
    {"method", "Method and rules", no_claim, {"rules", NULL}, NO_FINDINGS, TABLE_METHOD, false},
    {"log", "Log and windows", NULL, {NULL, NULL}, FINDING_LOG, TABLE_TEST, false},
    {"points", "Points", NULL, {NULL, NULL}, NO_FINDINGS, TABLE_POINTS, false},
    {"worked", "One point worked through", NULL, {NULL, NULL}, NO_FINDINGS, TABLE_WORKED, false},
    {"fit", "The fit and its uncertainty", NULL, {"curve", NULL}, FINDING_DETAIL, TABLE_FIT, true},
    {"results", "What else was found", NULL, {NULL, NULL}, NO_FINDINGS, TABLE_RESULT, false},
};
enum { SECTIONS = sizeof sections / sizeof sections[0] };

static void heading(struct text *out, const char *id, const char *title)
{
    text_addf(out, "<h2 id=\"%s\">%s</h2>\n", id, title);
}

static void add_head(const struct document *doc, struct text *out)
{
    html_head_begin(out, doc->title);
    text_addf(out, "<style>\n%s</style>\n</head>\n<body>\n<main>\n", html_style);
}

static bool has_finding(const struct document *doc, int place)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if ((int)doc->findings[i].place == place)
            return true;
    return false;
}

static bool has_parts(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_numbers; i++)
        if (doc->numbers[i].n_parts > 0)
            return true;
    return false;
}

static bool has_pictures(const struct document *doc, const struct section *section)
{
    return section->tables != NO_TABLES &&
           html_has_figures(doc, (enum table_place)section->tables);
}

static bool section_there(const struct document *doc, const struct section *section)
{
    for (size_t i = 0; i < GROUPS; i++)
        if (section->groups[i] && html_has_facts(doc, section->groups[i]))
            return true;
    return has_finding(doc, section->findings) || has_pictures(doc, section) ||
           (section->tables != NO_TABLES &&
            document_has_tables(doc, (enum table_place)section->tables)) ||
           (section->parts && has_parts(doc));
}

static bool has_numbers(const struct document *doc)
{
    return doc->n_numbers > 0 || document_has_tables(doc, TABLE_ANSWER);
}

/* Facts of a group that no section names: "input", "program". */
static bool group_elsewhere(const char *group)
{
    for (size_t i = 0; i < SECTIONS; i++)
        for (size_t k = 0; k < GROUPS; k++)
            if (sections[i].groups[k] && text_same(sections[i].groups[k], group))
                return true;
    return false;
}

static bool has_origin(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_facts; i++)
        if (!group_elsewhere(doc->facts[i].group))
            return true;
    return false;
}

static void add_link(struct text *out, bool there, const char *id, const char *title)
{
    if (there)
        text_addf(out, "<li><a href=\"#%s\">%s</a></li>\n", id, title);
}

static void add_contents(const struct document *doc, struct text *out)
{
    text_add(out, "<nav aria-label=\"Contents\">\n<ul>\n");
    add_link(out, has_numbers(doc), "numbers", "Numbers");
    for (size_t i = 0; i < SECTIONS; i++)
        add_link(out, section_there(doc, &sections[i]), sections[i].id, sections[i].title);
    add_link(out, doc->n_cautions > 0, "cautions", "Cautions");
    add_link(out, true, "words", "Words");
    add_link(out, has_origin(doc), "origin", "Where this comes from");
    text_add(out, "</ul>\n</nav>\n");
}

static bool add_tables(const struct document *doc, enum table_place place, struct text *out,
                       struct faults *faults)
{
    for (size_t i = 0; i < doc->n_tables; i++) {
        const struct table *table = &doc->tables[i];
        if (table->report && table->n_rows > 0 && table->place == place &&
            !html_table(table, out, faults))
            return false;
    }
    return true;
}

static bool add_section(const struct document *doc, const struct section *section,
                        const struct folder *pictures, struct text *out, struct faults *faults)
{
    bool good = true;
    if (!section_there(doc, section))
        return true;
    heading(out, section->id, section->title);
    if (section->said)
        html_element(out, "p", NULL, section->said);
    for (size_t i = 0; i < GROUPS && good; i++)
        if (section->groups[i])
            good = html_facts(doc, section->groups[i], out, faults);
    if (section->findings != NO_FINDINGS)
        html_findings(doc, (enum finding_place)section->findings, "", "p", out);
    if (good && section->parts)
        good = html_parts(doc, out, faults);
    if (good && has_pictures(doc, section))
        good = html_figures(doc, (enum table_place)section->tables, pictures, out, faults);
    if (good && section->tables != NO_TABLES)
        good = add_tables(doc, (enum table_place)section->tables, out, faults);
    return good;
}

static void add_cautions(const struct document *doc, struct text *out)
{
    if (doc->n_cautions == 0)
        return;
    heading(out, "cautions", "Cautions");
    for (size_t i = 0; i < doc->n_cautions; i++) {
        html_prose_element(out, "p", "act", doc->cautions[i]);
        text_add(out, "\n");
    }
}

static void add_glossary(struct text *out)
{
    size_t n;
    const struct glossary_row *rows = glossary(&n);
    heading(out, "words", "Words");
    text_add(out, "<dl class=\"facts\">\n");
    for (size_t i = 0; i < n; i++) {
        html_element(out, "dt", NULL, rows[i].term);
        html_element(out, "dd", NULL, rows[i].words);
        text_add(out, "\n");
    }
    text_add(out, "</dl>\n");
}

/* Whether an earlier fact has the same group: each group is printed at its first. */
static bool seen(const struct document *doc, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (text_same(doc->facts[k].group, doc->facts[i].group))
            return true;
    return false;
}

static bool add_origin(const struct document *doc, struct text *out, struct faults *faults)
{
    if (!has_origin(doc))
        return true;
    heading(out, "origin", "Where this comes from");
    for (size_t i = 0; i < doc->n_facts; i++)
        if (!group_elsewhere(doc->facts[i].group) && !seen(doc, i) &&
            !html_facts(doc, doc->facts[i].group, out, faults))
            return false;
    return true;
}

/* The figures of the answer stand on the first screen. */
static bool add_numbers(const struct document *doc, struct text *out, struct faults *faults)
{
    if (!has_numbers(doc))
        return true;
    heading(out, "numbers", "Numbers");
    html_numbers(doc, out);
    return add_tables(doc, TABLE_ANSWER, out, faults);
}

bool report_html(const struct document *doc, const struct folder *pictures, struct text *out,
                 struct faults *faults)
{
    add_head(doc, out);
    if (!html_first_screen(doc, pictures, out, faults))
        return false;
    if (!pictures && doc->n_figures > 0)
        text_add(out, "<p class=\"soft\">No pictures were asked for (--no-plots); the words below "
                      "each title say what they would show.</p>\n");
    add_contents(doc, out);
    if (!add_numbers(doc, out, faults))
        return false;
    for (size_t i = 0; i < SECTIONS; i++)
        if (!add_section(doc, &sections[i], pictures, out, faults))
            return false;
    add_cautions(doc, out);
    add_glossary(out);
    if (!add_origin(doc, out, faults))
        return false;
    text_add(out, "<p class=\"end\">End of the report</p>\n</main>\n</body>\n</html>\n");
    return text_ok(out, faults);
}
