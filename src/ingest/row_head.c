#include "ingest/row_head.h"

#include "base/text.h"
#include "ingest/head_units.h"

#include <string.h>

/* Field `number` of the current line without quotes. */
struct piece {
    const char *bytes;
    size_t n;
};

static struct piece piece_of(const struct rows *rows, size_t number)
{
    size_t start = 0, n = 0;
    const struct line *line = &rows->line;
    if (!csv_field_span(line->bytes, line->n, rows->form->plan->separator, number, &start, &n))
        return (struct piece){"", 0};
    const char *bytes = line->bytes + start;
    bool quoted = n >= 2 && bytes[0] == '"' && bytes[n - 1] == '"';
    return (struct piece){bytes + quoted, n - 2 * quoted};
}

static bool alike(struct piece a, struct piece b)
{
    return a.n == b.n && memcmp(a.bytes, b.bytes, a.n) == 0;
}

/* The unit that a column's field is; NULL if it is none of its dimension. */
static const struct unit *unit_here(const struct rows *rows, size_t k, char text[HEAD_TEXT_SIZE])
{
    struct piece piece = piece_of(rows, rows->field[k]);
    return head_units_cut(piece.bytes, piece.n, text)
               ? unit_find(text, rows->form->plan->columns[k].unit->dimension)
               : NULL;
}

/* Out: words   columns that hold text. Returns: false if one holds a number. */
static bool count_words(const struct rows *rows, size_t *words)
{
    *words = 0;
    for (size_t k = 0; k < rows->form->plan->n_columns; k++) {
        uint8_t flag = rows->flag[k];
        if (flag == FLAG_GOOD || flag == FLAG_OUT_OF_RANGE || flag == FLAG_ERROR_CODE)
            return false;
        *words += flag == FLAG_NOT_A_NUMBER;
    }
    return true;
}

static bool holds_units(const struct rows *rows, size_t words)
{
    char text[HEAD_TEXT_SIZE];
    size_t units = 0;
    for (size_t k = 0; k < rows->form->plan->n_columns; k++)
        units += unit_here(rows, k, text) != NULL;
    return units > 0 && 2 * units >= words;
}

/* The first column whose unit is another one from here on; -1 if there is none. */
static long turned_column(const struct rows *rows)
{
    char text[HEAD_TEXT_SIZE];
    for (size_t k = 0; k < rows->form->plan->n_columns; k++) {
        bool by_head;
        const struct unit *before = head_units_so_far(rows, k, &by_head);
        const struct unit *here = unit_here(rows, k, text);
        if (before != NULL && here != NULL && head_units_differ(before, here))
            return (long)k;
    }
    return -1;
}

/* No error word of a logger: those are alike in all columns. */
static bool holds_names(const struct rows *rows, size_t words)
{
    const struct log_plan *plan = rows->form->plan;
    struct piece stamp = piece_of(rows, rows->time_field[0]);
    if (rows->header.line == 0 || stamp.n == 0 || words < 2 || 2 * words <= plan->n_columns)
        return false;
    for (size_t k = 0; k < plan->n_columns; k++) {
        struct piece piece = piece_of(rows, rows->field[k]);
        if (piece.n > 0 && alike(piece, stamp))
            return false;
        for (size_t i = 0; i < k && piece.n > 0; i++)
            if (rows->field[i] != rows->field[k] && alike(piece, piece_of(rows, rows->field[i])))
                return false;
    }
    return true;
}

enum row_status row_head_inside(struct rows *rows)
{
    size_t words;
    if (!rows->any_row || !count_words(rows, &words))
        return ROWS_BAD_STAMP;
    if (holds_units(rows, words)) {
        rows->moved = turned_column(rows);
        return rows->moved < 0 ? ROWS_HEADER_AGAIN : ROWS_UNITS_OTHER;
    }
    rows->other_head = holds_names(rows, words);
    return ROWS_BAD_STAMP;
}

bool row_head_complain_units(const struct rows *rows, struct faults *faults)
{
    char text[HEAD_TEXT_SIZE];
    bool by_head;
    size_t k = (size_t)rows->moved;
    const struct log_column *column = &rows->form->plan->columns[k];
    const struct header *header = &rows->header;
    const struct unit *before = head_units_so_far(rows, k, &by_head);
    unit_here(rows, k, text);
    struct place at = fault_at(rows->path, rows->line.number, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_field(fault, "field %zu '%s'", rows->field[k] + 1, column->name);
    if (by_head)
        fault_found(fault, "the unit is '%s' from here on, and '%s' up to here by %s:%ld", text,
                    before->name, rows->path,
                    header->units_line > 0 ? header->units_line : header->line);
    else
        fault_found(fault, "the unit is '%s' from here on; the description says 'unit = %s'", text,
                    before->name);
    fault_expected(fault, "each column in one unit from the first row to the last");
    fault_hint(fault, "convert the rows of the other unit in the log; or cut it before this line "
                      "and describe both parts, each with its own units");
    return false;
}

bool row_head_complain(const struct rows *rows, long line, const char *text, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(rows->path, line, 0));
    fault_found(fault, "this line looks like another head: '%s' stands where the stamps do, and "
                       "words where the log has numbers",
                text);
    fault_expected(fault, "the names of line %ld, letter for letter", rows->header.line);
    fault_hint(fault, "the rows below it may hold other columns: cut the log before this line and "
                      "describe both parts; if they hold the same columns in the same order, take "
                      "the line out");
    return false;
}
