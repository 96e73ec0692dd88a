#include "draft/people.h"

#include "base/numbers.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

enum { DIGITS = 6 };

const char *draft_number(double value, char out[32])
{
    number_significant(value, DIGITS, out, 32);
    if (strchr(out, '.') == NULL || strchr(out, 'e') != NULL)
        return out;
    size_t n = strlen(out);
    while (out[n - 1] == '0')
        n--;
    n -= out[n - 1] == '.';
    out[n] = '\0';
    return out;
}

/* A control character, of ASCII or of the second set that UTF-8 writes in two bytes. */
static size_t control_bytes(const char *at)
{
    unsigned char byte = (unsigned char)at[0];
    if (byte == 0xC2 && (unsigned char)at[1] >= 0x80 && (unsigned char)at[1] <= 0x9F)
        return 2;
    return byte < 0x20 || byte == 0x7F;
}

void draft_add_clean(struct text *out, const char *string)
{
    bool whole = text_is_utf8(string, strlen(string));
    while (*string != '\0') {
        size_t control = control_bytes(string);
        bool shown = control == 0 && (whole || (unsigned char)*string < 0x80);
        text_add_bytes(out, shown ? string : "?", 1);
        string += control > 0 ? control : 1;
    }
}
