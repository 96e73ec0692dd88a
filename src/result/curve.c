#include "result/curve.h"

#include "base/numbers.h"
#include "base/text.h"
#include "result/clean.h"

#include <jansson.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char schema_name[] = "etabench results";
enum { SCHEMA_VERSION = 1 };

/* What is being read, for the messages. */
struct source {
    const char *name;
    struct faults *faults;
};

void curve_init(struct curve *curve)
{
    memset(curve, 0, sizeof *curve);
}

void curve_free(struct curve *curve)
{
    for (size_t i = 0; i < curve->n_parts; i++) {
        free(curve->parts[i].id);
        free(curve->parts[i].label);
    }
    free(curve->parts);
    free(curve->title);
    curve_init(curve);
}

static bool state_number(struct document *doc, const char *key, double value, struct faults *faults)
{
    char digits[32];
    return document_fact(doc, "curve", key, faults, "%s",
                         number_exact(value, digits, sizeof digits));
}

bool curve_state(const struct curve *curve, struct document *doc, struct faults *faults)
{
    return document_fact(doc, "curve", "form", faults, "%s", curve->form) &&
           document_fact(doc, "curve", "area basis", faults, "%s", curve->area_basis) &&
           document_fact(doc, "curve", "fluid temperature", faults, "%s", curve->temperature) &&
           state_number(doc, "area (m2)", curve->area_m2, faults) &&
           state_number(doc, "tested from (m2 K/W)", curve->x_low, faults) &&
           state_number(doc, "tested to (m2 K/W)", curve->x_high, faults) &&
           state_number(doc, "irradiance from (W/m2)", curve->g_low_W_m2, faults) &&
           state_number(doc, "irradiance to (W/m2)", curve->g_high_W_m2, faults) &&
           (!curve->with_wind ||
            (state_number(doc, "wind counted from (m/s)", curve->wind_origin_m_s, faults) &&
             state_number(doc, "wind from (m/s)", curve->wind_low_m_s, faults) &&
             state_number(doc, "wind to (m/s)", curve->wind_high_m_s, faults)));
}

