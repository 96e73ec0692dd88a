#include "draft/dialect.h"

#include "draft/cell.h"
#include "ingest/csv.h"

#include <stdio.h>
#include <string.h>

/* One number in MINORITY with the other decimal sign is too many for a slip. */
enum { LINES_TRIED = 600, PAIRS = 6, SHOWN = 75, MINORITY = 20 };

/* Pairs whose cells are understood to within this share of each other are a tie. */
#define TIE 0.02

static const struct dialect pairs[PAIRS] = {
    {.separator = ',', .decimal = '.'},
    {.separator = ';', .decimal = ','},
    {.separator = ';', .decimal = '.'},
    {.separator = '\t', .decimal = '.'},
    {.separator = '\t', .decimal = ','},
    {.separator = ',', .decimal = ','}, /* with quotes around the numbers: "23,4" */
};

const char *dialect_separator_word(char separator)
{
    return separator == ',' ? "comma" : separator == ';' ? "semicolon" : "tab";
}

const char *dialect_decimal_word(char decimal)
{
    return decimal == ',' ? "comma" : "point";
}

char dialect_separator_of(const char *word)
{
    static const char signs[] = {',', ';', '\t'};
    for (size_t i = 0; i < sizeof signs; i++)
        if (text_same_nocase(word, dialect_separator_word(signs[i])))
            return signs[i];
    return '\0';
}

char dialect_decimal_of(const char *word)
{
    return text_same_nocase(word, "point") ? '.' : text_same_nocase(word, "comma") ? ',' : '\0';
}

/* What one pair makes of the lines. */
struct trial {
    struct dialect dialect;
    size_t histogram[CSV_FIELDS_MAX + 1]; /* lines by number of fields */
    size_t cells[CSV_FIELDS_MAX + 1];     /* understood, of the lines with so many fields */
    size_t now;                           /* of the current line */
    bool too_many;                        /* a line has more than CSV_FIELDS_MAX */
};

static void take_cell(void *state, size_t number, const char *bytes, size_t n)
{
    struct trial *trial = state;
    (void)number;
    enum cell_kind kind = cell_kind(bytes, n, trial->dialect.decimal);
    trial->now += kind != CELL_TEXT;
    trial->dialect.n_decimals +=
        kind == CELL_NUMBER && memchr(bytes, trial->dialect.decimal, n) != NULL;
}

static size_t stride(const struct excerpt *excerpt)
{
    return excerpt->n <= LINES_TRIED ? 1 : excerpt->n / LINES_TRIED;
}

static void sum_up(struct trial *trial)
{
    struct dialect *dialect = &trial->dialect;
    size_t best = 1;
    size_t all = 0;
    for (size_t i = 1; i <= CSV_FIELDS_MAX; i++) {
        all += trial->histogram[i] * i;
        if (i > 1 && trial->histogram[i] * i > (best > 1 ? trial->histogram[best] * best : 0))
            best = i;
    }
    dialect->fields = best;
    dialect->understood = all > 0 && best > 1 ? (double)trial->cells[best] / (double)all : 0.0;
}

static bool try_pair(const struct excerpt *excerpt, struct trial *trial, struct faults *faults)
{
    struct csv csv;
    bool good = csv_open(&csv, trial->dialect.separator, take_cell, trial, faults);
    if (!good)
        return false;
    for (size_t i = 0; good && i < excerpt->n; i += stride(excerpt)) {
        size_t bad;
        if (excerpt->line[i].comment)
            continue;
        trial->now = 0;
        enum csv_status status =
            csv_line(&csv, excerpt_bytes(excerpt, i), excerpt->line[i].n, &bad);
        good = status != CSV_NO_MEMORY;
        trial->dialect.n_lines++;
        trial->too_many = trial->too_many || status == CSV_TOO_MANY;
        if (status != CSV_ROW || csv.fields > CSV_FIELDS_MAX)
            continue;
        trial->histogram[csv.fields]++;
        trial->cells[csv.fields] += trial->now;
    }
    csv_shut(&csv);
    sum_up(trial);
    return good || fault_memory(faults);
}

