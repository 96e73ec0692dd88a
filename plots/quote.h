/* The one way by which a text enters a gnuplot script.
 *
 * A single-quoted string whose content cannot end it, start a command or spoil the SVG: the text is
 * read as UTF-8 (bad bytes become U+FFFD), control characters become blanks, the apostrophe becomes
 * U+2019 (doubling it is a syntax error at the start of a string in gnuplot 5.4), the end of "]]>"
 * becomes U+203A (XML forbids it in a text, and gnuplot's SVG does not escape it), and it is cut
 * after QUOTE_CHARACTERS. Templates set `noenhanced`, so that no other character has a meaning.
 */
#ifndef PLOTS_QUOTE_H
#define PLOTS_QUOTE_H

#include "base/text.h"
#include "result/table_csv.h"

#define QUOTE_ANGLE TABLE_CSV_ANGLE
enum { QUOTE_CHARACTERS = 120 };

/* Appends the quoted string, quotes included. text may be NULL (gives ''). */
void quote_add(struct text *out, const char *text);

#endif
