#include "study/shared.h"

#include "base/text.h"

#include <string.h>

const char *shared_by_words(enum shared_by by)
{
    static const char *const words[] = {
        [SHARED_NOT] = "not shared",
        [SHARED_ID] = "one instrument, by its id",
        [SHARED_COLUMN] = "one column of one file",
        [SHARED_WATER] = "the properties of water",
        [SHARED_SURROUNDINGS] = "the same wind and sky, on the same days",
    };
    return words[by];
}

/* "calibration" of "sun.calibration". */
static const char *slot_of(const struct error_source *row)
{
    const char *dot = strrchr(row->id, '.');
    return dot == NULL ? row->id : dot + 1;
}

/* The instrument that a row belongs to: its id is "NAME.slot". */
static const struct instrument *owner(const struct tested *tested, const struct error_source *row)
{
    const struct test_setup *setup = &tested->reduction->setup;
    size_t n = (size_t)(slot_of(row) - row->id);
    for (size_t i = 0; i < setup->n_instruments; i++) {
        const char *name = setup->instruments[i].name;
        if (strlen(name) + 1 == n && strncmp(name, row->id, n - 1) == 0)
            return &setup->instruments[i];
    }
    return NULL;
}

static bool one_column(const struct tested *a, const struct instrument *x, const struct tested *b,
                       const struct instrument *y)
{
    return x != NULL && y != NULL && x->column.at.given && y->column.at.given &&
           text_same(x->column.text, y->column.text) &&
           log_set_share(&a->reduction->logs, x->channel, &b->reduction->logs, y->channel);
}

static bool same_column(const struct tested *a, const struct error_source *row_a,
                        const struct tested *b, const struct error_source *row_b)
{
    return one_column(a, owner(a, row_a), b, owner(b, row_b));
}

bool shared_channel(const struct tested *a, const struct tested *b, enum channel channel)
{
    const struct test_setup *x = &a->reduction->setup, *y = &b->reduction->setup;
    return one_column(a, instrument_of_channel(x->instruments, x->n_instruments, channel), b,
                      instrument_of_channel(y->instruments, y->n_instruments, channel));
}

/* Whether any point of both lies in one session. */
static bool share_a_day(const struct tested *a, const struct tested *b)
{
    const struct means_list *x = &a->reduction->means, *y = &b->reduction->means;
    for (size_t i = 0; i < x->n; i++)
        for (size_t k = 0; k < y->n; k++)
            if (x->items[i].timed && y->items[k].timed &&
                x->items[i].session == y->items[k].session)
                return true;
    return false;
}

static bool both_of_water(const struct tested *a, const struct tested *b)
{
    return a->setup.fluid->kind == FLUID_WATER && b->setup.fluid->kind == FLUID_WATER;
}

enum shared_by shared_judge(const struct tested *a, const struct error_source *row_a,
                            const struct tested *b, const struct error_source *row_b)
{
    if (row_a->kind != row_b->kind || !text_same(slot_of(row_a), slot_of(row_b)) ||
        row_a->targets[0].what != row_b->targets[0].what ||
        row_a->targets[0].channel != row_b->targets[0].channel)
        return SHARED_NOT;
    if (row_a->instrument_id[0] != '\0' && text_same(row_a->instrument_id, row_b->instrument_id))
        return SHARED_ID;
    if (same_column(a, row_a, b, row_b))
        return SHARED_COLUMN;
    if (!text_same(row_a->id, row_b->id))
        return SHARED_NOT;
    if ((text_same(row_a->id, "fluid.cp") || text_same(row_a->id, "fluid.density")) &&
        both_of_water(a, b))
        return SHARED_WATER;
    return text_starts(row_a->id, "surroundings.") && share_a_day(a, b) ? SHARED_SURROUNDINGS
                                                                       : SHARED_NOT;
}
