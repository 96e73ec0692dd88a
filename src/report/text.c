#include "report/text.h"

#include "base/numbers.h"
#include "report/fact_words.h"
#include "report/first_screen.h"
#include "report/glossary.h"
#include "report/paint.h"
#include "report/parts.h"
#include "report/text_table.h"
#include "report/wrap.h"
#include "result/prose.h"
#include "result/typography.h"

#include <math.h>
#include <string.h>

enum { LABEL_WIDTH = 12, MARK_WIDTH = 2, PART_LABEL = 44, FACT_LABEL = 28 };

/* wrap_add with units and minus signs as people read them. */
static void wrap_prose(struct text *out, const char *head, size_t indent, size_t hang,
                       const char *string)
{
    struct text people = {0};
    prose_add(&people, string);
    wrap_add(out, head, indent, hang, text_string(&people));
    text_fail_with(out, &people);
    text_free(&people);
}

static void underlined(struct text *out, bool colour, const char *title, const char *line)
{
    struct text wrapped = {0};
    wrap_add(&wrapped, "", 0, 0, title);
    const char *head = text_string(&wrapped);
    paint_add(out, colour, PAINT_TITLE, head, strcspn(head, "\n"));
    text_add(out, head + strcspn(head, "\n"));
    size_t n = text_characters(title, strlen(title));
    for (size_t i = 0; i < n && i < WRAP_WIDTH; i++)
        text_add(out, line);
    text_add(out, "\n");
    text_fail_with(out, &wrapped);
    text_free(&wrapped);
}

static void section(struct text *out, const char *title)
{
    text_add(out, "\n");
    underlined(out, false, title, "-");
}

/* One finding; its mark stands after `width` bytes of the label's column. */
static void add_finding(const struct finding *finding, const char *label, size_t width, bool colour,
                        struct text *out)
{
    struct text wrapped = {0};
    char head[LABEL_WIDTH + MARK_WIDTH + 1];
    size_t used = strlen(label) < width ? strlen(label) : width;
    memset(head, ' ', sizeof head);
    memcpy(head, label, used);
    head[width] = finding->doubt ? '!' : ' ';
    head[width + MARK_WIDTH] = '\0';
    wrap_prose(&wrapped, head, width + MARK_WIDTH, 2, finding->text);
    if (text_string(&wrapped)[0] != '\0') {
        text_add_bytes(out, wrapped.bytes, width);
        paint_add(out, colour && finding->doubt, PAINT_DOUBT, wrapped.bytes + width, 1);
        text_add(out, wrapped.bytes + width + 1);
    }
    text_fail_with(out, &wrapped);
    text_free(&wrapped);
}

/* Findings of one place: the label stands beside the first. */
static void add_place(const struct document *doc, enum finding_place place, const char *label,
                      bool colour, struct text *out)
{
    size_t width = label[0] == '\0' ? 0 : LABEL_WIDTH;
    for (size_t i = 0; i < doc->n_findings; i++) {
        if (doc->findings[i].place != place)
            continue;
        add_finding(&doc->findings[i], label, width, colour, out);
        label = "";
    }
}

static bool has_doubt(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].doubt && doc->findings[i].place < FINDING_DETAIL)
            return true;
    return false;
}

static void first_screen(const struct document *doc, bool colour, struct text *out)
{
    underlined(out, colour, doc->title, "=");
    for (int place = FINDING_ANSWER; place < FINDING_DETAIL; place++) {
        add_place(doc, (enum finding_place)place, first_screen_label((enum finding_place)place),
                  colour, out);
        const char *meaning = first_screen_plus_minus(doc);
        if (place == FINDING_ANSWER && meaning != NULL)
            wrap_add(out, "", MARK_WIDTH, 2, meaning);
    }
    if (!has_doubt(doc))
        return;
    paint_add(out, colour, PAINT_DOUBT, "!", 1);
    text_add(out, " = something to act on\n");
}

void report_first_screen(const struct document *doc, struct text *out)
{
    first_screen(doc, false, out);
}

void report_first_screen_painted(const struct document *doc, struct text *out)
{
    first_screen(doc, true, out);
}

