/* A table of the document as aligned text: heads, units, rows; long texts wrap inside their column,
 * and a table wider than the page is printed in parts that repeat the first column.
 */
#ifndef REPORT_TEXT_TABLE_H
#define REPORT_TEXT_TABLE_H

#include "base/faults.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Appends title, note and rows. Returns: false when memory is short. */
bool text_table(const struct table *table, struct text *out, struct faults *faults);

#endif
