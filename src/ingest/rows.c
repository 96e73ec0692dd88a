#include "ingest/rows.h"

#include "base/numbers.h"
#include "ingest/complaint.h"
#include "ingest/quick.h"
#include "ingest/record.h"
#include "ingest/row_field.h"
#include "ingest/row_kind.h"
#include "ingest/row_time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *time_role(const struct log_plan *plan, size_t i)
{
    return plan->n_time_columns == 1  ? "time"
           : plan->n_time_columns > 2 ? "part of the time"
           : i == 0                   ? "first half of the time"
                                      : "second half of the time";
}

static bool names_none(const struct header *header, const struct log_plan *plan)
{
    size_t column;
    for (size_t i = 0; i < plan->n_columns; i++)
        if (header_find(header, plan->columns[i].name, &column) > 0)
            return false;
    for (size_t i = 0; i < plan->n_time_columns; i++)
        if (header_find(header, plan->time_columns[i], &column) > 0)
            return false;
    return true;
}

/* Part i of the time stands in a field that has a role already. Returns: false */
static bool complain_twice(const struct rows *rows, const struct log_plan *plan, size_t i,
                           struct faults *faults)
{
    int role = rows->role[rows->time_field[i]];
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(rows->path, rows->header.line, 0));
    if (role >= 0)
        fault_found(fault, "column '%s' is said to hold the time and the %s", plan->time_columns[i],
                    channel_row(plan->columns[role].channel)->word);
    else
        fault_found(fault, "column '%s' is said to hold two parts of the time",
                    plan->time_columns[i]);
    fault_hint(fault, "name each column once, in 'time' of [log] or in 'column' of an instrument");
    return false;
}

/* Gives the header's fields their roles; every fault is said before it returns. */
static bool map_columns(struct rows *rows, struct faults *faults)
{
    const struct log_plan *plan = rows->form->plan;
    bool ok = true;
    rows->role = malloc((rows->header.n + 1) * sizeof *rows->role);
    if (rows->role == NULL)
        return fault_memory(faults);
    if (names_none(&rows->header, plan))
        return complain_header(&rows->header, rows->path, plan, faults);
    for (size_t i = 0; i < rows->header.n; i++)
        rows->role[i] = ROLE_NONE;
    for (size_t i = 0; i < plan->n_columns; i++) {
        const char *name = plan->columns[i].name;
        size_t found = header_find(&rows->header, name, &rows->field[i]);
        if (found == 1)
            rows->role[rows->field[i]] = (int)i;
        else
            ok = complain_column(&rows->header, rows->path, name,
                                 channel_row(plan->columns[i].channel)->word, found, rows->field[i],
                                 plan->n_files > 1, faults);
    }
    for (size_t i = 0; i < plan->n_time_columns; i++) {
        const char *name = plan->time_columns[i];
        size_t found = header_find(&rows->header, name, &rows->time_field[i]);
        if (found == 1 && rows->role[rows->time_field[i]] != ROLE_NONE)
            ok = complain_twice(rows, plan, i, faults);
        else if (found == 1)
            rows->role[rows->time_field[i]] = ROLE_TIME - (int)i;
        else
            ok = complain_column(&rows->header, rows->path, name, time_role(plan, i), found,
                                 rows->time_field[i], plan->n_files > 1, faults);
    }
    return ok;
}

/* The greatest column that the plan calls by its number. */
static size_t greatest_number(const char *const *names, size_t n)
{
    size_t greatest = 0;
    for (size_t i = 0; i < n; i++) {
        long long number = 0;
        if (number_read_integer(names[i], strlen(names[i]), &number) &&
            number > (long long)greatest)
            greatest = (size_t)number;
    }
    return greatest;
}

bool rows_head(struct header *header, struct lines *lines, const struct log_plan *plan,
               struct faults *faults)
{
    const char *names[CH_LOGGED + TIME_COLUMNS_MAX];
    size_t n = 0;
    for (size_t i = 0; i < plan->n_time_columns; i++)
        names[n++] = plan->time_columns[i];
    for (size_t i = 0; i < plan->n_columns; i++)
        names[n++] = plan->columns[i].name;
    struct header_wish wish = {names, n, plan->names_line, plan->no_names, 0};
    if (plan->no_names)
        wish.least = greatest_number(names, n);
    return header_search(header, lines, plan->separator, &wish, faults);
}

