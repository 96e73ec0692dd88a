#include "draft/clock_look.h"

#include <math.h>
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

/* Of nine rows in ten. */
static bool is_most(const struct sample *sample, size_t n)
{
    return sample->n_rows > 0 && 10 * n >= 9 * sample->n_rows;
}

bool clock_look_is_share(const struct sample *sample, size_t column)
{
    size_t n = 0, parts = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        double value;
        if (!sample_number(sample, row, column, &value) || value < 0.0 || value >= 1.0)
            continue;
        n++;
        parts += value > 0.0;
    }
    return parts > 0 && is_most(sample, n);
}

size_t clock_look_share(const struct sample *sample)
{
    for (size_t i = 0; i < sample->head.n; i++)
        if (head_rows_time_word(sample->head.name[i]) &&
            sample_name_trouble(sample, i, true) == NULL && clock_look_is_share(sample, i))
            return i;
    return sample->head.n;
}

bool clock_look_whole(const struct sample *sample, size_t column)
{
    size_t n = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        double value;
        n += sample_number(sample, row, column, &value) && floor(value) == value;
    }
    return is_most(sample, n);
}
