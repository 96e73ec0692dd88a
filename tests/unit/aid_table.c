#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "aid_table.h"

static char *read_whole(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s cannot be opened; the tests run from the root of the repository", path);
    size_t used = 0, room = 4096;
    char *text = malloc(room + 1);
    assert_non_null(text);
    for (size_t got; (got = fread(text + used, 1, room - used, file)) > 0;) {
        used += got;
        if (used == room) {
            room *= 2;
            text = realloc(text, room + 1);
            assert_non_null(text);
        }
    }
    assert_int_equal(ferror(file), 0);
    fclose(file);
    text[used] = '\0';
    return text;
}

static size_t count_columns(const char *line)
{
    size_t n = 1;
    for (; *line; line++)
        n += *line == ',';
    return n;
}

static void split(struct aid_table *table, char *line, size_t row)
{
    if (count_columns(line) != table->n_columns)
        fail_msg("%s: row %zu has not %zu cells", table->name, row, table->n_columns);
    for (size_t j = 0; j < table->n_columns; j++) {
        table->cells[row * table->n_columns + j] = line;
        line += strcspn(line, ",");
        if (*line)
            *line++ = '\0';
    }
}

static size_t count_lines(const char *text)
{
    size_t n = 1;
    for (; *text; text++)
        n += *text == '\n';
    return n;
}

void aid_table_read(struct aid_table *table, const char *path)
{
    *table = (struct aid_table){0};
    snprintf(table->name, sizeof table->name, "%s", path);
    table->text = read_whole(path);
    size_t lines = count_lines(table->text), row = 0;
    for (char *line = table->text, *next; line; line = next) {
        next = strchr(line, '\n');
        if (next)
            *next++ = '\0';
        if (line[0] == '#' || line[0] == '\0')
            continue;
        if (!table->cells) {
            table->n_columns = count_columns(line);
            table->cells = calloc(lines * table->n_columns, sizeof *table->cells);
            assert_non_null(table->cells);
        }
        split(table, line, row++);
    }
    if (row < 2)
        fail_msg("%s holds no rows", path);
    table->n_rows = row - 1;
}

void aid_table_free(struct aid_table *table)
{
    free(table->text);
    free(table->cells);
    *table = (struct aid_table){0};
}

const char *aid_table_text(const struct aid_table *table, size_t row, const char *column)
{
    assert_true(row < table->n_rows);
    for (size_t j = 0; j < table->n_columns; j++) {
        if (strcmp(table->cells[j], column) == 0)
            return table->cells[(row + 1) * table->n_columns + j];
    }
    fail_msg("%s has no column %s", table->name, column);
    return "";
}

double aid_table_number(const struct aid_table *table, size_t row, const char *column)
{
    const char *text = aid_table_text(table, row, column);
    char *end;
    double value = strtod(text, &end);
    if (end == text || *end)
        fail_msg("%s: row %zu, column %s: '%s' is no number", table->name, row + 1, column, text);
    return value;
}
