#include "description/value.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_TEXT = 32 };

void stated_list_free(struct stated_list *list)
{
    free(list->items);
    list->items = NULL;
    list->n = 0;
}

bool stated_list_add(struct stated_list *list, const struct stated_text *item,
                     struct faults *faults)
{
    struct stated_text *grown = realloc(list->items, (list->n + 1) * sizeof *grown);
    if (grown == NULL)
        return fault_memory(faults);
    list->items = grown;
    list->items[list->n++] = *item;
    return true;
}

/* "deg" of "deg or rad": the unit that a hint shows. */
static const char *first_example(enum dimension dimension, char out[NUMBER_TEXT])
{
    const char *examples = dimension_examples(dimension);
    size_t n = strcspn(examples, ",");
    const char * or = strstr(examples, " or ");
    if (or != NULL && (size_t)(or -examples) < n)
        n = (size_t)(or -examples);
    if (n >= NUMBER_TEXT)
        n = NUMBER_TEXT - 1;
    memcpy(out, examples, n);
    out[n] = '\0';
    if (dimension == DIM_NONE)
        strcpy(out, "%");
    return out;
}

/* Splits "2.05 m2" or "2.05m2". Returns: false if it does not begin with a number. */
static bool split_number(const char *text, double *value, const char **rest)
{
    size_t n = strcspn(text, " \t");
    if (!number_read(text, n, '.', value)) {
        n = strspn(text, "+-.,0123456789");
        if (n == 0 || !number_read(text, n, '.', value))
            return false;
    }
    *rest = text + n + strspn(text + n, " \t");
    return true;
}

static bool refuse_number(const char *text, const char *what, struct place at,
                          struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    if (text[0] == '\0')
        fault_found(fault, "there is no value");
    else
        fault_found(fault, "'%s' is not a number", text);
    fault_expected(fault, "%s", what);
    size_t comma = strspn(text, "+-0123456789");
    if (text[comma] == ',' && comma > 0)
        fault_hint(fault, "write the decimal sign as a point");
    return false;
}

static bool refuse_bare(const char *text, enum dimension dimension, struct place at,
                        struct faults *faults)
{
    char unit[NUMBER_TEXT];
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' has no unit", text);
    fault_expected(fault, "a number with a unit of %s: %s", dimension_name(dimension),
                   dimension_examples(dimension));
    fault_hint(fault, "write for instance '%s %s'", text, first_example(dimension, unit));
    return false;
}

/* The unit of the dimension that is spelled nearest; NULL if none is near. */
static const char *nearest_unit(const char *spelling, enum dimension dimension)
{
    enum { MOST = 32 };
    const char *names[MOST];
    size_t n = 0;
    size_t rows;
    const struct unit *table = unit_table(&rows);
    for (size_t i = 0; i < rows && n < MOST; i++)
        if (table[i].dimension == dimension)
            names[n++] = table[i].name;
    return text_nearest(spelling, names, n);
}

bool value_unit(const char *text, enum dimension dimension, struct place at,
                const struct unit **unit, struct faults *faults)
{
    const struct unit *found = unit_find(text, dimension);
    if (found != NULL) {
        *unit = found;
        unit_note_say(found, at, faults);
        return true;
    }
    enum dimension other = unit_dimension_of(text);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    if (other != DIM_COUNT)
        fault_found(fault, "'%s' is a unit of %s, not of %s", text, dimension_name(other),
                    dimension_name(dimension));
    else
        fault_found(fault, "'%s' is not a unit of %s", text, dimension_name(dimension));
    fault_expected(fault, "%s", dimension_examples(dimension));
    const char *say = unit_hint(text, dimension);
    const char *near = other == DIM_COUNT ? nearest_unit(text, dimension) : NULL;
    if (say != NULL)
        fault_hint(fault, "%s", say);
    else if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    return false;
}

/* An end of a range in the user's unit. */
static const char *in_unit(double si, const struct unit *unit, bool difference,
                           char out[NUMBER_TEXT])
{
    double value = unit == NULL ? si : (si - (difference ? 0.0 : unit->offset)) / unit->scale;
    snprintf(out, NUMBER_TEXT, "%.6g", value);
    return out;
}

static bool has_limits(const struct value_limits *limits)
{
    return limits != NULL && (limits->least != 0.0 || limits->most != 0.0 || limits->open_least);
}

static bool within(const struct value_limits *limits, double si)
{
    if (!isnan(limits->least) && (limits->open_least ? !(si > limits->least) : si < limits->least))
        return false;
    return isnan(limits->most) || si <= limits->most;
}

