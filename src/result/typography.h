/* From the ASCII of results.json to what people read: "eta0" to "η₀", "W/(m2 K)" to "W/(m² K)".
 *
 * One mapping for every writer, for units, symbols and numbers alone. What stands amid words:
 * result/prose.h.
 */
#ifndef RESULT_TYPOGRAPHY_H
#define RESULT_TYPOGRAPHY_H

#include "base/text.h"

#include <stddef.h>

enum { TYPO_SIZE = 48 };

/* A symbol, unit or printed number for people. Known symbols come from a table ("eta0", "a1",
 * "T*m"); in units the exponents m2 m3 s2 K2 become superscripts, degC, degF and deg get their
 * sign; "-" at the start of a number or after an 'e' becomes U+2212. Anything else stays as it is.
 * size >= TYPO_SIZE; what does not fit is cut at a character border. Returns: out. */
const char *typo_symbol(const char *ascii, char *out, size_t size);
const char *typo_unit(const char *ascii, char *out, size_t size);
const char *typo_number(const char *ascii, char *out, size_t size);

/* "0.773 ± 0.024 W"; "0.773 (0.753 to 0.804) W" when the value stands off the middle of its 95 %
 * interval by more than a tenth of the half width; "0.773 W" without an interval. Rounded to the
 * second significant digit of the half width (three digits without one). Appends to out. */
void typo_value(struct text *out, double value, double low, double high, const char *unit);

#endif
