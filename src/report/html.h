/* report.html: the document as one page that stands alone. No script, nothing loaded from elsewhere
 * (a content security policy says so), pictures inside, for a phone, a desk and paper, light and
 * dark.
 *
 * Order: the first screen, numbers, then the table of sections in html.c, in which a reviewer asks;
 * cautions, glossary, where it comes from.
 */
#ifndef REPORT_HTML_H
#define REPORT_HTML_H

#include "base/faults.h"
#include "base/files.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Appends the page.
 * In:      pictures  the open folder that holds the figures' SVG; NULL: none were drawn, and the page
 *                    says what they would show
 * Returns: false when memory is short or a picture cannot be read. */
bool report_html(const struct document *doc, const struct folder *pictures, struct text *out,
                 struct faults *faults);

#endif
