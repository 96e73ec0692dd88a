#include "result/table_csv.h"

#include "base/numbers.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* A spreadsheet takes a text that starts like this for a formula. */
static bool looks_like_formula(const char *string)
{
    string += strspn(string, " ");
    return *string != '\0' && strchr("=+-@", *string) != NULL;
}

static void add_text(struct text *out, bool for_gnuplot, const char *string)
{
    const char *guard = looks_like_formula(string) ? "'" : "";
    if (strpbrk(string, ",\"\r\n") == NULL && string[0] != ' ' &&
        (string[0] == '\0' || string[strlen(string) - 1] != ' ')) {
        text_add(out, guard);
        text_add(out, string);
        return;
    }
    text_add(out, "\"");
    text_add(out, guard);
    for (; *string; string++) {
        if (*string == '"')
            text_add(out, for_gnuplot ? "\xE2\x80\x9D" : "\"\"");
        else
            text_add_bytes(out, string, 1);
    }
    text_add(out, "\"");
}

static void add_cell(struct text *out, bool for_gnuplot, const struct column *column,
                     const struct cell *cell)
{
    char digits[32];
    if (column->kind == CELL_TEXT) {
        if (cell->text)
            add_text(out, for_gnuplot, cell->text);
    } else if (isfinite(cell->value)) {
        text_add(out, number_exact(cell->value, digits, sizeof digits));
    }
}

void table_csv(const struct table *table, bool for_gnuplot, struct text *out)
{
    for (size_t i = 0; i < table->n_columns; i++) {
        text_add(out, i > 0 ? "," : "");
        add_text(out, for_gnuplot, table->columns[i].id);
    }
    text_add(out, "\r\n");
    for (size_t row = 0; row < table->n_rows; row++) {
        for (size_t i = 0; i < table->n_columns; i++) {
            struct cell cell = table_cell(table, row, i);
            text_add(out, i > 0 ? "," : "");
            add_cell(out, for_gnuplot, &table->columns[i], &cell);
        }
        text_add(out, "\r\n");
    }
}
