#include "report/projector.h"

#include "report/html_picture.h"
#include "report/html_text.h"

/* Lines for answers beside the picture, and for what to mind below it. */
enum { ANSWERS = 3, DOUBTS = 2 };

/* Black on white whatever the device prefers: a beamer in daylight washes out all else. */
static const char style[] =
    ":root{color-scheme:light}*{box-sizing:border-box}\n"
    "body{margin:0;background:#fff;color:#000;font:clamp(1rem,1.6vw,2.2rem)/1.35 system-ui,\n"
    "\"Segoe UI\",\"DejaVu Sans\",sans-serif;overflow-wrap:break-word}\n"
    "main{min-height:100vh;padding:2vh 2vw;display:grid;gap:2vh 2vw;align-content:start}\n"
    "h1{font-size:1.5em;line-height:1.15;margin:0}\n"
    "ul{margin:0;padding:0;list-style:none}li{margin:.6em 0}\n"
    ".act{font-weight:700}.act::before{content:\"To act on: \"}\n"
    "img{display:block;width:auto;height:auto;max-width:100%;margin:0 auto}\n"
    "@media (min-width:50rem){main{grid-template-columns:3fr 7fr}h1,.mind{grid-column:1/3}\n"
    "img{width:100%;max-height:84vh;object-fit:contain;object-position:top}\n"
    "img:has(+.mind){max-height:62vh}}\n"
    ".mind li{margin:.3em 0}\n"
    "@page{size:landscape;margin:12mm}\n"
    "@media print{body{font-size:12pt}main{min-height:0;grid-template-columns:3fr 7fr}\n"
    "h1,.mind{grid-column:1/3}img{width:100%;max-height:150mm;object-fit:contain}\n"
    "img:has(+.mind){max-height:110mm}}\n";

static const struct figure *figure_of(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_figures; i++) {
        const struct table *table = document_find_table(doc, doc->figures[i].table_id);
        if (table && table->n_rows > 0 && table->place == TABLE_ANSWER)
            return &doc->figures[i];
    }
    return NULL;
}

bool projector_there(const struct document *doc)
{
    return figure_of(doc) != NULL;
}

static bool is_answer(const struct document *doc, size_t i, bool doubt)
{
    return doc->findings[i].place == FINDING_ANSWER && doc->findings[i].doubt == doubt;
}

/* The first answer without a mark. */
static size_t first_answer(const struct document *doc)
{
    size_t i = 0;
    while (i < doc->n_findings && !is_answer(doc, i, false))
        i++;
    return i;
}

/* Findings of one sort in [from, to) as long as there is room. Returns: how many found none. */
static size_t add_some(const struct document *doc, bool doubt, size_t from, size_t to, size_t *room,
                       struct text *out)
{
    size_t left = 0;
    for (size_t i = from; i < to; i++) {
        if (!is_answer(doc, i, doubt))
            continue;
        if (*room == 0) {
            left++;
            continue;
        }
        html_prose_element(out, "li", doubt ? "act" : NULL, doc->findings[i].text);
        text_add(out, "\n");
        (*room)--;
    }
    return left;
}

/* What was asked. A doubt that the document puts before its first answer stays there: a class must
 * not copy a number that cannot be. Returns: how many such doubts found no room. */
static size_t add_answers(const struct document *doc, struct text *out)
{
    size_t first = first_answer(doc), room = ANSWERS;
    text_add(out, "<ul>\n");
    size_t left = add_some(doc, true, 0, first, &room, out);
    add_some(doc, false, first, doc->n_findings, &room, out);
    text_add(out, "</ul>\n");
    return left;
}

/* Then, below the picture, what to mind. In: left   doubts that found no room before */
static void add_doubts(const struct document *doc, size_t left, struct text *out)
{
    struct text lines = {0};
    size_t room = DOUBTS;
    left += add_some(doc, true, first_answer(doc), doc->n_findings, &room, &lines);
    if (left > 0)
        text_add(&lines, "<li class=\"act\">The report has more of these.</li>\n");
    if (lines.length > 0)
        text_addf(out, "<ul class=\"mind\">\n%s</ul>\n", text_string(&lines));
    text_fail_with(out, &lines);
    text_free(&lines);
}

bool report_projector(const struct document *doc, const struct folder *pictures, struct text *out,
                      struct faults *faults)
{
    const struct figure *figure = figure_of(doc);
    html_head_begin(out, doc->title);
    text_addf(out, "<style>\n%s</style>\n</head>\n<body>\n<main>\n", style);
    html_element(out, "h1", NULL, doc->title);
    text_add(out, "\n");
    size_t left = add_answers(doc, out);
    text_add(out, "<img alt=\"");
    html_prose(out, figure->alt);
    text_add(out, "\"");
    if (!html_picture_size(pictures, figure->id, out, faults))
        return false;
    text_add(out, " src=\"");
    if (!html_picture(pictures, figure->id, out, faults))
        return false;
    text_add(out, "\">\n");
    add_doubts(doc, left, out);
    text_add(out, "</main>\n</body>\n</html>\n");
    return text_ok(out, faults);
}
