#include "report/html_text.h"

#include "result/clean.h"
#include "result/prose.h"

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

void html_prose(struct text *out, const char *string)
{
    struct text people = {0};
    prose_add(&people, string);
    html_add(out, text_string(&people));
    text_fail_with(out, &people);
    text_free(&people);
}

void html_element(struct text *out, const char *tag, const char *class, const char *text)
{
    text_addf(out, class ? "<%s class=\"%s\">" : "<%s>", tag, class);
    html_add(out, text);
    text_addf(out, "</%s>", tag);
}

void html_prose_element(struct text *out, const char *tag, const char *class, const char *text)
{
    text_addf(out, class ? "<%s class=\"%s\">" : "<%s>", tag, class);
    html_prose(out, text);
    text_addf(out, "</%s>", tag);
}

void html_head_begin(struct text *out, const char *title)
{
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "img-src data:; style-src 'unsafe-inline'; base-uri 'none'; "
                  "form-action 'none'\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                  "<meta name=\"color-scheme\" content=\"light dark\">\n<title>");
    html_add(out, title);
    text_add(out, "</title>\n");
}
