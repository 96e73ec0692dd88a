#include "report/html_table.h"

#include "report/cells.h"
#include "report/html_text.h"

#include <stdlib.h>

enum { SHORT_CELLS = 100 }; /* some two thirds of a sheet, since the rows of wide tables are high */

void html_table_begin(struct text *out, const char *title, const char *note, size_t n_cells)
{
    text_addf(out, "<div class=\"wide%s\" role=\"region\" tabindex=\"0\" aria-label=\"",
              n_cells <= SHORT_CELLS ? " short" : "");
    html_add(out, title);
    text_add(out, "\">\n<table>\n<caption>");
    html_prose(out, title);
    if (note[0] != '\0') {
        text_add(out, " <span class=\"note\">");
        html_prose(out, note);
        text_add(out, "</span>");
    }
    text_add(out, "</caption>\n");
}

void html_table_end(struct text *out)
{
    text_add(out, "</table>\n</div>\n");
}

static const char *align(const struct column *column)
{
    return column->kind == CELL_NUMBER ? " class=\"n\"" : "";
}

static void add_heads(const struct table *table, const bool *shown, struct text *out)
{
    char buffer[CELL_SIZE];
    text_add(out, "<thead><tr>");
    for (size_t i = 0; i < table->n_columns; i++) {
        const struct column *column = &table->columns[i];
        if (!shown[i])
            continue;
        const char *head = cell_head(column, buffer);
        if (head[0] == '\0') { /* a corner: an empty head would be read out as one */
            text_add(out, "<td></td>");
            continue;
        }
        text_addf(out, "<th scope=\"col\"%s>", align(column));
        html_add(out, head);
        const char *unit = cell_unit(column, buffer);
        if (unit[0] != '\0') {
            text_add(out, "<br><span class=\"unit\">");
            html_add(out, unit);
            text_add(out, "</span>");
        }
        text_add(out, "</th>");
    }
    text_add(out, "</tr></thead>\n");
}

/* A long name must be able to break; a number must not. */
static void add_cell(const struct table *table, size_t row, size_t i, struct text *out)
{
    char buffer[CELL_SIZE];
    const struct column *column = &table->columns[i];
    struct cell cell = table_cell(table, row, i);
    const char *words = cell_words(column, &cell, buffer);
    text_addf(out, i == 0 ? "<th scope=\"row\"%s>" : "<td%s>", align(column));
    html_add(out, words);
    text_add(out, i == 0 ? "</th>" : "</td>");
}

static void add_rows(const struct table *table, const bool *shown, struct text *out)
{
    text_add(out, "<tbody>\n");
    for (size_t row = 0; row < table->n_rows; row++) {
        text_add(out, "<tr>");
        for (size_t i = 0; i < table->n_columns; i++)
            if (shown[i])
                add_cell(table, row, i, out);
        text_add(out, "</tr>\n");
    }
    text_add(out, "</tbody>\n");
}

bool html_table(const struct table *table, struct text *out, struct faults *faults)
{
    size_t n = 0;
    bool *shown = calloc(table->n_columns + 1, sizeof *shown);
    if (shown == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < table->n_columns; i++)
        n += shown[i] = cell_column_shown(table, i);
    html_table_begin(out, table->title, table->note, table->n_rows * n);
    add_heads(table, shown, out);
    add_rows(table, shown, out);
    html_table_end(out);
    free(shown);
    return true;
}
