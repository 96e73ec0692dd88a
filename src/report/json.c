#include "report/json.h"

#include "base/numbers.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Written as it is said, without a tree of it: a long log has thousands of windows. An object or
 * array that holds others has one element a line, so that two results can be compared by eye and by
 * diff; any other stands on one line. */
struct writer {
    struct text *out;
    int depth;
    bool first; /* nothing stands yet in the innermost object or array */
    bool lines; /* its elements stand one a line */
};

static void add_string(struct text *out, const char *string)
{
    text_add(out, "\"");
    for (;;) {
        size_t plain = 0;
        while ((unsigned char)string[plain] >= 0x20 && string[plain] != '"' &&
               string[plain] != '\\')
            plain++;
        text_add_bytes(out, string, plain);
        string += plain;
        if (*string == '\0')
            break;
        if (*string == '"' || *string == '\\')
            text_addf(out, "\\%c", *string);
        else
            text_addf(out, "\\u%04X", (unsigned)(unsigned char)*string);
        string++;
    }
    text_add(out, "\"");
}

static void new_line(struct writer *w)
{
    text_add(w->out, "\n");
    text_addf(w->out, "%*s", 2 * w->depth, "");
}

/* What stands before each element; key is NULL inside an array. */
static void next(struct writer *w, const char *key)
{
    if (!w->first)
        text_add(w->out, w->lines ? "," : ", ");
    if (w->lines)
        new_line(w);
    w->first = false;
    if (key == NULL)
        return;
    add_string(w->out, key);
    text_add(w->out, ": ");
}

/* Returns: the surroundings, for `end`. */
static struct writer begin(struct writer *w, const char *key, char bracket, bool lines)
{
    next(w, key);
    struct writer around = *w;
    text_add_bytes(w->out, &bracket, 1);
    w->depth++;
    w->first = true;
    w->lines = lines;
    return around;
}

static void end(struct writer *w, struct writer around, char bracket)
{
    bool broken = w->lines && !w->first;
    *w = around;
    if (broken)
        new_line(w);
    text_add_bytes(w->out, &bracket, 1);
}

static void put_plain(struct writer *w, const char *key, const char *word)
{
    next(w, key);
    text_add(w->out, word);
}

static void put_string(struct writer *w, const char *key, const char *string)
{
    next(w, key);
    add_string(w->out, string);
}

static void put_real(struct writer *w, const char *key, double value)
{
    char digits[32];
    put_plain(w, key, isfinite(value) ? number_exact(value, digits, sizeof digits) : "null");
}

static void put_freedom(struct writer *w, const char *key, double dof)
{
    if (isinf(dof) && dof > 0)
        put_string(w, key, "infinite");
    else
        put_real(w, key, dof);
}

static void put_file(struct writer *w, const char *key, const char *id, const char *extension)
{
    next(w, key);
    text_addf(w->out, "\"%s.%s\"", id, extension); /* ids are our own: nothing to escape */
}

static void put_number(struct writer *w, const struct number *number)
{
    struct writer around = begin(w, NULL, '{', true);
    put_string(w, "id", number->id);
    put_string(w, "label", number->label);
    put_string(w, "symbol", number->symbol);
    put_string(w, "unit", number->unit);
    put_real(w, "value", number->value);
    put_real(w, "u", number->u);
    put_real(w, "low", number->low);
    put_real(w, "high", number->high);
    put_freedom(w, "dof", number->dof);
    struct writer inside = begin(w, "parts", '[', true);
    for (size_t i = 0; i < number->n_parts; i++) {
        struct writer between = begin(w, NULL, '{', false);
        put_string(w, "id", number->parts[i].id);
        put_string(w, "label", number->parts[i].label);
        put_real(w, "u", number->parts[i].u);
        end(w, between, '}');
    }
    end(w, inside, ']');
    end(w, around, '}');
}

static void put_numbers(struct writer *w, const struct document *doc)
{
    struct writer around = begin(w, "numbers", '[', true);
    for (size_t i = 0; i < doc->n_numbers; i++)
        put_number(w, &doc->numbers[i]);
    end(w, around, ']');
}

static void put_covariance(struct writer *w, const struct document *doc)
{
    if (!doc->covariance) {
        put_plain(w, "covariance", "null");
        return;
    }
    struct writer around = begin(w, "covariance", '{', true);
    struct writer inside = begin(w, "numbers", '[', false);
    for (size_t i = 0, n = 0; i < doc->n_numbers && n < doc->n_curve; i++)
        if (text_starts(doc->numbers[i].id, "curve.")) {
            put_string(w, NULL, doc->numbers[i].id);
            n++;
        }
    end(w, inside, ']');
    inside = begin(w, "matrix", '[', true);
    for (size_t i = 0; i < doc->n_curve; i++) {
        struct writer between = begin(w, NULL, '[', false);
        for (size_t j = 0; j < doc->n_curve; j++)
            put_real(w, NULL, doc->covariance[i * doc->n_curve + j]);
        end(w, between, ']');
    }
    end(w, inside, ']');
    end(w, around, '}');
}

