#include "description/schema.h"

#include <stdlib.h>
#include <string.h>

/* What reading one section needs to know. */
struct filling {
    const struct schema *schema;
    const struct description *description;
    const struct section *section;
    void *target;
    struct faults *faults;
};

static const struct entry *entry_of(const struct filling *filling, size_t i)
{
    return &filling->description->entries[filling->section->first + i];
}

static const struct schema_row *find_row(const struct schema *schema, const char *key)
{
    for (size_t i = 0; i < schema->n; i++)
        if (text_same(schema->rows[i].key, key))
            return &schema->rows[i];
    return NULL;
}

/* "[instrument sun]", for messages. */
static void head_text(const struct section *section, struct text *out)
{
    text_addf(out, "[%s%s%s]", section->kind, section->name[0] != '\0' ? " " : "", section->name);
}

static bool refuse_key(const struct filling *filling, const struct entry *entry)
{
    enum { MOST = 40 };
    const char *names[MOST];
    size_t n = 0;
    struct text list = {0};
    struct text head = {0};
    for (size_t i = 0; i < filling->schema->n && n < MOST; i++) {
        names[n++] = filling->schema->rows[i].key;
        text_addf(&list, "%s%s", i > 0 ? ", " : "", filling->schema->rows[i].key);
    }
    head_text(filling->section, &head);
    struct place at = entry_key_place(filling->description, entry);
    struct fault *fault = fault_new(filling->faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' is not a key of %s", entry->key, text_string(&head));
    fault_expected(fault, "one of: %s", text_string(&list));
    const char *near = text_nearest(entry->key, names, n);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    text_free(&list);
    text_free(&head);
    return false;
}

/* The first entry of the section with the same key, which may be the entry itself. */
static const struct entry *first_of_key(const struct filling *filling, const char *key)
{
    for (size_t i = 0; i < filling->section->n; i++)
        if (text_same(entry_of(filling, i)->key, key))
            return entry_of(filling, i);
    return NULL;
}

static bool refuse_twin(const struct filling *filling, const struct entry *entry,
                        const struct entry *first)
{
    struct place at = entry_key_place(filling->description, entry);
    struct fault *fault = fault_new(filling->faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' appears twice in its section", entry->key);
    fault_expected(fault, "it once; the first is on line %ld", first->line);
    fault_hint(fault, "remove one of them");
    return false;
}

/* Keys that are unknown or stand twice. */
static bool check_names(const struct filling *filling)
{
    bool good = true;
    for (size_t i = 0; i < filling->section->n; i++) {
        const struct entry *entry = entry_of(filling, i);
        const struct schema_row *row = find_row(filling->schema, entry->key);
        const struct entry *first = first_of_key(filling, entry->key);
        if (row == NULL)
            good = refuse_key(filling, entry) && good;
        else if (first != entry && !row->repeat)
            good = refuse_twin(filling, entry, first) && good;
    }
    return good;
}

static const char *example_for(const struct filling *filling, const struct schema_row *row)
{
    const char *own = row->example_of == NULL ? NULL : row->example_of(filling->target);
    return own == NULL ? row->example : own;
}

static bool refuse_absent(const struct filling *filling, const struct schema_row *row)
{
    struct text head = {0};
    if (!filling->description->whole)
        return false;
    head_text(filling->section, &head);
    struct place at = section_place(filling->description, filling->section);
    struct fault *fault = fault_new(filling->faults, FAULT_INPUT, at);
    fault_found(fault, "%s has no '%s'", text_string(&head), row->key);
    fault_expected(fault, "%s", row->help);
    fault_hint(fault, "add for instance '%s = %s'", row->key, example_for(filling, row));
    text_free(&head);
    return false;
}

/* Who leaves a value empty may have put it behind a '#': that is said once. */
static const char comment_lesson[] = "; '#' after a blank starts a comment";

static bool lesson_was_given(const struct faults *faults)
{
    for (size_t i = 0; i < faults->n; i++)
        if (strstr(faults->items[i].hint, comment_lesson) != NULL)
            return true;
    return false;
}

static bool refuse_empty(const struct filling *filling, const struct schema_row *row,
                         const struct entry *entry)
{
    struct place at = entry_key_place(filling->description, entry);
    bool said = lesson_was_given(filling->faults);
    struct fault *fault = fault_new(filling->faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' has no value", row->key);
    fault_expected(fault, "%s", row->help);
    fault_hint(fault, "write for instance '%s = %s'%s", row->key, example_for(filling, row),
               said ? "" : comment_lesson);
    return false;
}

static bool add_item(struct stated_list *list, const char *bytes, size_t n, struct place at,
                     struct faults *faults)
{
    struct stated_text item = {.at = {true, at.line, at.column}};
    memcpy(item.text, bytes, n);
    item.text[n] = '\0';
    return stated_list_add(list, &item, faults);
}

/* Items between commas, outer blanks cut; an empty one is refused. */
static bool read_list(const char *text, struct place at, struct stated_list *list,
                      struct faults *faults)
{
    for (const char *item = text;;) {
        size_t whole = strcspn(item, ",");
        const char *start = item + strspn(item, " \t");
        const char *end = item + whole;
        while (end > start && (end[-1] == ' ' || end[-1] == '\t'))
            end--;
        struct place item_at = at;
        item_at.column += (long)text_characters(text, (size_t)(start - text));
        if (start >= end) {
            struct fault *fault = fault_new(faults, FAULT_INPUT, item_at);
            fault_found(fault, "an item of the list '%s' is empty", text);
            fault_expected(fault, "items with a comma between each two");
            return false;
        }
        if (!add_item(list, start, (size_t)(end - start), item_at, faults))
            return false;
        if (item[whole] == '\0')
            return true;
        item += whole + 1;
    }
}

static bool read_choice(const struct schema_row *row, const char *text, struct place at,
                        size_t *index, struct faults *faults)
{
    size_t before = faults->n;
    if (value_choice(text, row->choices, row->n_choices, at, index, faults))
        return true;
    const char *hint = row->hint_of == NULL ? NULL : row->hint_of(text);
    if (hint != NULL && faults->n > before)
        fault_hint(&faults->items[faults->n - 1], "%s", hint);
    return false;
}

/* The value into the field; the field's struct stated is marked by the caller. */
static bool read_field(const struct schema_row *row, enum dimension dimension, const char *text,
                       struct place at, void *field, struct faults *faults)
{
    struct stated_number *number = field;
    struct stated_range *range = field;
    struct stated_choice *choice = field;
    struct stated_date *date = field;
    const struct unit *unit;
    switch (row->kind) {
    case VALUE_UNIT:
        if (!value_unit(text, dimension, at, &unit, faults))
            return false;
        strcpy(((struct stated_text *)field)->text, text);
        return true;
    case VALUE_TEXT:
        strcpy(((struct stated_text *)field)->text, text);
        return true;
    case VALUE_QUANTITY:
    case VALUE_DIFFERENCE:
        return value_quantity(text, dimension, row->kind == VALUE_DIFFERENCE, &row->limits, at,
                              &number->value, faults);
    case VALUE_NUMBER:
        return value_number(text, &row->limits, at, &number->value, faults);
    case VALUE_ERROR:
        return value_error(text, dimension, !row->no_relative, row->per, at, field, faults);
    case VALUE_RANGE:
        return value_range(text, dimension, at, &range->low, &range->high, faults);
    case VALUE_CHOICE:
        return read_choice(row, text, at, &choice->index, faults);
    case VALUE_DATE:
        strcpy(date->text, text);
        return value_date(text, at, &date->day, faults);
    case VALUE_LIST:
        return read_list(text, at, field, faults);
    }
    return false;
}

static bool fill_entry(const struct filling *filling, const struct schema_row *row,
                       const struct entry *entry)
{
    if (entry->value[0] == '\0')
        return refuse_empty(filling, row, entry);
    enum dimension dimension = row->dimension;
    if (row->dimension_of != NULL)
        dimension = row->dimension_of(filling->target, entry->value);
    if (dimension == DIM_COUNT)
        return true;
    void *field = (char *)filling->target + row->offset;
    struct place at = entry_value_place(filling->description, entry);
    if (row->repeat)
        return add_item(field, entry->value, strlen(entry->value), at, filling->faults);
    if (!read_field(row, dimension, entry->value, at, field, filling->faults))
        return false;
    if (row->kind != VALUE_LIST)
        *(struct stated *)field = (struct stated){true, at.line, at.column};
    return true;
}

/* All entries of one key; only the first counts where the key may not be repeated. */
static bool fill_row(const struct filling *filling, const struct schema_row *row)
{
    bool good = true;
    bool found = false;
    for (size_t i = 0; i < filling->section->n; i++) {
        const struct entry *entry = entry_of(filling, i);
        if (!text_same(entry->key, row->key) || (found && !row->repeat))
            continue;
        found = true;
        good = fill_entry(filling, row, entry) && good;
    }
    if (!found && row->required)
        good = refuse_absent(filling, row);
    return good;
}

bool schema_read(const struct schema *schema, const struct description *description,
                 const struct section *section, void *target, struct faults *faults)
{
    struct filling filling = {schema, description, section, target, faults};
    bool good = check_names(&filling);
    for (size_t i = 0; i < schema->n; i++)
        good = fill_row(&filling, &schema->rows[i]) && good;
    return good;
}

/* Of a kind that stands with and without a name, each has its own. */
static const struct schema *find_schema(const struct schema *const *schemas, size_t n,
                                        const struct section *section)
{
    const struct schema *found = NULL;
    for (size_t i = 0; i < n; i++) {
        if (!text_same(schemas[i]->kind, section->kind))
            continue;
        if (found == NULL || schemas[i]->named == (section->name[0] != '\0'))
            found = schemas[i];
    }
    return found;
}

static bool refuse_section(const struct schema *const *schemas, size_t n,
                           const struct description *description, const struct section *section,
                           struct faults *faults)
{
    enum { MOST = 40 };
    const char *names[MOST];
    size_t count = 0;
    struct text list = {0};
    for (size_t i = 0; i < n && count < MOST; i++) {
        names[count++] = schemas[i]->kind;
        text_addf(&list, "%s[%s%s]", i > 0 ? ", " : "", schemas[i]->kind,
                  schemas[i]->named ? " NAME" : "");
    }
    struct place at = section_place(description, section);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "[%s] is not a section of a test description", section->kind);
    fault_expected(fault, "one of: %s", text_string(&list));
    const char *near = text_nearest(section->kind, names, count);
    if (near != NULL)
        fault_hint(fault, "did you mean '[%s]'?", near);
    text_free(&list);
    return false;
}

static bool refuse_nameless(const struct description *description, const struct section *section,
                            struct faults *faults)
{
    struct place at = section_place(description, section);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "[%s] has no name", section->kind);
    fault_expected(fault, "a name of your choice behind the word: '[%s one]'", section->kind);
    return false;
}

bool schema_sections(const struct schema *const *schemas, size_t n,
                     const struct description *description, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < description->n_sections; i++) {
        const struct section *section = &description->sections[i];
        const struct schema *schema = find_schema(schemas, n, section);
        if (schema == NULL)
            good = refuse_section(schemas, n, description, section, faults) && good;
        else if (schema->named && section->name[0] == '\0')
            good = refuse_nameless(description, section, faults) && good;
    }
    return good;
}

