#include "report/verify.h"

#include "base/numbers.h"
#include "report/json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { NAME_SIZE = 200 };

void verify_add(struct verify_list *list, const char *format, ...)
{
    char line[1200];
    va_list arguments;
    if (list->n++ >= VERIFY_SHOWN)
        return;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    text_add(&list->lines, line);
    text_add(&list->lines, "\n");
}

/* A value as it stands in results.json. */
static const char *value_words(const json_t *value, char *out, size_t size)
{
    char digits[32];
    if (json_is_string(value))
        snprintf(out, size, "%.200s", json_string_value(value));
    else if (json_is_number(value))
        snprintf(out, size, "%s", number_exact(json_number_value(value), digits, sizeof digits));
    else
        snprintf(out, size, value == NULL || json_is_null(value) ? "missing" : "no number");
    return out;
}

static void tell_number(struct verify_list *list, const char *name, const json_t *was,
                        const json_t *is)
{
    char before[256], after[256], by[64] = "";
    if (json_is_number(was) && json_is_number(is)) {
        double old = json_number_value(was), new = json_number_value(is);
        char digits[32];
        if (old != 0)
            snprintf(by, sizeof by, " (by %s %%)",
                     number_significant(100 * (new - old) / fabs(old), 2, digits, sizeof digits));
    }
    verify_add(list, "%s: was %s, is %s%s", name, value_words(was, before, sizeof before),
               value_words(is, after, sizeof after), by);
}

static bool is_same(const json_t *was, const json_t *is)
{
    if (json_is_number(was) && json_is_number(is)) /* 5 and 5.0 are the same */
        return json_number_value(was) == json_number_value(is);
    return (was == NULL && is == NULL) || json_equal(was, is);
}

/* One value of either sort. */
static void compare(struct verify *v, const char *name, const json_t *was, const json_t *is,
                    bool number)
{
    if (number)
        v->n_numbers += json_is_number(is) || json_is_number(was);
    else
        v->n_texts++;
    if (!is_same(was, is))
        tell_number(number ? &v->numbers : &v->texts, name, was, is);
}

static void compare_field(struct verify *v, const char *of, const json_t *was, const json_t *is,
                          const char *key, bool number)
{
    char name[NAME_SIZE];
    snprintf(name, sizeof name, "%.120s%s%s", of, of[0] == '\0' ? "" : ", ", key);
    compare(v, name, json_object_get(was, key), json_object_get(is, key), number);
}

/* The n-th element of an array whose text `key` is `word`; NULL if there is none. */
static const json_t *find(const json_t *array, const char *key, const char *word, size_t n)
{
    for (size_t i = 0; i < json_array_size(array); i++) {
        const json_t *element = json_array_get(array, i);
        if (text_same(kept_text(element, key), word) && n-- == 0)
            return element;
    }
    return NULL;
}

static bool is_input(const json_t *fact)
{
    const char *group = kept_text(fact, "group");
    return text_same(group, "input") || text_same(group, "program");
}

static const json_t *find_fact(const json_t *facts, const json_t *fact, size_t n)
{
    for (size_t i = 0; i < json_array_size(facts); i++) {
        const json_t *other = json_array_get(facts, i);
        if (text_same(kept_text(other, "group"), kept_text(fact, "group")) &&
            text_same(kept_text(other, "key"), kept_text(fact, "key")) && n-- == 0)
            return other;
    }
    return NULL;
}

/* How many of the same name stand before it. */
static size_t facts_before(const json_t *facts, size_t i)
{
    size_t n = 0;
    const json_t *fact = json_array_get(facts, i);
    for (size_t k = 0; k < i; k++)
        n += find_fact(facts, fact, n) == json_array_get(facts, k);
    return n;
}

