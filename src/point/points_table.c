#include "point/points_table.h"

#include "base/calendar.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/csv.h"
#include "ingest/lines.h"
#include "ingest/stamp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HEADS_MAX = 64, HEAD_SIZE = 80 };

/* What a column of the file means. */
struct head {
    const struct points_column *column; /* NULL: a column of the user's own, passed over */
    const struct unit *unit;            /* NULL where it carries none */
};

/* One reading of a file. */
struct table_reader {
    const char *path;
    struct faults *faults;
    struct means_list *list;
    size_t first; /* of the list's items that are this file's */
    struct head heads[HEADS_MAX];
    size_t n_heads;
    bool have_heads;
    bool reduced;
    bool good;
    bool row_good;
    const char *line_bytes;
    size_t line_n;
    long line;
    struct means row;
};

static struct fault *complain(struct table_reader *r, size_t number, const char *bytes)
{
    size_t start = 0, length = 0;
    long column = 0;
    if (csv_field_span(r->line_bytes, r->line_n, ',', number, &start, &length))
        column = (long)text_characters(r->line_bytes, start) + 1;
    r->good = r->row_good = false;
    struct fault *fault = fault_new(r->faults, FAULT_INPUT, fault_at(r->path, r->line, column));
    if (r->have_heads && number < r->n_heads && r->heads[number].column != NULL)
        fault_field(fault, "field %zu '%s'", number + 1, r->heads[number].column->head);
    else
        fault_field(fault, "field %zu", number + 1);
    fault_found(fault, "'%s'", bytes);
    return fault;
}

/* Splits "flow [L/min]" in place. Returns: the unit's text, NULL if there is none. */
static char *split_head(char *head)
{
    char *open = strchr(head, '[');
    if (open == NULL)
        return NULL;
    char *close = strchr(open, ']');
    if (close != NULL)
        *close = '\0';
    *open = '\0';
    size_t n = strlen(head);
    while (n > 0 && head[n - 1] == ' ')
        head[--n] = '\0';
    return text_trim(open + 1);
}

static void unknown_head(struct table_reader *r, size_t number, const char *word)
{
    size_t n;
    const struct points_column *columns = points_columns(&n);
    const char *names[HEADS_MAX];
    for (size_t i = 0; i < n; i++)
        names[i] = columns[i].head;
    const char *nearest = text_nearest(word, names, n);
    if (nearest == NULL)
        return; /* a column of the user's own: notes, a name */
    struct fault *fault = complain(r, number, word);
    fault_found(fault, "'%s' is not a column of a points table", word);
    fault_expected(fault, "'%s', if that is what it is", nearest);
    fault_hint(fault, "correct the head, or rename the column so that it resembles none of ours");
}

static bool head_unit(struct table_reader *r, size_t number, struct head *head,
                      const char *unit_text)
{
    enum dimension dimension = head->column->dimension;
    if (dimension == DIM_NONE)
        return true;
    head->unit = unit_text == NULL ? NULL : unit_find(unit_text, dimension);
    if (head->unit != NULL)
        return true;
    struct fault *fault = complain(r, number, head->column->head);
    if (unit_text == NULL)
        fault_found(fault, "the head '%s' does not say its unit", head->column->head);
    else
        fault_found(fault, "'%s' is not a unit of %s", unit_text, dimension_name(dimension));
    fault_expected(fault, "%s", dimension_examples(dimension));
    const char *examples = dimension_examples(dimension);
    fault_hint(fault, "write the unit in brackets, for instance '%s [%.*s]'", head->column->head,
               (int)strcspn(examples, ", "), examples);
    return false;
}

static void take_head(struct table_reader *r, size_t number, const char *bytes)
{
    if (number >= HEADS_MAX)
        return;
    char text[HEAD_SIZE];
    snprintf(text, sizeof text, "%s", bytes);
    char *unit_text = split_head(text);
    char *word = text_trim(text);
    struct head *head = &r->heads[number];
    r->n_heads = number + 1;
    size_t n;
    const struct points_column *columns = points_columns(&n);
    for (size_t i = 0; i < n; i++)
        if (text_same_nocase(columns[i].head, word))
            head->column = &columns[i];
    if (head->column == NULL) {
        unknown_head(r, number, word);
        return;
    }
    for (size_t k = 0; k < number; k++)
        if (r->heads[k].column == head->column)
            fault_found(complain(r, number, word), "the column '%s' stands twice", word);
    head_unit(r, number, head, unit_text);
}

