/* Colour on a terminal: never the only carrier of a meaning ("!" and the words stay), never in a
 * file.
 */
#ifndef REPORT_PAINT_H
#define REPORT_PAINT_H

#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

enum paint { PAINT_TITLE, PAINT_DOUBT, PAINT_GOOD };

/* Appends n bytes, painted if `colour`. */
void paint_add(struct text *out, bool colour, enum paint paint, const char *bytes, size_t n);

#endif
