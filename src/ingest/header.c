#include "ingest/header.h"

#include "base/text.h"
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

/* A description cannot name a line break. */
static void join_lines(char *name)
{
    char *to = name;
    for (const char *c = name; *c != '\0'; c++) {
        bool ends = *c == '\n' || *c == '\r';
        if (!ends)
            *to++ = *c;
        else if (to > name && to[-1] != ' ')
            *to++ = ' ';
    }
    *to = '\0';
}

char *header_text(const char *bytes, size_t n, bool *converted)
{
    char *text = malloc(3 * n + 1);
    if (text == NULL)
        return NULL;
    if (text_is_utf8(bytes, n)) {
        memcpy(text, bytes, n);
        text[n] = '\0';
    } else {
        recode_text(bytes, n, text);
        *converted = true;
    }
    join_lines(text);
    char *trimmed = text_trim(text);
    memmove(text, trimmed, strlen(trimmed) + 1);
    return text;
}

bool header_keep(struct header *header, const struct line *line)
{
    if (header->n_kept == HEAD_KEPT_MAX || line->n > HEAD_KEPT_BYTES || line->n == 0)
        return true;
    char *bytes = malloc(line->n);
    if (bytes == NULL)
        return false;
    memcpy(bytes, line->bytes, line->n);
    header->kept[header->n_kept++] = (struct head_line){bytes, line->n};
    return true;
}

bool header_is_names(const struct header *header, const struct line *line)
{
    return header->raw != NULL && line->n == header->raw_n &&
           memcmp(line->bytes, header->raw, line->n) == 0;
}

bool header_knows(const struct header *header, const struct line *line)
{
    if (header_is_names(header, line))
        return true;
    for (size_t i = 0; i < header->n_kept; i++)
        if (line->n == header->kept[i].n &&
            memcmp(line->bytes, header->kept[i].bytes, line->n) == 0)
            return true;
    return false;
}

bool header_take_units(struct header *header, const struct line *line, char separator)
{
    bool converted = false;
    if (header->units != NULL)
        return true;
    header->units = calloc(header->n + 1, sizeof *header->units);
    header->units_line = line->number;
    for (size_t i = 0; header->units != NULL && i < header->n; i++) {
        size_t start = 0;
        size_t n = 0;
        csv_field_span(line->bytes, line->n, separator, i, &start, &n);
        const char *bytes = line->bytes + start;
        bool quoted = n >= 2 && bytes[0] == '"' && bytes[n - 1] == '"';
        header->units[i] = header_text(bytes + quoted, n - 2 * quoted, &converted);
        if (header->units[i] == NULL)
            return false;
    }
    return header->units != NULL;
}

static void free_strings(char **strings, size_t n)
{
    for (size_t i = 0; strings != NULL && i < n; i++)
        free(strings[i]);
    free(strings);
}

void header_free(struct header *header)
{
    free_strings(header->units, header->n);
    free_strings(header->names, CSV_FIELDS_MAX);
    free(header->raw);
    for (size_t i = 0; i < header->n_kept; i++)
        free(header->kept[i].bytes);
    memset(header, 0, sizeof *header);
}

/* "T (2)" -> 2 and the bytes of "T". Returns: 0 if it is no such name */
static size_t which_of_twins(const char *name, size_t *n)
{
    size_t length = strlen(name), which = 0;
    if (length < 5 || name[length - 1] != ')')
        return 0;
    size_t digits = length - 1;
    while (digits > 0 && name[digits - 1] >= '0' && name[digits - 1] <= '9')
        digits--;
    if (digits < 3 || length - 1 - digits > 4 || strncmp(name + digits - 2, " (", 2) != 0)
        return 0;
    for (size_t i = digits; i < length - 1; i++)
        which = 10 * which + (size_t)(name[i] - '0');
    *n = digits - 2;
    return which;
}

static bool is_name(const char *whole, const char *bytes, size_t n)
{
    return strlen(whole) == n && memcmp(whole, bytes, n) == 0;
}

/* The column that is called so among several of one name. Returns: 1 if there is one, else 0 */
static size_t find_twin(const struct header *header, const char *name, size_t *column)
{
    size_t n = 0, which = which_of_twins(name, &n), seen = 0, at = 0;
    for (size_t i = 0; which > 0 && i < header->n; i++)
        if (is_name(header->names[i], name, n) && ++seen == which)
            at = i;
    if (which == 0 || seen < 2 || seen < which)
        return 0;
    *column = at;
    return 1;
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
    return found > 0 ? found : find_twin(header, name, column);
}
