#include "ingest/quick.h"

#include "base/number_quick.h"
#include "ingest/row_field.h"
#include "ingest/row_time.h"

#include <string.h>

/* A field as long as this is left to ingest/csv.h, which knows what is too long. */
enum { FIELD_MOST = 4096 };

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool ends_field(char c, char separator)
{
    return c == separator || c == '\n' || c == '\r';
}

/* The end of the field at `at`: the separator or the line's end; NULL if the line is not plain. The
 * buffer ends in NUL. */
static const char *field_end(const char *at, char separator)
{
    const char *from = at;
    while (!ends_field(*at, separator)) {
        if (*at == '\0' || *at == '"')
            return NULL;
        at++;
    }
    return at - from < FIELD_MOST ? at : NULL;
}

static void cut_blanks(const char **from, const char **to)
{
    while (*from < *to && is_blank(**from))
        (*from)++;
    while (*from < *to && is_blank((*to)[-1]))
        (*to)--;
}

/* Returns: the end of a column's field; NULL if the line is not plain. */
static const char *take_value(struct rows *rows, size_t k, const char *at)
{
    const struct row_form *form = rows->form;
    char separator = form->plan->separator;
    double number;
    const char *end = number_quick(at, form->plan->decimal, &number);
    if (end != NULL && ends_field(*end, separator)) {
        double value = row_scaled(&form->scale[k], number);
        rows->flag[k] = FLAG_GOOD;
        rows->value_si[k] = value;
        if (form->n_numbers > 0 || !row_in_range(&form->scale[k], value))
            rows->flag[k] = (uint8_t)row_value(form, k, number, &rows->value_si[k]);
        return end;
    }
    end = field_end(at, separator);
    if (end == NULL)
        return NULL;
    const char *to = end;
    cut_blanks(&at, &to);
    rows->flag[k] = (uint8_t)row_reading(form, k, at, (size_t)(to - at), &rows->value_si[k]);
    return end;
}

/* A stamp of the last minute in the only column of the time, read where it stands.
 * Returns: its end; NULL if it is anything else. */
static const char *take_seconds(struct rows *rows, const char *at)
{
    const struct row_minute *minute = &rows->minute;
    if (!minute->known || rows->form->plan->n_time_columns != 1)
        return NULL;
    size_t n = minute->stamp_n - 2;
    /* strncmp: the buffer may end first, with a NUL. */
    if (strncmp(at, minute->stamp, n) != 0 || !row_seconds(rows, at + n))
        return NULL;
    return ends_field(at[n + 2], rows->form->plan->separator) ? at + n + 2 : NULL;
}

/* Returns: the end of a stamp's field; NULL if the line is not plain. */
static const char *take_stamp(struct rows *rows, int role, const char *at)
{
    const char *end = take_seconds(rows, at);
    rows->time_known = end != NULL;
    if (end != NULL)
        return end;
    end = field_end(at, rows->form->plan->separator);
    if (end == NULL)
        return NULL;
    const char *to = end;
    cut_blanks(&at, &to);
    row_stamp(rows, (size_t)(ROLE_TIME - role), at, (size_t)(to - at));
    return end;
}

static const char *take_field(struct rows *rows, int role, const char *at)
{
    if (role >= 0)
        return take_value(rows, (size_t)role, at);
    if (role == ROLE_NONE)
        return field_end(at, rows->form->plan->separator);
    return take_stamp(rows, role, at);
}

/* Returns: the line's end; NULL if the line is not plain. */
static const char *take_fields(struct rows *rows, const char *at)
{
    size_t n = rows->header.n;
    for (size_t i = 0; i < n; i++) {
        at = take_field(rows, rows->role[i], at);
        if (at == NULL)
            return NULL;
        bool separated = *at == rows->form->plan->separator;
        if (separated != (i + 1 < n))
            return NULL;
        at += separated;
    }
    return at;
}

bool quick_row(struct rows *rows)
{
    const char *from = lines_peek(&rows->lines);
    const struct log_plan *plan = rows->form->plan;
    if (plan->separator == plan->decimal)
        return false;
    if (from == NULL || is_blank(*from) || *from == '#' || *from == '\n' || *from == '\r')
        return false;
    const char *end = take_fields(rows, from);
    if (end == NULL)
        return false;
    size_t tail = *end == '\n' ? 1 : end[1] == '\n' ? 2 : 0;
    if (tail == 0)
        return false;
    rows->stamp_status = rows->time_known ? STAMP_GOOD : row_time(rows);
    if (rows->stamp_status != STAMP_GOOD)
        return false;
    lines_take(&rows->lines, (size_t)(end - from), tail, &rows->line);
    rows->line_status = LINE_TEXT;
    rows->csv_status = CSV_ROW;
    rows->surplus = false;
    return true;
}
