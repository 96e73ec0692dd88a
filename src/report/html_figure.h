/* Figures of a document as HTML figures: picture, title, the picture in words.
 */
#ifndef REPORT_HTML_FIGURE_H
#define REPORT_HTML_FIGURE_H

#include "base/faults.h"
#include "base/files.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Whether any drawn figure has its place there. */
bool html_has_figures(const struct document *doc, enum table_place place);

/* Appends the figures of one place.
 * In:      pictures  the open folder that holds their SVG; NULL: none were drawn, words alone
 * Returns: false when a picture cannot be read */
bool html_figures(const struct document *doc, enum table_place place,
                  const struct folder *pictures, struct text *out, struct faults *faults);

#endif
