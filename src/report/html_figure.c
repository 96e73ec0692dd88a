#include "report/html_figure.h"

#include "report/html_picture.h"
#include "report/html_text.h"

#include <string.h>

/* The figure in words, without the title that some begin with: it stands before them. */
static const char *beyond_title(const struct figure *figure)
{
    size_t n = strlen(figure->title);
    bool repeats = n > 0 && text_starts(figure->alt, figure->title) &&
                   text_starts(figure->alt + n, ". ");
    return repeats ? figure->alt + n + 2 : figure->alt;
}

/* Ids of figures are made of letters, digits, '-' and '_' (run/words.h): fit for a file's name. */
static bool add_figure(const struct figure *figure, const struct folder *pictures,
                       struct text *out, struct faults *faults)
{
    bool ok = true;
    text_add(out, "<figure>\n");
    if (pictures) {
        text_add(out, "<div class=\"card\"><img alt=\"");
        html_prose(out, figure->alt);
        text_add(out, "\"");
        ok = html_picture_size(pictures, figure->id, out, faults);
        text_add(out, " src=\"");
        ok = ok && html_picture(pictures, figure->id, out, faults);
        text_add(out, "\"></div>\n");
    }
    text_add(out, "<figcaption>");
    html_prose_element(out, "b", NULL, figure->title);
    text_add(out, ". ");
    html_prose(out, beyond_title(figure));
    if (pictures) {
        text_add(out, " Drawn from ");
        struct text file = {0};
        text_addf(&file, "%s.csv", figure->id);
        html_element(out, "code", NULL, text_string(&file));
        text_fail_with(out, &file);
        text_free(&file);
        text_add(out, ".");
    }
    text_add(out, "</figcaption>\n</figure>\n");
    return ok;
}

bool html_figures(const struct document *doc, enum table_place place,
                           const struct folder *pictures, struct text *out, struct faults *faults)
{
    for (size_t i = 0; i < doc->n_figures; i++) {
        const struct table *table = document_find_table(doc, doc->figures[i].table_id);
        if (table && table->n_rows > 0 && table->place == place &&
            !add_figure(&doc->figures[i], pictures, out, faults))
            return false;
    }
    return true;
}

bool html_has_figures(const struct document *doc, enum table_place place)
{
    for (size_t i = 0; i < doc->n_figures; i++) {
        const struct table *table = document_find_table(doc, doc->figures[i].table_id);
        if (table && table->n_rows > 0 && table->place == place)
            return true;
    }
    return false;
}