__attribute__((format(printf, 2, 3))) static bool refuse(const struct source *source,
                                                         const char *format, ...)
{
    char words[FAULT_TEXT_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    struct fault *fault = fault_new(source->faults, FAULT_INPUT, fault_at(source->name, 0, 0));
    fault_found(fault, "%s", words);
    fault_hint(fault, "give the results.json of a reduction that ended with a curve");
    return false;
}

static json_t *parse(const struct source *source, const char *bytes, size_t n)
{
    json_error_t error;
    json_t *root = json_loadb(bytes, n, JSON_REJECT_DUPLICATES, &error);
    if (!root) {
        struct fault *fault = fault_new(source->faults, FAULT_INPUT,
                                        fault_at(source->name, error.line, error.column));
        fault_found(fault, "is not JSON: %s", error.text);
        fault_expected(fault, "a results.json of this program");
    }
    return root;
}

static bool right_schema(const struct source *source, const json_t *root)
{
    const char *schema = json_string_value(json_object_get(root, "schema"));
    const json_t *version = json_object_get(root, "version");
    if (!schema || strcmp(schema, schema_name) != 0)
        return refuse(source, "is JSON, but not results of this program (no schema '%s')",
                      schema_name);
    if (json_integer_value(version) != SCHEMA_VERSION)
        return refuse(source, "has version %lld of the schema, this program reads %d",
                      (long long)json_integer_value(version), SCHEMA_VERSION);
    return true;
}

static const char *fact_of(const json_t *root, const char *key)
{
    json_t *facts = json_object_get(root, "facts");
    json_t *fact;
    size_t i;
    json_array_foreach(facts, i, fact)
    {
        const char *group = json_string_value(json_object_get(fact, "group"));
        const char *name = json_string_value(json_object_get(fact, "key"));
        if (group && name && strcmp(group, "curve") == 0 && strcmp(name, key) == 0)
            return json_string_value(json_object_get(fact, "value"));
    }
    return NULL;
}

static bool read_word(const struct source *source, const json_t *root, const char *key,
                      char word[CURVE_WORD])
{
    const char *value = fact_of(root, key);
    if (!value || strlen(value) >= CURVE_WORD)
        return refuse(source, "has no usable fact 'curve: %s'", key);
    strcpy(word, value);
    return true;
}

static bool read_fact_number(const struct source *source, const json_t *root, const char *key,
                             double *value)
{
    const char *word = fact_of(root, key);
    if (word && number_read(word, strlen(word), '.', value))
        return true;
    return refuse(source, "has no usable fact 'curve: %s'", key);
}

/* A curve with wind without the origin of its wind would be another curve. */
static bool read_wind(const struct source *source, const json_t *root, struct curve *curve)
{
    static const char ending[] = " with wind";
    size_t n = strlen(curve->form), m = sizeof ending - 1;
    curve->with_wind = n > m && strcmp(curve->form + n - m, ending) == 0;
    return !curve->with_wind ||
           (read_fact_number(source, root, "wind counted from (m/s)", &curve->wind_origin_m_s) &&
            read_fact_number(source, root, "wind from (m/s)", &curve->wind_low_m_s) &&
            read_fact_number(source, root, "wind to (m/s)", &curve->wind_high_m_s));
}

static bool read_facts(const struct source *source, const json_t *root, struct curve *curve)
{
    return read_word(source, root, "form", curve->form) &&
           read_word(source, root, "area basis", curve->area_basis) &&
           read_word(source, root, "fluid temperature", curve->temperature) &&
           read_fact_number(source, root, "area (m2)", &curve->area_m2) &&
           read_fact_number(source, root, "tested from (m2 K/W)", &curve->x_low) &&
           read_fact_number(source, root, "tested to (m2 K/W)", &curve->x_high) &&
           read_fact_number(source, root, "irradiance from (W/m2)", &curve->g_low_W_m2) &&
           read_fact_number(source, root, "irradiance to (W/m2)", &curve->g_high_W_m2) &&
           read_wind(source, root, curve);
}

static bool is_scatter(const char *id)
{
    return strcmp(id, "reading") == 0 || strcmp(id, "session") == 0;
}

/* Returns: the part of that id, made if there is none; NULL when memory is short. */
static struct curve_part *part_of(struct curve *curve, const char *id, const char *label,
                                  struct faults *faults)
{
    for (size_t i = 0; i < curve->n_parts; i++)
        if (strcmp(curve->parts[i].id, id) == 0)
            return &curve->parts[i];
    struct curve_part *parts = realloc(curve->parts, (curve->n_parts + 1) * sizeof *parts);
    if (!parts) {
        fault_memory(faults);
        return NULL;
    }
    curve->parts = parts;
    struct curve_part *part = &parts[curve->n_parts];
    memset(part, 0, sizeof *part);
    part->id = clean_copy(id, faults);
    part->label = clean_copy(label, faults);
    if (part->id && part->label) {
        curve->n_parts++;
        return part;
    }
    free(part->id);
    free(part->label);
    return NULL;
}

static bool read_parts(const struct source *source, const json_t *number, size_t k,
                       struct curve *curve)
{
    json_t *parts = json_object_get(number, "parts");
    json_t *part;
    size_t i;
    json_array_foreach(parts, i, part)
    {
        const char *id = json_string_value(json_object_get(part, "id"));
        const char *label = json_string_value(json_object_get(part, "label"));
        const json_t *u = json_object_get(part, "u");
        if (!id || !label || !json_is_number(u))
            return refuse(source, "has a part of '%s' without id, label or u", curve->ids[k]);
        if (is_scatter(id))
            continue;
        struct curve_part *to = part_of(curve, id, label, source->faults);
        if (!to)
            return false;
        to->shift[k] = json_number_value(u);
    }
    return true;
}

static double freedom(const json_t *value)
{
    if (json_is_number(value))
        return json_number_value(value);
    return INFINITY; /* "infinite", or not stated: Student's t is not widened */
}

static bool read_coefficient(const struct source *source, const json_t *number, const char *id,
                             struct curve *curve)
{
    size_t k = curve->n;
    const json_t *value = json_object_get(number, "value");
    if (k >= CURVE_COEFFICIENTS || strlen(id) >= CURVE_WORD)
        return refuse(source, "has more coefficients than this program knows");
    if (!json_is_number(value))
        return refuse(source, "has no value for '%s'", id);
    strcpy(curve->ids[k], id);
    curve->coefficients[k] = json_number_value(value);
    double dof = freedom(json_object_get(number, "dof"));
    curve->dof = k == 0 || dof < curve->dof ? dof : curve->dof;
    curve->n++;
    return read_parts(source, number, k, curve);
}

static const json_t *number_of(const json_t *root, const char *id)
{
    json_t *numbers = json_object_get(root, "numbers");
    json_t *number;
    size_t i;
    json_array_foreach(numbers, i, number)
    {
        const char *found = json_string_value(json_object_get(number, "id"));
        if (found && strcmp(found, id) == 0)
            return number;
    }
    return NULL;
}

/* The coefficients are those that stand beside the covariance. */
static bool read_numbers(const struct source *source, const json_t *root, struct curve *curve)
{
    json_t *ids = json_object_get(json_object_get(root, "covariance"), "numbers");
    json_t *entry;
    size_t i;
    json_array_foreach(ids, i, entry)
    {
        const char *id = json_string_value(entry);
        const json_t *number = id ? number_of(root, id) : NULL;
        if (!number)
            return refuse(source, "names a coefficient '%s' that it does not hold", id ? id : "");
        if (!read_coefficient(source, number, id, curve))
            return false;
    }
    return curve->n > 0 ? true : refuse(source, "holds no curve");
}

static bool read_matrix(const struct source *source, const json_t *root, struct curve *curve)
{
    const json_t *matrix = json_object_get(json_object_get(root, "covariance"), "matrix");
    size_t n = curve->n;
    if (json_array_size(matrix) != n)
        return refuse(source, "has no covariance for its %zu coefficients", n);
    for (size_t i = 0; i < n; i++) {
        const json_t *row = json_array_get(matrix, i);
        for (size_t j = 0; j < n; j++) {
            const json_t *cell = json_array_get(row, j);
            if (!json_is_number(cell))
                return refuse(source, "has a covariance that is not all numbers");
            curve->covariance[i * n + j] = json_number_value(cell);
        }
    }
    return true;
}

/* Symmetric to rounding, no negative variance, no correlation beyond 1. */
static bool check_matrix(const struct source *source, const struct curve *curve)
{
    const double rounding = 1e-9;
    size_t n = curve->n;
    const double *c = curve->covariance;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++) {
            double size = sqrt(fabs(c[i * n + i]) * fabs(c[j * n + j]));
            if (fabs(c[i * n + j] - c[j * n + i]) > rounding * size)
                return refuse(source, "has a covariance that is not symmetric");
            if (c[i * n + i] < 0 || fabs(c[i * n + j]) > size * (1 + rounding))
                return refuse(source, "has a covariance that cannot be one");
        }
    }
    return true;
}

