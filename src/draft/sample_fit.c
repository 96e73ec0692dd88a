#include "draft/sample_fit.h"

#include "draft/cell.h"
#include "ingest/csv.h"

#include <stdlib.h>
#include <string.h>

static bool same_dialect(const struct dialect *a, const struct dialect *b)
{
    bool decimal = a->decimal == b->decimal || a->n_decimals == 0 || b->n_decimals == 0;
    return a->separator == b->separator && decimal;
}

/* The column of that name, if there is one and only one. Returns: rows->n if not. */
static size_t column_named(const struct head_rows *rows, const char *name)
{
    size_t found = rows->n;
    for (size_t i = 0; i < rows->n; i++) {
        if (!text_same(rows->name[i], name))
            continue;
        if (found < rows->n)
            return rows->n;
        found = i;
    }
    return found;
}

bool sample_map_fields(struct sample *sample, const struct head_rows *head, size_t *lacks)
{
    bool same = head_rows_same(head, &sample->head);
    free(sample->column);
    sample->column = malloc((head->n + 1) * sizeof *sample->column);
    if (sample->column == NULL)
        return false;
    sample->n_fields = head->n;
    *lacks = sample->head.n;
    for (size_t i = 0; i < head->n; i++)
        sample->column[i] = same ? i : sample->head.n;
    for (size_t i = 0; i < sample->head.n && !same && *lacks == sample->head.n; i++) {
        size_t field = column_named(head, sample->head.name[i]);
        if (field < head->n)
            sample->column[field] = i;
        else
            *lacks = i;
    }
    return true;
}

static bool refuse_other_dialect(const struct sample *sample, const struct dialect *dialect,
                                 struct place at, const char *first, struct faults *faults)
{
    bool separator = dialect->separator != sample->dialect.separator;
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    if (separator)
        fault_found(fault, "has %ss between its fields, '%s' has %ss",
                    dialect_separator_word(dialect->separator), first,
                    dialect_separator_word(sample->dialect.separator));
    else
        fault_found(fault, "has decimal %ss, '%s' has decimal %ss",
                    dialect_decimal_word(dialect->decimal), first,
                    dialect_decimal_word(sample->dialect.decimal));
    fault_expected(fault, "all logs of one logger written in the same way");
    fault_hint(fault, "save them all in one way, or leave this log out");
    return false;
}

/* What stands in the place of the column that a log lacks. */
static const char *stands_instead(const struct sample *sample, const struct head_rows *head,
                                  size_t lacks)
{
    if (head->none || lacks >= head->n || head->name[lacks][0] == '\0' ||
        head_rows_count(&sample->head, head->name[lacks]) > 0)
        return NULL;
    return head->name[lacks];
}

bool sample_suits_first(struct sample *sample, const struct dialect *dialect,
                        const struct head_rows *head, const struct excerpt *excerpt,
                        const char *first, struct faults *faults)
{
    size_t lacks;
    struct place at = fault_at(excerpt->path, head->line, 0);
    if (!same_dialect(dialect, &sample->dialect))
        return refuse_other_dialect(sample, dialect, at, first, faults);
    if (!sample_map_fields(sample, head, &lacks))
        return fault_memory(faults);
    if (lacks == sample->head.n)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    const char *name = sample->head.name[lacks];
    const char *instead = stands_instead(sample, head, lacks);
    if (head->none && !sample->head.none)
        fault_found(fault, "has no row of names, as '%s' has", first);
    else if (head_rows_twice(head, name))
        fault_found(fault, "has the column '%s' of '%s' more than once", name, first);
    else if (instead != NULL)
        fault_found(fault, "has no column '%s', as '%s' has; in its place stands '%s'", name, first,
                    instead);
    else
        fault_found(fault, "has no column '%s', as '%s' has", name, first);
    fault_expected(fault, "the columns of the first log under the same names, in any order");
    fault_hint(fault,
               "if it is the same column, rename it in one of the two logs; if another logger "
               "wrote this log, draft a description of it alone");
    return false;
}

/* The first texts of a line, where numbers were looked for. */
struct texts {
    struct text out;
    size_t n;
    char decimal;
};

static void take_text(void *state, size_t number, const char *bytes, size_t n)
{
    enum { SHOWN = 2, LONGEST = 30 };
    struct texts *texts = state;
    (void)number;
    if (cell_kind(bytes, n, texts->decimal) != CELL_TEXT || texts->n == SHOWN)
        return;
    text_addf(&texts->out, "%s'%.*s'", texts->n++ == 0 ? "" : ", ", n < LONGEST ? (int)n : LONGEST,
              bytes);
}

/* The first line below the names that is no comment. Returns: the excerpt's n if there is none. */
static size_t line_below(const struct excerpt *excerpt, const struct head_rows *head)
{
    size_t i = head->none ? 0 : head->names_at + 1;
    while (i < excerpt->n && (excerpt->line[i].comment || i == head->names_at))
        i++;
    return i;
}

bool sample_refuse_no_rows(const struct sample *sample, const struct excerpt *excerpt,
                           const struct head_rows *head, struct faults *faults)
{
    size_t i = line_below(excerpt, head);
    struct texts texts = {.decimal = sample->dialect.decimal};
    struct csv csv;
    size_t bad;
    if (i < excerpt->n) {
        if (!csv_open(&csv, sample->dialect.separator, take_text, &texts, faults))
            return false;
        csv_line(&csv, excerpt_bytes(excerpt, i), excerpt->line[i].n, &bad);
        csv_shut(&csv);
    }
    if (texts.n == 0) {
        text_free(&texts.out);
        struct fault *none = fault_new(faults, FAULT_INPUT, fault_at(excerpt->path, 0, 0));
        fault_found(none, "holds a header row but no rows below it");
        fault_hint(none, "give a log with readings, or leave the file out");
        return false;
    }
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(excerpt->path, excerpt->line[i].number, 0));
    fault_found(fault, "no line holds readings: half of the fields or more are neither numbers nor "
                       "times, such as %s",
                text_string(&texts.out));
    fault_expected(fault,
                   "numbers and times alone in the fields, like 23.4 and 2026-06-21 10:15:30");
    fault_hint(fault,
               "units and remarks belong into the names; #### is what a spreadsheet saves of "
               "a column that is too narrow: make it wider and save again");
    bool whole = text_ok(&texts.out, faults);
    text_free(&texts.out);
    return whole && false;
}

bool sample_refuse_surplus(const struct sample *sample, const struct excerpt *excerpt,
                           const struct dialect *dialect, struct faults *faults)
{
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(excerpt->path, sample->first_surplus, 0));
    fault_found(fault, "the row has more fields than there are names, as %zu of %zu rows have",
                sample->n_surplus, sample->n_rows);
    fault_expected(fault, "%zu fields, as in the header row", sample->head.n);
    if (dialect->separator == ',')
        fault_hint(fault, "commas stand between the fields and in numbers or times: save it with "
                          "semicolons or tabs between the fields");
    else
        fault_hint(fault,
                   "name every column in the header row, or put quotes around fields that hold "
                   "a %s",
                   dialect_separator_word(dialect->separator));
    return false;
}
