#include "draft/head_rows.h"

#include "domain/head_unit.h"
#include "draft/cell.h"
#include "draft/guess.h"
#include "ingest/complaint.h"
#include "ingest/csv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Above the first row of readings nobody writes more lines than this; and looking names up is dear.
 */
enum { LINES_ABOVE_MAX = 60, FIELDS_LOOKED_UP = 24 };

/* One line cut into fields, and what they look like. */
struct cut {
    enum csv_status status;
    size_t bad;
    size_t fields;
    size_t filled;
    size_t values;    /* numbers, times, "no reading" */
    size_t looked_up; /* texts among the first fields; of these: */
    size_t known;     /* names that mean something */
    bool time;        /* one says that it is a time */
    size_t units;
    char decimal;
};

bool head_rows_time_word(const char *name)
{
    static const char *const words[] = {"time",   "date",   "timestamp", "datetime", "stamp",
                                        "record", "millis", "unix",      "day",      "clock"};
    return words_any(name, words, sizeof words / sizeof words[0]);
}

static bool is_known(const char *name)
{
    struct guess guess;
    guess_column(name, "", &guess);
    return guess.why[0] != '\0' || head_rows_time_word(name);
}

static void look_at_field(void *state, size_t number, const char *bytes, size_t n)
{
    struct cut *cut = state;
    enum cell_kind kind = cell_kind(bytes, n, cut->decimal);
    struct head_unit unit;
    if (number >= CSV_FIELDS_MAX || kind == CELL_EMPTY)
        return;
    cut->filled++;
    cut->values += kind != CELL_TEXT;
    if (kind != CELL_TEXT || number >= FIELDS_LOOKED_UP)
        return;
    cut->looked_up++;
    cut->known += is_known(bytes);
    cut->time = cut->time || head_rows_time_word(bytes);
    head_unit_of(bytes, &unit);
    cut->units += unit.text[0] != '\0';
}

static bool is_row(const struct cut *cut, const struct dialect *dialect)
{
    return cut->status == CSV_ROW && cut->values > 0 && 2 * cut->values >= cut->filled &&
           2 * cut->fields >= dialect->fields;
}

/* Half of the filled fields or more are units, and no more of them mean something else. Beside
 * "Time" the letters "G" and "T" are no gauss and tesla. */
static bool is_units_row(const struct cut *cut)
{
    bool names = cut->time && cut->known >= 2;
    return cut->units > 0 && !names && 2 * cut->units >= cut->looked_up &&
           cut->known <= cut->units;
}

static bool fits(const struct cut *cut, const struct dialect *dialect)
{
    return cut->fields + 1 >= dialect->fields && cut->fields <= dialect->fields + 1;
}

static bool names_better(const struct cut *a, const struct cut *b, const struct dialect *dialect)
{
    if (a->status != CSV_ROW || a->fields < 2)
        return false;
    if (b->status != CSV_ROW || fits(a, dialect) != fits(b, dialect))
        return b->status != CSV_ROW || fits(a, dialect);
    return a->known > b->known || (a->known == b->known && a->known > 0);
}

/* A comment is taken for the names only if most of what it holds is known. */
static bool names_in_comment(const struct cut *cut, const struct dialect *dialect)
{
    return cut->status == CSV_ROW && fits(cut, dialect) && cut->known >= 2 &&
           2 * cut->known >= cut->looked_up;
}

struct head_search {
    const struct excerpt *excerpt;
    const struct dialect *dialect;
    struct csv csv;
    struct cut cut; /* of the line looked at last */
};

static bool look(struct head_search *search, size_t line)
{
    memset(&search->cut, 0, sizeof search->cut);
    search->cut.decimal = search->dialect->decimal;
    const struct excerpt *excerpt = search->excerpt;
    search->cut.status = csv_line(&search->csv, excerpt_bytes(excerpt, line), excerpt->line[line].n,
                                  &search->cut.bad);
    search->cut.fields = search->csv.fields;
    return search->cut.status != CSV_NO_MEMORY;
}

/* The first line of two that follow each other and both look like readings; a single one only where
 * the log ends with it. Out: names_at, unit_line. Returns: false when out of memory. */
