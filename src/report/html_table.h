/* A table of the document as an HTML table: caption, heads with units, rows.
 */
#ifndef REPORT_HTML_TABLE_H
#define REPORT_HTML_TABLE_H

#include "base/faults.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>
#include <stddef.h>

/* Appends the table inside of a box that scrolls sideways where the page is too narrow. The first
 * column heads its row; a column without a word in any row is left out.
 * Returns: false when memory is short */
bool html_table(const struct table *table, struct text *out, struct faults *faults);

/* The box around any table: begins with `<div ...><table>` and the caption; note may be "". A table
 * of few cells stands on one page of paper; a larger one may go on on the next. */
void html_table_begin(struct text *out, const char *title, const char *note, size_t n_cells);
void html_table_end(struct text *out);

#endif