/* The total less what the sources give together: the independent scatter. */
static void take_scatter(struct curve *curve)
{
    size_t n = curve->n;
    memcpy(curve->scatter, curve->covariance, sizeof curve->scatter);
    for (size_t p = 0; p < curve->n_parts; p++)
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < n; j++)
                curve->scatter[i * n + j] -= curve->parts[p].shift[i] * curve->parts[p].shift[j];
    /* What rounding leaves of a zero is not a negative variance. */
    for (size_t i = 0; i < n; i++)
        if (curve->scatter[i * n + i] < 0 &&
            curve->scatter[i * n + i] > -1e-9 * curve->covariance[i * n + i])
            curve->scatter[i * n + i] = 0;
}

static bool check_scatter(const struct source *source, const struct curve *curve)
{
    for (size_t i = 0; i < curve->n; i++)
        if (curve->scatter[i * curve->n + i] < 0)
            return refuse(source, "has parts of '%s' that are larger than its uncertainty",
                          curve->ids[i]);
    return true;
}

static bool read_curve(const struct source *source, const json_t *root, struct curve *curve)
{
    const char *title = json_string_value(json_object_get(root, "title"));
    if (!right_schema(source, root) || !read_numbers(source, root, curve) ||
        !read_facts(source, root, curve) || !read_matrix(source, root, curve) ||
        !check_matrix(source, curve))
        return false;
    curve->title = clean_copy(title, source->faults);
    take_scatter(curve);
    return curve->title && check_scatter(source, curve);
}

bool curve_read(struct curve *curve, const char *name, const char *bytes, size_t n_bytes,
                struct faults *faults)
{
    struct source source = {name, faults};
    json_t *root = parse(&source, bytes, n_bytes);
    bool ok = root && read_curve(&source, root, curve);
    json_decref(root);
    if (!ok)
        curve_free(curve);
    return ok;
}
