#include "draft/clock_zone.h"

#include "domain/words.h"
#include "ingest/stamp_zone.h"

#include <string.h>

/* A name such as "UTC offset" or "tz". Common practice, no source. */
bool clock_zone_named(const char *name)
{
    static const char *const words[] = {"zone",      "tz",  "timezone", "utc",
                                        "utcoffset", "gmt", "offset",   "dst"};
    return words_any(name, words, sizeof words / sizeof words[0]);
}

static bool is_zone(const char *cell)
{
    const char *at = cell, *end = cell + strlen(cell);
    int64_t offset_s;
    return stamp_zone_take(&at, end, &offset_s) == STAMP_ZONE_GOOD && at == end;
}

struct zone_cells clock_zone_look(const struct sample *sample, size_t column)
{
    struct zone_cells cells = {.change = sample->n_rows};
    const char *before = NULL;
    for (size_t row = 0; row < sample->n_rows; row++) {
        const char *cell = sample_cell(sample, row, column);
        double value;
        if (cell[0] == '\0')
            continue;
        cells.n++;
        cells.first = cells.first == NULL ? cell : cells.first;
        cells.zones += is_zone(cell);
        cells.numbers += sample_number(sample, row, column, &value);
        if (!is_zone(cell) && cells.odd == NULL)
            cells.odd = cell;
        if (before != NULL && strcmp(before, cell) != 0 && cells.change == sample->n_rows)
            cells.change = row;
        before = cell;
    }
    return cells;
}

size_t clock_zone_find(const struct sample *sample, const struct clock *clock)
{
    for (size_t i = 0; i < sample->head.n; i++) {
        if (clock_uses(clock, i))
            continue;
        struct zone_cells cells = clock_zone_look(sample, i);
        if (cells.n > 0 && cells.zones == cells.n &&
            (cells.numbers == 0 || clock_zone_named(sample->head.name[i])))
            return i;
    }
    return sample->head.n;
}
