#include "ingest/rows.h"

#include "base/calendar.h"
#include "base/number_spelled.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/complaint.h"
#include "ingest/error_codes.h"
#include "ingest/quick.h"
#include "ingest/record.h"
#include "ingest/row_kind.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Beyond it a counter's steps are no longer whole in a double. */
#define COUNT_MOST 9007199254740992.0

static bool refuse(const char *found, const char *hint, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(NULL, 0, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

static bool add_marker(struct row_form *form, const char *marker, struct faults *faults)
{
    double value;
    if (number_read(marker, strlen(marker), form->plan->decimal, &value) ||
        number_read(marker, strlen(marker), '.', &value)) {
        if (form->n_numbers == MARKERS_MAX)
            return refuse("more than 32 missing markers", "name fewer in 'missing'", faults);
        form->number_marker[form->n_numbers++] = value;
        return true;
    }
    if (form->n_words == MARKERS_MAX)
        return refuse("more than 32 missing markers", "name fewer in 'missing'", faults);
    form->word_marker[form->n_words++] = marker;
    return true;
}

static bool add_markers(struct row_form *form, struct faults *faults)
{
    if (form->plan->n_missing == 0)
        return add_marker(form, "NAN", faults) && add_marker(form, "NA", faults);
    for (size_t i = 0; i < form->plan->n_missing; i++)
        if (!add_marker(form, form->plan->missing[i], faults))
            return false;
    return true;
}

static bool check_column(const struct log_plan *plan, size_t i, struct faults *faults)
{
    const struct log_column *column = &plan->columns[i];
    if ((int)column->channel < 0 || column->channel >= CH_LOGGED)
        return refuse("a column is planned for a channel that no log carries",
                      "choose one of the channels of the manual", faults);
    for (size_t k = 0; k < i; k++) {
        const struct log_column *earlier = &plan->columns[k];
        bool same_name = text_same(earlier->name, column->name);
        if (!same_name && earlier->channel != column->channel)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(NULL, 0, 0));
        if (same_name)
            fault_found(fault, "column '%s' is said to carry two channels", column->name);
        else
            fault_found(fault, "channel '%s' is said to stand in two columns, '%s' and '%s'",
                        channel_row(column->channel)->word, earlier->name, column->name);
        fault_hint(fault, "let each instrument name its own column and its own channel");
        return false;
    }
    return true;
}

static bool check_signs(const struct log_plan *plan, struct faults *faults)
{
    if (strchr(",;\t", plan->separator) == NULL || plan->separator == '\0')
        return refuse("the separator is none of comma, semicolon and tab",
                      "state 'separator' in [log]", faults);
    if (plan->decimal != '.' && plan->decimal != ',')
        return refuse("the decimal sign is neither point nor comma", "state 'decimal' in [log]",
                      faults);
    if (plan->n_time_columns < 1 || plan->n_time_columns > 2 || plan->time_format == NULL)
        return refuse("no column is said to hold the time", "state 'time' in [log]", faults);
    return true;
}

bool row_form_init(struct row_form *form, const struct log_plan *plan, struct faults *faults)
{
    memset(form, 0, sizeof *form);
    form->plan = plan;
    if (!check_signs(plan, faults) || !add_markers(form, faults))
        return false;
    if (!stamp_compile(plan->time_format, plan->zone_in_stamp, plan->zone,
                       fault_at(NULL, 0, 0), &form->stamp, faults))
        return false;
    form->stamp.decimal = plan->decimal;
    for (size_t i = 0; i < plan->n_columns; i++) {
        if (!check_column(plan, i, faults))
            return false;
        const struct log_column *column = &plan->columns[i];
        const struct channel_row *row = channel_row(column->channel);
        bool counts = log_column_counts(column);
        form->scale[i] = (struct row_scale){.gain = column->gain,
                                            .add = column->add,
                                            .scale = column->unit->scale,
                                            .offset = column->unit->offset,
                                            .least_si = counts ? 0.0 : row->least_si,
                                            .most_si = counts ? COUNT_MOST : row->most_si};
        /* Its value is no straight line: nothing is in range on the short way. */
        if (column->signal != NULL)
            form->scale[i].least_si = INFINITY;
    }
    return true;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_word_marker(const struct row_form *form, const char *bytes, size_t n)
{
    for (size_t i = 0; i < form->n_words; i++)
        if (strlen(form->word_marker[i]) == n && strncasecmp(form->word_marker[i], bytes, n) == 0)
            return true;
    return false;
}

static bool is_number_marker(const struct row_form *form, double number)
{
    for (size_t i = 0; i < form->n_numbers; i++)
        if (form->number_marker[i] == number)
            return true;
    return false;
}

enum reading_flag row_value(const struct row_form *form, size_t k, double number, double *value_si)
{
    const struct row_scale *to = &form->scale[k];
    const struct log_column *column = &form->plan->columns[k];
    const struct channel_row *row = channel_row(column->channel);
    double value = column->signal != NULL ? log_column_si(column, number) : row_scaled(to, number);
    bool in_range = column->signal != NULL ? value >= row->least_si && value <= row->most_si
                                           : row_in_range(to, value);
    bool missing = form->n_numbers > 0 && is_number_marker(form, number);
    *value_si = in_range && !missing ? value : NAN;
    if (missing)
        return FLAG_MISSING;
    if (in_range)
        return FLAG_GOOD;
    return error_code_find(number, column->unit) != NULL ? FLAG_ERROR_CODE
                                                                        : FLAG_OUT_OF_RANGE;
}

enum reading_flag row_reading(const struct row_form *form, size_t k, const char *bytes, size_t n,
                              double *value_si)
{
    double number;
    if (n > 0 && number_read(bytes, n, form->plan->decimal, &number))
        return row_value(form, k, number, value_si);
    *value_si = NAN;
    if (n == 0 || is_word_marker(form, bytes, n) || error_code_is_word(bytes, n))
        return FLAG_MISSING;
    if (number_spelled(bytes, n, form->plan->decimal, &number))
        return row_value(form, k, number, value_si);
    return FLAG_NOT_A_NUMBER;
}

/* A text longer than any stamp is kept cut, and its true length tells. */
static void keep_stamp(char out[STAMP_BYTES_MAX], size_t *out_n, const char *bytes, size_t n)
{
    memcpy(out, bytes, n < STAMP_BYTES_MAX ? n : STAMP_BYTES_MAX);
    *out_n = n;
}

void row_stamp(struct rows *rows, int role, const char *bytes, size_t n)
{
    if (role == ROLE_TIME)
        keep_stamp(rows->stamp, &rows->stamp_n, bytes, n);
    else
        keep_stamp(rows->stamp_second, &rows->stamp_second_n, bytes, n);
}

static void take_field(void *state, size_t number, const char *bytes, size_t n)
{
    struct rows *rows = state;
    if (number >= rows->header.n) {
        rows->surplus = rows->surplus || n > 0;
        return;
    }
    int role = rows->role[number];
    if (role == ROLE_NONE)
        return;
    /* libcsv cuts blanks off a bare field only. */
    for (; n > 0 && is_blank(bytes[0]); n--)
        bytes++;
    while (n > 0 && is_blank(bytes[n - 1]))
        n--;
    if (role == ROLE_TIME || role == ROLE_TIME_SECOND)
        row_stamp(rows, role, bytes, n);
    else
        rows->flag[role] =
            (uint8_t)row_reading(rows->form, (size_t)role, bytes, n, &rows->value_si[role]);
}

static const char *time_role(const struct log_plan *plan, size_t i)
{
    return plan->n_time_columns == 1 ? "time"
           : i == 0                  ? "first half of the time"
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
        if (found == 1)
            rows->role[rows->time_field[i]] = i == 0 ? ROLE_TIME : ROLE_TIME_SECOND;
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
    const char *names[CH_LOGGED + 2];
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
              csv_open(&rows->csv, separator, take_field, rows, faults);
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
    rows->stamp_n = 0;
    rows->stamp_second_n = 0;
    for (size_t i = 0; i < rows->form->plan->n_columns; i++) {
        rows->value_si[i] = NAN;
        rows->flag[i] = FLAG_SHORT_ROW;
    }
}

/* Reads the seconds alone. Returns: false if more than they differs from the minute's stamp. */
static bool same_minute(struct rows *rows, const char *stamp, size_t n)
{
    const struct row_minute *minute = &rows->minute;
    if (!minute->known || n != minute->stamp_n || memcmp(stamp, minute->stamp, n - 2) != 0)
        return false;
    bool two = rows->form->plan->n_time_columns == 2;
    if (two && (rows->stamp_n != minute->first_n ||
                memcmp(rows->stamp, minute->first, minute->first_n) != 0))
        return false;
    return row_seconds(rows, stamp + n - 2);
}

static void keep_minute(struct rows *rows, const char *stamp, size_t n, int seconds)
{
    struct row_minute *minute = &rows->minute;
    minute->known = seconds >= 0;
    if (!minute->known)
        return;
    keep_stamp(minute->stamp, &minute->stamp_n, stamp, n);
    keep_stamp(minute->first, &minute->first_n, rows->stamp, rows->stamp_n);
    minute->start_us = rows->time_us - seconds * US_PER_S;
}

static enum stamp_status read_whole(struct rows *rows, struct stamp_time *time)
{
    const struct stamp_format *format = &rows->form->stamp;
    char joined[2 * STAMP_BYTES_MAX + 1];
    if (rows->form->plan->n_time_columns == 1)
        return stamp_read_time(format, rows->stamp, rows->stamp_n, time);
    if (rows->stamp_n == 0 || rows->stamp_second_n == 0)
        return STAMP_EMPTY;
    memcpy(joined, rows->stamp, rows->stamp_n);
    joined[rows->stamp_n] = ' ';
    memcpy(joined + rows->stamp_n + 1, rows->stamp_second, rows->stamp_second_n);
    return stamp_read_time(format, joined, rows->stamp_n + 1 + rows->stamp_second_n, time);
}

enum stamp_status row_time(struct rows *rows)
{
    bool two = rows->form->plan->n_time_columns == 2;
    const char *last = two ? rows->stamp_second : rows->stamp;
    size_t last_n = two ? rows->stamp_second_n : rows->stamp_n;
    if (rows->stamp_n > STAMP_BYTES_MAX || rows->stamp_second_n > STAMP_BYTES_MAX)
        return STAMP_FORM;
    if (same_minute(rows, last, last_n))
        return STAMP_GOOD;
    struct stamp_time time;
    enum stamp_status status = read_whole(rows, &time);
    if (status != STAMP_GOOD)
        return status;
    rows->time_us = time.time_us;
    if (stamp_is_unset(&rows->form->stamp, time.time_us))
        return STAMP_UNSET;
    rows->again_us = time.again_us;
    keep_minute(rows, last, last_n, time.seconds);
    return status;
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
    rows->bad_at = record.at;
    return good;
}

enum row_status rows_next(struct rows *rows, struct faults *faults)
{
    for (;;) {
        if (quick_row(rows)) {
            rows->any_row = true;
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
