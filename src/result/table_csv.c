#include "result/table_csv.h"

#include "base/numbers.h"
#include "result/clean.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static bool is_blank(uint32_t code)
{
    return code == ' ' || code == 0xA0 || code == 0x1680 || (code >= 0x2000 && code <= 0x200F) ||
           (code >= 0x2028 && code <= 0x202F) || (code >= 0x205F && code <= 0x2064) ||
           code == 0x3000 || code == 0xFEFF;
}

/* A spreadsheet takes a text that starts like this for a formula; some cut blanks of all sorts
 * first, and take the wide forms of the signs too. */
static bool looks_like_formula(const char *string)
{
    uint32_t code;
    size_t n;
    while ((n = clean_next(string, &code)) > 0 && is_blank(code))
        string += n;
    return n > 0 && ((code < 0x80 && strchr("=+-@", (int)code) != NULL) || code == 0xFF1D ||
                     code == 0xFF0B || code == 0xFF0D || code == 0xFF20);
}

/* Letter for letter, but for what would end a field or spoil a figure. */
static void add_letters(struct text *out, bool for_gnuplot, const char *string)
{
    size_t brackets = 0; /* "]" that stand just before */
    for (; *string; string++) {
        if (*string == '"')
            text_add(out, for_gnuplot ? "\xE2\x80\x9D" : "\"\"");
        else if (for_gnuplot && *string == '>' && brackets >= 2)
            text_add(out, TABLE_CSV_ANGLE);
        else
            text_add_bytes(out, string, 1);
        brackets = *string == ']' ? brackets + 1 : 0;
    }
}

static void add_text(struct text *out, bool for_gnuplot, const char *string)
{
    const char *guard = looks_like_formula(string) ? "'" : "";
    if (strpbrk(string, ",\"\r\n") == NULL && string[0] != ' ' &&
        (string[0] == '\0' || string[strlen(string) - 1] != ' ')) {
        text_add(out, guard);
        add_letters(out, for_gnuplot, string);
        return;
    }
    text_add(out, "\"");
    text_add(out, guard);
    add_letters(out, for_gnuplot, string);
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
