#include "draft/draft.h"

#include "draft/points_blank.h"

#include <string.h>

/* Lines to write on: at 10 mm each they, the head and the foot fit on one sheet, A4 or Letter (the
 * shorter one leaves 249 mm). */
enum { LINES = 14 };

static const char style[] =
    "@page { size: portrait; margin: 15mm }\n"
    "body { font: 11pt sans-serif; color: #000; background: #fff; margin: 0 auto; "
    "max-width: 180mm }\n"
    "h1 { font-size: 15pt; margin: 0 0 4mm }\n"
    "p { margin: 0 0 3mm }\n"
    "p.fill { display: flex; flex-wrap: wrap; gap: 0 2mm }\n"
    ".line { border-bottom: 0.3mm solid #000; flex: 1 1 30mm }\n"
    "table { border-collapse: collapse; width: 100%; margin: 0 0 4mm; table-layout: fixed }\n"
    "th, td { border: 0.3mm solid #000; padding: 1mm 1.5mm; text-align: left }\n"
    "th { font-weight: normal; vertical-align: bottom }\n"
    "th b { display: block }\n"
    "th:nth-child(3), th:last-child { width: 22mm }\n"
    "td { height: 8mm }\n"
    "tr.example td { height: auto; font-style: italic; color: #444 }\n"
    "thead { display: table-header-group }\n"
    "tr { break-inside: avoid }\n"
    "@media screen { main { padding: 4mm } .wide { overflow-x: auto } table { min-width: 170mm } "
    "}\n";

/* All texts here are our own constants; none holds a character that HTML takes for a sign. */
static void add_row(struct text *out, const char *class_name, bool example)
{
    text_addf(out, "<tr%s>", class_name);
    for (size_t i = 0; i < POINTS_BLANK_COLUMNS; i++)
        text_addf(out, "<td>%s</td>", example ? points_blank[i].example : "");
    text_add(out, "<td></td></tr>\n");
}

static void add_table(struct text *out)
{
    text_add(out, "<div class=\"wide\" tabindex=\"0\"><table>\n<thead><tr>");
    for (size_t i = 0; i < POINTS_BLANK_COLUMNS; i++)
        text_addf(out, "<th scope=\"col\"><b>%s</b>%s</th>", points_blank[i].label,
                  points_blank[i].unit == NULL ? "" : points_blank[i].unit);
    text_add(out, "<th scope=\"col\"><b>from, to</b>hours</th></tr></thead>\n<tbody>\n");
    add_row(out, " class=\"example\"", true);
    for (int i = 0; i < LINES; i++)
        add_row(out, "", false);
    text_add(out, "</tbody>\n</table></div>\n");
}

bool draft_points_page(struct text *out, struct faults *faults)
{
    text_addf(out,
              "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
              "<meta name=\"viewport\" content=\"width=device-width\">\n"
              "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
              "style-src 'unsafe-inline'\">\n"
              "<title>Table of points</title>\n<style>\n%s</style>\n</head>\n<body>\n<main>\n"
              "<h1>Table of points</h1>\n",
              style);
    text_add(out,
             "<p class=\"fill\">Collector <span class=\"line\">&nbsp;</span> Date <span "
             "class=\"line\">&nbsp;</span> "
             "Place <span class=\"line\">&nbsp;</span></p>\n"
             "<p>One line for each ten minutes in which all readings stood still, with the mean of "
             "each. Sunshine is measured in the plane of the collector, not flat on the ground. "
             "Other units are welcome (degF, gal/min): write them into the heading. The line in "
             "italics is an example and does not count.</p>\n"
             "<p><b>Caution.</b> A collector without flow can pass 150 to 200 degC: burns, steam. "
             "Cover the glass before you touch it, never fill a hot, empty plate with cold water, "
             "and do not look into the sun.</p>\n");
    add_table(out);
    text_add(out, "<p class=\"fill\">Instruments (kind, number, last calibrated): "
                  "<span class=\"line\">&nbsp;</span></p>\n"
                  "<p class=\"fill\">What happened (clouds, a shadow, the hose moved): "
                  "<span class=\"line\">&nbsp;</span></p>\n</main>\n"
                  "</body>\n</html>\n");
    return text_ok(out, faults);
}
