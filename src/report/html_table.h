/* A table of the document as an HTML table: caption, heads with units, rows.
 */
#ifndef REPORT_HTML_TABLE_H
#define REPORT_HTML_TABLE_H

#include "base/text.h"
#include "result/document.h"

/* Appends the table inside of a box that scrolls sideways where the page is too narrow. The first
 * column heads its row. */
void html_table(const struct table *table, struct text *out);

/* The box around any table: begins with `<div ...><table>` and the caption; note may be "". */
void html_table_begin(struct text *out, const char *title, const char *note);
void html_table_end(struct text *out);

#endif
