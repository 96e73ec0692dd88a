#include "run/check_section.h"

#include "base/numbers.h"
#include "base/units.h"
#include "run/stated_stamp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define OF(kind) (1u << (kind))

static const char *const kind_words[] = {"efficiency", "zero check", "thermometers together",
                                         "bucket and stopwatch"};

/* Which kinds of check take a key. */
static const struct key_row {
    const char *key;
    unsigned kinds;
    size_t offset; /* of the field in struct check_keys */
    bool list;     /* the field is a struct stated_list */
} key_rows[] = {
    {"from", OF(CHECK_ZERO) | OF(CHECK_TOGETHER), offsetof(struct check_keys, from), false},
    {"to", OF(CHECK_ZERO) | OF(CHECK_TOGETHER), offsetof(struct check_keys, to), false},
    {"thermometers", OF(CHECK_TOGETHER), offsetof(struct check_keys, thermometers), true},
    {"reference", OF(CHECK_TOGETHER), offsetof(struct check_keys, reference), false},
    {"reference error", OF(CHECK_TOGETHER), offsetof(struct check_keys, reference_error), false},
    {"compared", OF(CHECK_TOGETHER), offsetof(struct check_keys, compared), true},
    {"fill", OF(CHECK_BUCKET), offsetof(struct check_keys, fill), true},
    {"bucket error", OF(CHECK_BUCKET), offsetof(struct check_keys, bucket_error), false},
    {"stopwatch error", OF(CHECK_BUCKET), offsetof(struct check_keys, stopwatch_error), false},
    {"water", OF(CHECK_BUCKET), offsetof(struct check_keys, water_degC), false},
    {"left", OF(CHECK_ZERO) | OF(CHECK_TOGETHER), offsetof(struct check_keys, left), false},
    {"zero left", OF(CHECK_ZERO), offsetof(struct check_keys, zero_left), false},
    {"apply", OF(CHECK_ZERO) | OF(CHECK_TOGETHER) | OF(CHECK_BUCKET),
     offsetof(struct check_keys, apply), false},
};

static const struct stated *stated_of(const struct check_keys *keys, const struct key_row *row)
{
    const void *field = (const char *)keys + row->offset;
    if (!row->list)
        return field;
    const struct stated_list *list = field;
    return list->n > 0 ? &list->items[0].at : NULL;
}

/* "it belongs to a run of kind 'zero check' or 'thermometers together'" */
static void hint_kinds(struct fault *fault, unsigned kinds)
{
    struct text list = {0};
    for (int kind = CHECK_ZERO; kind <= CHECK_BUCKET; kind++)
        if ((kinds & OF(kind)) != 0)
            text_addf(&list, "%s'%s'", list.length > 0 ? " or " : "", kind_words[kind]);
    fault_hint(fault, "it belongs to a run of kind %s", text_string(&list));
    text_free(&list);
}

static bool refuse_strange_keys(const struct check_keys *keys, enum check_kind kind,
                                const char *file, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < LENGTH(key_rows); i++) {
        const struct stated *at = stated_of(keys, &key_rows[i]);
        if (at == NULL || !at->given || (key_rows[i].kinds & OF(kind)) != 0)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
        fault_found(fault, "'%s' is no key of the kind '%s'", key_rows[i].key, kind_words[kind]);
        hint_kinds(fault, key_rows[i].kinds);
        good = false;
    }
    return good;
}

static bool refuse_absent(const char *name, struct place head, const char *what,
                          const char *example, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, head);
    fault_found(fault, "[run %s] has no %s", name, what);
    fault_hint(fault, "add for instance '%s'", example);
    return false;
}

static struct place at_of(const struct place *head, const struct stated *at)
{
    return fault_at(head->file, at->line, at->column);
}

static bool read_stretch(struct check_keys *keys, const char *name, struct place head,
                         struct faults *faults)
{
    if (!keys->from.at.given || !keys->to.at.given)
        return refuse_absent(name, head, keys->from.at.given ? "'to'" : "'from'",
                             keys->from.at.given ? "to = 2026-06-15T22:20:00+01:00"
                                                 : "from = 2026-06-15T22:00:00+01:00",
                             faults);
    bool good = stated_stamp_read(keys->from.text, keys->zone, at_of(&head, &keys->from.at),
                                  &keys->start_us, faults);
    good &= stated_stamp_read(keys->to.text, keys->zone, at_of(&head, &keys->to.at),
                              &keys->end_us, faults);
    if (!good)
        return false;
    keys->stretch = true;
    if (keys->start_us < keys->end_us)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, at_of(&head, &keys->to.at));
    fault_found(fault, "the check does not end after it starts ('from' is on line %ld)",
                keys->from.at.line);
    return false;
}

