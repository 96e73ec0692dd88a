#include "draft/clock_look.h"

#include <string.h>

enum { LOOK_AT = 20 };

/* What most of a column's first filled cells look like. */
static enum cell_kind look_at(const struct sample *sample, size_t column)
{
    size_t seen[CELL_TEXT + 1] = {0};
    size_t filled = 0;
    for (size_t row = 0; row < sample->n_rows && filled < LOOK_AT; row++) {
        const char *cell = sample_cell(sample, row, column);
        if (cell[0] == '\0')
            continue;
        filled++;
        seen[cell_kind(cell, strlen(cell), sample->dialect.decimal)]++;
    }
    for (int kind = CELL_DATE; kind <= CELL_STAMP; kind++)
        if (2 * seen[kind] > filled)
            return (enum cell_kind)kind;
    return CELL_TEXT;
}

size_t clock_look_find(const struct sample *sample, enum cell_kind look)
{
    size_t first = sample->head.n;
    for (size_t i = 0; i < sample->head.n; i++) {
        if (look_at(sample, i) != look)
            continue;
        if (sample_name_trouble(sample, i, true) == NULL)
            return i;
        if (first == sample->head.n)
            first = i;
    }
    return first;
}