static bool has_field(const struct table_reader *r, enum points_field field, enum channel channel)
{
    for (size_t i = 0; i < r->n_heads; i++) {
        const struct points_column *column = r->heads[i].column;
        if (column != NULL && column->field == field &&
            (field != POINTS_MEAN || column->channel == channel))
            return true;
    }
    return false;
}

/* A mass flow stands for the flow. */
static bool has_mean(const struct table_reader *r, enum channel channel)
{
    return has_field(r, POINTS_MEAN, channel) ||
           (channel == CH_FLOW && has_field(r, POINTS_MEAN, CH_MASS_FLOW));
}

/* Which kind of table it is, and whether it is whole. */
static void judge_heads(struct table_reader *r)
{
    static const enum channel needed[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET, CH_FLOW};
    r->have_heads = true;
    struct text missing = {0};
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
        if (!has_mean(r, needed[i]))
            text_addf(&missing, "%s'%s'", missing.length > 0 ? ", " : "",
                      channel_row(needed[i])->word);
    r->reduced = missing.length > 0 && has_field(r, POINTS_ETA, CH_COUNT) &&
                 has_field(r, POINTS_X, CH_COUNT) &&
                 has_field(r, POINTS_MEAN, CH_IRRADIANCE);
    if (missing.length > 0 && !r->reduced && r->good) {
        struct fault *fault =
            fault_new(r->faults, FAULT_INPUT, fault_at(r->path, r->line, 0));
        fault_found(fault, "the points table lacks %s", text_string(&missing));
        fault_expected(fault, "irradiance, ambient, inlet, outlet and flow, or irradiance, "
                              "efficiency and T*, each with its unit in brackets");
        fault_hint(fault, "name the columns so, for instance 'inlet [degC]'");
        r->good = false;
    }
    text_free(&missing);
}

static bool cell_number(struct table_reader *r, size_t number, const char *bytes, size_t n,
                        double *value)
{
    if (number_read(bytes, n, '.', value))
        return true;
    double other;
    struct fault *fault = complain(r, number, bytes);
    fault_found(fault, "'%s' is not a number", bytes);
    fault_expected(fault, "a number with a decimal point, like 23.4");
    if (number_read(bytes, n, ',', &other))
        fault_hint(fault, "write a decimal point in place of the comma");
    return false;
}

static void take_time(struct table_reader *r, size_t number, const char *bytes, size_t n,
                      int64_t *time_us)
{
    struct stamp_format format;
    if (!stamp_compile("ISO 8601", true, NULL, fault_at(r->path, r->line, 0), &format, r->faults))
        return;
    enum stamp_status status = stamp_read(&format, bytes, n, time_us);
    if (status == STAMP_GOOD)
        return;
    struct fault *fault = complain(r, number, bytes);
    fault_found(fault, "'%s' %s", bytes, stamp_status_words(status));
    fault_expected(fault, "a time with its zone, like 2026-06-21T10:15:00Z");
}

/* In the unit of the head, as the user knows it. */
static void impossible_mean(struct table_reader *r, size_t number, const struct head *head,
                            double value)
{
    const struct channel_row *row = channel_row(head->column->channel);
    const struct unit *unit = head->unit;
    char text[32];
    struct fault *fault = complain(r, number, "");
    fault_found(fault, "%s%s%s%s is %s %s, outside of what a collector test can hold",
                r->row.name[0] == '\0' ? "" : "point '", r->row.name,
                r->row.name[0] == '\0' ? "" : "': ", row->word,
                number_exact(value, text, sizeof text), unit->name);
    fault_expected(fault, "%g to %g %s", (row->least_si - unit->offset) / unit->scale,
                   (row->most_si - unit->offset) / unit->scale, unit->name);
    fault_hint(fault, "is a decimal point missing, or the unit in the head another? correct it, or put "
                      "'#' before the row to leave it out");
}

static void take_mean(struct table_reader *r, size_t number, const struct head *head, double value)
{
    const struct channel_row *row = channel_row(head->column->channel);
    double si = unit_absolute(head->unit, value);
    if (si < row->least_si || si > row->most_si) {
        impossible_mean(r, number, head, value);
        return;
    }
    if (si <= 0 && (row->id == CH_IRRADIANCE || row->id == CH_FLOW)) {
        struct fault *fault = complain(r, number, "");
        fault_found(fault, "a point without %s gives no efficiency",
                    row->id == CH_FLOW ? "flow" : "sunshine");
        fault_expected(fault, "more than 0 %s", head->unit->name);
        fault_hint(fault, "correct the number, or take the row out");
        return;
    }
    r->row.mean[row->id] = si;
    r->row.has[row->id] = true;
}

