/* Facts of a document as HTML: a list a group, and one line for what the description is silent of.
 */
#ifndef REPORT_HTML_FACTS_H
#define REPORT_HTML_FACTS_H

#include "base/faults.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Whether the document has any fact of that group. */
bool html_has_facts(const struct document *doc, const char *group);

/* Appends the group's facts below its name; nothing where there are none.
 * Returns: false when memory is short. */
bool html_facts(const struct document *doc, const char *group, struct text *out,
                struct faults *faults);

#endif
