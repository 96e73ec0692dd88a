#include "draft/sample.h"

#include "base/number_spelled.h"
#include "base/numbers.h"
#include "description/reader.h"
#include "draft/sample_fit.h"
#include "ingest/csv.h"

#include <stdlib.h>
#include <string.h>

/* Bytes of a line of the description beside a name: "column      = ", a date's pattern and a zone.
 */
enum { NAME_BYTES_MAX = DESCRIPTION_LINE - 64 };

void sample_free(struct sample *sample)
{
    head_rows_free(&sample->head);
    text_free(&sample->cells);
    free(sample->at);
    free(sample->row);
    free(sample->column);
    memset(sample, 0, sizeof *sample);
}

const char *sample_cell(const struct sample *sample, size_t row, size_t column)
{
    return sample->cells.bytes + sample->at[row * sample->head.n + column];
}

bool sample_number(const struct sample *sample, size_t row, size_t column, double *value)
{
    const char *cell = sample_cell(sample, row, column);
    size_t n = strlen(cell);
    return number_read(cell, n, sample->dialect.decimal, value) ||
           number_spelled(cell, n, sample->dialect.decimal, value);
}

const char *sample_name_trouble(const struct sample *sample, size_t column, bool time)
{
    const char *name = sample->head.name[column];
    if (name[0] == '\0')
        return "it has no name";
    bool twin = sample->head.twin != NULL && sample->head.twin[column];
    if (head_rows_count(&sample->head, name) > 1)
        return "its name stands more than once in the header row";
    if (twin && !time)
        return "its name stands more than once in the header row; if it is meant, name it with its "
               "number, as here";
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

static void take_cell(void *state, size_t number, const char *bytes, size_t n)
{
    struct sample *sample = state;
    sample->surplus = sample->surplus || (number >= sample->n_fields && n > 0);
    if (number >= sample->n_fields || sample->column[number] == sample->head.n || n == 0)
        return;
    number = sample->column[number];
    while (n > 0 && (bytes[0] == ' ' || bytes[0] == '\t')) {
        bytes++;
        n--;
    }
    while (n > 0 && (bytes[n - 1] == ' ' || bytes[n - 1] == '\t'))
        n--;
    size_t kept = n < SAMPLE_CELL_SIZE ? n : SAMPLE_CELL_SIZE - 1;
    sample->at[sample->n_rows * sample->head.n + number] = (uint32_t)sample->cells.length;
    text_add_bytes(&sample->cells, bytes, kept);
    text_add_bytes(&sample->cells, "", 1);
}

/* Room for one more row, with all its cells empty. */
static bool open_row(struct sample *sample)
{
    size_t columns = sample->head.n;
    if (sample->n_rows == sample->capacity) {
        size_t capacity = sample->capacity == 0 ? 64 : 2 * sample->capacity;
        uint32_t *at = realloc(sample->at, capacity * columns * sizeof *at);
        if (at != NULL)
            sample->at = at;
        struct sample_row *row = realloc(sample->row, capacity * sizeof *row);
        if (row != NULL)
            sample->row = row;
        if (at == NULL || row == NULL)
            return false;
        sample->capacity = capacity;
    }
    memset(sample->at + sample->n_rows * columns, 0, columns * sizeof *sample->at);
    return true;
}

/* Adds a line of an excerpt if it is a row. Returns: false when out of memory. */
static bool add_line(struct sample *sample, struct csv *csv, const struct excerpt *excerpt,
                     size_t i, struct sample_row row)
{
    size_t bad;
    size_t before = sample->cells.length;
    if (!open_row(sample))
        return false;
    sample->surplus = false;
    enum csv_status status = csv_line(csv, excerpt_bytes(excerpt, i), excerpt->line[i].n, &bad);
    if (status == CSV_NO_MEMORY || sample->cells.failed)
        return false;
    if (status != CSV_ROW) {
        sample->cells.length = before;
        if (status != CSV_BLANK && sample->n_bad++ == 0)
            sample->first_bad = excerpt->line[i].number;
        return true;
    }
    sample->n_wider += csv->fields > sample->n_fields;
    if (sample->surplus && sample->n_surplus++ == 0)
        sample->first_surplus = row.line;
    sample->row[sample->n_rows++] = row;
    return true;
}

static bool is_head_again(const struct excerpt *excerpt, const struct head_rows *head, size_t i)
{
    if (head->none)
        return false;
    const struct excerpt_line *names = &excerpt->line[head->names_at];
    const struct excerpt_line *line = &excerpt->line[i];
    return line->n == names->n &&
           memcmp(excerpt_bytes(excerpt, i), excerpt_bytes(excerpt, head->names_at), line->n) == 0;
}

static bool take_rows(struct sample *sample, const struct excerpt *excerpt,
                      const struct head_rows *head, size_t log, size_t most, struct faults *faults)
{
    struct csv csv;
    bool good = true;
    uint32_t run = sample->n_rows > 0 ? sample->row[sample->n_rows - 1].run + 1 : 0;
    if (!csv_open(&csv, sample->dialect.separator, take_cell, sample, faults))
        return false;
    for (size_t i = head->first_row; good && i < excerpt->n; i++) {
        if (sample->n_rows >= most) {
            sample->more = true;
            break;
        }
        run += i > 0 && excerpt->line[i].part != excerpt->line[i - 1].part;
        struct sample_row row = {excerpt->line[i].number, (uint32_t)log, run};
        if (is_head_again(excerpt, head, i))
            sample->n_heads_again++;
        else if (!excerpt->line[i].comment)
            good = add_line(sample, &csv, excerpt, i, row) || fault_memory(faults);
    }
    csv_shut(&csv);
    return good;
}

static bool refuse(const char *path, long line, const char *found, const char *hint,
                   struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, line, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

static bool has_line(const struct excerpt *excerpt)
{
    for (size_t i = 0; i < excerpt->n; i++)
        if (!excerpt->line[i].comment)
            return true;
    return false;
}

static bool refuse_no_line(const struct excerpt *excerpt, struct faults *faults)
{
    if (excerpt->n_odd == 0)
        return refuse(excerpt->path, 0, "holds no header row, only blank lines and comments",
                      "give the logger's file, with a line of columns' names above the readings",
                      faults);
    return refuse(excerpt->path, excerpt->first_odd,
                  "holds no line that can be read: each holds NUL bytes or is longer than 1 MiB",
                  "is this the logger's CSV file?", faults);
}

/* An excerpt whose dialect and head are known. */
static bool take_excerpt(struct sample *sample, const struct excerpt *excerpt,
                         const struct dialect *dialect, struct head_rows *head, size_t log,
                         const char *const *logs, struct faults *faults)
{
    size_t before = sample->n_rows;
    if (sample->head.name == NULL) {
        sample->head = *head;
        sample->dialect = *dialect;
        memset(head, 0, sizeof *head);
        head = &sample->head;
        size_t lacks;
        if (!sample_map_fields(sample, head, &lacks))
            return fault_memory(faults);
    } else if (!sample_suits_first(sample, dialect, head, excerpt, logs[0], faults)) {
        return false;
    }
    sample->more = sample->more || !excerpt->whole;
    sample->converted = sample->converted || excerpt->converted;
    sample->n_bad += excerpt->n_odd;
    if (excerpt->n_odd > 0 && sample->first_bad == 0)
        sample->first_bad = excerpt->first_odd;
    size_t room = SAMPLE_CELLS_MAX / sample->head.n / sample->n_logs + 1;
    if (!take_rows(sample, excerpt, head, log, before + room, faults))
        return false;
    if (2 * sample->n_surplus > sample->n_rows)
        return sample_refuse_surplus(sample, excerpt, dialect, faults);
    return sample->n_rows > before || sample_refuse_no_rows(sample, excerpt, head, faults);
}

static bool take_log(struct sample *sample, const char *const *logs, size_t log,
                     const struct dialect *pinned, struct faults *faults)
{
    struct excerpt excerpt;
    struct dialect dialect;
    struct head_rows head = {0};
    size_t most = EXCERPT_BYTES / sample->n_logs;
    most = most < EXCERPT_LEAST ? EXCERPT_LEAST : most;
    bool good = excerpt_read(&excerpt, logs[log], most, faults) &&
                (has_line(&excerpt) || refuse_no_line(&excerpt, faults)) &&
                dialect_find(&excerpt, pinned, &dialect, faults) &&
                head_rows_find(&excerpt, &dialect, &head, faults) &&
                take_excerpt(sample, &excerpt, &dialect, &head, log, logs, faults);
    head_rows_free(&head);
    excerpt_free(&excerpt);
    return good;
}

bool sample_read(struct sample *sample, const char *const *logs, size_t n,
                 const struct dialect *pinned, struct faults *faults)
{
    memset(sample, 0, sizeof *sample);
    sample->n_logs = n;
    text_add_bytes(&sample->cells, "", 1); /* offset 0: the empty cell */
    if (!text_ok(&sample->cells, faults))
        return false;
    bool good = true;
    for (size_t i = 0; i < n; i++)
        good = take_log(sample, logs, i, pinned, faults) && good;
    return good;
}
