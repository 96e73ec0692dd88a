#include "result/document.h"

#include "result/clean.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Room for one more item at the end of an array of n; the new item is zeroed.
 * Returns: the array, which may have moved; NULL with a fault, the array untouched. */
static void *grow(void *array, size_t n, size_t size, struct faults *faults)
{
    char *bigger = n < SIZE_MAX / size - 1 ? realloc(array, (n + 1) * size) : NULL;
    if (!bigger) {
        fault_memory(faults);
        return NULL;
    }
    memset(bigger + n * size, 0, size);
    return bigger;
}

static char *format_copy(struct faults *faults, const char *format, va_list arguments)
{
    va_list again;
    va_copy(again, arguments);
    int n = vsnprintf(NULL, 0, format, again);
    va_end(again);
    char *raw = n >= 0 ? malloc((size_t)n + 1) : NULL;
    if (!raw) {
        fault_memory(faults);
        return NULL;
    }
    vsnprintf(raw, (size_t)n + 1, format, arguments);
    char *clean = clean_copy(raw, faults);
    free(raw);
    return clean;
}

static const char complete[] = "complete";

bool document_init(struct document *doc, const char *kind, const char *title, struct faults *faults)
{
    memset(doc, 0, sizeof *doc);
    doc->kind = clean_copy(kind, faults);
    doc->title = clean_copy(title, faults);
    doc->status = clean_copy(complete, faults);
    if (doc->kind && doc->title && doc->status)
        return true;
    document_free(doc);
    return false;
}

static void number_free(struct number *number)
{
    free(number->id);
    free(number->label);
    free(number->symbol);
    free(number->unit);
    for (size_t i = 0; i < number->n_parts; i++) {
        free(number->parts[i].id);
        free(number->parts[i].label);
    }
    free(number->parts);
}

static void table_free(struct table *table)
{
    free(table->id);
    free(table->title);
    free(table->note);
    for (size_t i = 0; i < table->n_columns; i++) {
        free(table->columns[i].id);
        free(table->columns[i].label);
        free(table->columns[i].unit);
    }
    free(table->columns);
    free(table->values);
    text_free(&table->texts);
}

static void figure_free(struct figure *figure)
{
    free(figure->id);
    free(figure->template_name);
    free(figure->title);
    free(figure->alt);
    free(figure->table_id);
    for (size_t i = 0; i < figure->n_settings; i++) {
        free(figure->settings[i].name);
        free(figure->settings[i].text);
    }
    free(figure->settings);
}

bool document_hindered(struct document *doc, const char *why, struct faults *faults)
{
    if (!text_same(doc->status, complete))
        return true;
    char *status = clean_copy(why, faults);
    if (status == NULL)
        return false;
    free(doc->status);
    doc->status = status;
    return true;
}

void document_free(struct document *doc)
{
    for (size_t i = 0; i < doc->n_numbers; i++)
        number_free(&doc->numbers[i]);
    for (size_t i = 0; i < doc->n_tables; i++)
        table_free(&doc->tables[i]);
    for (size_t i = 0; i < doc->n_findings; i++)
        free(doc->findings[i].text);
    for (size_t i = 0; i < doc->n_figures; i++)
        figure_free(&doc->figures[i]);
    for (size_t i = 0; i < doc->n_facts; i++) {
        free(doc->facts[i].group);
        free(doc->facts[i].key);
        free(doc->facts[i].value);
    }
    for (size_t i = 0; i < doc->n_cautions; i++)
        free(doc->cautions[i]);
    free(doc->numbers);
    free(doc->tables);
    free(doc->findings);
    free(doc->figures);
    free(doc->facts);
    free(doc->cautions);
    free(doc->covariance);
    free(doc->kind);
    free(doc->title);
    free(doc->status);
    memset(doc, 0, sizeof *doc);
}

static bool copy_parts(struct number *to, const struct number *from, struct faults *faults)
{
    if (from->n_parts == 0)
        return true;
    to->parts = calloc(from->n_parts, sizeof *to->parts);
    if (!to->parts)
        return fault_memory(faults);
    to->n_parts = from->n_parts;
    for (size_t i = 0; i < from->n_parts; i++) {
        to->parts[i].id = clean_copy(from->parts[i].id, faults);
        to->parts[i].label = clean_copy(from->parts[i].label, faults);
        to->parts[i].u = from->parts[i].u;
        if (!to->parts[i].id || !to->parts[i].label)
            return false;
    }
    return true;
}

