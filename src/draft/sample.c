#include "draft/sample.h"

#include "base/numbers.h"
#include "description/reader.h"
#include "ingest/csv.h"
#include "ingest/lines.h"
#include "ingest/stamp.h"

#include <stdlib.h>
#include <string.h>

/* Bytes of a line of the description beside a name: "column      = ", a date's pattern and a zone.
 */
enum { NAME_BYTES_MAX = DESCRIPTION_LINE - 64 };

void sample_free(struct sample *sample)
{
    header_free(&sample->header);
    text_free(&sample->cells);
    free(sample->at);
    free(sample->line);
    memset(sample, 0, sizeof *sample);
}

const char *sample_cell(const struct sample *sample, size_t row, size_t column)
{
    return sample->cells.bytes + sample->at[row * sample->header.n + column];
}

const char *sample_name_trouble(const struct sample *sample, size_t column, bool time)
{
    const char *name = sample->header.names[column];
    size_t first = 0;
    if (name[0] == '\0')
        return "it has no name";
    if (header_find(&sample->header, name, &first) > 1)
        return "its name stands more than once in the header row";
    if (name[0] == '#' || strstr(name, " #") != NULL || strstr(name, "\t#") != NULL)
        return "its name holds ' #', which begins a comment in a description";
    if (strlen(name) > NAME_BYTES_MAX)
        return "its name is too long for a line of a description";
    for (const char *c = name; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7F)
            return "its name holds a control character";
    if (time && (strchr(name, ',') != NULL || strstr(name, " + ") != NULL))
        return "its name holds ',' or ' + ', which part the words of a 'time' line";
    return NULL;
}

static size_t count_byte(const struct header *header, char c)
{
    size_t n = 0;
    for (size_t i = 0; i < header->raw_n; i++)
        n += header->raw[i] == c;
    return n;
}

static bool refuse_head(const struct header *header, const char *path, const char *found,
                        const char *hint, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, header->line, 0));
    fault_found(fault, "%s", found);
    fault_expected(fault, "commas between the columns' names, numbers with a decimal point");
    fault_hint(fault, "%s", hint);
    return false;
}

/* A first row of which half or more are numbers or stamps names nothing. */
static bool is_a_row_of_values(const struct header *header)
{
    size_t values = 0;
    struct stamp_format iso = {.iso = true};
    for (size_t i = 0; i < header->n; i++) {
        double number;
        int64_t time_us;
        const char *name = header->names[i];
        size_t n = strlen(name);
        values +=
            number_read(name, n, '.', &number) || stamp_read(&iso, name, n, &time_us) == STAMP_GOOD;
    }
    return 2 * values >= header->n;
}

static bool check_head(const struct header *header, const char *path, struct faults *faults)
{
    size_t commas = count_byte(header, ',');
    if (count_byte(header, ';') > commas)
        return refuse_head(header, path,
                           "the header row seems to have semicolons between its names",
                           "a draft reads commas only: write the description by hand, with "
                           "'separator = semicolon' and, where 23,4 is written, 'decimal = comma'",
                           faults);
    if (count_byte(header, '\t') > commas)
        return refuse_head(header, path, "the header row seems to have tabs between its names",
                           "a draft reads commas only: write the description by hand, with "
                           "'separator = tab'",
                           faults);
    if (header->n == 1)
        return refuse_head(header, path, "the header row names one column only",
                           "the first line that is neither blank nor a comment must name all "
                           "columns; delete a title that stands above it",
                           faults);
    if (is_a_row_of_values(header))
        return refuse_head(header, path, "the first row holds values where names should stand",
                           "put a line with the columns' names above it, such as "
                           "time,G,T_air,T_in,T_out,flow",
                           faults);
    return true;
}

static bool same_head(const struct header *a, const struct header *b)
{
    if (a->n != b->n)
        return false;
    for (size_t i = 0; i < a->n; i++)
        if (!text_same(a->names[i], b->names[i]))
            return false;
    return true;
}

/* The header of one log; that of the first is kept. */
static bool take_head(struct sample *sample, struct lines *lines, size_t log, struct header *header,
                      const char *first_path, struct faults *faults)
{
    if (!header_read(header, lines, ',', faults) || !check_head(header, lines->path, faults))
        return false;
    if (log == 0 || sample->header.names == NULL || same_head(header, &sample->header))
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(lines->path, header->line, 0));
    fault_found(fault, "the header row differs from that of '%s'", first_path);
    fault_expected(fault, "the same columns in every log of one test");
    fault_hint(fault, "draft a description for each, or leave this log out");
    return false;
}

