#include "run/rank_tables.h"

#include <stdio.h>

enum { NAMED = 3 };

double ranked_share(const struct ranked *ranked, size_t i)
{
    double part = ranked->sources[i].u / ranked->u;
    return part * part;
}

static bool file_rows(const struct ranked *ranked, struct table *table, struct faults *faults)
{
    for (size_t i = 0; i < ranked->n; i++) {
        const struct rank_source *source = &ranked->sources[i];
        struct cell cells[] = {cell_text(ranked->word),
                               cell_text(source->id),
                               cell_text(source->label),
                               cell_text(rank_kind_word(source->kind)),
                               cell_number(source->u),
                               cell_number(100 * ranked_share(ranked, i)),
                               cell_text(source->cure)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

bool ranked_file(const char *id, const char *note, const struct ranked *ranked, size_t n,
                 struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "coefficient", .label = "of", .unit = "", .kind = CELL_TEXT},
        {.id = "source", .label = "source", .unit = "", .kind = CELL_TEXT},
        {.id = "what", .label = "what", .unit = "", .kind = CELL_TEXT},
        {.id = "kind", .label = "kind", .unit = "", .kind = CELL_TEXT},
        {.id = "shift", .label = "shift", .unit = "", .kind = CELL_NUMBER, .digits = 5},
        {.id = "share [%]", .label = "share", .unit = "%", .kind = CELL_NUMBER, .digits = 1},
        {.id = "cure", .label = "cheapest cure", .unit = "", .kind = CELL_TEXT},
    };
    struct table *table = document_table(doc, id, "Where the uncertainty comes from", note, columns,
                                         sizeof columns / sizeof columns[0], faults);
    bool good = table != NULL;
    if (good)
        table->file = true;
    for (size_t k = 0; k < n && good; k++)
        good = file_rows(&ranked[k], table, faults);
    return good;
}

static bool named_rows(const struct ranked *ranked, struct table *table, struct faults *faults)
{
    for (size_t i = 0; i < ranked->n && i < NAMED; i++) {
        const struct rank_source *source = &ranked->sources[i];
        char words[2 * ERROR_LABEL_SIZE + 8];
        if (ranked_share(ranked, i) < RANK_SHARE_LEAST)
            break;
        snprintf(words, sizeof words, "%s%s%s", source->label,
                 source->cure[0] != '\0' ? ": " : "", source->cure);
        struct cell cells[] = {cell_text(i == 0 ? ranked->people : ""),
                               cell_number(100 * ranked_share(ranked, i)), cell_text(words)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

bool ranked_named(const char *id, const char *title, const char *note, enum table_place place,
                  const struct ranked *ranked, size_t n, struct document *doc,
                  struct faults *faults)
{
    struct column columns[] = {
        {.id = "of", .label = "of", .unit = "", .kind = CELL_TEXT},
        {.id = "share", .label = "share", .unit = "%", .kind = CELL_NUMBER, .digits = 0},
        {.id = "source",
         .label = "what limits it: the cheapest cure",
         .unit = "",
         .kind = CELL_TEXT},
    };
    struct table *table =
        document_table(doc, id, title, note, columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = true;
    table->place = place;
    for (size_t k = 0; k < n; k++)
        if (!named_rows(&ranked[k], table, faults))
            return false;
    return true;
}