static void take_u(struct table_reader *r, size_t number, const struct head *head, double value,
                   double *u)
{
    if (value >= 0) {
        *u = head->unit == NULL ? value : unit_difference(head->unit, value);
        return;
    }
    fault_found(complain(r, number, ""), "the uncertainty '%s' is negative", head->column->head);
}

/* Whole and not so large that a double could not hold it exactly. */
static bool is_count(struct table_reader *r, size_t number, double value, double least)
{
    if (value == floor(value) && value >= least && value <= 1e15)
        return true;
    struct fault *fault = complain(r, number, "");
    fault_found(fault, "%g is not a whole number from %g to 1e15", value, least);
    return false;
}

/* 62 for 0.62 is the usual slip; no efficiency lies beyond these bounds. */
static bool is_efficiency(struct table_reader *r, size_t number, double value)
{
    if (fabs(value) <= 1.5)
        return true;
    struct fault *fault = complain(r, number, "");
    fault_found(fault, "%g is no efficiency", value);
    fault_expected(fault, "a share of the sunshine, like 0.62 for 62 %%");
    return false;
}

static void take_value(struct table_reader *r, size_t number, const struct head *head, double value)
{
    switch (head->column->field) {
    case POINTS_SESSION:
        if (is_count(r, number, value, -1e15))
            r->row.session = (int64_t)value;
        break;
    case POINTS_READINGS:
        if (is_count(r, number, value, 0))
            r->row.readings = (size_t)value;
        break;
    case POINTS_MEAN:
        take_mean(r, number, head, value);
        break;
    case POINTS_U:
        take_u(r, number, head, value, &r->row.u[head->column->channel]);
        break;
    case POINTS_DRIFT:
        r->row.drift_K_s = unit_difference(head->unit, value);
        break;
    case POINTS_U_DRIFT:
        take_u(r, number, head, value, &r->row.u_drift_K_s);
        break;
    case POINTS_ETA:
        if (is_efficiency(r, number, value))
            r->row.eta = value;
        break;
    case POINTS_X:
        r->row.x = value;
        break;
    case POINTS_U_ETA:
        take_u(r, number, head, value, &r->row.u_eta);
        break;
    case POINTS_U_X:
        take_u(r, number, head, value, &r->row.u_x);
        break;
    default:
        break;
    }
}

static bool is_result(const struct table_reader *r, enum points_field field)
{
    return !r->reduced && (field == POINTS_ETA || field == POINTS_X || field == POINTS_U_ETA ||
                           field == POINTS_U_X);
}

static void take_cell(struct table_reader *r, size_t number, const char *bytes, size_t n)
{
    if (number >= r->n_heads || r->heads[number].column == NULL || n == 0)
        return;
    const struct head *head = &r->heads[number];
    double value = 0;
    switch (head->column->field) {
    case POINTS_NAME:
        snprintf(r->row.name, sizeof r->row.name, "%s", bytes);
        return;
    case POINTS_GROUP:
        snprintf(r->row.group, sizeof r->row.group, "%s", bytes);
        return;
    case POINTS_START:
        take_time(r, number, bytes, n, &r->row.start_us);
        r->row.timed = true;
        return;
    case POINTS_END:
        take_time(r, number, bytes, n, &r->row.end_us);
        return;
    default:
        if (!is_result(r, head->column->field) && cell_number(r, number, bytes, n, &value))
            take_value(r, number, head, value);
    }
}

static void take_field(void *state, size_t number, const char *bytes, size_t n)
{
    struct table_reader *r = state;
    if (r->have_heads)
        take_cell(r, number, bytes, n);
    else
        take_head(r, number, bytes);
}

static void require(struct table_reader *r, bool present, const char *word)
{
    if (present)
        return;
    struct fault *fault = fault_new(r->faults, FAULT_INPUT, fault_at(r->path, r->line, 0));
    fault_found(fault, "point '%s' has no %s", r->row.name, word);
    fault_hint(fault, "fill in the cell, or take the row out");
    r->good = false;
}

/* Cells that changed places are likelier than a collector that cools in the sun. Sunshine of a lamp or a
 * low sun below this may do it. */
static void warn_colder(const struct table_reader *r)
{
    enum { SUNNY_W_M2 = 300 };
    const struct means *row = &r->row;
    if (r->reduced || !row->has[CH_INLET] || !row->has[CH_OUTLET] ||
        row->mean[CH_OUTLET] >= row->mean[CH_INLET] || row->mean[CH_IRRADIANCE] < SUNNY_W_M2)
        return;
    struct fault *fault = fault_new(r->faults, FAULT_WARNING, fault_at(r->path, r->line, 0));
    fault_found(fault, "point '%s': the outlet (%.2f degC) is colder than the inlet (%.2f degC)",
                row->name, row->mean[CH_OUTLET], row->mean[CH_INLET]);
    fault_hint(fault, "did the two change places? if it is true, it stays in the curve");
}

