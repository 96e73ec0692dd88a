#include "ingest/header.h"

#include "base/text.h"
#include "ingest/complaint.h"
#include "ingest/record.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One search: the row that is being looked at, and the best one so far. */
struct search {
    struct lines *lines;
    struct csv csv;
    const struct header_wish *wish;
    struct header row;  /* being taken */
    struct header best; /* most of the names; of equals the first */
    size_t best_count;
    bool any;          /* best holds a row */
    bool any_line;     /* a line with text was seen */
    struct record bad; /* the first line that is no row; its bytes are owned */
    bool any_bad;
    struct faults *faults;
};

static void take_name(void *state, size_t number, const char *bytes, size_t n)
{
    struct header *row = &((struct search *)state)->row;
    if (row->failed || number >= CSV_FIELDS_MAX)
        return;
    free(row->names[number]);
    row->names[number] = header_text(bytes, n, &row->converted);
    row->failed = row->names[number] == NULL;
    row->n = number + 1;
}

static bool keep_raw(struct header *header, const struct line *line)
{
    header->line = line->number;
    free(header->raw);
    header->raw = malloc(line->n + 1);
    if (header->raw == NULL)
        return false;
    memcpy(header->raw, line->bytes, line->n);
    header->raw_n = line->n;
    return true;
}

static bool clear_row(struct search *s)
{
    header_free(&s->row);
    s->row.names = calloc(CSV_FIELDS_MAX, sizeof *s->row.names);
    return s->row.names != NULL || fault_memory(s->faults);
}

static size_t count_wished(const struct search *s)
{
    size_t count = 0;
    size_t column;
    for (size_t i = 0; i < s->wish->n; i++)
        count += header_find(&s->row, s->wish->names[i], &column) > 0;
    return count;
}

/* The row that was taken becomes the best; the one before it is a head row above. */
static bool prefer(struct search *s, size_t count)
{
    struct header old = s->best;
    s->best = s->row;
    memset(&s->row, 0, sizeof s->row);
    memcpy(s->best.kept, old.kept, sizeof old.kept);
    s->best.n_kept = old.n_kept;
    old.n_kept = 0;
    bool good = true;
    if (s->any) {
        struct line line = {.bytes = old.raw, .n = old.raw_n};
        good = header_keep(&s->best, &line);
    }
    header_free(&old);
    s->any = true;
    s->best_count = count;
    return good || fault_memory(s->faults);
}

static bool keep_bad(struct search *s, const struct record *record)
{
    if (s->any_bad)
        return true;
    s->bad = *record;
    s->bad.line.bytes = malloc(record->line.n + 1);
    s->any_bad = s->bad.line.bytes != NULL;
    if (s->any_bad)
        memcpy(s->bad.line.bytes, record->line.bytes, record->line.n + 1);
    return s->any_bad || fault_memory(s->faults);
}

/* The names may stand behind a '#': such a row counts only if it holds most of them. */
static bool cut_comment(struct search *s, struct record *record, bool *row)
{
    struct line *line = &record->line;
    const char *hash = memchr(line->bytes, '#', line->n);
    size_t from = (size_t)(hash - line->bytes) + 1;
    record->csv_status = csv_line(&s->csv, hash + 1, line->n - from, &record->at);
    if (record->csv_status == CSV_NO_MEMORY)
        return fault_memory(s->faults);
    *row = record->csv_status == CSV_ROW && count_wished(s) * 2 > s->wish->n;
    return true;
}

/* Cuts a line into names. Out: row  it is one, and no comment, blank or bad line. */
static bool cut_line(struct search *s, struct record *record, bool *row)
{
    *row = false;
    if (!clear_row(s))
        return false;
    if (record->line_status == LINE_TEXT && line_is_comment(&record->line))
        return cut_comment(s, record, row);
    if (record->line_status == LINE_TEXT &&
        !record_cut(record, s->lines, &s->csv, s->best.n, s->faults))
        return false;
    if (record->line_status == LINE_TEXT && record->csv_status == CSV_BLANK)
        return true;
    s->any_line = true;
    *row = record->line_status == LINE_TEXT && record->csv_status == CSV_ROW;
    return *row || keep_bad(s, record);
}

/* Looks at one line. Out: done  the names are found. */
static bool look_at(struct search *s, struct record *record, bool *done)
{
    bool row;
    bool stated = s->wish->line > 0;
    if (!cut_line(s, record, &row))
        return false;
    if (s->row.failed)
        return fault_memory(s->faults);
    if (!row)
        return true;
    size_t count = count_wished(s);
    bool wanted = s->wish->n == 0 || count * 2 > s->wish->n;
    *done = stated ? record->line.number == s->wish->line : wanted;
    if (!*done && s->any && count <= s->best_count)
        return header_keep(&s->best, &record->line) || fault_memory(s->faults);
    return (keep_raw(&s->row, &record->line) || fault_memory(s->faults)) && prefer(s, count);
}

