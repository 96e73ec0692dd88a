#include "report/json.h"

#include "base/numbers.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The tree under construction; a failed allocation anywhere spoils the whole. */
struct tree {
    bool failed;
};

/* Takes `value` over; NULL means that it could not be made. */
static void put(struct tree *tree, json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, value) != 0)
        tree->failed = true;
}

static void push(struct tree *tree, json_t *array, json_t *value)
{
    if (json_array_append_new(array, value) != 0)
        tree->failed = true;
}

static json_t *real(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *freedom(double dof)
{
    return isinf(dof) && dof > 0 ? json_string("infinite") : real(dof);
}

static json_t *number_tree(struct tree *tree, const struct number *number)
{
    json_t *to = json_object();
    put(tree, to, "id", json_string(number->id));
    put(tree, to, "label", json_string(number->label));
    put(tree, to, "symbol", json_string(number->symbol));
    put(tree, to, "unit", json_string(number->unit));
    put(tree, to, "value", real(number->value));
    put(tree, to, "u", real(number->u));
    put(tree, to, "low", real(number->low));
    put(tree, to, "high", real(number->high));
    put(tree, to, "dof", freedom(number->dof));
    json_t *parts = json_array();
    for (size_t i = 0; i < number->n_parts; i++) {
        json_t *part = json_object();
        put(tree, part, "id", json_string(number->parts[i].id));
        put(tree, part, "label", json_string(number->parts[i].label));
        put(tree, part, "u", real(number->parts[i].u));
        push(tree, parts, part);
    }
    put(tree, to, "parts", parts);
    return to;
}

static json_t *covariance_tree(struct tree *tree, const struct document *doc)
{
    if (!doc->covariance)
        return json_null();
    json_t *ids = json_array();
    for (size_t i = 0; i < doc->n_numbers && json_array_size(ids) < doc->n_curve; i++)
        if (text_starts(doc->numbers[i].id, "curve."))
            push(tree, ids, json_string(doc->numbers[i].id));
    json_t *rows = json_array();
    for (size_t i = 0; i < doc->n_curve; i++) {
        json_t *row = json_array();
        for (size_t j = 0; j < doc->n_curve; j++)
            push(tree, row, real(doc->covariance[i * doc->n_curve + j]));
        push(tree, rows, row);
    }
    json_t *to = json_object();
    put(tree, to, "numbers", ids);
    put(tree, to, "matrix", rows);
    return to;
}

static json_t *cell_tree(const struct column *column, const struct cell *cell)
{
    if (column->kind == CELL_NUMBER)
        return real(cell->value);
    return cell->text ? json_string(cell->text) : json_null();
}

static json_t *file_name(const char *id, const char *extension)
{
    return json_sprintf("%s.%s", id, extension);
}

static json_t *columns_tree(struct tree *tree, const struct table *table)
{
    json_t *columns = json_array();
    for (size_t i = 0; i < table->n_columns; i++) {
        const struct column *column = &table->columns[i];
        json_t *to = json_object();
        put(tree, to, "id", json_string(column->id));
        put(tree, to, "label", json_string(column->label));
        put(tree, to, "unit", json_string(column->unit));
        put(tree, to, "kind", json_string(column->kind == CELL_NUMBER ? "number" : "text"));
        push(tree, columns, to);
    }
    return columns;
}

static json_t *table_tree(struct tree *tree, const struct table *table)
{
    json_t *to = json_object();
    put(tree, to, "id", json_string(table->id));
    put(tree, to, "title", json_string(table->title));
    put(tree, to, "note", json_string(table->note));
    put(tree, to, "file", table->file ? file_name(table->id, "csv") : json_null());
    put(tree, to, "columns", columns_tree(tree, table));
    json_t *rows = json_array();
    for (size_t r = 0; r < table->n_rows; r++) {
        json_t *row = json_array();
        for (size_t i = 0; i < table->n_columns; i++)
            push(tree, row, cell_tree(&table->columns[i], &table->cells[r * table->n_columns + i]));
        push(tree, rows, row);
    }
    put(tree, to, "rows", rows);
    return to;
}

static const char *place_word(enum finding_place place)
{
    static const char *const words[FINDING_PLACES] = {
        "answer", "windows", "cannot say", "uncertainty", "criteria", "not stated", "detail",
    };
    return words[place];
}

static json_t *findings_tree(struct tree *tree, const struct document *doc)
{
    json_t *findings = json_array();
    for (int place = 0; place < FINDING_PLACES; place++) {
        for (size_t i = 0; i < doc->n_findings; i++) {
            const struct finding *finding = &doc->findings[i];
            if ((int)finding->place != place)
                continue;
            json_t *to = json_object();
            put(tree, to, "place", json_string(place_word(finding->place)));
            put(tree, to, "doubt", json_boolean(finding->doubt));
            put(tree, to, "text", json_string(finding->text));
            push(tree, findings, to);
        }
    }
    return findings;
}

static json_t *figures_tree(struct tree *tree, const struct document *doc)
{
    json_t *figures = json_array();
    for (size_t i = 0; i < doc->n_figures; i++) {
        const struct figure *figure = &doc->figures[i];
        const struct table *table = document_find_table(doc, figure->table_id);
        if (!table || table->n_rows == 0)
            continue;
        json_t *to = json_object();
        put(tree, to, "id", json_string(figure->id));
        put(tree, to, "title", json_string(figure->title));
        put(tree, to, "alt", json_string(figure->alt));
        put(tree, to, "picture", file_name(figure->id, "svg"));
        put(tree, to, "data", file_name(figure->id, "csv"));
        put(tree, to, "script", file_name(figure->id, "gp"));
        push(tree, figures, to);
    }
    return figures;
}

static json_t *facts_tree(struct tree *tree, const struct document *doc)
{
    json_t *facts = json_array();
    for (size_t i = 0; i < doc->n_facts; i++) {
        json_t *to = json_object();
        put(tree, to, "group", json_string(doc->facts[i].group));
        put(tree, to, "key", json_string(doc->facts[i].key));
        put(tree, to, "value", json_string(doc->facts[i].value));
        push(tree, facts, to);
    }
    return facts;
}

/* The first key is the schema: the folder's marker is told by it. */
static json_t *document_tree(struct tree *tree, const struct document *doc)
{
    json_t *root = json_object();
    put(tree, root, "schema", json_string(REPORT_SCHEMA));
    put(tree, root, "version", json_integer(REPORT_SCHEMA_VERSION));
    put(tree, root, "kind", json_string(doc->kind));
    put(tree, root, "title", json_string(doc->title));
    put(tree, root, "status", json_string(doc->status));
    put(tree, root, "findings", findings_tree(tree, doc));
    json_t *numbers = json_array();
    for (size_t i = 0; i < doc->n_numbers; i++)
        push(tree, numbers, number_tree(tree, &doc->numbers[i]));
    put(tree, root, "numbers", numbers);
    put(tree, root, "covariance", covariance_tree(tree, doc));
    json_t *tables = json_array();
    for (size_t i = 0; i < doc->n_tables; i++)
        if (doc->tables[i].file || doc->tables[i].report)
            push(tree, tables, table_tree(tree, &doc->tables[i]));
    put(tree, root, "tables", tables);
    put(tree, root, "figures", figures_tree(tree, doc));
    json_t *cautions = json_array();
    for (size_t i = 0; i < doc->n_cautions; i++)
        push(tree, cautions, json_string(doc->cautions[i]));
    put(tree, root, "cautions", cautions);
    put(tree, root, "facts", facts_tree(tree, doc));
    return root;
}

/* Our own printing of the tree: jansson writes 0.1 as 0.10000000000000001, and one element a line
 * makes two results comparable by eye and by diff. */

static void print_string(struct text *out, const char *string)
{
    json_t *value = json_string(string);
    char *quoted = value ? json_dumps(value, JSON_ENCODE_ANY) : NULL;
    if (quoted)
        text_add(out, quoted);
    else
        out->failed = true;
    free(quoted);
    json_decref(value);
}

static void print_scalar(struct text *out, const json_t *value)
{
    char digits[32];
    if (json_is_string(value))
        print_string(out, json_string_value(value));
    else if (json_is_real(value))
        text_add(out, number_exact(json_real_value(value), digits, sizeof digits));
    else if (json_is_integer(value))
        text_addf(out, "%lld", (long long)json_integer_value(value));
    else if (json_is_boolean(value))
        text_add(out, json_is_true(value) ? "true" : "false");
    else
        text_add(out, "null");
}

static bool is_container(const json_t *value)
{
    return json_is_object(value) || json_is_array(value);
}

static bool holds_container(json_t *value)
{
    const char *key;
    json_t *inner;
    size_t i;
    json_object_foreach(value, key, inner) if (is_container(inner)) return true;
    json_array_foreach(value, i, inner) if (is_container(inner)) return true;
    return false;
}

static void print_gap(struct text *out, bool lines, int depth, bool first)
{
    text_add(out, first ? "" : lines ? "," : ", ");
    if (lines)
        text_addf(out, "\n%*s", 2 * depth, "");
}

static void print_value(struct text *out, json_t *value, int depth)
{
    if (!is_container(value)) {
        print_scalar(out, value);
        return;
    }
    const char *key;
    json_t *inner;
    size_t i;
    bool lines = depth == 0 || holds_container(value);
    bool first = true;
    text_add(out, json_is_object(value) ? "{" : "[");
    json_object_foreach(value, key, inner)
    {
        print_gap(out, lines, depth + 1, first);
        print_string(out, key);
        text_add(out, ": ");
        print_value(out, inner, depth + 1);
        first = false;
    }
    json_array_foreach(value, i, inner)
    {
        print_gap(out, lines, depth + 1, first);
        print_value(out, inner, depth + 1);
        first = false;
    }
    if (lines && !first)
        text_addf(out, "\n%*s", 2 * depth, "");
    text_add(out, json_is_object(value) ? "}" : "]");
}

bool report_json(const struct document *doc, struct text *out, struct faults *faults)
{
    struct tree tree = {false};
    json_t *root = document_tree(&tree, doc);
    if (!root || tree.failed) {
        json_decref(root);
        return fault_memory(faults);
    }
    print_value(out, root, 0);
    text_add(out, "\n");
    json_decref(root);
    return text_ok(out, faults);
}
