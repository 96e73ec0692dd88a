/* A table as CSV for other programs (RFC 4180; docs/results.md).
 *
 * First line: the columns' ids. Numbers with the fewest digits (15 to 17) that read back equal,
 * plain ASCII, '.' as decimal sign; a missing number is an empty field. Text fields are quoted
 * where they must be; one that a spreadsheet would take for a formula (it starts with = + - @ or a
 * blank before one of them) gets a leading apostrophe. Lines end in CR LF, as the RFC has it.
 */
#ifndef RESULT_TABLE_CSV_H
#define RESULT_TABLE_CSV_H

#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

#define TABLE_CSV_ANGLE "\xE2\x80\xBA" /* U+203A */

/* In:      for_gnuplot  true: '"' inside a text becomes U+201D, as gnuplot 5.4 takes a doubled
 * quote for the end of the field, and "]]>" ends in TABLE_CSV_ANGLE, since it would come unescaped
 * into the SVG, where XML forbids it. Appends to out. */
void table_csv(const struct table *table, bool for_gnuplot, struct text *out);

#endif
