#include "report/wrap.h"

#include <string.h>

size_t wrap_line(const char *string, size_t width, const char **next)
{
    size_t bytes = 0;
    size_t characters = 0;
    size_t at_blank = 0;
    while (string[bytes] && characters < width) {
        if (string[bytes] == ' ')
            at_blank = bytes;
        do
            bytes++;
        while (((unsigned char)string[bytes] & 0xC0U) == 0x80);
        characters++;
    }
    if (string[bytes] && string[bytes] != ' ' && at_blank > 0)
        bytes = at_blank;
    *next = string + bytes + strspn(string + bytes, " ");
    while (bytes > 0 && string[bytes - 1] == ' ')
        bytes--;
    return bytes;
}

void wrap_pad(struct text *out, const char *string, size_t bytes, size_t width)
{
    size_t characters = text_characters(string, bytes);
    text_add_bytes(out, string, bytes);
    for (; characters < width; characters++)
        text_add(out, " ");
}

void wrap_add(struct text *out, const char *head, size_t indent, size_t hang, const char *string)
{
    size_t used = text_characters(head, strlen(head));
    wrap_pad(out, head, strlen(head), indent);
    if (used > indent && used > WRAP_WIDTH / 2) {
        text_addf(out, "\n%*s", (int)indent, "");
        used = indent;
    }
    const char *next;
    size_t n = wrap_line(string, WRAP_WIDTH - (used > indent ? used : indent), &next);
    text_add_bytes(out, string, n);
    text_add(out, "\n");
    while (*next) {
        string = next;
        n = wrap_line(string, WRAP_WIDTH - indent - hang, &next);
        text_addf(out, "%*s", (int)(indent + hang), "");
        text_add_bytes(out, string, n);
        text_add(out, "\n");
    }
}
