#include "ingest/head_units.h"

#include "base/text.h"
#include "base/units.h"
#include "domain/head_unit.h"

#include <string.h>

/* Cuts what stands between `from` and `to`. Returns: false if it is empty or too long for a unit.
 */
static bool cut(const char *from, const char *to, char out[HEAD_TEXT_SIZE])
{
    size_t n = (size_t)(to - from);
    if (n == 0 || n >= HEAD_TEXT_SIZE)
        return false;
    memcpy(out, from, n);
    out[n] = '\0';
    char *trimmed = text_trim(out);
    memmove(out, trimmed, strlen(trimmed) + 1);
    return out[0] != '\0';
}

/* "[degF]", "(degF)" or ", degF" at the end of a name. */
static bool unit_of_name(const char *name, char out[HEAD_TEXT_SIZE])
{
    size_t n = strlen(name);
    char last = n == 0 ? '\0' : name[n - 1];
    const char *open = last == ']' ? strrchr(name, '[') : last == ')' ? strchr(name, '(') : NULL;
    if (open != NULL)
        return cut(open + 1, name + n - 1, out);
    const char *comma = strrchr(name, ',');
    return comma != NULL && cut(comma + 1, name + n, out);
}

bool head_units_cut(const char *bytes, size_t n, char out[HEAD_TEXT_SIZE])
{
    bool bracketed = n > 2 && ((bytes[0] == '[' && bytes[n - 1] == ']') ||
                               (bytes[0] == '(' && bytes[n - 1] == ')'));
    return cut(bytes + bracketed, bytes + n - bracketed, out);
}

bool head_units_differ(const struct unit *a, const struct unit *b)
{
    return a->scale < b->scale || a->scale > b->scale || a->offset < b->offset ||
           a->offset > b->offset;
}

/* What a head says of a column's unit. */
struct said {
    const struct unit *unit; /* NULL: nothing */
    char text[HEAD_TEXT_SIZE];
    bool sure;
};

/* In a row of units, between brackets or behind a comma: whatever unit the column's dimension
 * has. */
static bool say_plainly(const struct rows *rows, size_t k, struct said *said)
{
    enum dimension dimension = rows->form->plan->columns[k].unit->dimension;
    const struct header *header = &rows->header;
    size_t field = rows->field[k];
    said->sure = true;
    const char *below = header->units != NULL ? header->units[field] : "";
    if (head_units_cut(below, strlen(below), said->text))
        said->unit = unit_find(said->text, dimension);
    if (said->unit == NULL && unit_of_name(header->names[field], said->text))
        said->unit = unit_find(said->text, dimension);
    return said->unit != NULL;
}

/* Whether another name is the same but for its last letter, which is no unit: "Inlet A" beside
 * "Inlet F". */
static bool is_lettered(const struct header *header, size_t field)
{
    const char *name = header->names[field];
    size_t n = strlen(name);
    for (size_t i = 0; i < header->n; i++) {
        const char *other = header->names[i];
        if (i != field && strlen(other) == n && memcmp(other, name, n - 1) == 0 &&
            strchr("CcFfKkRr", other[n - 1]) == NULL)
            return true;
    }
    return false;
}

/* At the end of the name, as draft reads it. */
static bool say_at_end(const struct rows *rows, size_t k, struct said *said)
{
    struct head_unit head;
    size_t field = rows->field[k];
    head_unit_find(rows->header.names[field], &head);
    if (head.unit == NULL || head.unit->dimension != rows->form->plan->columns[k].unit->dimension)
        return false;
    said->unit = head.unit;
    said->sure = head_unit_is_sure(&head) &&
                 (head.text[1] != '\0' || !is_lettered(&rows->header, field));
    strcpy(said->text, head.text);
    return true;
}

/* "TinF": the last letter may be the unit of a thermometer. */
static bool say_with_letter(const struct rows *rows, size_t k, struct said *said)
{
    const char *name = rows->header.names[rows->field[k]];
    size_t n = strlen(name);
    if (rows->form->plan->columns[k].unit->dimension != DIM_TEMPERATURE || n < 2 ||
        name[n - 2] < 'a' || name[n - 2] > 'z' || strchr("CF", name[n - 1]) == NULL)
        return false;
    strcpy(said->text, name + n - 1);
    said->unit = unit_find(said->text, DIM_TEMPERATURE);
    said->sure = false;
    return said->unit != NULL;
}

/* Returns: false if it is an input fault. */
static bool complain(const struct rows *rows, size_t k, const struct said *said,
                     struct faults *faults)
{
    const struct log_column *column = &rows->form->plan->columns[k];
    struct place at = fault_at(rows->path, rows->header.line, 0);
    struct fault *fault = fault_new(faults, said->sure ? FAULT_INPUT : FAULT_WARNING, at);
    fault_field(fault, "field %zu '%s'", rows->field[k] + 1, column->name);
    fault_found(fault, "the log's head %s '%s', the description 'unit = %s'",
                said->sure ? "says" : "may say", said->text, column->unit->name);
    if (said->sure)
        fault_hint(fault,
                   "set 'unit' of its instrument to what the log holds; if it is the head that is "
                   "wrong, state 'head unit = wrong' there");
    else
        fault_hint(fault,
                   "if '%s' is the unit, set 'unit' of its instrument to it; if it is a part of "
                   "the name, state 'head unit = wrong' there",
                   said->text);
    return !said->sure;
}

/* Whether the log's unit may be that of a raw signal, or the head is stated to be wrong. */
static bool is_not_judged(const struct log_column *column)
{
    bool own_gain =
        column->gain < 1.0 || column->gain > 1.0 || column->add < 0.0 || column->add > 0.0;
    return own_gain || column->signal != NULL || column->head_unit_wrong;
}

const struct unit *head_units_so_far(const struct rows *rows, size_t k, bool *by_head)
{
    const struct log_column *column = &rows->form->plan->columns[k];
    struct said said = {.unit = NULL};
    *by_head = say_plainly(rows, k, &said);
    return *by_head ? said.unit : is_not_judged(column) ? NULL : column->unit;
}

bool head_units_check(const struct rows *rows, struct faults *faults)
{
    bool good = true;
    for (size_t k = 0; k < rows->form->plan->n_columns; k++) {
        const struct log_column *column = &rows->form->plan->columns[k];
        struct said said = {.unit = NULL};
        if (!is_not_judged(column) &&
            (say_plainly(rows, k, &said) || say_at_end(rows, k, &said) ||
             say_with_letter(rows, k, &said)) &&
            head_units_differ(said.unit, column->unit))
            good = complain(rows, k, &said, faults) && good;
    }
    return good;
}
