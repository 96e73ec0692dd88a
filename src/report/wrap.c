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

/* Where the last column of words begins, in bytes; 0 if the line is no table's. */
static size_t last_column(const char *line)
{
    size_t column = 0;
    size_t characters = 0;
    for (size_t i = 0; line[i] != '\0' && characters <= WRAP_WIDTH / 2 + 10; i++) {
        characters += ((unsigned char)line[i] & 0xC0U) != 0x80;
        if (i >= 2 && line[i] != ' ' && line[i - 1] == ' ' && line[i - 2] == ' ')
            column = i;
    }
    return column;
}

static void wrap_long(struct text *out, const char *line)
{
    size_t column = last_column(line);
    size_t indent = column > 0 ? text_characters(line, column) : 2;
    size_t left = column > 0 ? WRAP_WIDTH - indent : WRAP_WIDTH;
    const char *next = line + column;
    text_add_bytes(out, line, column);
    for (;;) {
        const char *from = next;
        text_add_bytes(out, from, wrap_line(from, left, &next));
        text_add(out, "\n");
        if (*next == '\0')
            return;
        text_addf(out, "%*s", (int)indent, "");
        left = WRAP_WIDTH - indent;
    }
}

void wrap_lines(struct text *out, const char *lines)
{
    struct text line = {0};
    while (*lines != '\0') {
        size_t n = strcspn(lines, "\n");
        text_clear(&line);
        text_add_bytes(&line, lines, n);
        if (text_characters(lines, n) > WRAP_WIDTH) {
            wrap_long(out, text_string(&line));
        } else {
            text_add_bytes(out, lines, n);
            text_add(out, lines[n] == '\n' ? "\n" : "");
        }
        lines += n + (lines[n] == '\n');
    }
    text_fail_with(out, &line);
    text_free(&line);
}