static bool allowed(const struct dialect *pair, const struct dialect *pinned)
{
    return pinned == NULL || ((pinned->separator == '\0' || pinned->separator == pair->separator) &&
                              (pinned->decimal == '\0' || pinned->decimal == pair->decimal));
}

struct cells_shown {
    struct text out;
    char decimal;
};

static void show_cell(void *state, size_t number, const char *bytes, size_t n)
{
    struct cells_shown *shown = state;
    const char *odd = cell_kind(bytes, n, shown->decimal) == CELL_TEXT ? " (text)" : "";
    if (shown->out.length < SHOWN)
        text_addf(&shown->out, "%s%.*s%s", number > 0 ? " | " : "", n < 24 ? (int)n : 24, bytes,
                  odd);
}

/* "semicolon, decimal comma: 2026-06-21 10:15:30 | 23,4 | 871" */
static void show_reading(const struct excerpt *excerpt, const struct dialect *dialect, char *out,
                         size_t size, size_t i, struct faults *faults)
{
    struct cells_shown shown = {.decimal = dialect->decimal};
    struct csv csv;
    size_t bad;
    if (csv_open(&csv, dialect->separator, show_cell, &shown, faults))
        csv_line(&csv, excerpt_bytes(excerpt, i), excerpt->line[i].n, &bad);
    csv_shut(&csv);
    snprintf(out, size, "%s between fields, decimal %s: %s",
             dialect_separator_word(dialect->separator), dialect_decimal_word(dialect->decimal),
             text_string(&shown.out));
    text_free(&shown.out);
}

/* The first line below the first one in which both decimal signs, or both separators, stand. */
static size_t shown_line(const struct excerpt *excerpt, const struct dialect *a,
                         const struct dialect *b)
{
    bool same = a->separator == b->separator;
    char sign = same ? a->decimal : a->separator;
    char other = same ? b->decimal : b->separator;
    for (size_t i = 1; i < excerpt->n; i++) {
        const char *at = excerpt_bytes(excerpt, i);
        if (memchr(at, sign, excerpt->line[i].n) != NULL &&
            memchr(at, other, excerpt->line[i].n) != NULL)
            return i;
    }
    return excerpt->n / 2;
}

static bool refuse_tie(const struct excerpt *excerpt, const struct dialect *a,
                       const struct dialect *b, struct faults *faults)
{
    char first[FAULT_TEXT_SIZE / 2], second[FAULT_TEXT_SIZE / 2];
    size_t i = shown_line(excerpt, a, b);
    show_reading(excerpt, a, first, sizeof first, i, faults);
    show_reading(excerpt, b, second, sizeof second, i, faults);
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(excerpt->path, excerpt->line[i].number, 0));
    fault_found(fault, "can be read in two ways, and the %zu lines looked at do not settle which",
                a->n_lines);
    fault_expected(fault, "one of these: %s; or %s", first, second);
    fault_hint(fault, "say which: --separator=%s --decimal=%s, or --separator=%s --decimal=%s",
               dialect_separator_word(a->separator), dialect_decimal_word(a->decimal),
               dialect_separator_word(b->separator), dialect_decimal_word(b->decimal));
    return false;
}

/* Words parted by blanks, the same number on most lines. */
static bool has_blanks_between(const struct excerpt *excerpt)
{
    size_t same = 0;
    size_t before = 0;
    for (size_t i = 0; i < excerpt->n; i++) {
        const char *at = excerpt_bytes(excerpt, i);
        size_t words = 0;
        for (size_t k = 0; k < excerpt->line[i].n; k++)
            words += at[k] != ' ' && (k == 0 || at[k - 1] == ' ');
        same += words >= 3 && words == before;
        before = words;
    }
    return excerpt->n > 2 && 2 * same > excerpt->n;
}

static bool refuse(const struct excerpt *excerpt, const char *found, const char *hint,
                   struct faults *faults)
{
    long line = excerpt->n > 0 ? excerpt->line[0].number : 0;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(excerpt->path, line, 0));
    fault_found(fault, "%s", found);
    fault_expected(fault, "commas, semicolons or tabs between the fields, the same on every line");
    fault_hint(fault, "%s", hint);
    return false;
}

