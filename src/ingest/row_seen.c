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

struct first_seen row_seen(const struct rows *rows, size_t file, size_t field)
{
    struct first_seen seen = {.file = file, .line = rows->line.number, .field = field + 1};
    size_t start;
    size_t n;
    char separator = rows->form->plan->separator;
    if (!csv_field_span(rows->line.bytes, rows->line.n, separator, field, &start, &n))
        return seen;
    seen.column = (long)text_characters(rows->line.bytes, start) + 1;
    if (n >= 2 && rows->line.bytes[start] == '"' && rows->line.bytes[start + n - 1] == '"') {
        start++;
        n -= 2;
    }
    quote(rows->line.bytes + start, n, seen.text);
    return seen;
}