static bool search_lines(struct head_search *search, struct head_rows *rows)
{
    const struct excerpt *excerpt = search->excerpt;
    struct cut best = {.status = CSV_BLANK};
    size_t before = excerpt->n; /* the line before, comments apart, if it looked like a row */
    size_t i = 0;
    rows->first_row = excerpt->n;
    for (; i < excerpt->n && i < LINES_ABOVE_MAX && excerpt->line[i].part == EXCERPT_HEAD; i++) {
        if (!look(search, i))
            return false;
        if (excerpt->line[i].comment && !names_in_comment(&search->cut, search->dialect))
            continue;
        bool bad = search->cut.status != CSV_ROW && search->cut.status != CSV_BLANK;
        bool row = is_row(&search->cut, search->dialect) || (bad && best.status == CSV_ROW);
        if (row && (before < excerpt->n || i + 1 == excerpt->n)) {
            rows->first_row = before < excerpt->n ? before : i;
            rows->none = best.status != CSV_ROW;
            return true;
        }
        before = row ? i : excerpt->n;
        if (row)
            continue;
        if (names_better(&search->cut, &best, search->dialect) && !is_units_row(&search->cut)) {
            best = search->cut;
            rows->names_at = i;
        } else if (bad && rows->n_above++ == 0) {
            rows->names_at = i; /* perhaps the names, and damaged */
        }
    }
    return true;
}

struct strings {
    char **item; /* CSV_FIELDS_MAX */
    bool failed;
};

static void take_string(void *state, size_t number, const char *bytes, size_t n)
{
    struct strings *strings = state;
    if (number >= CSV_FIELDS_MAX)
        return;
    char *copy = strndup(bytes, n);
    strings->failed = strings->failed || copy == NULL;
    if (copy == NULL)
        return;
    char *trimmed = text_trim(copy);
    memmove(copy, trimmed, strlen(trimmed) + 1);
    strings->item[number] = copy;
}

static void free_strings(char **item, size_t n)
{
    for (size_t i = 0; item != NULL && i < n; i++)
        free(item[i]);
    free(item);
}

/* A line's first n fields as strings; where it has fewer, "". Returns: NULL when out of memory. */
static char **strings_of(struct head_search *search, size_t line, size_t n)
{
    struct strings strings = {calloc(CSV_FIELDS_MAX, sizeof *strings.item), false};
    const struct excerpt *excerpt = search->excerpt;
    size_t bad;
    if (strings.item == NULL)
        return NULL;
    search->csv.take = take_string;
    search->csv.state = &strings;
    csv_line(&search->csv, excerpt_bytes(excerpt, line), excerpt->line[line].n, &bad);
    for (size_t i = 0; i < n; i++) {
        if (strings.item[i] == NULL)
            strings.item[i] = strdup("");
        strings.failed = strings.failed || strings.item[i] == NULL;
    }
    for (size_t i = n; i < CSV_FIELDS_MAX; i++) { /* a units row may be longer than the names */
        free(strings.item[i]);
        strings.item[i] = NULL;
    }
    search->csv.take = look_at_field;
    search->csv.state = &search->cut;
    if (!strings.failed)
        return strings.item;
    free_strings(strings.item, CSV_FIELDS_MAX);
    return NULL;
}

/* Comments are not counted. */
static size_t lines_between(const struct excerpt *excerpt, size_t from, size_t to)
{
    size_t n = 0;
    for (size_t i = from; i < to; i++)
        n += !excerpt->line[i].comment;
    return n;
}

static bool number_twin(char **name, size_t which)
{
    size_t size = strlen(*name) + 32;
    char *longer = malloc(size);
    if (longer == NULL)
        return false;
    snprintf(longer, size, "%s (%zu)", *name, which);
    free(*name);
    *name = longer;
    return true;
}

/* Columns of one name are called as the log's reader calls them: "T (1)", "T (2)".
 * Returns: false when out of memory. */
static bool part_twins(struct head_rows *rows)
{
    rows->twin = calloc(rows->n + 1, sizeof *rows->twin);
    if (rows->twin == NULL)
        return false;
    for (size_t i = 0; i < rows->n; i++) {
        const char *name = rows->name[i];
        if (name[0] == '\0' || head_rows_count(rows, name) < 2)
            continue;
        char *whole = strdup(name);
        size_t which = 0;
        bool good = whole != NULL;
        for (size_t k = i; good && k < rows->n; k++)
            if (text_same(rows->name[k], whole)) {
                good = number_twin(&rows->name[k], ++which);
                rows->twin[k] = true;
            }
        free(whole);
        if (!good)
            return false;
    }
    return true;
}