bool document_number(struct document *doc, const struct number *number, struct faults *faults)
{
    struct number *array = grow(doc->numbers, doc->n_numbers, sizeof *array, faults);
    if (!array)
        return false;
    doc->numbers = array;
    struct number *to = &array[doc->n_numbers];
    to->id = clean_copy(number->id, faults);
    to->label = clean_copy(number->label, faults);
    to->symbol = clean_copy(number->symbol, faults);
    to->unit = clean_copy(number->unit, faults);
    to->value = number->value;
    to->u = number->u;
    to->low = number->low;
    to->high = number->high;
    to->dof = number->dof;
    if (to->id && to->label && to->symbol && to->unit && copy_parts(to, number, faults)) {
        doc->n_numbers++;
        return true;
    }
    number_free(to);
    return false;
}

const struct number *document_find_number(const struct document *doc, const char *id)
{
    for (size_t i = 0; i < doc->n_numbers; i++)
        if (text_same(doc->numbers[i].id, id))
            return &doc->numbers[i];
    return NULL;
}

bool document_covariance(struct document *doc, const double *covariance, size_t n,
                         struct faults *faults)
{
    double *copy = calloc(n * n > 0 ? n * n : 1, sizeof *copy);
    if (!copy)
        return fault_memory(faults);
    if (n > 0)
        memcpy(copy, covariance, n * n * sizeof *copy);
    free(doc->covariance);
    doc->covariance = copy;
    doc->n_curve = n;
    return true;
}

static bool copy_columns(struct table *table, const struct column *columns, size_t n,
                         struct faults *faults)
{
    table->columns = calloc(n > 0 ? n : 1, sizeof *table->columns);
    if (!table->columns)
        return fault_memory(faults);
    table->n_columns = n;
    for (size_t i = 0; i < n; i++) {
        struct column *to = &table->columns[i];
        to->kind = columns[i].kind;
        to->digits = columns[i].digits;
        to->id = clean_copy(columns[i].id, faults);
        to->label = clean_copy(columns[i].label, faults);
        to->unit = clean_copy(columns[i].unit, faults);
        if (!to->id || !to->label || !to->unit)
            return false;
    }
    return true;
}

struct table *document_table(struct document *doc, const char *id, const char *title,
                             const char *note, const struct column *columns, size_t n_columns,
                             struct faults *faults)
{
    assert(!document_find_table(doc, id));
    struct table *array = grow(doc->tables, doc->n_tables, sizeof *array, faults);
    if (!array)
        return NULL;
    doc->tables = array;
    struct table *to = &array[doc->n_tables];
    to->id = clean_copy(id, faults);
    to->title = clean_copy(title, faults);
    to->note = clean_copy(note, faults);
    if (to->id && to->title && to->note && copy_columns(to, columns, n_columns, faults)) {
        doc->n_tables++;
        return to;
    }
    table_free(to);
    return NULL;
}

bool document_has_tables(const struct document *doc, enum table_place place)
{
    for (size_t i = 0; i < doc->n_tables; i++)
        if (doc->tables[i].report && doc->tables[i].n_rows > 0 && doc->tables[i].place == place)
            return true;
    return false;
}

const struct table *document_find_table(const struct document *doc, const char *id)
{
    for (size_t i = 0; i < doc->n_tables; i++)
        if (text_same(doc->tables[i].id, id))
            return &doc->tables[i];
    return NULL;
}

static bool reserve_row(struct table *table, struct faults *faults)
{
    if (table->n_rows < table->rows_capacity)
        return true;
    size_t rows = table->rows_capacity ? table->rows_capacity * 2 : 16;
    union table_value *values = NULL;
    if (rows < SIZE_MAX / (table->n_columns + 1) / sizeof *values)
        values = realloc(table->values, rows * (table->n_columns + 1) * sizeof *values);
    if (!values)
        return fault_memory(faults);
    table->values = values;
    table->rows_capacity = rows;
    return true;
}

/* Where the text stands that was added last; taken back if `before` is the place of an equal one.
 */
static size_t same_or_new(struct table *table, size_t from, size_t before)
{
    if (before == TABLE_NO_TEXT ||
        !text_same(table->texts.bytes + before, table->texts.bytes + from))
        return from;
    table->texts.length = from;
    return before;
}

/* In:      before   place of the text above in the same column, or TABLE_NO_TEXT */
static size_t keep_text(struct table *table, const char *string, size_t before)
{
    size_t from = table->texts.length;
    if (!string)
        return TABLE_NO_TEXT;
    clean_add(&table->texts, string, 0);
    text_add_bytes(&table->texts, "", 1);
    return table->texts.failed ? TABLE_NO_TEXT : same_or_new(table, from, before);
}

bool table_row(struct table *table, const struct cell *cells, struct faults *faults)
{
    if (!reserve_row(table, faults))
        return false;
    union table_value *to = table->values + table->n_rows * table->n_columns;
    for (size_t i = 0; i < table->n_columns; i++) {
        if (table->columns[i].kind == CELL_NUMBER)
            to[i].number = cells[i].value;
        else
            to[i].text = keep_text(table, cells[i].text,
                                   table->n_rows > 0 ? (to + i - table->n_columns)->text
                                                     : TABLE_NO_TEXT);
    }
    if (!text_ok(&table->texts, faults))
        return false;
    table->n_rows++;
    return true;
}

