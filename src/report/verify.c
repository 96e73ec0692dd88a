#include "report/verify.h"

#include "base/numbers.h"
#include "report/json.h"
#include "report/verify_files.h"
#include "result/typography.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { NAME_SIZE = 200 };

/* A value as it stands in results.json, after "was" or "is". */
static const char *value_words(const json_t *value, bool number, char *out, size_t size)
{
    char digits[32];
    if (value == NULL)
        snprintf(out, size, "not there");
    else if (json_is_string(value))
        snprintf(out, size, "'%.200s'", json_string_value(value));
    else if (json_is_number(value))
        snprintf(out, size, "%s", number_exact(json_number_value(value), digits, sizeof digits));
    else if (json_is_boolean(value))
        snprintf(out, size, "%s", json_is_true(value) ? "true" : "false");
    else if (json_is_null(value))
        snprintf(out, size, "%s", number ? "not known" : "none");
    else
        snprintf(out, size, "a list of %zu",
                 json_is_array(value) ? json_array_size(value) : json_object_size(value));
    return out;
}

/* "element 2": where two lists begin to differ. */
static size_t first_other(const json_t *was, const json_t *is)
{
    size_t i = 0;
    while (i < json_array_size(was) && i < json_array_size(is) &&
           json_equal(json_array_get(was, i), json_array_get(is, i)))
        i++;
    return i + 1;
}

/* " (by 1.3 %)"; nothing where a share says nothing. */
static const char *change_words(const json_t *was, const json_t *is, char *out, size_t size)
{
    char ascii[32], people[TYPO_SIZE];
    double old = json_number_value(was), share = (json_number_value(is) - old) / fabs(old);
    out[0] = '\0';
    if (!json_is_number(was) || !json_is_number(is) || !isfinite(share) || fabs(share) > 10)
        return out;
    number_significant(100 * share, 2, ascii, sizeof ascii);
    snprintf(out, size, " (by %s%s %%)", share > 0 ? "+" : "",
             typo_number(ascii, people, sizeof people));
    return out;
}

static void tell_difference(struct verify_list *list, const char *name, const json_t *was,
                            const json_t *is, bool number, const char *by)
{
    char before[256], after[256];
    if (json_is_array(was) && json_array_size(was) == json_array_size(is))
        verify_add(list, "%s: element %zu of %zu is another", name, first_other(was, is),
                   json_array_size(is));
    else
        verify_add(list, "%s: was %s, is %s%s", name,
                   value_words(was, number, before, sizeof before),
                   value_words(is, number, after, sizeof after), by);
}

/* scale: the largest value of its kind beside it */
static bool is_rounding(const json_t *was, const json_t *is, double scale)
{
    if (!json_is_number(was) || !json_is_number(is))
        return false;
    double old = json_number_value(was), new = json_number_value(is);
    return fabs(new - old) <= VERIFY_ROUNDING * fmax(scale, fmax(fabs(old), fabs(new)));
}

static bool is_same(const json_t *was, const json_t *is)
{
    if (json_is_number(was) && json_is_number(is)) /* 5 and 5.0 are the same */
        return json_number_value(was) == json_number_value(is);
    return (was == NULL && is == NULL) || json_equal(was, is);
}

static void compare_text(struct verify *v, const char *name, const json_t *was, const json_t *is)
{
    v->n_texts++;
    if (!is_same(was, is))
        tell_difference(&v->texts, name, was, is, false, "");
}

static void compare_figure(struct verify *v, const char *name, const json_t *was, const json_t *is,
                           double scale)
{
    v->n_numbers += json_is_number(is) || json_is_number(was);
    char by[64];
    if (is_same(was, is))
        return;
    if (is_rounding(was, is, scale)) /* a share of it would be noise */
        tell_difference(&v->rounded, name, was, is, true, "");
    else
        tell_difference(&v->numbers, name, was, is, true, change_words(was, is, by, sizeof by));
}

static const char *field_name(const char *of, const char *key, char name[NAME_SIZE])
{
    snprintf(name, NAME_SIZE, "%.120s%s%s", of, of[0] == '\0' ? "" : ", ", key);
    return name;
}

static void compare_field(struct verify *v, const char *of, const json_t *was, const json_t *is,
                          const char *key)
{
    char name[NAME_SIZE];
    compare_text(v, field_name(of, key, name), json_object_get(was, key), json_object_get(is, key));
}