static void help_row(const struct schema_row *row, struct text *out)
{
    text_addf(out, "# %s = %s\n#     %s", row->key, row->example, row->help);
    if (row->kind == VALUE_CHOICE) {
        text_add(out, ": ");
        for (size_t i = 0; i < row->n_choices; i++)
            text_addf(out, "%s%s", i > 0 ? ", " : "", row->choices[i]);
    }
    if (row->required)
        text_add(out, "; required");
    if (row->repeat)
        text_add(out, "; may be repeated");
    if (row->by_default != NULL)
        text_addf(out, "; default: %s", row->by_default);
    text_add(out, "\n");
}

void schema_help(const struct schema *schema, struct text *out)
{
    text_addf(out, "[%s%s]\n# %s\n", schema->kind, schema->named ? " NAME" : "", schema->help);
    for (size_t i = 0; i < schema->n; i++)
        help_row(&schema->rows[i], out);
}

static bool stands_before(const struct fault *a, const struct fault *b)
{
    if (!text_same(a->file, b->file) || a->line == 0 || b->line == 0)
        return false;
    return a->line != b->line ? a->line < b->line : a->column < b->column;
}

void schema_sort_faults(struct faults *faults, size_t from)
{
    for (size_t i = from + 1; i < faults->n; i++) {
        struct fault moved = faults->items[i];
        size_t j = i;
        while (j > from && stands_before(&moved, &faults->items[j - 1])) {
            faults->items[j] = faults->items[j - 1];
            j--;
        }
        faults->items[j] = moved;
    }
}
