#include "point/points_table.h"

#include "base/calendar.h"
#include "base/files.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/csv.h"
#include "point/points_cells.h"
#include "point/points_heads.h"
#include "point/points_slips.h"
#include "point/points_summary.h"
#include "point/points_text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One reading of a file. Large: on the heap. */
struct loader {
    const char *path;
    struct faults *faults;
    struct points_rows *rows;
    struct points_text text;
    struct points_heads heads;
    struct points_summary summary;
    const struct points_record *record; /* in progress */
    bool good;
    size_t units, numbers; /* of a row that may be of units */
    struct points_row row;
    struct faults row_faults;
};

static struct fault *complain_head(struct loader *l, size_t number)
{
    l->good = false;
    return points_fault(&l->text, l->record, l->path, number, NULL, l->faults);
}

static void take_head(void *state, size_t number, const char *bytes, size_t n)
{
    struct loader *l = state;
    if (number >= POINTS_HEADS_MAX)
        return;
    struct points_head *head = &l->heads.of[number];
    l->heads.n = number + 1;
    if (n == 0 || !points_head_read(bytes, head)) {
        char word[POINTS_HEAD_SIZE];
        const char *nearest = n == 0 ? NULL : points_head_nearest(bytes, word);
        if (nearest == NULL)
            return; /* a column of the user's own: notes, a name */
        struct fault *fault = complain_head(l, number);
        fault_found(fault, "'%s' is not a column of a points table", word);
        fault_expected(fault, "'%s', if that is what it is", nearest);
        fault_hint(fault,
                   "correct the head, or rename the column so that it resembles none of ours");
        return;
    }
    for (size_t k = 0; k < number; k++)
        if (l->heads.of[k].column == head->column)
            fault_found(complain_head(l, number), "the column '%s' stands twice",
                        head->column->head);
}

/* Whether a cell of the row below the heads is a unit of its column. */
static void count_unit(void *state, size_t number, const char *bytes, size_t n)
{
    struct loader *l = state;
    double value;
    l->numbers += number_read(bytes, n, l->text.decimal, &value);
    if (number >= l->heads.n || l->heads.of[number].column == NULL)
        return;
    enum dimension dimension = l->heads.of[number].column->dimension;
    l->units += dimension != DIM_NONE && unit_find(bytes, dimension) != NULL;
}

/* A cell of a units row: the unit of a head without one. Two that differ are refused. */
static void take_unit(void *state, size_t number, const char *bytes, size_t n)
{
    struct loader *l = state;
    if (number >= l->heads.n || l->heads.of[number].column == NULL || n == 0)
        return;
    struct points_head *head = &l->heads.of[number];
    const struct unit *unit = unit_find(bytes, head->column->dimension);
    if (head->unit_text[0] == '\0') {
        snprintf(head->unit_text, sizeof head->unit_text, "%s", bytes);
        head->unit = unit;
    } else if (unit != head->unit) {
        struct fault *fault = complain_head(l, number);
        fault_found(fault, "the unit '%s' below the head '%s' is not the '%s' of the head", bytes,
                    head->column->head, head->unit_text);
        fault_hint(fault, "leave one of them");
    }
}

static bool fields(struct loader *l, size_t record, csv_take *take, size_t *bad,
                   enum csv_status *status)
{
    struct csv csv;
    if (!csv_open(&csv, l->text.separator, take, take == points_cell_take ? (void *)&l->row : l,
                  l->faults))
        return l->good = false;
    l->record = &l->text.records[record];
    *status = csv_line(&csv, l->text.bytes.bytes + l->record->start, l->record->n, bad);
    csv_shut(&csv);
    if (*status == CSV_NO_MEMORY) {
        l->good = false;
        return fault_memory(l->faults);
    }
    return true;
}

/* "L/min" of "L/min, L/h or m3/h". */
static int first_length(const char *examples)
{
    const char * or = strstr(examples, " or ");
    size_t comma = strcspn(examples, ",");
    return (int)(or != NULL && (size_t)(or -examples) < comma ? (size_t)(or -examples) : comma);
}

static bool head_needs_unit(const struct points_column *column)
{
    return column != NULL && column->dimension != DIM_NONE && column->field != POINTS_X &&
           column->field != POINTS_U_X;
}