static void compare_fact(struct verify *v, const json_t *was, const json_t *is)
{
    const json_t *fact = is != NULL ? is : was;
    const char *group = kept_text(fact, "group"), *key = kept_text(fact, "key");
    const char *before = kept_text(was, "value"), *after = kept_text(is, "value");
    struct verify_list *list = is_input(fact) ? &v->causes : &v->texts;
    v->n_texts++;
    if (was != NULL && is != NULL && text_same(before, after))
        return;
    if (was == NULL)
        verify_add(list, "%.60s, '%.200s': was not there, is '%.200s'", group, key, after);
    else if (is == NULL)
        verify_add(list, "%.60s, '%.200s': was '%.200s', is not there", group, key, before);
    else
        verify_add(list, "%.60s, '%.200s': was '%.200s', is '%.200s'", group, key, before, after);
}

static void compare_facts(struct verify *v, const json_t *was, const json_t *is)
{
    for (size_t i = 0; i < json_array_size(is); i++) {
        const json_t *fact = json_array_get(is, i);
        compare_fact(v, find_fact(was, fact, facts_before(is, i)), fact);
    }
    for (size_t i = 0; i < json_array_size(was); i++) {
        const json_t *fact = json_array_get(was, i);
        if (find_fact(is, fact, facts_before(was, i)) == NULL)
            compare_fact(v, fact, NULL);
    }
}

static void compare_parts(struct verify *v, const char *id, const json_t *was, const json_t *is)
{
    size_t n = json_array_size(is) > json_array_size(was) ? json_array_size(is)
                                                          : json_array_size(was);
    for (size_t i = 0; i < n; i++) {
        const json_t *old = json_array_get(was, i), *new = json_array_get(is, i);
        char name[NAME_SIZE];
        snprintf(name, sizeof name, "%.80s, part %.80s", id,
                 kept_text(new != NULL ? new : old, "id"));
        compare_field(v, name, old, new, "id", false);
        compare_field(v, name, old, new, "label", false);
        compare_field(v, name, old, new, "u", true);
    }
}

static void compare_number(struct verify *v, const json_t *was, const json_t *is)
{
    static const char *const values[] = {"value", "u", "low", "high", "dof"};
    static const char *const words[] = {"label", "symbol", "unit"};
    const char *id = kept_text(is != NULL ? is : was, "id");
    for (size_t k = 0; k < sizeof values / sizeof values[0]; k++)
        compare_field(v, id, was, is, values[k], true);
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++)
        compare_field(v, id, was, is, words[k], false);
    compare_parts(v, id, json_object_get(was, "parts"), json_object_get(is, "parts"));
}

static void compare_rows(struct verify *v, const char *id, const json_t *columns, const json_t *was,
                         const json_t *is)
{
    size_t n = json_array_size(is) > json_array_size(was) ? json_array_size(is)
                                                          : json_array_size(was);
    for (size_t row = 0; row < n; row++)
        for (size_t i = 0; i < json_array_size(columns); i++) {
            const json_t *column = json_array_get(columns, i);
            char name[NAME_SIZE];
            snprintf(name, sizeof name, "%.80s, row %zu, %.80s", id, row + 1,
                     kept_text(column, "id"));
            compare(v, name, json_array_get(json_array_get(was, row), i),
                    json_array_get(json_array_get(is, row), i),
                    text_same(kept_text(column, "kind"), "number"));
        }
}

static void compare_table(struct verify *v, const json_t *was, const json_t *is)
{
    const json_t *table = is != NULL ? is : was;
    const char *id = kept_text(table, "id");
    const json_t *columns = json_object_get(table, "columns");
    compare_field(v, id, was, is, "title", false);
    compare_field(v, id, was, is, "note", false);
    compare_field(v, id, was, is, "file", false);
    if (was != NULL && is != NULL && !json_equal(json_object_get(was, "columns"), columns))
        verify_add(&v->texts, "%.80s: other columns", id);
    compare_rows(v, id, columns, json_object_get(was, "rows"), json_object_get(is, "rows"));
}

typedef void compare_one(struct verify *v, const json_t *was, const json_t *is);

