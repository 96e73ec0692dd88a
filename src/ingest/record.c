#include "ingest/record.h"

#include <string.h>

static size_t count_byte(const char *bytes, size_t n, char wanted)
{
    size_t count = 0;
    for (const char *at = bytes; (at = memchr(at, wanted, n - (size_t)(at - bytes))) != NULL; at++)
        count++;
    return count;
}

/* Lengthens the record until its quotes are even. Returns: LINE_TEXT, or why they are not. */
static enum line_status close_quotes(struct record *record, struct lines *lines, char separator,
                                     size_t fields, struct faults *faults)
{
    for (int i = 1; i < RECORD_LINES_MAX; i++) {
        size_t before = record->line.n;
        enum line_status status = lines_extend(lines, &record->line, faults);
        if (status != LINE_TEXT)
            return status;
        const char *added = record->line.bytes + before;
        size_t n = record->line.n - before;
        if (fields > 1 && count_byte(added, n, separator) + 1 >= fields)
            return LINE_END;
        if (count_byte(added, n, '"') % 2 == 1)
            return LINE_TEXT;
    }
    return LINE_END;
}

/* Out of memory is said here, so that no caller has to. */
static bool parse(struct record *record, struct csv *csv, struct faults *faults)
{
    record->csv_status = csv_line(csv, record->line.bytes, record->line.n, &record->at);
    return record->csv_status != CSV_NO_MEMORY || fault_memory(faults);
}

bool record_cut(struct record *record, struct lines *lines, struct csv *csv, size_t fields,
                struct faults *faults)
{
    if (!parse(record, csv, faults))
        return false;
    if (record->csv_status != CSV_OPEN_QUOTE || !record->line.finished)
        return true;
    struct lines_mark mark = lines_mark(lines, &record->line);
    size_t n0 = record->line.n;
    enum line_status status = close_quotes(record, lines, csv->separator, fields, faults);
    if (status == LINE_FAILED)
        return false;
    if (status == LINE_TEXT) {
        if (!parse(record, csv, faults))
            return false;
        if (record->csv_status == CSV_ROW)
            return true;
    }
    lines_shorten(lines, &record->line, n0, &mark);
    return parse(record, csv, faults);
}
