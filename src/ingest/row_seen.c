#include "ingest/row_seen.h"

#include "base/text.h"

#include <string.h>

static void quote(const char *bytes, size_t n, char out[QUOTED_SIZE])
{
    bool cut = n > QUOTED_SIZE - 4;
    size_t kept = cut ? QUOTED_SIZE - 4 : n;
    while (cut && kept > 0 && ((unsigned char)bytes[kept] & 0xC0U) == 0x80U)
        kept--;
    bool utf8 = text_is_utf8(bytes, kept);
    for (size_t i = 0; i < kept; i++) {
        unsigned char c = (unsigned char)bytes[i];
        out[i] = c < 0x20 || c == 0x7F || (c >= 0x80 && !utf8) ? '?' : bytes[i];
    }
    strcpy(out + kept, cut ? "..." : "");
}

/* A field of the current line. Out: start, n  without its quotes. Returns: the bytes before it; -1
 * if the line has none. */
static ptrdiff_t find_field(const struct rows *rows, size_t field, size_t *start, size_t *n)
{
    const struct line *line = &rows->line;
    if (!csv_field_span(line->bytes, line->n, rows->form->plan->separator, field, start, n))
        return -1;
    ptrdiff_t before = (ptrdiff_t)*start;
    if (*n >= 2 && line->bytes[*start] == '"' && line->bytes[*start + *n - 1] == '"') {
        *start += 1;
        *n -= 2;
    }
    return before;
}

struct first_seen row_seen(const struct rows *rows, size_t file, size_t field)
{
    struct first_seen seen = {.file = file, .line = rows->line.number, .field = field + 1};
    size_t start, n;
    ptrdiff_t before = find_field(rows, field, &start, &n);
    if (before < 0)
        return seen;
    seen.column = (long)text_characters(rows->line.bytes, (size_t)before) + 1;
    quote(rows->line.bytes + start, n, seen.text);
    return seen;
}

struct first_seen row_seen_stamp(const struct rows *rows, size_t file)
{
    char joined[TIME_COLUMNS_MAX * (QUOTED_SIZE + 1)];
    struct first_seen seen = row_seen(rows, file, rows->time_field[0]);
    size_t length = 0, start, n, n_parts = rows->form->plan->n_time_columns;
    if (n_parts == 1)
        return seen;
    for (size_t i = 0; i < n_parts; i++) {
        if (find_field(rows, rows->time_field[i], &start, &n) < 0)
            break;
        if (i > 0)
            joined[length++] = ' ';
        n = n < QUOTED_SIZE ? n : QUOTED_SIZE;
        memcpy(joined + length, rows->line.bytes + start, n);
        length += n;
    }
    quote(joined, length, seen.text);
    return seen;
}