static void add_part(struct text *out, const struct part_line *part)
{
    char ascii[32];
    char people[TYPO_SIZE];
    const char *next;
    struct text label = {0};
    prose_add(&label, part->label);
    size_t n = wrap_line(text_string(&label), PART_LABEL, &next);
    text_add(out, "    ");
    wrap_pad(out, text_string(&label), n, PART_LABEL + 2);
    number_significant(part->u, 2, ascii, sizeof ascii);
    const char *shown = typo_number(ascii, people, sizeof people);
    wrap_pad(out, shown, strlen(shown), 10);
    text_addf(out, "%3.0f %%\n", 100 * part->share);
    if (*next)
        wrap_add(out, "", 6, 0, next);
    text_fail_with(out, &label);
    text_free(&label);
}

static bool add_parts(struct text *out, const struct number *number, struct faults *faults)
{
    struct part_lines list;
    if (!part_lines_make(&list, number, faults))
        return false;
    for (size_t i = 0; i < list.n; i++)
        add_part(out, &list.lines[i]);
    part_lines_free(&list);
    return true;
}

static void add_uncertainty(struct text *out, const struct number *number)
{
    char ascii[32];
    char people[TYPO_SIZE];
    char unit[TYPO_SIZE];
    if (!(isfinite(number->u) && number->u > 0))
        return;
    number_significant(number->u, 2, ascii, sizeof ascii);
    text_addf(out, "    standard uncertainty %s", typo_number(ascii, people, sizeof people));
    if (number->unit[0] != '\0')
        text_addf(out, " %s", typo_unit(number->unit, unit, sizeof unit));
    if (number->dof < DOF_MANY) /* false for NaN */
        text_addf(out, ", %.0f degrees of freedom", number->dof);
    text_add(out, "\n");
}

static bool add_number(struct text *out, const struct number *number, struct faults *faults)
{
    char symbol[TYPO_SIZE];
    text_add(out, "\n");
    wrap_prose(out, "", 0, 2, number->label);
    text_add(out, "    ");
    if (number->symbol[0] != '\0')
        text_addf(out, "%s = ", typo_symbol(number->symbol, symbol, sizeof symbol));
    typo_value(out, number->value, number->low, number->high, number->unit);
    text_add(out, "\n");
    add_uncertainty(out, number);
    return add_parts(out, number, faults);
}

static bool add_numbers(const struct document *doc, struct text *out, struct faults *faults)
{
    if (doc->n_numbers == 0)
        return true;
    section(out, "Numbers");
    wrap_add(out, "", 0, 0,
             "± is half of the 95 % interval. Below each number stand the sources of its standard "
             "uncertainty: what each gives, and its share of the square.");
    for (size_t i = 0; i < doc->n_numbers; i++)
        if (!add_number(out, &doc->numbers[i], faults))
            return false;
    return true;
}

/* Results first, then the points, then how the test went. */
static bool add_tables(const struct document *doc, struct text *out, struct faults *faults)
{
    static const enum table_place places[] = {TABLE_ANSWER, TABLE_RESULT, TABLE_FIT,
                                              TABLE_POINTS, TABLE_WORKED, TABLE_TEST,
                                              TABLE_METHOD, TABLE_INSTRUMENTS};
    bool first = true;
    for (size_t k = 0; k < sizeof places / sizeof places[0]; k++)
        for (size_t i = 0; i < doc->n_tables; i++) {
            const struct table *table = &doc->tables[i];
            if (!table->report || table->n_rows == 0 || table->place != places[k])
                continue;
            if (first)
                section(out, "Tables");
            else
                text_add(out, "\n");
            first = false;
            if (!text_table(table, out, faults))
                return false;
        }
    return true;
}

static bool has_place(const struct document *doc, enum finding_place place)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place == place)
            return true;
    return false;
}

/* What the log holds, then what else is worth a sentence. */
static void add_details(const struct document *doc, struct text *out)
{
    if (!has_place(doc, FINDING_LOG) && !has_place(doc, FINDING_DETAIL))
        return;
    section(out, "Details");
    add_place(doc, FINDING_LOG, "", false, out);
    add_place(doc, FINDING_DETAIL, "", false, out);
}

