#include "ingest/header.h"

#include "base/text.h"
#include "ingest/complaint.h"
#include "ingest/recode.h"

#include <stdlib.h>
#include <string.h>

bool line_is_comment(const struct line *line)
{
    size_t i = 0;
    while (i < line->n && (line->bytes[i] == ' ' || line->bytes[i] == '\t'))
        i++;
    return i < line->n && line->bytes[i] == '#';
}

static char *copy_name(struct header *header, const char *bytes, size_t n)
{
    char *name = malloc(3 * n + 1);
    if (name == NULL)
        return NULL;
    if (text_is_utf8(bytes, n)) {
        memcpy(name, bytes, n);
        name[n] = '\0';
    } else {
        recode_text(bytes, n, name);
        header->converted = true;
    }
    char *trimmed = text_trim(name);
    memmove(name, trimmed, strlen(trimmed) + 1);
    return name;
}

static void take_name(void *state, size_t number, const char *bytes, size_t n)
{
    struct header *header = state;
    if (header->failed || number >= CSV_FIELDS_MAX)
        return;
    header->names[number] = copy_name(header, bytes, n);
    header->failed = header->names[number] == NULL;
    header->n = number + 1;
}

static bool keep_raw(struct header *header, const struct line *line)
{
    header->line = line->number;
    header->raw = malloc(line->n + 1);
    if (header->raw == NULL)
        return false;
    memcpy(header->raw, line->bytes, line->n);
    header->raw_n = line->n;
    return true;
}

static bool no_header(const struct lines *lines, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(lines->path, lines->number, 0));
    fault_found(fault, "holds no header row: every line is blank or a comment");
    fault_hint(fault, "the first line that is neither must name the columns");
    return false;
}

static bool not_as_stated(const struct header *header, const struct lines *lines,
                          struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(lines->path, header->line, 0));
    fault_found(fault, "is stated to be UTF-8, but its header row is not");
    fault_hint(fault, "leave 'encoding' out of [log], or set it to Windows-1252 or CP850");
    return false;
}

/* Reads up to a row, through a parser that takes names. */
static bool find_row(struct header *header, struct lines *lines, struct csv *csv,
                     struct faults *faults)
{
    struct line line;
    for (;;) {
        enum line_status status = lines_next(lines, &line, faults);
        if (status == LINE_FAILED)
            return false;
        if (status == LINE_END)
            return no_header(lines, faults);
        if (status == LINE_TEXT && line_is_comment(&line))
            continue;
        struct bad_line bad = {.path = lines->path, .line = &line, .line_status = status};
        if (status == LINE_TEXT)
            bad.csv_status = csv_line(csv, line.bytes, line.n, &bad.at);
        if (status == LINE_TEXT && bad.csv_status == CSV_BLANK)
            continue;
        if (status != LINE_TEXT || bad.csv_status != CSV_ROW)
            return complain_bad_line(&bad, faults);
        return (keep_raw(header, &line) && !header->failed) || fault_memory(faults);
    }
}

bool header_read(struct header *header, struct lines *lines, char separator, struct faults *faults)
{
    struct csv csv;
    memset(header, 0, sizeof *header);
    header->names = calloc(CSV_FIELDS_MAX, sizeof *header->names);
    if (header->names == NULL)
        return fault_memory(faults);
    if (!csv_open(&csv, separator, take_name, header, faults))
        return false;
    bool ok = find_row(header, lines, &csv, faults);
    csv_shut(&csv);
    if (ok && header->converted && lines->source.encoding == ENCODING_UTF_8)
        return not_as_stated(header, lines, faults);
    return ok;
}

void header_free(struct header *header)
{
    for (size_t i = 0; header->names != NULL && i < CSV_FIELDS_MAX; i++)
        free(header->names[i]);
    free(header->names);
    free(header->raw);
    memset(header, 0, sizeof *header);
}

size_t header_find(const struct header *header, const char *name, size_t *column)
{
    size_t found = 0;
    for (size_t i = header->n; i-- > 0;) {
        if (!text_same(header->names[i], name))
            continue;
        *column = i;
        found++;
    }
    return found;
}
