#include "report/html_numbers.h"

#include "base/numbers.h"
#include "report/html_table.h"
#include "report/html_text.h"
#include "report/parts.h"
#include "result/typography.h"

#include <math.h>

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
    html_prose(out, number->label);
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
    html_table_begin(out, text_string(&title), number->label, 3 * list.n);
    text_fail_with(out, &title);
    text_free(&title);
    text_add(out, "<thead><tr><th scope=\"col\">source</th><th scope=\"col\" class=\"n\">standard "
                  "uncertainty</th><th scope=\"col\" class=\"n\">share of the square</th></tr>"
                  "</thead>\n<tbody>\n");
    for (size_t i = 0; i < list.n; i++) {
        text_add(out, "<tr><th scope=\"row\">");
        html_prose(out, list.lines[i].label);
        text_add(out, "</th><td class=\"n\">");
        add_significant(out, list.lines[i].u);
        text_addf(out, "</td><td class=\"n\">%.0f %%</td></tr>\n", 100 * list.lines[i].share);
    }
    text_add(out, "</tbody>\n");
    html_table_end(out);
    part_lines_free(&list);
    return true;
}

void html_numbers(const struct document *doc, struct text *out)
{
    if (doc->n_numbers == 0)
        return;
    html_table_begin(out, "Numbers of this test", "± is half of the 95 % interval",
                     5 * doc->n_numbers);
    text_add(out, "<thead><tr><th scope=\"col\">what</th><th scope=\"col\">symbol</th>"
                  "<th scope=\"col\">value</th><th scope=\"col\" class=\"n\">standard<br>"
                  "uncertainty</th><th scope=\"col\" class=\"n\">degrees of<br>freedom</th></tr>"
                  "</thead>\n<tbody>\n");
    for (size_t i = 0; i < doc->n_numbers; i++)
        add_number(&doc->numbers[i], out);
    text_add(out, "</tbody>\n");
    html_table_end(out);
}

bool html_parts(const struct document *doc, struct text *out, struct faults *faults)
{
    for (size_t i = 0; i < doc->n_numbers; i++)
        if (doc->numbers[i].n_parts > 0 && !add_parts(&doc->numbers[i], out, faults))
            return false;
    return true;
}
