#include "report/cells.h"

#include "base/numbers.h"
#include "result/prose.h"
#include "result/typography.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

const char *cell_words(const struct column *column, const struct cell *cell, char *buffer)
{
    if (column->kind == CELL_TEXT) {
        if (cell->text == NULL)
            return "";
        if (text_same(column->id, "coefficient") ||
            (text_same(column->id, "of") && strchr(cell->text, ' ') == NULL))
            return typo_symbol(cell->text, buffer, CELL_SIZE);
        return text_same(column->id, "unit") ? typo_unit(cell->text, buffer, CELL_SIZE)
                                             : prose_words(cell->text, buffer, CELL_SIZE);
    }
    if (!isfinite(cell->value))
        return "";
    char ascii[CELL_SIZE];
    if (column->digits < 0)
        number_significant(cell->value, 4, ascii, 32);
    else
        snprintf(ascii, sizeof ascii, "%.*f", column->digits, cell->value);
    bool zero = strspn(ascii, "-0.") == strlen(ascii);
    return typo_number(zero && ascii[0] == '-' ? ascii + 1 : ascii, buffer, CELL_SIZE);
}

bool cell_column_shown(const struct table *table, size_t i)
{
    char buffer[CELL_SIZE];
    for (size_t row = 0; i > 0 && row < table->n_rows; row++) {
        struct cell cell = table_cell(table, row, i);
        if (cell_words(&table->columns[i], &cell, buffer)[0] != '\0')
            return true;
    }
    return i == 0;
}

const char *cell_head(const struct column *column, char *buffer)
{
    return typo_symbol(column->label, buffer, CELL_SIZE);
}

const char *cell_unit(const struct column *column, char *buffer)
{
    return typo_unit(column->unit, buffer, CELL_SIZE);
}
