#include "report/text_table.h"

#include "report/cells.h"
#include "report/wrap.h"
#include "result/prose.h"

#include <stdlib.h>
#include <string.h>

enum { COLUMN_GAP = 2, TEXT_WIDEST = 40, NOT_SHOWN = 0 };

/* The columns printed together: the first one and [from, to). */
struct part_of_table {
    const struct table *table;
    const size_t *widths;
    size_t from;
    size_t to;
};

static size_t larger(size_t a, size_t b)
{
    return a > b ? a : b;
}

static size_t width_of(const struct table *table, size_t i)
{
    char buffer[CELL_SIZE];
    const struct column *column = &table->columns[i];
    const char *head = cell_head(column, buffer);
    size_t width = text_characters(head, strlen(head));
    const char *unit = cell_unit(column, buffer);
    width = larger(width, text_characters(unit, strlen(unit)));
    for (size_t row = 0; row < table->n_rows; row++) {
        struct cell cell = table_cell(table, row, i);
        const char *words = cell_words(column, &cell, buffer);
        width = larger(width, text_characters(words, strlen(words)));
    }
    if (column->kind == CELL_TEXT && width > TEXT_WIDEST)
        width = TEXT_WIDEST;
    return width > 0 ? width : 1;
}

/* The i-th column must fit on a line with the first one, which two of the widest texts do not. */
static size_t beside_first(size_t first, size_t width, size_t i)
{
    bool fits = i == 0 || first + COLUMN_GAP + width <= WRAP_WIDTH;
    return fits ? width : WRAP_WIDTH - COLUMN_GAP - first;
}

/* One physical line of a cell; *words moves on to what is left of it. */
static void add_piece(struct text *out, const struct column *column, size_t width,
                      const char **words)
{
    const char *next;
    size_t n = wrap_line(*words, width, &next);
    if (column->kind == CELL_NUMBER)
        for (size_t c = text_characters(*words, n); c < width; c++)
            text_add(out, " ");
    wrap_pad(out, *words, n, column->kind == CELL_NUMBER ? 0 : width);
    *words = next;
}

static void cut_blanks(struct text *out)
{
    while (out->length > 0 && out->bytes[out->length - 1] == ' ')
        out->bytes[--out->length] = '\0';
}

static bool is_shown(const struct part_of_table *part, size_t i)
{
    return part->widths[i] != NOT_SHOWN && (i == 0 || (i >= part->from && i < part->to));
}

/* Prints what is left of the cells until all are empty; `left` is used up. */
static void add_lines(const struct part_of_table *part, struct text *out, const char **left)
{
    bool more = true;
    while (more) {
        more = false;
        for (size_t i = 0; i < part->to; i++) {
            if (!is_shown(part, i))
                continue;
            if (i > 0)
                text_addf(out, "%*s", COLUMN_GAP, "");
            add_piece(out, &part->table->columns[i], part->widths[i], &left[i]);
            more = more || *left[i];
        }
        cut_blanks(out);
        text_add(out, "\n");
    }
}

typedef const char *words_of(const struct table *table, size_t row, size_t i, char *buffer);

static const char *label_words(const struct table *table, size_t row, size_t i, char *buffer)
{
    (void)row;
    return cell_head(&table->columns[i], buffer);
}

static const char *unit_words(const struct table *table, size_t row, size_t i, char *buffer)
{
    (void)row;
    return cell_unit(&table->columns[i], buffer);
}

static const char *row_words(const struct table *table, size_t row, size_t i, char *buffer)
{
    struct cell cell = table_cell(table, row, i);
    return cell_words(&table->columns[i], &cell, buffer);
}

/* left: room for n_columns; buffers: CELL_SIZE for each column. */
static void add_row(const struct part_of_table *part, words_of *words, size_t row, struct text *out,
                    const char **left, char *buffers)
{
    for (size_t i = 0; i < part->to; i++)
        left[i] = words(part->table, row, i, buffers + i * CELL_SIZE);
    add_lines(part, out, left);
}

static bool has_units(const struct table *table)
{
    for (size_t i = 0; i < table->n_columns; i++)
        if (table->columns[i].unit[0] != '\0')
            return true;
    return false;
}

static void add_part(const struct part_of_table *part, struct text *out, const char **left,
                     char *buffers)
{
    add_row(part, label_words, 0, out, left, buffers);
    if (has_units(part->table))
        add_row(part, unit_words, 0, out, left, buffers);
    for (size_t row = 0; row < part->table->n_rows; row++)
        add_row(part, row_words, row, out, left, buffers);
}

static bool any_shown(const struct part_of_table *part)
{
    for (size_t i = part->from; i < part->to; i++)
        if (part->widths[i] != NOT_SHOWN)
            return true;
    return part->table->n_columns == 1;
}

static void add_prose(struct text *out, const char *string)
{
    struct text people = {0};
    prose_add(&people, string);
    if (people.length > 0)
        wrap_add(out, "", 0, 0, text_string(&people));
    text_fail_with(out, &people);
    text_free(&people);
}

/* The first column that does not fit beside the first one when starting at `from`. */
static size_t fits_until(const size_t *widths, size_t n, size_t from)
{
    size_t used = widths[0];
    size_t to = from, shown = 0;
    for (; to < n; to++) {
        if (widths[to] == NOT_SHOWN)
            continue;
        if (shown++ > 0 && used + COLUMN_GAP + widths[to] > WRAP_WIDTH)
            break;
        used += COLUMN_GAP + widths[to];
    }
    return to;
}

bool text_table(const struct table *table, struct text *out, struct faults *faults)
{
    size_t n = table->n_columns;
    size_t *widths = calloc(n + 1, sizeof *widths);
    const char **left = calloc(n + 1, sizeof *left);
    char *buffers = calloc(n + 1, CELL_SIZE);
    bool ok = widths && left && buffers;
    add_prose(out, table->title);
    add_prose(out, table->note);
    for (size_t i = 0; ok && i < n; i++)
        widths[i] = cell_column_shown(table, i) ? beside_first(widths[0], width_of(table, i), i)
                                                : NOT_SHOWN;
    for (size_t from = 1, to = 0; ok && n > 0 && to < n; from = to) {
        to = n == 1 ? 1 : fits_until(widths, n, from);
        struct part_of_table part = {table, widths, from, to};
        if (!any_shown(&part) && from > 1)
            continue;
        text_add(out, "\n");
        add_part(&part, out, left, buffers);
    }
    free(widths);
    free(left);
    free(buffers);
    return ok ? true : fault_memory(faults);
}
