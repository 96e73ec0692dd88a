#include "ingest/csv.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

/* libcsv grows its field buffer without limit unless it is told that there is no more. */
static void *capped_realloc(void *pointer, size_t size)
{
    return size > CSV_FIELD_BYTES_MAX ? NULL : realloc(pointer, size);
}

static void on_field(void *bytes, size_t n, void *data)
{
    struct csv *csv = data;
    csv->take(csv->state, csv->fields++, bytes, n);
}

static void on_row(int end, void *data)
{
    struct csv *csv = data;
    (void)end;
    csv->row = true;
}

static bool begin(struct csv *csv)
{
    struct csv_parser *parser = csv->parser;
    if (csv_init(parser, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL) != 0)
        return false;
    csv_set_delim(parser, (unsigned char)csv->separator);
    csv_set_realloc_func(parser, capped_realloc);
    return true;
}

bool csv_open(struct csv *csv, char separator, csv_take *take, void *state, struct faults *faults)
{
    memset(csv, 0, sizeof *csv);
    csv->separator = separator;
    csv->take = take;
    csv->state = state;
    csv->parser = calloc(1, sizeof(struct csv_parser));
    if (csv->parser != NULL && begin(csv))
        return true;
    free(csv->parser);
    csv->parser = NULL;
    return fault_memory(faults);
}

void csv_shut(struct csv *csv)
{
    if (csv->parser != NULL)
        csv_free(csv->parser);
    free(csv->parser);
    csv->parser = NULL;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool only_blanks(const char *line, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!is_blank(line[i]))
            return false;
    return true;
}

/* What libcsv stopped at, `used` bytes into the line. */
static enum csv_status refusal(struct csv *csv, size_t used, size_t *bad)
{
    struct csv_parser *parser = csv->parser;
    *bad = used;
    if (csv_error(parser) == CSV_EPARSE)
        return CSV_STRAY_QUOTE;
    return csv_get_buffer_size(parser) + 256 > CSV_FIELD_BYTES_MAX ? CSV_FIELD_TOO_LONG
                                                                   : CSV_NO_MEMORY;
}

static enum csv_status judge(struct csv *csv, const char *line, size_t n, size_t used, size_t *bad)
{
    size_t length;
    if (used < n + 1)
        return refusal(csv, used, bad);
    if (csv->fields > CSV_FIELDS_MAX) {
        *bad = 0;
        return CSV_TOO_MANY;
    }
    if (csv->row)
        return CSV_ROW;
    if (csv->fields == 0 && only_blanks(line, n))
        return CSV_BLANK;
    if (!csv_field_span(line, n, csv->separator, csv->fields, bad, &length))
        *bad = 0;
    return CSV_OPEN_QUOTE;
}

/* A spreadsheet keeps 0830 from becoming a number by writing ="0830", which is no CSV: a sign of
 * equality in front of a quote that opens a field goes to libcsv as a blank, which may stand there.
 * Returns: as csv_parse, the bytes taken of n */
static size_t parse(struct csv *csv, const char *line, size_t n)
{
    bool quoted = false, begins = true;
    size_t from = 0;
    if (memmem(line, n, "=\"", 2) == NULL)
        return csv_parse(csv->parser, line, n, on_field, on_row, csv);
    for (size_t i = 0; i < n; i++) {
        if (begins && line[i] == '=' && line[i + 1] == '"') {
            size_t used = csv_parse(csv->parser, line + from, i - from, on_field, on_row, csv);
            if (used < i - from || csv_parse(csv->parser, " ", 1, on_field, on_row, csv) != 1)
                return from + used;
            from = i + 1;
            continue;
        }
        quoted = quoted != (line[i] == '"');
        begins = !quoted && (line[i] == csv->separator || (begins && is_blank(line[i])));
    }
    return from + csv_parse(csv->parser, line + from, n - from, on_field, on_row, csv);
}

enum csv_status csv_line(struct csv *csv, const char *line, size_t n, size_t *bad)
{
    csv->fields = 0;
    csv->row = false;
    size_t used = parse(csv, line, n + 1);
    enum csv_status status = judge(csv, line, n, used, bad);
    if (status != CSV_ROW && status != CSV_BLANK) {
        csv_free(csv->parser);
        if (!begin(csv))
            return CSV_NO_MEMORY;
    }
    return status;
}

/* The field's end: the next separator outside quotes. A doubled quote closes and opens again. */
static size_t field_end(const char *line, size_t n, char separator, size_t from)
{
    bool quoted = false;
    size_t at = from;
    for (; at < n && (quoted || line[at] != separator); at++)
        if (line[at] == '"')
            quoted = !quoted;
    return at;
}

bool csv_field_span(const char *line, size_t n, char separator, size_t number, size_t *start,
                    size_t *length)
{
    size_t from = 0;
    size_t to = field_end(line, n, separator, 0);
    for (size_t i = 0; i < number; i++) {
        if (to >= n)
            return false;
        from = to + 1;
        to = field_end(line, n, separator, from);
    }
    while (from < to && (line[from] == ' ' || line[from] == '\t'))
        from++;
    while (to > from && (line[to - 1] == ' ' || line[to - 1] == '\t'))
        to--;
    *start = from;
    *length = to - from;
    return true;
}
