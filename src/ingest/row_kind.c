#include "ingest/row_kind.h"

#include "base/text.h"
#include "ingest/complaint.h"
#include "ingest/row_head.h"

#include <stdlib.h>
#include <string.h>

/* A shorter run of NUL or 0xFF bytes is a damaged byte, not what a power cut leaves. */
enum { FILL_LEAST = 4 };

static size_t greatest_field(const struct rows *rows)
{
    size_t greatest = 0;
    for (size_t i = 0; i < rows->header.n; i++)
        if (rows->role[i] != ROLE_NONE)
            greatest = i;
    return greatest;
}

bool row_is_whole(const struct rows *rows)
{
    return rows->line.finished || rows->csv.fields == rows->header.n ||
           rows->csv.fields > greatest_field(rows) + 1;
}

static bool is_run(const char *bytes, size_t n)
{
    unsigned char first = (unsigned char)bytes[0];
    if (first != 0x00 && first != 0xFF)
        return false;
    for (size_t i = 1; i < n; i++)
        if ((unsigned char)bytes[i] != first)
            return false;
    return true;
}

bool row_is_filled(const struct rows *rows)
{
    const struct line *line = &rows->line;
    return line->n >= FILL_LEAST && (is_run(line->bytes, FILL_LEAST) ||
                                     is_run(line->bytes + line->n - FILL_LEAST, FILL_LEAST));
}

/* Field `number` of the line without quotes and outer blanks, as a name. NULL when out of memory.
 */
static char *field_text(const struct rows *rows, size_t number)
{
    size_t start = 0;
    size_t n = 0;
    bool converted;
    const struct line *line = &rows->line;
    if (!csv_field_span(line->bytes, line->n, rows->form->plan->separator, number, &start, &n))
        n = 0;
    const char *bytes = line->bytes + start;
    bool quoted = n >= 2 && bytes[0] == '"' && bytes[n - 1] == '"';
    return header_text(bytes + quoted, n - 2 * quoted, &converted);
}

/* The plan's columns in the order of rows->field, then the time's. Returns: the name; *field is
 * where the header has it. */
static const char *planned(const struct rows *rows, size_t i, size_t *field)
{
    const struct log_plan *plan = rows->form->plan;
    bool column = i < plan->n_columns;
    *field = column ? rows->field[i] : rows->time_field[i - plan->n_columns];
    return column ? plan->columns[i].name : plan->time_columns[i - plan->n_columns];
}

/* Whether the row holds the names again, in the same fields or not. ROWS_ROW: it does not. */
static enum row_status judge_names(struct rows *rows)
{
    const struct log_plan *plan = rows->form->plan;
    size_t n = plan->n_columns + plan->n_time_columns;
    size_t there = 0;
    size_t same = 0;
    long moved = -1;
    for (size_t i = 0; i < n && rows->header.line > 0; i++) {
        size_t home;
        planned(rows, i, &home);
        bool found = false;
        bool at_home = false;
        for (size_t k = 0; k < rows->csv.fields && !at_home; k++) {
            char *text = field_text(rows, k);
            if (text == NULL)
                return ROWS_FAILED;
            bool is = text_same(text, rows->header.names[home]);
            found = found || is;
            at_home = is && k == home;
            free(text);
        }
        there += found;
        same += at_home;
        if (!at_home && moved < 0)
            moved = (long)i;
    }
    rows->moved = moved;
    if (there * 2 <= n)
        return ROWS_ROW;
    return same == n ? ROWS_HEADER_AGAIN : ROWS_HEADER_OTHER;
}

/* Units and the like: no stamp, and no number in a column that is used. */
static bool is_head_below(const struct rows *rows)
{
    if (rows->any_row || rows->heads_below >= HEADS_BELOW_MAX || rows->header.line == 0 ||
        rows->stamp_status == STAMP_GOOD)
        return false;
    for (size_t k = 0; k < rows->form->plan->n_columns; k++)
        if (rows->flag[k] == FLAG_GOOD || rows->flag[k] == FLAG_OUT_OF_RANGE)
            return false;
    return row_has_no_stamp(rows);
}

static enum row_status take_head_below(struct rows *rows, struct faults *faults)
{
    char separator = rows->form->plan->separator;
    rows->heads_below++;
    if (!header_keep(&rows->header, &rows->line) ||
        !header_take_units(&rows->header, &rows->line, separator)) {
        fault_memory(faults);
        return ROWS_FAILED;
    }
    return ROWS_HEAD;
}

enum row_status row_kind(struct rows *rows, struct faults *faults)
{
    rows->other_head = false;
    rows->names_again = header_is_names(&rows->header, &rows->line);
    if (header_knows(&rows->header, &rows->line))
        return ROWS_HEADER_AGAIN;
    if (row_is_filled(rows))
        return ROWS_FILLED;
    bool cut_short = !rows->line.finished && rows->csv.fields < rows->header.n;
    if (cut_short && (rows->csv_status == CSV_OPEN_QUOTE || rows->csv_status == CSV_ROW))
        return ROWS_CUT;
    if (rows->csv_status != CSV_ROW)
        return ROWS_BAD_LINE;
    enum row_status names = row_has_no_stamp(rows) ? judge_names(rows) : ROWS_ROW;
    if (names == ROWS_FAILED)
        fault_memory(faults);
    rows->names_again = names == ROWS_HEADER_AGAIN;
    if (names != ROWS_ROW)
        return names;
    if (rows->surplus)
        return ROWS_BAD_LINE;
    if (is_head_below(rows))
        return take_head_below(rows, faults);
    return row_has_no_stamp(rows) ? row_head_inside(rows) : ROWS_BAD_STAMP;
}

bool row_has_no_stamp(const struct rows *rows)
{
    return rows->part[0].n == 0 || rows->part[0].text[0] < '0' || rows->part[0].text[0] > '9';
}

bool row_complain_header(const struct rows *rows, struct faults *faults)
{
    size_t field;
    const char *name = planned(rows, rows->moved < 0 ? 0 : (size_t)rows->moved, &field);
    struct place at = fault_at(rows->path, rows->line.number, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "the columns' names stand here again, and '%s' is no longer in field %zu",
                name, field + 1);
    fault_hint(fault, "cut the log before this line and give both files: each has its own order of "
                      "columns");
    return false;
}
