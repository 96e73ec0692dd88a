/* From the ASCII that a text of the document may hold to what people read: "80 degC" to "80 °C".
 *
 * Sentences are written for people from the beginning; but texts of tables, facts and faults quote
 * figures as a description or a fault spells them. results.json, CSV files and faults on the
 * terminal keep that spelling, for programs and for typing; report.html, report.txt and the first
 * screen show these forms, all three alike. They are UTF-8 anyway ("η₀", "±"), so that ASCII units
 * would gain nothing there and read as two ways of one thing.
 */
#ifndef RESULT_PROSE_H
#define RESULT_PROSE_H

#include "base/text.h"

#include <stddef.h>

/* Maps, outside of single quotes (what stands there is a name, or to be typed):
 *     degC, degF           °C, °F
 *     46.5 deg             46.5°
 *     m2 m3 cm2 s2 K2 ...  m² m³ cm² s² K², as whole words
 *     +-                   ±
 *     a1 = , eta0 =        a₁ = , η₀ =
 *     -5                   −5, where no letter, digit, sign or point stands before the minus
 * A text that is a line for the description and nothing else ("wind at most = 4 m/s") stays as it is, for
 * pasting. A date, a part number ("T-0201"), a file's name ("m2.csv") and a word stay as they are.
 * Appends to out. NULL appends nothing. */
void prose_add(struct text *out, const char *ascii);

/* The same into a buffer. Returns: buffer; or ascii itself where nothing changes, or the result
 * does not fit. */
const char *prose_words(const char *ascii, char *buffer, size_t size);

#endif