struct cell table_cell(const struct table *table, size_t row, size_t column)
{
    assert(row < table->n_rows && column < table->n_columns);
    const union table_value *value = &table->values[row * table->n_columns + column];
    if (table->columns[column].kind == CELL_NUMBER)
        return cell_number(value->number);
    return (struct cell){.text = value->text == TABLE_NO_TEXT ? NULL
                                                              : table->texts.bytes + value->text,
                         .value = NAN};
}

struct cell cell_number(double value)
{
    return (struct cell){.text = NULL, .value = value};
}

struct cell cell_text(const char *text)
{
    return (struct cell){.text = (char *)(uintptr_t)text, .value = NAN};
}

/* The same sentence in the same place, as two runs on one log would say it; NULL if there is none.
 */
static struct finding *said_before(const struct document *doc, enum finding_place place,
                                   const char *text)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place == place && text_same(doc->findings[i].text, text))
            return &doc->findings[i];
    return NULL;
}

bool document_finding(struct document *doc, enum finding_place place, bool doubt,
                      struct faults *faults, const char *format, ...)
{
    struct finding *array = grow(doc->findings, doc->n_findings, sizeof *array, faults);
    if (!array)
        return false;
    doc->findings = array;
    struct finding *to = &array[doc->n_findings];
    va_list arguments;
    va_start(arguments, format);
    to->text = format_copy(faults, format, arguments);
    va_end(arguments);
    to->place = place;
    to->doubt = doubt;
    if (!to->text)
        return false;
    struct finding *before = said_before(doc, place, to->text);
    if (before != NULL) {
        before->doubt |= doubt;
        free(to->text);
        return true;
    }
    doc->n_findings++;
    return true;
}

struct figure *document_figure(struct document *doc, const char *id, const char *template_name,
                               const char *title, const char *alt, const char *table_id,
                               struct faults *faults)
{
    struct figure *array = grow(doc->figures, doc->n_figures, sizeof *array, faults);
    if (!array)
        return NULL;
    doc->figures = array;
    struct figure *to = &array[doc->n_figures];
    to->id = clean_copy(id, faults);
    to->template_name = clean_copy(template_name, faults);
    to->title = clean_copy(title, faults);
    to->alt = clean_copy(alt, faults);
    to->table_id = clean_copy(table_id, faults);
    if (to->id && to->template_name && to->title && to->alt && to->table_id) {
        doc->n_figures++;
        return to;
    }
    figure_free(to);
    return NULL;
}

static bool figure_set(struct figure *figure, const char *name, const char *text, double value,
                       struct faults *faults)
{
    struct setting *array = grow(figure->settings, figure->n_settings, sizeof *array, faults);
    if (!array)
        return false;
    figure->settings = array;
    struct setting *to = &array[figure->n_settings];
    to->name = clean_copy(name, faults);
    to->text = text ? clean_copy(text, faults) : NULL;
    to->value = value;
    if (to->name && (to->text || !text)) {
        figure->n_settings++;
        return true;
    }
    free(to->name);
    free(to->text);
    return false;
}

bool figure_set_number(struct figure *figure, const char *name, double value, struct faults *faults)
{
    return figure_set(figure, name, NULL, value, faults);
}

bool figure_set_text(struct figure *figure, const char *name, const char *text,
                     struct faults *faults)
{
    return figure_set(figure, name, text ? text : "", NAN, faults);
}

bool document_fact(struct document *doc, const char *group, const char *key, struct faults *faults,
                   const char *format, ...)
{
    struct fact *array = grow(doc->facts, doc->n_facts, sizeof *array, faults);
    if (!array)
        return false;
    doc->facts = array;
    struct fact *to = &array[doc->n_facts];
    va_list arguments;
    va_start(arguments, format);
    to->value = format_copy(faults, format, arguments);
    va_end(arguments);
    to->group = clean_copy(group, faults);
    to->key = clean_copy(key, faults);
    if (to->group && to->key && to->value) {
        doc->n_facts++;
        return true;
    }
    free(to->group);
    free(to->key);
    free(to->value);
    return false;
}

bool document_caution(struct document *doc, const char *text, struct faults *faults)
{
    char **array = grow(doc->cautions, doc->n_cautions, sizeof *array, faults);
    if (!array)
        return false;
    doc->cautions = array;
    char **to = &array[doc->n_cautions];
    *to = clean_copy(text, faults);
    if (!*to)
        return false;
    doc->n_cautions++;
    return true;
}