static void take_cell(void *state, size_t number, const char *bytes, size_t n)
{
    struct sample *sample = state;
    if (number >= sample->header.n || n == 0)
        return;
    while (n > 0 && (bytes[0] == ' ' || bytes[0] == '\t')) {
        bytes++;
        n--;
    }
    while (n > 0 && (bytes[n - 1] == ' ' || bytes[n - 1] == '\t'))
        n--;
    size_t kept = n < SAMPLE_CELL_SIZE ? n : SAMPLE_CELL_SIZE - 1;
    sample->at[sample->n_rows * sample->header.n + number] = sample->cells.length;
    text_add_bytes(&sample->cells, bytes, kept);
    text_add_bytes(&sample->cells, "", 1);
}

/* Room for one more row, with all its cells empty. */
static bool open_row(struct sample *sample)
{
    size_t columns = sample->header.n;
    if (sample->n_rows == sample->capacity) {
        size_t capacity = sample->capacity == 0 ? 64 : 2 * sample->capacity;
        size_t *at = realloc(sample->at, capacity * columns * sizeof *at);
        if (at != NULL)
            sample->at = at;
        long *line = realloc(sample->line, capacity * sizeof *line);
        if (line != NULL)
            sample->line = line;
        if (at == NULL || line == NULL)
            return false;
        sample->capacity = capacity;
    }
    memset(sample->at + sample->n_rows * columns, 0, columns * sizeof *sample->at);
    return true;
}

static void note_bad(struct sample *sample, const struct line *line)
{
    if (sample->n_bad++ == 0)
        sample->first_bad = line->number;
}

static bool is_head_again(const struct sample *sample, const struct line *line)
{
    return line->n == sample->header.raw_n && memcmp(line->bytes, sample->header.raw, line->n) == 0;
}

/* Adds a line if it is a row. Returns: false when out of memory. */
static bool add_line(struct sample *sample, struct csv *csv, const struct line *line)
{
    size_t bad;
    size_t before = sample->cells.length;
    if (line_is_comment(line) || is_head_again(sample, line))
        return true;
    if (!open_row(sample))
        return false;
    enum csv_status status = csv_line(csv, line->bytes, line->n, &bad);
    if (status == CSV_NO_MEMORY || sample->cells.failed)
        return false;
    if (status != CSV_ROW) {
        sample->cells.length = before;
        if (status != CSV_BLANK)
            note_bad(sample, line);
        return true;
    }
    sample->n_wider += csv->fields > sample->header.n;
    sample->line[sample->n_rows++] = line->number;
    return true;
}

/* Bounded by lines too: a file of blank lines is not read to its end. */
static bool take_rows(struct sample *sample, struct lines *lines, size_t most,
                      struct faults *faults)
{
    struct csv csv;
    struct line line;
    enum line_status status = LINE_END;
    size_t from = sample->n_rows;
    bool good = true;
    if (!csv_open(&csv, ',', take_cell, sample, faults))
        return false;
    for (size_t i = 0; good && i < 10 * most && sample->n_rows - from < most; i++) {
        status = lines_next(lines, &line, faults);
        if (status == LINE_END || status == LINE_FAILED)
            break;
        if (status == LINE_TEXT)
            good = add_line(sample, &csv, &line) || fault_memory(faults);
        else
            note_bad(sample, &line);
    }
    csv_shut(&csv);
    sample->more = sample->more || status != LINE_END;
    return good && status != LINE_FAILED;
}

static bool refuse_no_row(const char *path, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "holds a header row but no rows below it");
    fault_hint(fault, "give a log with readings, or leave the file out");
    return false;
}

static bool take_log(struct sample *sample, const char *const *logs, size_t log, size_t most,
                     struct faults *faults)
{
    struct lines lines;
    struct header header;
    size_t before = sample->n_rows;
    if (!lines_open(&lines, logs[log], false, faults))
        return false;
    bool good = take_head(sample, &lines, log, &header, logs[0], faults);
    if (good && sample->header.names == NULL) {
        sample->header = header;
        memset(&header, 0, sizeof header);
    }
    good = good && take_rows(sample, &lines, most, faults);
    if (good && sample->n_rows == before)
        good = refuse_no_row(logs[log], faults);
    header_free(&header);
    lines_close(&lines);
    return good;
}

bool sample_read(struct sample *sample, const char *const *logs, size_t n, struct faults *faults)
{
    memset(sample, 0, sizeof *sample);
    text_add_bytes(&sample->cells, "", 1); /* offset 0: the empty cell */
    if (!text_ok(&sample->cells, faults))
        return false;
    size_t most = SAMPLE_ROWS / n < SAMPLE_ROWS_LEAST ? SAMPLE_ROWS_LEAST : SAMPLE_ROWS / n;
    bool good = true;
    for (size_t i = 0; i < n; i++) {
        good = take_log(sample, logs, i, most, faults) && good;
        if (i == 0)
            sample->n_first = sample->n_rows;
    }
    sample->n_logs = n;
    return good;
}
