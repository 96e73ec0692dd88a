/* The first screen of a page: what was tested, the answer, its figure, what limits it.
 */
#ifndef REPORT_HTML_FIRST_H
#define REPORT_HTML_FIRST_H

#include "base/faults.h"
#include "base/files.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Appends the findings of one place, each in `tag` (our own word), those to act on with a mark;
 * below a <dt> of `label` unless that is "". */
void html_findings(const struct document *doc, enum finding_place place, const char *label,
                   const char *tag, struct text *out);

/* Appends the head of the document and all that stands before FINDING_DETAIL.
 * In:      pictures  as for html_figures
 * Returns: false when a picture cannot be read */
bool html_first_screen(const struct document *doc, const struct folder *pictures,
                       struct text *out, struct faults *faults);

#endif