/* T* without a unit is in m2 K/W, as ever; a share may be in %. */
static void judge_unit(struct loader *l, size_t number)
{
    const struct points_head *head = &l->heads.of[number];
    const struct points_column *column = head->column;
    bool written = head->unit_text[0] != '\0';
    if (column == NULL || head->unit != NULL || (!written && !head_needs_unit(column)) ||
        (column->dimension == DIM_NONE && column->field < POINTS_ETA))
        return;
    const char *examples = dimension_examples(column->dimension);
    struct fault *fault = complain_head(l, number);
    if (!written)
        fault_found(fault, "the head '%s' does not say its unit", column->head);
    else
        fault_found(fault, "'%s' is not a unit of %s", head->unit_text,
                    dimension_name(column->dimension));
    fault_expected(fault, "%s", examples);
    const char *say = written ? unit_hint(head->unit_text, column->dimension) : NULL;
    if (say != NULL)
        fault_hint(fault, "%s", say);
    else
        fault_hint(fault, "write the unit in brackets, for instance '%s [%.*s]'", column->head,
                   first_length(examples), examples);
}

static void note_units(const struct loader *l)
{
    for (size_t i = 0; i < l->heads.n; i++)
        if (l->heads.of[i].unit != NULL)
            unit_note_say(l->heads.of[i].unit, fault_at(l->path, l->heads.line, 0), l->faults);
}

static void judge_heads(struct loader *l)
{
    struct text missing = {0};
    for (size_t i = 0; i < l->heads.n; i++)
        judge_unit(l, i);
    points_heads_judge(&l->heads, &missing);
    if (missing.length > 0 && !l->heads.reduced && l->good) {
        struct fault *fault =
            fault_new(l->faults, FAULT_INPUT, fault_at(l->path, l->heads.line, 0));
        fault_found(fault, "the points table lacks %s", text_string(&missing));
        fault_expected(fault, "irradiance, ambient, inlet, outlet and flow, or irradiance, "
                              "efficiency and T*, each with its unit in brackets");
        fault_hint(fault, "name the columns so, for instance 'inlet [degC]'");
        l->good = false;
    }
    text_free(&missing);
    note_units(l);
}

static void refuse_line(struct loader *l, enum csv_status status, size_t bad, struct faults *faults)
{
    const char *bytes = l->text.bytes.bytes + l->record->start;
    struct fault *fault =
        fault_new(faults, FAULT_INPUT,
                  fault_at(l->path, l->record->line, (long)text_characters(bytes, bad) + 1));
    fault_found(fault, status == CSV_OPEN_QUOTE
                           ? "a quote is opened here and not closed on this line"
                           : "this line is not proper CSV");
    fault_hint(fault, "put text that holds quotes or commas between double quotes");
}

/* Heads, and the row of units if there is one. Out: next, the first record of points. */
static void read_heads(struct loader *l, size_t *next)
{
    size_t bad = 0;
    enum csv_status status;
    size_t at = l->text.heads < l->text.n ? l->text.heads : 0;
    l->heads.line = l->text.records[at].line;
    if (!fields(l, at, take_head, &bad, &status))
        return;
    if (status != CSV_ROW && status != CSV_BLANK) {
        refuse_line(l, status, bad, l->faults);
        l->good = false;
        return;
    }
    *next = at + 1;
    if (*next < l->text.n && fields(l, *next, count_unit, &bad, &status) && status == CSV_ROW &&
        l->units > 0 && l->numbers == 0) {
        fields(l, *next, take_unit, &bad, &status);
        ++*next;
    }
    l->record = &l->text.records[at];
    judge_heads(l);
}

static void require(struct points_row *row, bool present, const char *word)
{
    if (present)
        return;
    struct fault *fault =
        fault_new(row->faults, FAULT_INPUT, fault_at(row->path, row->record->line, 0));
    fault_found(fault, "there is no %s", word);
    fault_hint(fault, "fill in the cell, or take the row out");
}

static void require_means(struct points_row *row)
{
    static const enum channel needed[] = {CH_AMBIENT, CH_INLET, CH_OUTLET, CH_FLOW};
    const struct means *means = &row->means;
    require(row, means->has[CH_IRRADIANCE], "irradiance");
    for (size_t i = 0; i < 4 && !row->heads->reduced; i++)
        require(row, means->has[needed[i]] || (needed[i] == CH_FLOW && means->has[CH_MASS_FLOW]),
                channel_row(needed[i])->word);
}

static void begin_row(struct loader *l, const struct points_record *record)
{
    struct points_row *row = &l->row;
    memset(row, 0, sizeof *row);
    faults_init(&l->row_faults);
    row->path = l->path;
    row->heads = &l->heads;
    row->text = &l->text;
    row->record = record;
    row->faults = &l->row_faults;
    row->means.drift_K_s = NAN;
    row->origin.line = record->line;
    points_compared_init(&row->origin.t_mean);
    points_compared_init(&row->origin.rise);
    points_compared_init(&row->origin.power);
    row->origin.eta_typed = row->origin.x_typed = NAN;
    snprintf(row->origin.file, sizeof row->origin.file, "%s", l->path);
    snprintf(row->origin.group_of_file, sizeof row->origin.group_of_file, "%.*s",
             (int)strcspn(path_base(l->path), "."), path_base(l->path));
    for (int c = 0; c < CH_COUNT; c++)
        row->origin.typed[c] = NAN;
}

