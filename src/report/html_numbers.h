/* The numbers of a document and the sources of their uncertainty, as HTML tables.
 */
#ifndef REPORT_HTML_NUMBERS_H
#define REPORT_HTML_NUMBERS_H

#include "base/faults.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Appends one table of all numbers, or nothing where there are none. */
void html_numbers(const struct document *doc, struct text *out);

/* Appends a table a number that has parts: what each source gives, those below 1 % together.
 * Returns: false when memory is short. */
bool html_parts(const struct document *doc, struct text *out, struct faults *faults);

#endif
