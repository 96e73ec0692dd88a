#include "report/html_text.h"

#include "result/clean.h"

static const char *reference(uint32_t code)
{
    switch (code) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    case 0xFFFD:
        return "\xEF\xBF\xBD";
    default:
        return code < 0x20 || (code >= 0x7F && code <= 0x9F) ? " " : NULL;
    }
}

void html_add(struct text *out, const char *string)
{
    uint32_t code;
    size_t n;
    while (string && (n = clean_next(string, &code)) > 0) {
        const char *instead = reference(code);
        if (instead)
            text_add(out, instead);
        else
            text_add_bytes(out, string, n);
        string += n;
    }
}