/* What follows once the lines are open. */
static bool start(struct rows *rows, struct faults *faults)
{
    char separator = rows->form->plan->separator;
    bool ok = rows_head(&rows->header, &rows->lines, rows->form->plan, faults) &&
              map_columns(rows, faults) &&
              csv_open(&rows->csv, separator, row_take_field, rows, faults);
    if (!ok)
        rows_close(rows);
    return ok;
}

bool rows_open(struct rows *rows, const struct row_form *form, const char *path, bool hashing,
               struct faults *faults)
{
    memset(rows, 0, sizeof *rows);
    rows->form = form;
    rows->path = path;
    return lines_open_as(&rows->lines, path, form->plan->encoding, hashing, faults) &&
           start(rows, faults);
}

bool rows_open_memory(struct rows *rows, const struct row_form *form, const char *name,
                      const char *bytes, size_t n, struct faults *faults)
{
    memset(rows, 0, sizeof *rows);
    rows->form = form;
    rows->path = name;
    return lines_open_memory(&rows->lines, name, bytes, n, faults) && start(rows, faults);
}

void rows_close(struct rows *rows)
{
    lines_close(&rows->lines);
    csv_shut(&rows->csv);
    header_free(&rows->header);
    free(rows->role);
    rows->role = NULL;
}

static void forget_row(struct rows *rows)
{
    rows->surplus = false;
    for (size_t i = 0; i < TIME_COLUMNS_MAX; i++)
        rows->part[i].n = 0;
    for (size_t i = 0; i < rows->form->plan->n_columns; i++) {
        rows->value_si[i] = NAN;
        rows->flag[i] = FLAG_SHORT_ROW;
    }
}

static enum row_status judge_row(struct rows *rows, struct faults *faults)
{
    if (rows->csv_status == CSV_ROW && !rows->surplus) {
        rows->stamp_status = row_time(rows);
        if (rows->stamp_status == STAMP_GOOD && row_is_whole(rows)) {
            rows->any_row = true;
            return ROWS_ROW;
        }
    }
    return row_kind(rows, faults);
}

/* Takes a line apart that quick_row left. Returns: false with a machine fault. */
static bool cut_line(struct rows *rows, struct faults *faults)
{
    struct record record = {.line = rows->line, .line_status = LINE_TEXT};
    forget_row(rows);
    bool good = record_cut(&record, &rows->lines, &rows->csv, rows->header.n, faults);
    rows->line = record.line;
    rows->csv_status = record.csv_status;
    rows->fields = rows->csv.fields;
    rows->bad_at = record.at;
    return good;
}

enum row_status rows_next(struct rows *rows, struct faults *faults)
{
    for (;;) {
        if (quick_row(rows)) {
            rows->any_row = true;
            rows->fields = rows->header.n;
            return ROWS_ROW;
        }
        rows->line_status = lines_next(&rows->lines, &rows->line, faults);
        if (rows->line_status == LINE_FAILED)
            return ROWS_FAILED;
        if (rows->line_status == LINE_END)
            return ROWS_END;
        rows->surplus = false;
        if (rows->line_status != LINE_TEXT)
            return row_is_filled(rows) ? ROWS_FILLED : ROWS_BAD_LINE;
        if (line_is_comment(&rows->line))
            continue;
        if (!cut_line(rows, faults))
            return ROWS_FAILED;
        if (rows->csv_status != CSV_BLANK)
            return judge_row(rows, faults);
    }
}

bool rows_complain(const struct rows *rows, struct faults *faults)
{
    struct bad_line bad = {
        .path = rows->path,
        .line = &rows->line,
        .line_status = rows->line_status,
        .csv_status = rows->csv_status,
        .at = rows->bad_at,
        .fields = rows->surplus ? rows->csv.fields : 0,
        .header_fields = rows->header.n,
    };
    return complain_bad_line(&bad, faults);
}