/* The next part of a list with commas, trimmed. Returns: where the one after begins; NULL at the
 * end. */
static const char *next_part(const char *text, char part[VALUE_SIZE])
{
    size_t n = strcspn(text, ",");
    char copy[VALUE_SIZE];
    memcpy(copy, text, n);
    copy[n] = '\0';
    strcpy(part, text_trim(copy));
    return text[n] == ',' ? text + n + 1 : NULL;
}

static bool refuse_compared(const struct stated_text *item, struct place at, size_t n,
                            struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' does not hold one reading for each of the %zu thermometers",
                item->text, n);
    fault_expected(fault, "as many temperatures as 'thermometers' names, in its order, with their "
                          "unit: '21.44 degC, 21.88 degC'");
    return false;
}

static bool read_compared(struct check_keys *keys, const struct stated_text *item, struct place at,
                          struct faults *faults)
{
    static const struct value_limits limits = {-50.0, 200.0, false};
    double *row = keys->readings[keys->n_readings];
    const char *rest = item->text;
    size_t n = 0;
    for (; rest != NULL && n < keys->thermometers.n; n++) {
        char part[VALUE_SIZE];
        rest = next_part(rest, part);
        if (!value_quantity(part, DIM_TEMPERATURE, false, &limits, at, &row[n], faults))
            return false;
    }
    if (rest != NULL || n < keys->thermometers.n)
        return refuse_compared(item, at, keys->thermometers.n, faults);
    keys->n_readings++;
    return true;
}

static bool read_all_compared(struct check_keys *keys, struct place head, struct faults *faults)
{
    bool good = true;
    keys->readings = calloc(keys->compared.n, sizeof *keys->readings);
    if (keys->readings == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < keys->compared.n; i++) {
        const struct stated_text *item = &keys->compared.items[i];
        good = read_compared(keys, item, at_of(&head, &item->at), faults) && good;
    }
    return good;
}

static bool refuse_number_of(struct place at, const char *what, size_t n, const char *expected,
                             struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "%zu %s", n, what);
    fault_expected(fault, "%s", expected);
    return false;
}

static bool settle_together(struct check_keys *keys, const char *name, struct place head,
                            struct faults *faults)
{
    size_t n = keys->thermometers.n;
    if (n == 0)
        return refuse_absent(name, head, "'thermometers'", "thermometers = inlet, outlet", faults);
    if (n < 2 || n > CHECK_PROBES)
        return refuse_number_of(at_of(&head, &keys->thermometers.items[0].at),
                                n < 2 ? "thermometer cannot be compared" : "thermometers", n,
                                "2 to 6 names with commas between", faults);
    if (keys->reference_error.at.given && !keys->reference.at.given)
        return refuse_absent(name, head, "'reference', but a 'reference error'",
                             "reference = certified", faults);
    if (keys->compared.n == 0)
        return read_stretch(keys, name, head, faults);
    if (keys->from.at.given || keys->to.at.given) {
        const struct stated *at = keys->from.at.given ? &keys->from.at : &keys->to.at;
        struct fault *fault = fault_new(faults, FAULT_INPUT, at_of(&head, at));
        fault_found(fault, "[run %s] has both a stretch of the log and typed readings", name);
        fault_expected(fault, "'from' and 'to', or 'compared'");
        return false;
    }
    if (keys->compared.n < 2 || keys->compared.n > CHECK_READINGS)
        return refuse_number_of(
            at_of(&head, &keys->compared.items[0].at),
            keys->compared.n < 2 ? "reading tells nothing of the scatter" : "readings",
            keys->compared.n, "2 to 60 lines 'compared = ...'; 5 are good", faults);
    return read_all_compared(keys, head, faults);
}

static bool refuse_fill(const struct stated_text *item, struct place at, const char *why,
                        struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' %s", item->text, why);
    fault_expected(fault, "what came into the bucket, the time, and what the meter showed: "
                          "'8.02 L, 300 s, 3609 pulses', '8.02 kg, 300 s, 1.62 L/min' or "
                          "'8.02 L, 300 s, 8.21 L'");
    return false;
}

/* The dimension of the unit behind a part's number. */
static enum dimension dimension_of_part(const char *part)
{
    const char *unit = part + strspn(part, "+-.0123456789eE");
    unit += strspn(unit, " \t");
    static const enum dimension known[] = {DIM_TIME, DIM_PULSES,      DIM_VOLUME,
                                           DIM_MASS, DIM_VOLUME_FLOW, DIM_MASS_FLOW};
    for (size_t i = 0; i < LENGTH(known); i++)
        if (unit_find(unit, known[i]) != NULL)
            return known[i];
    return DIM_COUNT;
}

