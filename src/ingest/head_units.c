#include "ingest/head_units.h"

#include "base/text.h"
#include "base/units.h"

#include <string.h>

enum { UNIT_TEXT_SIZE = 40 };

/* Cuts what stands between `from` and `to`. Returns: false if it is empty or too long for a unit.
 */
static bool cut(const char *from, const char *to, char out[UNIT_TEXT_SIZE])
{
    size_t n = (size_t)(to - from);
    if (n == 0 || n >= UNIT_TEXT_SIZE)
        return false;
    memcpy(out, from, n);
    out[n] = '\0';
    char *trimmed = text_trim(out);
    memmove(out, trimmed, strlen(trimmed) + 1);
    return out[0] != '\0';
}

/* "[degF]", "(degF)" or ", degF" at the end of a name. */
static bool unit_of_name(const char *name, char out[UNIT_TEXT_SIZE])
{
    size_t n = strlen(name);
    char last = n == 0 ? '\0' : name[n - 1];
    const char *open = last == ']' ? strrchr(name, '[') : last == ')' ? strchr(name, '(') : NULL;
    if (open != NULL)
        return cut(open + 1, name + n - 1, out);
    const char *comma = strrchr(name, ',');
    return comma != NULL && cut(comma + 1, name + n, out);
}

/* A row of units may stand in brackets as well. */
static bool unit_of_row(const char *text, char out[UNIT_TEXT_SIZE])
{
    size_t n = strlen(text);
    bool bracketed =
        n > 2 && ((text[0] == '[' && text[n - 1] == ']') || (text[0] == '(' && text[n - 1] == ')'));
    return cut(text + bracketed, text + n - bracketed, out);
}

static bool differs(const struct unit *a, const struct unit *b)
{
    return a->scale < b->scale || a->scale > b->scale || a->offset < b->offset ||
           a->offset > b->offset;
}

static const struct unit *stated_unit(const struct rows *rows, size_t k, char text[UNIT_TEXT_SIZE])
{
    enum dimension dimension = rows->form->plan->columns[k].unit->dimension;
    const struct header *header = &rows->header;
    const struct unit *unit = NULL;
    size_t field = rows->field[k];
    if (header->units != NULL && unit_of_row(header->units[field], text))
        unit = unit_find(text, dimension);
    if (unit == NULL && unit_of_name(header->names[field], text))
        unit = unit_find(text, dimension);
    return unit;
}

static bool complain(const struct rows *rows, size_t k, const char *text, struct faults *faults)
{
    const struct log_column *column = &rows->form->plan->columns[k];
    struct place at = fault_at(rows->path, rows->header.line, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_field(fault, "field %zu '%s'", rows->field[k] + 1, column->name);
    fault_found(fault, "the log's head says '%s', the description 'unit = %s'", text,
                column->unit->name);
    fault_hint(fault,
               "set 'unit' of its instrument to what the log holds; if it is the head that is "
               "wrong, state 'head unit = wrong' there");
    return false;
}

bool head_units_check(const struct rows *rows, struct faults *faults)
{
    bool good = true;
    for (size_t k = 0; k < rows->form->plan->n_columns; k++) {
        const struct log_column *column = &rows->form->plan->columns[k];
        char text[UNIT_TEXT_SIZE];
        bool own_gain =
            column->gain < 1.0 || column->gain > 1.0 || column->add < 0.0 || column->add > 0.0;
        if (own_gain || column->signal != NULL || column->head_unit_wrong)
            continue;
        const struct unit *unit = stated_unit(rows, k, text);
        if (unit != NULL && differs(unit, column->unit))
            good = complain(rows, k, text, faults);
    }
    return good;
}
