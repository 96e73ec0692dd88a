#include "point/points_text.h"

#include "ingest/csv.h"
#include "ingest/lines.h"
#include "point/points_heads.h"

#include <stdlib.h>
#include <string.h>

/* Heads are looked for in the first records; below them titles have become data. */
enum { HEADS_WITHIN = 40 };

static const char separators[] = {',', ';', '\t'};
enum { SEPARATORS = sizeof separators };

const char *points_separator_word(char separator)
{
    return separator == ';' ? "semicolon" : separator == '\t' ? "tab" : "comma";
}

void points_text_free(struct points_text *text)
{
    text_free(&text->bytes);
    free(text->records);
    text->records = NULL;
    text->n = text->capacity = 0;
}

static bool refuse(const char *path, long line, const char *found, const char *hint,
                   struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, line, 0));
    fault_found(fault, "%s", found);
    if (hint != NULL)
        fault_hint(fault, "%s", hint);
    return false;
}

static bool add_record(struct points_text *text, const struct line *line, struct faults *faults)
{
    if (text->n == text->capacity) {
        size_t capacity = text->capacity == 0 ? 64 : 2 * text->capacity;
        struct points_record *records = realloc(text->records, capacity * sizeof *records);
        if (records == NULL)
            return fault_memory(faults);
        text->records = records;
        text->capacity = capacity;
    }
    text->records[text->n++] =
        (struct points_record){.start = text->bytes.length, .n = line->n, .line = line->number};
    text_add_bytes(&text->bytes, line->bytes, line->n);
    text_add_bytes(&text->bytes, "\n", 1);
    return text_ok(&text->bytes, faults);
}

static bool is_blank(const struct line *line)
{
    for (size_t i = 0; i < line->n; i++)
        if (line->bytes[i] != ' ')
            return false;
    return true;
}

static bool take_lines(struct points_text *text, struct lines *lines, const char *path,
                       struct faults *faults)
{
    struct line line;
    enum line_status status;
    while ((status = lines_next(lines, &line, faults)) != LINE_END) {
        if (status == LINE_FAILED)
            return false;
        if (status != LINE_TEXT)
            return refuse(path, line.number, "this line is not text of a points table", NULL,
                          faults);
        if (text->bytes.length + line.n > POINTS_BYTES_MAX)
            return refuse(path, line.number, "this is too much for a table of points (4 MiB)",
                          "is it a log? a log belongs under [log]", faults);
        if (!is_blank(&line) && line.bytes[0] != '#' && !add_record(text, &line, faults))
            return false;
    }
    return true;
}

/* How the quotes of a line stand: open at its end, or closing what a line before opened. */
struct quotes {
    bool odd;
    bool opens; /* the last one stands where a field begins */
};

static struct quotes quotes_of(const char *bytes, size_t n)
{
    struct quotes quotes = {false, false};
    for (size_t i = 0; i < n; i++) {
        if (bytes[i] != '"')
            continue;
        quotes.odd = !quotes.odd;
        quotes.opens = i == 0 || strchr(",;\t ", bytes[i - 1]) != NULL;
    }
    return quotes;
}

/* How many records from `first` on are one: up to the line that closes a quote which this one
 * opens. A quote that is never closed is its own line's fault, and the lines after it are rows. */
static size_t records_in_one(const struct points_text *text, size_t first)
{
    const struct points_record *record = &text->records[first];
    struct quotes quotes = quotes_of(text->bytes.bytes + record->start, record->n);
    if (!quotes.odd || !quotes.opens)
        return 1;
    for (size_t i = first + 1; i < text->n && i - first <= POINTS_QUOTED_LINES_MAX; i++) {
        record = &text->records[i];
        if (quotes_of(text->bytes.bytes + record->start, record->n).odd)
            return i - first + 1;
    }
    return 1;
}

/* A quoted field that runs over line ends: the ends become blanks. */
static void join_quoted(struct points_text *text)
{
    size_t kept = 0;
    for (size_t i = 0; i < text->n;) {
        size_t n = records_in_one(text, i);
        struct points_record *one = &text->records[kept++];
        *one = text->records[i];
        for (size_t k = 1; k < n; k++) {
            const struct points_record *more = &text->records[i + k];
            text->bytes.bytes[more->start - 1] = ' ';
            one->n = more->start + more->n - one->start;
        }
        i += n;
    }
    text->n = kept;
}

/* What a pass over the records counts. */
struct counts {
    size_t heads;          /* known heads in the record */
    size_t points, commas; /* numbers with either decimal sign */
};

static void count_head(void *state, size_t number, const char *bytes, size_t n)
{
    struct counts *counts = state;
    struct points_head head;
    (void)number;
    (void)n;
    counts->heads += points_head_read(bytes, &head);
}

/* "23.4" or "-23,4": digits on both sides of one sign. */
static void count_number(void *state, size_t number, const char *bytes, size_t n)
{
    struct counts *counts = state;
    (void)number;
    size_t sign = n > 0 && (bytes[0] == '-' || bytes[0] == '+');
    size_t whole = strspn(bytes + sign, "0123456789");
    char mark = bytes[sign + whole];
    if (whole == 0 || (mark != '.' && mark != ','))
        return;
    const char *rest = bytes + sign + whole + 1;
    size_t digits = strspn(rest, "0123456789");
    if (digits == 0 || sign + whole + 1 + digits != n)
        return;
    counts->points += mark == '.';
    counts->commas += mark == ',';
}

/* Tells `take` the fields of records [from, to). A record that is no proper CSV counts as far as it
 * goes. */
static bool pass(const struct points_text *text, char separator, size_t from, size_t to,
                 csv_take *take, struct counts *counts, struct faults *faults)
{
    struct csv csv;
    if (!csv_open(&csv, separator, take, counts, faults))
        return false;
    bool good = true;
    for (size_t i = from; i < to && good; i++) {
        size_t bad;
        good = csv_line(&csv, text->bytes.bytes + text->records[i].start, text->records[i].n,
                        &bad) != CSV_NO_MEMORY ||
               fault_memory(faults);
    }
    csv_shut(&csv);
    return good;
}

/* The record and the separator by which most heads are known; at least two, since a title may hold
 * one of the words. */
static bool find_heads(struct points_text *text, struct faults *faults)
{
    size_t most = 1;
    text->heads = text->n;
    for (size_t i = 0; i < text->n && i < HEADS_WITHIN; i++)
        for (size_t k = 0; k < SEPARATORS; k++) {
            struct counts counts = {0};
            if (!pass(text, separators[k], i, i + 1, count_head, &counts, faults))
                return false;
            if (counts.heads <= most)
                continue;
            most = counts.heads;
            text->heads = i;
            text->separator = separators[k];
        }
    return true;
}

static bool find_decimal(struct points_text *text, struct faults *faults)
{
    struct counts counts = {0};
    if (!pass(text, text->separator, text->heads, text->n, count_number, &counts, faults))
        return false;
    text->decimal = counts.commas > counts.points ? ',' : '.';
    return true;
}

bool points_text_read(struct points_text *text, const char *path, char hex[HASH_HEX_SIZE],
                      struct faults *faults)
{
    struct lines lines;
    memset(text, 0, sizeof *text);
    text->separator = ',';
    text->decimal = '.';
    if (!lines_open(&lines, path, true, faults))
        return false;
    bool good = take_lines(text, &lines, path, faults);
    if (good)
        lines_digest(&lines, hex);
    lines_close(&lines);
    if (good)
        join_quoted(text);
    good = good && find_heads(text, faults) && find_decimal(text, faults);
    if (!good)
        points_text_free(text);
    return good;
}