/* Names, and the units below them if a row states them. */
static bool take_names(struct head_search *search, struct head_rows *rows)
{
    const struct excerpt *excerpt = search->excerpt;
    if (!look(search, rows->names_at))
        return false;
    size_t n = search->cut.fields;
    rows->line = excerpt->line[rows->names_at].number;
    rows->n_above = lines_between(excerpt, 0, rows->names_at);
    rows->n_below = lines_between(excerpt, rows->names_at + 1, rows->first_row);
    rows->name = strings_of(search, rows->names_at, n);
    if (rows->name == NULL)
        return false;
    rows->n = n;
    if (!part_twins(rows))
        return false;
    for (size_t i = rows->names_at + 1; i < rows->first_row && rows->unit == NULL; i++) {
        if (excerpt->line[i].comment)
            continue;
        if (!look(search, i))
            return false;
        if (!is_units_row(&search->cut))
            continue;
        rows->unit_line = excerpt->line[i].number;
        rows->unit = strings_of(search, i, n);
        if (rows->unit == NULL)
            return false;
    }
    return true;
}

/* The line that ought to hold the names is one that cannot be cut into fields. */
static bool refuse_line(const struct head_search *search, size_t at, struct faults *faults)
{
    const struct excerpt *excerpt = search->excerpt;
    struct line line = {.bytes = excerpt->bytes.bytes + excerpt->line[at].at,
                        .n = excerpt->line[at].n,
                        .number = excerpt->line[at].number};
    struct bad_line bad = {.path = excerpt->path,
                           .line = &line,
                           .line_status = LINE_TEXT,
                           .csv_status = search->cut.status,
                           .at = search->cut.bad};
    return complain_bad_line(&bad, faults);
}

static bool judge(struct head_search *search, const struct head_rows *rows, struct faults *faults)
{
    if (rows->none && rows->n_above == 0)
        return true;
    if (!look(search, rows->names_at))
        return fault_memory(faults);
    if (search->cut.status != CSV_ROW && search->cut.status != CSV_BLANK)
        return refuse_line(search, rows->names_at, faults);
    return true;
}

/* Columns of a log without names, as its reader calls them: "1", "2", ... */
static bool take_numbers(const struct dialect *dialect, struct head_rows *rows)
{
    char number[24];
    rows->name = calloc(dialect->fields, sizeof *rows->name);
    if (rows->name == NULL)
        return false;
    rows->n = dialect->fields;
    for (size_t i = 0; i < rows->n; i++) {
        snprintf(number, sizeof number, "%zu", i + 1);
        rows->name[i] = strdup(number);
        if (rows->name[i] == NULL)
            return false;
    }
    return true;
}

bool head_rows_find(const struct excerpt *excerpt, const struct dialect *dialect,
                    struct head_rows *rows, struct faults *faults)
{
    struct head_search search = {.excerpt = excerpt, .dialect = dialect};
    memset(rows, 0, sizeof *rows);
    if (!csv_open(&search.csv, dialect->separator, look_at_field, NULL, faults))
        return false;
    search.csv.state = &search.cut;
    bool good = search_lines(&search, rows) || fault_memory(faults);
    good = good && judge(&search, rows, faults);
    good = good && ((rows->none ? take_numbers(dialect, rows) : take_names(&search, rows)) ||
                    fault_memory(faults));
    csv_shut(&search.csv);
    return good;
}

void head_rows_free(struct head_rows *rows)
{
    free_strings(rows->name, rows->n);
    free_strings(rows->unit, rows->n);
    free(rows->twin);
    memset(rows, 0, sizeof *rows);
}

size_t head_rows_count(const struct head_rows *rows, const char *name)
{
    size_t count = 0;
    for (size_t i = 0; i < rows->n; i++)
        count += text_same(rows->name[i], name);
    return count;
}

bool head_rows_twice(const struct head_rows *rows, const char *name)
{
    size_t n = strlen(name);
    for (size_t i = 0; rows->twin != NULL && i < rows->n; i++)
        if (rows->twin[i] && strncmp(rows->name[i], name, n) == 0 &&
            strcmp(rows->name[i] + n, " (2)") == 0)
            return true;
    return false;
}

bool head_rows_same(const struct head_rows *a, const struct head_rows *b)
{
    if (a->n != b->n)
        return false;
    for (size_t i = 0; i < a->n; i++)
        if (!text_same(a->name[i], b->name[i]))
            return false;
    return true;
}