/* Elements that belong together by their id, wherever they stand. */
static void compare_by_id(struct verify *v, const json_t *was, const json_t *is, compare_one *one)
{
    for (size_t i = 0; i < json_array_size(is); i++) {
        const json_t *element = json_array_get(is, i);
        one(v, find(was, "id", kept_text(element, "id"), 0), element);
    }
    for (size_t i = 0; i < json_array_size(was); i++) {
        const json_t *element = json_array_get(was, i);
        if (find(is, "id", kept_text(element, "id"), 0) == NULL)
            one(v, element, NULL);
    }
}

static void compare_covariance(struct verify *v, const json_t *was, const json_t *is)
{
    const json_t *old = json_object_get(was, "matrix"), *new = json_object_get(is, "matrix");
    size_t n = json_array_size(new) > json_array_size(old) ? json_array_size(new)
                                                           : json_array_size(old);
    compare_field(v, "covariance", was, is, "numbers", false);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            char name[NAME_SIZE];
            snprintf(name, sizeof name, "covariance, row %zu, column %zu", i + 1, j + 1);
            compare(v, name, json_array_get(json_array_get(old, i), j),
                    json_array_get(json_array_get(new, i), j), true);
        }
}

/* Sentences: what stands in both, in whatever order, is the same. */
static void compare_sentences(struct verify *v, const json_t *was, const json_t *is)
{
    for (size_t i = 0; i < json_array_size(is); i++) {
        const json_t *finding = json_array_get(is, i);
        const json_t *old = find(was, "text", kept_text(finding, "text"), 0);
        v->n_texts++;
        if (!json_equal(old, finding))
            verify_add(&v->texts, "new: %.400s", kept_text(finding, "text"));
    }
    for (size_t i = 0; i < json_array_size(was); i++) {
        const char *text = kept_text(json_array_get(was, i), "text");
        if (find(is, "text", text, 0) == NULL)
            verify_add(&v->texts, "gone: %.400s", text);
    }
}

static void compare_roots(struct verify *v, const json_t *was, const json_t *is)
{
    compare_facts(v, json_object_get(was, "facts"), json_object_get(is, "facts"));
    compare_by_id(v, json_object_get(was, "numbers"), json_object_get(is, "numbers"),
                  compare_number);
    compare_covariance(v, json_object_get(was, "covariance"), json_object_get(is, "covariance"));
    compare_by_id(v, json_object_get(was, "tables"), json_object_get(is, "tables"), compare_table);
    compare_field(v, "", was, is, "title", false);
    compare_field(v, "", was, is, "status", false);
    compare_sentences(v, json_object_get(was, "findings"), json_object_get(is, "findings"));
    compare_field(v, "", was, is, "figures", false);
    compare_field(v, "", was, is, "cautions", false);
}

bool verify_result(struct verify *verify, const struct kept *kept, const struct document *doc,
                   struct faults *faults)
{
    struct text now = {0};
    json_error_t error;
    memset(verify, 0, sizeof *verify);
    json_t *root = NULL;
    bool good = report_json(doc, &now, faults);
    if (good) {
        root = json_loadb(text_string(&now), now.length, 0, &error);
        good = root != NULL || fault_memory(faults); /* our own bytes are JSON */
    }
    if (good)
        compare_roots(verify, kept->root, root);
    if (good && now.length == kept->bytes.length &&
        memcmp(text_string(&now), text_string(&kept->bytes), now.length) == 0)
        good = verify_files(verify, kept, doc, faults);
    json_decref(root);
    text_free(&now);
    return good && text_ok(&verify->numbers.lines, faults) &&
           text_ok(&verify->texts.lines, faults) && text_ok(&verify->causes.lines, faults) &&
           text_ok(&verify->files.lines, faults);
}

void verify_free(struct verify *verify)
{
    text_free(&verify->causes.lines);
    text_free(&verify->numbers.lines);
    text_free(&verify->texts.lines);
    text_free(&verify->files.lines);
    memset(verify, 0, sizeof *verify);
}