static bool no_header(const struct search *s)
{
    struct fault *fault =
        fault_new(s->faults, FAULT_INPUT, fault_at(s->lines->path, s->lines->number, 0));
    fault_found(fault, "holds no header row: every line is blank or a comment");
    fault_hint(fault, "the first line that is neither must name the columns");
    return false;
}

static bool no_such_line(const struct search *s)
{
    struct fault *fault =
        fault_new(s->faults, FAULT_INPUT, fault_at(s->lines->path, s->wish->line, 0));
    fault_found(fault, "this line, which is stated to hold the names, is no row");
    fault_hint(fault,
               "count lines as an editor does, comments and blank ones too, and set 'names' in "
               "[log], or leave it out");
    return false;
}

static bool complain_of_bad(const struct search *s)
{
    struct bad_line bad = {.path = s->lines->path,
                           .line = &s->bad.line,
                           .line_status = s->bad.line_status,
                           .csv_status = s->bad.csv_status,
                           .at = s->bad.at};
    return complain_bad_line(&bad, s->faults);
}

/* None of the lines was what was looked for. Returns: true if the best is to be complained of by
 * those who know what the columns are for. */
static bool settle(const struct search *s)
{
    if (s->wish->line > 0)
        return no_such_line(s);
    if (s->any_bad && s->best_count == 0)
        return complain_of_bad(s);
    return s->any || no_header(s);
}

static bool search_lines(struct search *s)
{
    struct record record = {.line_status = LINE_TEXT};
    bool done = false;
    long most = s->wish->line > 0 ? s->wish->line : HEAD_LINES_MAX;
    for (long seen = 0; !done && seen < most;) {
        record.line_status = lines_next(s->lines, &record.line, s->faults);
        if (record.line_status == LINE_FAILED)
            return false;
        if (record.line_status == LINE_END)
            break;
        if (!look_at(s, &record, &done))
            return false;
        if (s->wish->line > 0 ? s->lines->number >= s->wish->line : s->wish->n == 0 && s->any_bad)
            break;
        seen += s->any_line || s->wish->line > 0;
    }
    return done || settle(s);
}

static bool not_as_stated(const struct search *s)
{
    struct fault *fault =
        fault_new(s->faults, FAULT_INPUT, fault_at(s->lines->path, s->best.line, 0));
    fault_found(fault, "is stated to be UTF-8, but its header row is not");
    fault_hint(fault, "leave 'encoding' out of [log], or set it to Windows-1252 or CP850");
    return false;
}

/* The first line that is neither blank nor a comment, which is given back. Out: n  its fields. */
static bool count_fields(struct search *s, size_t *n)
{
    struct record record = {.line_status = LINE_TEXT, .csv_status = CSV_BLANK};
    while (record.line_status == LINE_TEXT && record.csv_status == CSV_BLANK) {
        record.line_status = lines_next(s->lines, &record.line, s->faults);
        if (record.line_status == LINE_TEXT && !line_is_comment(&record.line))
            record.csv_status = csv_line(&s->csv, record.line.bytes, record.line.n, &record.at);
    }
    if (record.line_status == LINE_FAILED)
        return false;
    if (record.line_status == LINE_END)
        return no_header(s);
    if (record.line_status != LINE_TEXT || record.csv_status == CSV_NO_MEMORY) {
        struct bad_line bad = {.path = s->lines->path,
                               .line = &record.line,
                               .line_status = record.line_status,
                               .csv_status = record.csv_status};
        return complain_bad_line(&bad, s->faults);
    }
    *n = s->csv.fields;
    lines_return(s->lines, &record.line);
    return true;
}

/* Columns "1", "2", ... as many as the first row has. */
static bool number_columns(struct search *s)
{
    size_t n = 0;
    if (!clear_row(s) || !count_fields(s, &n) || !clear_row(s))
        return false;
    n = n > s->wish->least ? n : s->wish->least;
    for (size_t i = 0; i < n && i < CSV_FIELDS_MAX; i++) {
        char number[24];
        int length = snprintf(number, sizeof number, "%zu", i + 1);
        take_name(s, i, number, (size_t)length);
    }
    return s->row.failed ? fault_memory(s->faults) : prefer(s, 0);
}

bool header_search(struct header *header, struct lines *lines, char separator,
                   const struct header_wish *wish, struct faults *faults)
{
    struct search *s = calloc(1, sizeof *s);
    memset(header, 0, sizeof *header);
    if (s == NULL)
        return fault_memory(faults);
    s->lines = lines;
    s->wish = wish;
    s->faults = faults;
    bool ok = csv_open(&s->csv, separator, take_name, s, faults) &&
              (wish->none ? number_columns(s) : search_lines(s));
    csv_shut(&s->csv);
    if (ok && s->best.converted && lines->source.encoding == ENCODING_UTF_8)
        ok = not_as_stated(s);
    *header = s->best;
    header_free(&s->row);
    if (s->any_bad)
        free(s->bad.line.bytes);
    free(s);
    return ok;
}

bool header_read(struct header *header, struct lines *lines, char separator, struct faults *faults)
{
    struct header_wish any = {.n = 0};
    return header_search(header, lines, separator, &any, faults);
}
