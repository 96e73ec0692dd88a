#include "selftest/published.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool refuse(const char *name, const char *why, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
    fault_found(fault, "the published data '%s' compiled into this program %s", name, why);
    fault_hint(fault, "build the program again from untouched sources");
    return false;
}

static size_t count(const char *text, char what)
{
    size_t n = 0;
    for (; *text != '\0'; text++)
        n += *text == what;
    return n;
}

/* Cuts a line at its commas. Returns: false if it has another number of cells. */
static bool split(struct published_table *table, char *line, size_t row)
{
    if (count(line, ',') + 1 != table->n_columns)
        return false;
    for (size_t j = 0; j < table->n_columns; j++) {
        table->cells[row * table->n_columns + j] = line;
        line += strcspn(line, ",");
        if (*line != '\0')
            *line++ = '\0';
    }
    return true;
}

static bool parse(struct published_table *table, const char *name, struct faults *faults)
{
    size_t lines = count(table->text, '\n') + 1, row = 0;
    for (char *line = table->text, *next; line != NULL; line = next) {
        next = strchr(line, '\n');
        if (next != NULL)
            *next++ = '\0';
        if (line[0] == '#' || line[0] == '\0')
            continue;
        if (table->cells == NULL) {
            table->n_columns = count(line, ',') + 1;
            table->cells = calloc(lines * table->n_columns, sizeof *table->cells);
        }
        if (table->cells == NULL)
            return fault_memory(faults);
        if (!split(table, line, row++))
            return refuse(name, "hold a row of another length", faults);
    }
    table->n_rows = row > 0 ? row - 1 : 0;
    return row > 1 ? true : refuse(name, "hold no rows", faults);
}

bool published_open(struct published_table *table, const struct published *published,
                    const char *name, struct faults *faults)
{
    memset(table, 0, sizeof *table);
    for (size_t i = 0; i < published->n; i++) {
        const struct published_file *file = &published->files[i];
        if (!text_same(file->name, name))
            continue;
        table->text = malloc(file->n + 1);
        if (table->text == NULL)
            return fault_memory(faults);
        memcpy(table->text, file->bytes, file->n);
        table->text[file->n] = '\0';
        return parse(table, name, faults);
    }
    return refuse(name, "are missing", faults);
}

void published_close(struct published_table *table)
{
    free(table->text);
    free(table->cells);
    memset(table, 0, sizeof *table);
}

const char *published_text(const struct published_table *table, size_t row, const char *head)
{
    for (size_t j = 0; j < table->n_columns && row < table->n_rows; j++)
        if (text_same(table->cells[j], head))
            return table->cells[(row + 1) * table->n_columns + j];
    return NULL;
}

double published_number(const struct published_table *table, size_t row, const char *head)
{
    double value;
    const char *text = published_text(table, row, head);
    return text != NULL && number_read(text, strlen(text), '.', &value) ? value : NAN;
}