static bool check_limits(const char *text, double si, const struct unit *unit, bool difference,
                         const struct value_limits *limits, struct place at, struct faults *faults)
{
    if (!has_limits(limits) || within(limits, si))
        return true;
    char low[NUMBER_TEXT];
    char high[NUMBER_TEXT];
    bool named = unit != NULL && !text_same(unit->name, "1");
    const char *blank = named ? " " : "";
    const char *name = named ? unit->name : "";
    in_unit(limits->least, unit, difference, low);
    in_unit(limits->most, unit, difference, high);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' is out of range", text);
    if (isnan(limits->most))
        fault_expected(fault, "%s %s%s%s", limits->open_least ? "more than" : "at least", low,
                       blank, name);
    else if (limits->open_least)
        fault_expected(fault, "more than %s and at most %s%s%s", low, high, blank, name);
    else
        fault_expected(fault, "%s to %s%s%s", low, high, blank, name);
    return false;
}

bool value_number(const char *text, const struct value_limits *limits, struct place at,
                  double *value, struct faults *faults)
{
    double number;
    if (!number_read(text, strlen(text), '.', &number))
        return refuse_number(text, "a plain number without unit", at, faults);
    if (!check_limits(text, number, NULL, false, limits, at, faults))
        return false;
    *value = number;
    return true;
}

bool value_quantity(const char *text, enum dimension dimension, bool difference,
                    const struct value_limits *limits, struct place at, double *si,
                    struct faults *faults)
{
    double number;
    const char *rest;
    if (!split_number(text, &number, &rest)) {
        char what[160];
        char unit[NUMBER_TEXT];
        if (dimension == DIM_NONE)
            snprintf(what, sizeof what, "a number, such as '2.05 %%'");
        else
            snprintf(what, sizeof what, "a number with a unit of %s, such as '2.05 %s'",
                     dimension_name(dimension), first_example(dimension, unit));
        return refuse_number(text, what, at, faults);
    }
    const struct unit *unit = unit_find("1", DIM_NONE);
    if (*rest == '\0' && dimension != DIM_NONE)
        return refuse_bare(text, dimension, at, faults);
    if (*rest != '\0') {
        struct place unit_at = at;
        unit_at.column += (long)text_characters(text, (size_t)(rest - text));
        if (!value_unit(rest, dimension, unit_at, &unit, faults))
            return false;
    }
    double value = difference ? unit_difference(unit, number) : unit_absolute(unit, number);
    if (!check_limits(text, value, unit, difference, limits, at, faults))
        return false;
    *si = value;
    return true;
}

bool value_range(const char *text, enum dimension dimension, struct place at, double *low,
                 double *high, struct faults *faults)
{
    double first;
    double last;
    const char *rest;
    const char *to = strstr(text, " to ");
    char unit_name[NUMBER_TEXT];
    size_t n = to != NULL ? (size_t)(to - text) : 0;
    if (to == NULL || !number_read(text, n, '.', &first) ||
        !split_number(to + 4 + strspn(to + 4, " \t"), &last, &rest)) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' is not a range", text);
        fault_expected(fault, "two numbers and a unit of %s: '1 to 5 %s'",
                       dimension_name(dimension), first_example(dimension, unit_name));
        return false;
    }
    const struct unit *unit = unit_find("1", DIM_NONE);
    if (*rest == '\0' && dimension != DIM_NONE)
        return refuse_bare(text, dimension, at, faults);
    struct place unit_at = at;
    unit_at.column += (long)text_characters(text, (size_t)(rest - text));
    if (*rest != '\0' && !value_unit(rest, dimension, unit_at, &unit, faults))
        return false;
    if (!(first <= last)) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' runs backwards", text);
        fault_expected(fault, "the smaller number first");
        return false;
    }
    *low = unit_absolute(unit, first);
    *high = unit_absolute(unit, last);
    return true;
}

static void join_choices(const char *const *choices, size_t n, struct text *out)
{
    for (size_t i = 0; i < n; i++)
        text_addf(out, "%s%s", i == 0 ? "" : i + 1 < n ? ", " : " or ", choices[i]);
}

bool value_choice(const char *text, const char *const *choices, size_t n, struct place at,
                  size_t *index, struct faults *faults)
{
    for (size_t i = 0; i < n; i++) {
        if (text_same_nocase(text, choices[i])) {
            *index = i;
            return true;
        }
    }
    struct text list = {0};
    join_choices(choices, n, &list);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' is not one of the choices", text);
    fault_expected(fault, "%s", text_string(&list));
    const char *near = text_nearest(text, choices, n);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    text_free(&list);
    return false;
}
