#include "plots/quote.h"

#include "result/clean.h"

void quote_add(struct text *out, const char *text)
{
    uint32_t code;
    size_t n;
    size_t written = 0;
    size_t brackets = 0; /* "]" that stand just before */
    text_add(out, "'");
    while (text && written < QUOTE_CHARACTERS && (n = clean_next(text, &code)) > 0) {
        if (code < 0x20 || (code >= 0x7F && code <= 0x9F))
            text_add(out, " ");
        else if (code == '\'')
            text_add(out, "\xE2\x80\x99");
        else if (code == '>' && brackets >= 2)
            text_add(out, QUOTE_ANGLE);
        else if (code == 0xFFFD)
            text_add(out, "\xEF\xBF\xBD");
        else
            text_add_bytes(out, text, n);
        brackets = code == ']' ? brackets + 1 : 0;
        text += n;
        written++;
    }
    text_add(out, "'");
}