static void compare_number_field(struct verify *v, const char *of, const json_t *was,
                                 const json_t *is, const char *key, double scale)
{
    char name[NAME_SIZE];
    compare_figure(v, field_name(of, key, name), json_object_get(was, key),
                   json_object_get(is, key), scale);
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
        verify_add(list, "%.60s '%.200s' was not there, is '%.200s'", group, key, after);
    else if (is == NULL)
        verify_add(list, "%.60s '%.200s' was '%.200s', is not there", group, key, before);
    else
        verify_add(list, "%.60s '%.200s' was '%.200s', is '%.200s'", group, key, before, after);
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

static void compare_parts(struct verify *v, const char *id, const json_t *was, const json_t *is,
                          double scale)
{
    size_t n = json_array_size(is) > json_array_size(was) ? json_array_size(is)
                                                          : json_array_size(was);
    for (size_t i = 0; i < n; i++) {
        const json_t *old = json_array_get(was, i), *new = json_array_get(is, i);
        char name[NAME_SIZE];
        snprintf(name, sizeof name, "%.80s, part %.80s", id,
                 kept_text(new != NULL ? new : old, "id"));
        compare_field(v, name, old, new, "id");
        compare_field(v, name, old, new, "label");
        compare_number_field(v, name, old, new, "u", scale);
    }
}

static void compare_number(struct verify *v, const json_t *was, const json_t *is)
{
    static const char *const values[] = {"value", "u", "low", "high", "dof"};
    static const char *const words[] = {"label", "symbol", "unit"};
    const char *id = kept_text(is != NULL ? is : was, "id");
    double scale = fabs(json_number_value(json_object_get(is, "value")));
    double u = fabs(json_number_value(json_object_get(is, "u")));
    for (size_t k = 0; k < sizeof values / sizeof values[0]; k++)
        compare_number_field(v, id, was, is, values[k], fmax(scale, u));
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++)
        compare_field(v, id, was, is, words[k]);
    compare_parts(v, id, json_object_get(was, "parts"), json_object_get(is, "parts"), u);
}

/* The largest magnitude of a column: what is zero but for rounding is small beside it. */
static double column_scale(const json_t *rows, size_t i)
{
    double scale = 0;
    for (size_t row = 0; row < json_array_size(rows); row++)
        scale = fmax(scale,
                     fabs(json_number_value(json_array_get(json_array_get(rows, row), i))));
    return scale;
}

static void compare_column(struct verify *v, const char *id, const json_t *column, size_t i,
                           const json_t *was, const json_t *is, size_t n)
{
    bool number = text_same(kept_text(column, "kind"), "number");
    double scale = number ? column_scale(is, i) : 0;
    for (size_t row = 0; row < n; row++) {
        char name[NAME_SIZE];
        const json_t *before = json_array_get(json_array_get(was, row), i);
        const json_t *after = json_array_get(json_array_get(is, row), i);
        snprintf(name, sizeof name, "%.80s, row %zu, %.80s", id, row + 1, kept_text(column, "id"));
        if (number)
            compare_figure(v, name, before, after, scale);
        else
            compare_text(v, name, before, after);
    }
}

static void compare_rows(struct verify *v, const char *id, const json_t *columns, const json_t *was,
                         const json_t *is)
{
    size_t before = json_array_size(was), after = json_array_size(is);
    if (before != after && was != NULL && is != NULL)
        verify_add(&v->texts, "%.80s: had %zu rows, has %zu", id, before, after);
    for (size_t i = 0; i < json_array_size(columns); i++)
        compare_column(v, id, json_array_get(columns, i), i, was, is,
                       before > after ? before : after);
}

static void compare_table(struct verify *v, const json_t *was, const json_t *is)
{
    const json_t *table = is != NULL ? is : was;
    const char *id = kept_text(table, "id");
    const json_t *columns = json_object_get(table, "columns");
    compare_field(v, id, was, is, "title");
    compare_field(v, id, was, is, "note");
    compare_field(v, id, was, is, "file");
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

static double diagonal(const json_t *matrix, size_t i)
{
    return fabs(json_number_value(json_array_get(json_array_get(matrix, i), i)));
}

static void compare_covariance(struct verify *v, const json_t *was, const json_t *is)
{
    const json_t *old = json_object_get(was, "matrix"), *new = json_object_get(is, "matrix");
    size_t n = json_array_size(new) > json_array_size(old) ? json_array_size(new)
                                                           : json_array_size(old);
    compare_field(v, "covariance", was, is, "numbers");
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            char name[NAME_SIZE];
            snprintf(name, sizeof name, "covariance, row %zu, column %zu", i + 1, j + 1);
            compare_figure(v, name, json_array_get(json_array_get(old, i), j),
                           json_array_get(json_array_get(new, i), j),
                           sqrt(diagonal(new, i) * diagonal(new, j)));
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
    compare_field(v, "", was, is, "title");
    compare_field(v, "", was, is, "status");
    compare_sentences(v, json_object_get(was, "findings"), json_object_get(is, "findings"));
    compare_field(v, "", was, is, "figures");
    compare_field(v, "", was, is, "cautions");
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
    return good && verify_told(verify, faults);
}