static void end_row(struct loader *l)
{
    struct points_row *row = &l->row;
    struct means *means = &row->means;
    if (means->end_us < means->start_us)
        means->end_us = means->start_us;
    if (means->timed && !points_heads_have(&l->heads, POINTS_SESSION, CH_COUNT))
        means->session = calendar_day(means->start_us, 0);
    if (!faults_any(row->faults))
        require_means(row);
    means->reduced = l->heads.reduced;
    if (!points_rows_add(l->rows, means, &row->origin, l->faults)) {
        l->good = false;
        return;
    }
    for (size_t i = 0; i < row->faults->n && l->good; i++) {
        struct fault *fault = points_rows_blame(l->rows, l->rows->n - 1, false, l->faults);
        if (fault == NULL)
            l->good = false;
        else
            *fault = row->faults->items[i];
    }
}

/* Whether the row is a summary. What is named like one and is taken for a point is said too: a
 * summary of a part of the table would be fitted otherwise. */
static bool pass_over(struct loader *l, size_t record)
{
    const char *own = l->row.origin.named ? l->row.means.name : "";
    enum points_sort sort = points_summary_sort(&l->summary, record, l->row.first, own);
    if (sort == POINTS_POINT)
        return false;
    bool summary = sort == POINTS_SUMMARY;
    struct fault *fault = fault_new(l->faults, summary ? FAULT_WARNING : FAULT_NOTE,
                                    fault_at(l->path, l->record->line, 0));
    if (summary) {
        fault_found(fault, "the row '%s' is taken for a summary, not for a point", l->row.first);
        fault_hint(fault, "if it is a point, give it another name");
    } else {
        fault_found(fault, "the row '%s' is taken for a point, as points stand below it",
                    l->row.first);
        fault_hint(fault, "if it is a summary, put '#' before it");
    }
    return summary;
}

static void read_row(struct loader *l, size_t record)
{
    size_t bad = 0;
    enum csv_status status;
    begin_row(l, &l->text.records[record]);
    if (!fields(l, record, points_cell_take, &bad, &status))
        return;
    bool proper = status == CSV_ROW || status == CSV_BLANK;
    if (proper && l->row.filled == 0)
        return;
    if (proper && pass_over(l, record))
        return;
    if (!proper) {
        faults_init(&l->row_faults);
        refuse_line(l, status, bad, &l->row_faults);
    }
    end_row(l);
}

static bool load(struct loader *l, char hex[HASH_HEX_SIZE])
{
    size_t next = 0, before = l->rows->n;
    if (!points_text_read(&l->text, l->path, hex, l->faults))
        return false;
    if (l->text.n > 0)
        read_heads(l, &next);
    l->good = l->good && points_summary_find(&l->summary, &l->text, &l->heads, next, l->faults);
    for (size_t i = next; i < l->text.n && l->good; i++)
        read_row(l, i);
    if (l->good && l->rows->n == before) {
        struct fault *fault = fault_new(l->faults, FAULT_INPUT, fault_at(l->path, 0, 0));
        fault_found(fault, "the points table holds no point");
        fault_hint(fault, "write one row a point below the heads");
        l->good = false;
    }
    return l->good;
}

/* Of several tables without a column for it each is a group of its own. */
static void group_by_file(struct points_rows *rows, size_t from)
{
    for (size_t i = from; i < rows->n; i++)
        memcpy(rows->means->items[i].group, rows->origins[i].group_of_file, MEANS_GROUP_SIZE);
}

bool points_load(struct points_rows *rows, const char *path, bool several, char hex[HASH_HEX_SIZE],
                 struct faults *faults)
{
    struct loader *l = calloc(1, sizeof *l);
    if (l == NULL)
        return fault_memory(faults);
    size_t from = rows->n;
    l->path = path;
    l->faults = faults;
    l->rows = rows;
    l->good = true;
    bool good = load(l, hex);
    if (several && !points_heads_have(&l->heads, POINTS_GROUP, CH_COUNT))
        group_by_file(rows, from);
    points_text_free(&l->text);
    free(l);
    return good;
}

bool points_read(struct means_list *list, const char *path, char hex[HASH_HEX_SIZE],
                 struct faults *faults)
{
    struct points_rows rows;
    points_rows_init(&rows, list);
    bool good = points_load(&rows, path, false, hex, faults) && points_slips_find(&rows, faults) &&
                points_rows_name(&rows, false, faults) && points_rows_refuse(&rows, faults);
    points_rows_free(&rows);
    return good;
}
