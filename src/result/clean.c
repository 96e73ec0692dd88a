#include "result/clean.h"

#include <stdlib.h>

static const char replacement[] = "\xEF\xBF\xBD"; /* U+FFFD */

/* Length announced by a first byte, its payload and the smallest code point of that length. */
static size_t sequence_of(unsigned char first, uint32_t *bits, uint32_t *smallest)
{
    if (first >= 0xC2 && first <= 0xDF) {
        *bits = first & 0x1FU;
        *smallest = 0x80;
        return 2;
    }
    if ((first & 0xF0U) == 0xE0) {
        *bits = first & 0x0FU;
        *smallest = 0x800;
        return 3;
    }
    if (first >= 0xF0 && first <= 0xF4) {
        *bits = first & 0x07U;
        *smallest = 0x10000;
        return 4;
    }
    return 0;
}

size_t clean_next(const char *bytes, uint32_t *character)
{
    const unsigned char *b = (const unsigned char *)bytes;
    uint32_t code = 0;
    uint32_t smallest = 0;
    if (b[0] < 0x80) {
        *character = b[0];
        return b[0] ? 1 : 0;
    }
    *character = 0xFFFD;
    size_t n = sequence_of(b[0], &code, &smallest);
    if (n == 0)
        return 1;
    for (size_t i = 1; i < n; i++) {
        if ((b[i] & 0xC0U) != 0x80)
            return 1; /* the end's NUL stops here too */
        code = code << 6 | (b[i] & 0x3FU);
    }
    if (code < smallest || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF))
        return 1;
    if (code != 0xFFFE && code != 0xFFFF) /* no characters: XML has no place for them */
        *character = code;
    return n;
}

void clean_add(struct text *out, const char *string, size_t limit)
{
    size_t written = 0;
    uint32_t code;
    size_t n;
    while ((n = clean_next(string, &code)) > 0 && (limit == 0 || written < limit)) {
        if (code < 0x20 || (code >= 0x7F && code <= 0x9F))
            text_add(out, " ");
        else if (code == 0xFFFD)
            text_add(out, replacement);
        else
            text_add_bytes(out, string, n);
        string += n;
        written++;
    }
}

char *clean_copy(const char *string, struct faults *faults)
{
    struct text text;
    text_init(&text);
    clean_add(&text, string ? string : "", 0);
    char *copy = text_ok(&text, faults) ? text_copy(text_string(&text), faults) : NULL;
    text_free(&text);
    return copy;
}
