#include "report/projector.h"

#include "report/html_picture.h"
#include "report/html_text.h"

enum { LINES = 3 };

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
    "@media (min-width:50rem){main{grid-template-columns:3fr 7fr}h1{grid-column:1/3}\n"
    "img{width:100%;max-height:84vh;object-fit:contain}}\n"
    "@page{size:landscape;margin:12mm}\n"
    "@media print{body{font-size:12pt}main{min-height:0;grid-template-columns:3fr 7fr}\n"
    "h1{grid-column:1/3}img{width:100%;max-height:150mm;object-fit:contain}}\n";

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

/* Doubts come first: a class must not copy a number that cannot be. */
static void add_lines(const struct document *doc, struct text *out)
{
    int n = 0;
    text_add(out, "<ul>\n");
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < doc->n_findings && n < LINES; i++) {
            const struct finding *finding = &doc->findings[i];
            if (finding->place != FINDING_ANSWER || finding->doubt != (pass == 0))
                continue;
            html_element(out, "li", finding->doubt ? "act" : NULL, finding->text);
            text_add(out, "\n");
            n++;
        }
    text_add(out, "</ul>\n");
}

bool report_projector(const struct document *doc, const struct folder *pictures, struct text *out,
                      struct faults *faults)
{
    const struct figure *figure = figure_of(doc);
    html_head_begin(out, doc->title);
    text_addf(out, "<style>\n%s</style>\n</head>\n<body>\n<main>\n", style);
    html_element(out, "h1", NULL, doc->title);
    text_add(out, "\n");
    add_lines(doc, out);
    text_add(out, "<img alt=\"");
    html_add(out, figure->alt);
    text_add(out, "\"");
    if (!html_picture_size(pictures, figure->id, out, faults))
        return false;
    text_add(out, " src=\"");
    if (!html_picture(pictures, figure->id, out, faults))
        return false;
    text_add(out, "\">\n</main>\n</body>\n</html>\n");
    return text_ok(out, faults);
}