static void put_columns(struct writer *w, const struct table *table)
{
    struct writer around = begin(w, "columns", '[', true);
    for (size_t i = 0; i < table->n_columns; i++) {
        const struct column *column = &table->columns[i];
        struct writer between = begin(w, NULL, '{', false);
        put_string(w, "id", column->id);
        put_string(w, "label", column->label);
        put_string(w, "unit", column->unit);
        put_string(w, "kind", column->kind == CELL_NUMBER ? "number" : "text");
        end(w, between, '}');
    }
    end(w, around, ']');
}

static void put_row(struct writer *w, const struct table *table, size_t row)
{
    struct writer around = begin(w, NULL, '[', false);
    for (size_t i = 0; i < table->n_columns; i++) {
        struct cell cell = table_cell(table, row, i);
        if (cell.text)
            put_string(w, NULL, cell.text);
        else
            put_real(w, NULL, cell.value); /* a missing text's value is NaN */
    }
    end(w, around, ']');
}

static void put_table(struct writer *w, const struct table *table)
{
    struct writer around = begin(w, NULL, '{', true);
    put_string(w, "id", table->id);
    put_string(w, "title", table->title);
    put_string(w, "note", table->note);
    if (table->file)
        put_file(w, "file", table->id, "csv");
    else
        put_plain(w, "file", "null");
    put_columns(w, table);
    struct writer inside = begin(w, "rows", '[', true);
    for (size_t row = 0; row < table->n_rows; row++)
        put_row(w, table, row);
    end(w, inside, ']');
    end(w, around, '}');
}

static void put_tables(struct writer *w, const struct document *doc)
{
    struct writer around = begin(w, "tables", '[', true);
    for (size_t i = 0; i < doc->n_tables; i++)
        if (doc->tables[i].file || doc->tables[i].report)
            put_table(w, &doc->tables[i]);
    end(w, around, ']');
}

static const char *place_word(enum finding_place place)
{
    static const char *const words[FINDING_PLACES] = {
        "answer",      "checks",   "readings",   "windows", "cannot say",
        "uncertainty", "criteria", "not stated", "detail",  "log",
    };
    return words[place];
}

static void put_findings(struct writer *w, const struct document *doc)
{
    struct writer around = begin(w, "findings", '[', true);
    for (int place = 0; place < FINDING_PLACES; place++) {
        for (size_t i = 0; i < doc->n_findings; i++) {
            const struct finding *finding = &doc->findings[i];
            if ((int)finding->place != place)
                continue;
            struct writer between = begin(w, NULL, '{', false);
            put_string(w, "place", place_word(finding->place));
            put_plain(w, "doubt", finding->doubt ? "true" : "false");
            put_string(w, "text", finding->text);
            end(w, between, '}');
        }
    }
    end(w, around, ']');
}

static void put_figures(struct writer *w, const struct document *doc)
{
    struct writer around = begin(w, "figures", '[', true);
    for (size_t i = 0; i < doc->n_figures; i++) {
        const struct figure *figure = &doc->figures[i];
        const struct table *table = document_find_table(doc, figure->table_id);
        if (!table || table->n_rows == 0)
            continue;
        struct writer between = begin(w, NULL, '{', false);
        put_string(w, "id", figure->id);
        put_string(w, "title", figure->title);
        put_string(w, "alt", figure->alt);
        put_file(w, "picture", figure->id, "svg");
        put_file(w, "png", figure->id, "png");
        put_file(w, "data", figure->id, "csv");
        put_file(w, "script", figure->id, "gp");
        end(w, between, '}');
    }
    end(w, around, ']');
}

static void put_cautions(struct writer *w, const struct document *doc)
{
    struct writer around = begin(w, "cautions", '[', false);
    for (size_t i = 0; i < doc->n_cautions; i++)
        put_string(w, NULL, doc->cautions[i]);
    end(w, around, ']');
}

static void put_facts(struct writer *w, const struct document *doc)
{
    struct writer around = begin(w, "facts", '[', true);
    for (size_t i = 0; i < doc->n_facts; i++) {
        struct writer between = begin(w, NULL, '{', false);
        put_string(w, "group", doc->facts[i].group);
        put_string(w, "key", doc->facts[i].key);
        put_string(w, "value", doc->facts[i].value);
        end(w, between, '}');
    }
    end(w, around, ']');
}

bool report_json(const struct document *doc, struct text *out, struct faults *faults)
{
    struct writer w = {.out = out, .depth = 0, .first = true, .lines = false};
    char version[16];
    snprintf(version, sizeof version, "%d", REPORT_SCHEMA_VERSION);
    /* The first key is the schema: the folder's marker is told by it. */
    struct writer around = begin(&w, NULL, '{', true);
    put_string(&w, "schema", REPORT_SCHEMA);
    put_plain(&w, "version", version);
    put_string(&w, "kind", doc->kind);
    put_string(&w, "title", doc->title);
    put_string(&w, "status", doc->status);
    put_findings(&w, doc);
    put_numbers(&w, doc);
    put_covariance(&w, doc);
    put_tables(&w, doc);
    put_figures(&w, doc);
    put_cautions(&w, doc);
    put_facts(&w, doc);
    end(&w, around, '}');
    text_add(out, "\n");
    return text_ok(out, faults);
}