static void add_figures(const struct document *doc, struct text *out)
{
    if (doc->n_figures == 0)
        return;
    section(out, "What the figures show");
    for (size_t i = 0; i < doc->n_figures; i++) {
        wrap_add(out, "", 0, 2, doc->figures[i].id);
        wrap_prose(out, "", 4, 0, doc->figures[i].title);
        wrap_prose(out, "", 4, 0, doc->figures[i].alt);
    }
}

static void add_cautions(const struct document *doc, struct text *out)
{
    if (doc->n_cautions == 0)
        return;
    section(out, "Cautions");
    for (size_t i = 0; i < doc->n_cautions; i++)
        wrap_prose(out, "! ", 2, 0, doc->cautions[i]);
}

/* prose: the value is ours, and not a client's own words. */
static void add_fact(const char *key, const char *value, bool prose, struct text *out)
{
    struct text head = {0};
    text_add(&head, "  ");
    prose_add(&head, key);
    text_add(&head, "  ");
    (prose ? wrap_prose : wrap_add)(out, text_string(&head), FACT_LABEL, 0, value);
    text_fail_with(out, &head);
    text_free(&head);
}

/* What the description is silent of, in one line a group. */
static void add_silent(const struct document *doc, const char *group, struct text *out)
{
    struct text keys = {0};
    fact_silent_keys(doc, group, &keys);
    if (keys.length > 0)
        add_fact("not stated", text_string(&keys), false, out);
    text_fail_with(out, &keys);
    text_free(&keys);
}

static void add_group(const struct document *doc, const char *group, struct text *out)
{
    char buffer[FACT_SIZE];
    for (size_t i = 0; i < doc->n_facts; i++)
        if (text_same(doc->facts[i].group, group) && !fact_silent(&doc->facts[i]))
            add_fact(doc->facts[i].key, fact_words(&doc->facts[i], buffer),
                     !text_same(group, DOCUMENT_PAPERWORK), out);
    add_silent(doc, group, out);
}

static bool seen(const struct document *doc, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (text_same(doc->facts[k].group, doc->facts[i].group))
            return true;
    return false;
}

/* A group's name stands once above its facts. */
static void add_facts(const struct document *doc, struct text *out)
{
    if (doc->n_facts > 0)
        section(out, "Where this comes from");
    for (size_t i = 0; i < doc->n_facts; i++) {
        const char *group = doc->facts[i].group;
        if (text_same(group, DOCUMENT_PAPERWORK) || seen(doc, i))
            continue;
        text_addf(out, "%s\n", group);
        add_group(doc, group, out);
    }
}

static bool has_group(const struct document *doc, const char *group)
{
    for (size_t i = 0; i < doc->n_facts; i++)
        if (text_same(doc->facts[i].group, group))
            return true;
    return false;
}

/* Who asked for the test, of what, who answers for it: at the head of a report. */
static void add_paperwork(const struct document *doc, struct text *out)
{
    if (!has_group(doc, DOCUMENT_PAPERWORK))
        return;
    section(out, "Report");
    add_group(doc, DOCUMENT_PAPERWORK, out);
    wrap_add(out, "", 2, 0,
             "The results relate only to the item tested, in the state in which it was tested.");
}

static void add_glossary(struct text *out)
{
    size_t n;
    const struct glossary_row *rows = glossary(&n);
    section(out, "Words");
    for (size_t i = 0; i < n; i++) {
        text_addf(out, "%s\n", rows[i].term);
        wrap_add(out, "", 4, 0, rows[i].words);
    }
}

bool report_text(const struct document *doc, struct text *out, struct faults *faults)
{
    report_first_screen(doc, out);
    add_paperwork(doc, out);
    if (!add_numbers(doc, out, faults) || !add_tables(doc, out, faults))
        return false;
    add_details(doc, out);
    add_figures(doc, out);
    add_cautions(doc, out);
    add_glossary(out);
    add_facts(doc, out);
    section(out, "End of the report");
    return text_ok(out, faults);
}