/* A part behind the first. Returns: false if its place is taken, or it has none. */
static bool take_part(struct bucket_fill *fill, enum dimension dimension, double value)
{
    bool shows = !isnan(fill->pulses) || !isnan(fill->shown) || !isnan(fill->flow);
    double *place = dimension == DIM_TIME                                        ? &fill->time_s
                    : shows                                                      ? NULL
                    : dimension == DIM_PULSES                                    ? &fill->pulses
                    : dimension == DIM_VOLUME || dimension == DIM_MASS           ? &fill->shown
                    : dimension == DIM_VOLUME_FLOW || dimension == DIM_MASS_FLOW ? &fill->flow
                                                                                 : NULL;
    if (place == NULL || !isnan(*place))
        return false;
    *place = value;
    fill->shown_mass |= dimension == DIM_MASS || dimension == DIM_MASS_FLOW;
    return true;
}

static bool read_fill(const struct stated_text *item, struct place at, struct bucket_fill *fill,
                      struct faults *faults)
{
    static const struct value_limits limits = {0.0, 1e9, true};
    *fill = (struct bucket_fill){
        .bucket = NAN, .time_s = NAN, .pulses = NAN, .shown = NAN, .flow = NAN, .at = at};
    const char *rest = item->text;
    while (rest != NULL) {
        char part[VALUE_SIZE];
        double value;
        rest = next_part(rest, part);
        enum dimension dimension = dimension_of_part(part);
        if (dimension == DIM_COUNT)
            return refuse_fill(item, at, "holds a part whose unit is not understood", faults);
        if (!value_quantity(part, dimension, false, &limits, at, &value, faults))
            return false;
        if (!isnan(fill->bucket)) {
            if (!take_part(fill, dimension, value))
                return refuse_fill(item, at, "says two things of one kind", faults);
        } else if (dimension == DIM_VOLUME || dimension == DIM_MASS) {
            fill->bucket = value;
            fill->by_mass = dimension == DIM_MASS;
        } else {
            return refuse_fill(item, at, "does not begin with what came into the bucket", faults);
        }
    }
    if (isnan(fill->pulses) && isnan(fill->shown) && isnan(fill->flow))
        return refuse_fill(item, at, "does not say what the meter showed", faults);
    if (!isnan(fill->flow) && isnan(fill->time_s))
        return refuse_fill(item, at, "gives a flow and no time", faults);
    return true;
}

static bool settle_bucket(struct check_keys *keys, const char *name, struct place head,
                          struct faults *faults)
{
    size_t n = keys->fill.n;
    if (n == 0)
        return refuse_absent(name, head, "'fill'", "fill = 8.02 L, 300 s, 1.62 L/min", faults);
    if (n < 2 || n > CHECK_FILLS)
        return refuse_number_of(at_of(&head, &keys->fill.items[0].at),
                                n < 2 ? "fill tells nothing of the scatter" : "fills", n,
                                "2 to 20 lines 'fill = ...'; 4 are good", faults);
    keys->fills = calloc(n, sizeof *keys->fills);
    if (keys->fills == NULL)
        return fault_memory(faults);
    bool good = true;
    for (size_t i = 0; i < n; i++) {
        const struct stated_text *item = &keys->fill.items[i];
        if (read_fill(item, at_of(&head, &item->at), &keys->fills[keys->n_fills], faults))
            keys->n_fills++;
        else
            good = false;
    }
    return good;
}

void check_keys_free(struct check_keys *keys)
{
    stated_list_free(&keys->thermometers);
    stated_list_free(&keys->compared);
    stated_list_free(&keys->fill);
    free(keys->readings);
    free(keys->fills);
    keys->readings = NULL;
    keys->fills = NULL;
    keys->n_readings = keys->n_fills = 0;
}

bool check_settle(struct check_keys *keys, enum check_kind kind, const char *name,
                  struct place head, struct faults *faults)
{
    keys->applied = !keys->apply.at.given || keys->apply.index == 0;
    bool good = refuse_strange_keys(keys, kind, head.file, faults);
    switch (kind) {
    case CHECK_NONE:
        return good;
    case CHECK_ZERO:
        return read_stretch(keys, name, head, faults) && good;
    case CHECK_TOGETHER:
        return settle_together(keys, name, head, faults) && good;
    case CHECK_BUCKET:
        return settle_bucket(keys, name, head, faults) && good;
    }
    return false;
}
