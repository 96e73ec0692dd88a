/* report.txt and the first screen: the document for people, 80 columns, UTF-8.
 */
#ifndef REPORT_TEXT_H
#define REPORT_TEXT_H

#include "base/faults.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Title, answer, windows, what could not be said, uncertainty, criteria, what was not stated.
 * Places without findings are left out. A finding that the reader should act on carries "!". */
void report_first_screen(const struct document *doc, struct text *out);

/* The same for a terminal: title and "!" are painted. */
void report_first_screen_painted(const struct document *doc, struct text *out);

/* The first screen, then numbers, parts of their uncertainty, tables, details, cautions, facts.
 * Returns: false when memory is short. */
bool report_text(const struct document *doc, struct text *out, struct faults *faults);

#endif