static void finish_row(struct table_reader *r)
{
    static const enum channel needed[] = {CH_AMBIENT, CH_INLET, CH_OUTLET, CH_FLOW};
    struct means *row = &r->row;
    if (row->name[0] == '\0')
        snprintf(row->name, sizeof row->name, "row %ld", r->line);
    if (row->end_us < row->start_us)
        row->end_us = row->start_us;
    if (r->row_good) {
        require(r, row->has[CH_IRRADIANCE], "irradiance");
        for (size_t i = 0; i < 4 && !r->reduced; i++)
            require(r, row->has[needed[i]] || (needed[i] == CH_FLOW && row->has[CH_MASS_FLOW]),
                    channel_row(needed[i])->word);
    }
    row->reduced = r->reduced;
    if (r->row_good)
        warn_colder(r);
    if (row->timed && !has_field(r, POINTS_SESSION, CH_COUNT))
        row->session = calendar_day(row->start_us, 0);
    for (size_t i = 0; i < r->list->n; i++)
        if (text_same(r->list->items[i].name, row->name)) {
            struct fault *fault = fault_new(r->faults, FAULT_INPUT, fault_at(r->path, r->line, 0));
            fault_found(fault, "the point name '%s' stands twice", row->name);
            fault_hint(fault, "a point is left out by its name, so each needs its own");
            r->good = false;
        }
    if (r->good && !means_list_add(r->list, row, r->faults))
        r->good = false;
}

static void bad_line(struct table_reader *r, enum csv_status status, size_t bad)
{
    r->good = false;
    if (status == CSV_NO_MEMORY) {
        fault_memory(r->faults);
        return;
    }
    struct fault *fault = fault_new(
        r->faults, FAULT_INPUT,
        fault_at(r->path, r->line, (long)text_characters(r->line_bytes, bad) + 1));
    fault_found(fault, status == CSV_OPEN_QUOTE ? "a quote is opened here and not closed on this line"
                                                : "this line is not proper CSV");
    fault_hint(fault, "put text that holds quotes or commas between double quotes");
}

static void read_line(struct table_reader *r, struct csv *csv, const struct line *line)
{
    r->line_bytes = line->bytes;
    r->line_n = line->n;
    r->line = line->number;
    r->row_good = true;
    memset(&r->row, 0, sizeof r->row);
    r->row.drift_K_s = NAN;
    size_t bad = 0;
    enum csv_status status = csv_line(csv, line->bytes, line->n, &bad);
    if (status == CSV_BLANK)
        return;
    if (status != CSV_ROW)
        bad_line(r, status, bad);
    else if (r->have_heads)
        finish_row(r);
    else
        judge_heads(r);
}

static void read_lines(struct table_reader *r, struct lines *lines, struct csv *csv)
{
    struct line line;
    enum line_status status;
    bool usable = true;
    while (usable && (status = lines_next(lines, &line, r->faults)) != LINE_END) {
        if (status != LINE_TEXT) {
            struct fault *fault =
                fault_new(r->faults, FAULT_INPUT, fault_at(r->path, line.number, 0));
            fault_found(fault, "this line is not text of a points table");
            r->good = usable = false;
        } else if (line.n > 0 && line.bytes[0] != '#') {
            bool had_heads = r->have_heads;
            read_line(r, csv, &line);
            usable = r->good || had_heads; /* no use in reading rows under heads that are wrong */
        }
    }
}

bool points_read(struct means_list *list, const char *path, char hex[HASH_HEX_SIZE],
                 struct faults *faults)
{
    struct table_reader *r = calloc(1, sizeof *r);
    if (r == NULL)
        return fault_memory(faults);
    *r = (struct table_reader){
        .path = path, .faults = faults, .list = list, .first = list->n, .good = true};
    struct lines lines;
    struct csv csv;
    bool good = lines_open(&lines, path, true, faults);
    if (good) {
        good = csv_open(&csv, ',', take_field, r, faults);
        if (good) {
            read_lines(r, &lines, &csv);
            csv_shut(&csv);
        }
        good = good && r->good && lines_digest(&lines, hex, faults);
        lines_close(&lines);
        if (good && list->n == r->first) {
            struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
            fault_found(fault, "the points table holds no point");
            fault_hint(fault, "write one row a point below the heads");
            good = false;
        }
    }
    free(r);
    return good;
}
