#include "report/html_first.h"

#include "report/first_screen.h"
#include "report/html_figure.h"
#include "report/html_text.h"

static void add_finding(struct text *out, const char *tag, const struct finding *finding)
{
    text_addf(out, finding->doubt ? "<%s class=\"act\"><b>To act on:</b> " : "<%s>", tag);
    html_prose(out, finding->text);
    text_addf(out, "</%s>\n", tag);
}

void html_findings(const struct document *doc, enum finding_place place, const char *label,
                   const char *tag, struct text *out)
{
    size_t n = 0;
    for (size_t i = 0; i < doc->n_findings; i++) {
        if (doc->findings[i].place != place)
            continue;
        if (n++ == 0 && label[0] != '\0')
            text_addf(out, "<dt>%s</dt>\n", label);
        add_finding(out, tag, &doc->findings[i]);
    }
}

static bool has_place(const struct document *doc, enum finding_place from, enum finding_place to)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place >= from && doc->findings[i].place <= to)
            return true;
    return false;
}

static void add_header(const struct document *doc, struct text *out)
{
    text_add(out, "<header>\n");
    html_element(out, "h1", NULL, doc->title);
    text_add(out, "\n<p class=\"soft\">Solar collector test: ");
    html_add(out, doc->kind);
    text_add(out, "</p>\n");
    if (!text_same(doc->status, "complete")) {
        text_add(out, "<p class=\"act\"><b>Not complete:</b> ");
        html_prose(out, doc->status);
        text_add(out, "</p>\n");
    }
    text_add(out, "</header>\n");
}

bool html_first_screen(const struct document *doc, const struct folder *pictures,
                       struct text *out, struct faults *faults)
{
    add_header(doc, out);
    if (has_place(doc, FINDING_ANSWER, FINDING_ANSWER)) {
        text_add(out, "<div class=\"answer\">\n");
        html_findings(doc, FINDING_ANSWER, "", "p", out);
        text_add(out, "</div>\n");
    }
    const char *meaning = first_screen_plus_minus(doc);
    if (meaning != NULL)
        html_element(out, "p", "soft", meaning);
    text_add(out, "\n");
    if (!html_figures(doc, TABLE_ANSWER, pictures, out, faults))
        return false;
    if (!has_place(doc, FINDING_CHECKS, FINDING_NOT_STATED))
        return true;
    text_add(out, "<dl class=\"said\">\n");
    for (int place = FINDING_CHECKS; place < FINDING_DETAIL; place++)
        html_findings(doc, (enum finding_place)place,
                      first_screen_label((enum finding_place)place), "dd", out);
    text_add(out, "</dl>\n");
    return true;
}