/* Two or more '|' on most lines. */
static bool has_bars_between(const struct excerpt *excerpt)
{
    size_t with = 0;
    for (size_t i = 0; i < excerpt->n; i++) {
        const char *at = excerpt_bytes(excerpt, i);
        size_t bars = 0;
        for (size_t k = 0; k < excerpt->line[i].n; k++)
            bars += at[k] == '|';
        with += bars >= 2;
    }
    return 2 * with > excerpt->n;
}

/* "[collector]" */
static bool is_description(const struct excerpt *excerpt)
{
    static const char *const sections[] = {"[collector]", "[log]", "[points]", "[instrument "};
    for (size_t i = 0; i < excerpt->n; i++)
        for (size_t k = 0; k < sizeof sections / sizeof sections[0]; k++)
            if (excerpt->line[i].n >= strlen(sections[k]) &&
                memcmp(excerpt_bytes(excerpt, i), sections[k], strlen(sections[k])) == 0)
                return true;
    return false;
}

static bool refuse_none(const struct excerpt *excerpt, bool too_many, struct faults *faults)
{
    if (is_description(excerpt)) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(excerpt->path, 0, 0));
        fault_found(fault, "is a description, not a log");
        fault_hint(fault, "'etabench check' reads it; draft takes the log that it names");
        return false;
    }
    if (has_bars_between(excerpt))
        return refuse(excerpt, "has '|' between its fields",
                      "replace each '|' by a tab in an editor, or have the logger write CSV",
                      faults);
    if (too_many)
        return refuse(excerpt, "has more than 1,024 fields on a line",
                      "is this the logger's CSV file? a test needs time, sunshine, three "
                      "temperatures and a flow",
                      faults);
    if (has_blanks_between(excerpt))
        return refuse(excerpt, "seems to have blanks between its fields",
                      "replace each run of blanks by one tab or comma in an editor, or have the "
                      "logger write CSV",
                      faults);
    return refuse(excerpt, "holds one column only, whichever sign is taken to part the fields",
                  "is this the log itself? a test needs at least time, sunshine, three "
                  "temperatures and a flow",
                  faults);
}

/* Whether the second pair could be meant as well as the first. */
static bool is_tie(const struct dialect *best, const struct dialect *other)
{
    if (best->separator == other->separator)
        return other->n_decimals > 0 && MINORITY * other->n_decimals >= best->n_decimals;
    return other->fields > 1 && other->understood > 0.0 &&
           best->understood - other->understood <= TIE * best->understood;
}

static bool is_better(const struct dialect *a, const struct dialect *b)
{
    if (a->understood != b->understood)
        return a->understood > b->understood;
    return a->n_decimals != b->n_decimals ? a->n_decimals > b->n_decimals : a->fields > b->fields;
}

/* Out: found   n dialects, the best first; of equals the one that stands first in the table */
static bool try_pairs(const struct excerpt *excerpt, const struct dialect *pinned,
                      struct dialect found[PAIRS], size_t *n, bool *too_many, struct faults *faults)
{
    struct trial trial;
    for (size_t i = 0; i < PAIRS; i++) {
        if (!allowed(&pairs[i], pinned))
            continue;
        memset(&trial, 0, sizeof trial);
        trial.dialect = pairs[i];
        if (!try_pair(excerpt, &trial, faults))
            return false;
        *too_many = *too_many || trial.too_many;
        size_t at = (*n)++;
        for (; at > 0 && is_better(&trial.dialect, &found[at - 1]); at--)
            found[at] = found[at - 1];
        found[at] = trial.dialect;
    }
    return true;
}

bool dialect_find(const struct excerpt *excerpt, const struct dialect *pinned,
                  struct dialect *dialect, struct faults *faults)
{
    struct dialect found[PAIRS];
    size_t n = 0;
    bool too_many = false;
    if (!try_pairs(excerpt, pinned, found, &n, &too_many, faults))
        return false;
    const struct dialect *best = &found[0];
    const struct dialect *second = n > 1 ? &found[1] : NULL;
    if (n == 0 || best->fields < 2)
        return refuse_none(excerpt, too_many, faults);
    if (second != NULL && is_tie(best, second))
        return refuse_tie(excerpt, best, second, faults);
    *dialect = *best;
    return true;
}
