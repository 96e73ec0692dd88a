/* Spelled numbers: fields that hold one number as spreadsheets and typographers write it.
 */
#ifndef BASE_NUMBER_SPELLED_H
#define BASE_NUMBER_SPELLED_H

#include <stdbool.h>
#include <stddef.h>

/* Reads what number_read refuses and what can be only one number all the same.
 * In:      bytes, n   the field, outer blanks already cut
 *          decimal    '.' or ',': the decimal sign of the file
 * Out:     value      untouched on failure
 * Returns: false unless it is, with blanks of any width cut off both ends, a number whose
 *          minus may be U+2212 or an en dash, which may stand in ="..." as a spreadsheet protects it,
 *          and whose digits before the decimal sign may be parted in threes: by a no-break, narrow or
 *          thin blank or an apostrophe; or by a plain blank, ',' or '.' (not the decimal sign) where a
 *          decimal sign or a second such group follows. "1,012" alone may be 1.012 as well and is
 *          refused. */
bool number_spelled(const char *bytes, size_t n, char decimal, double *value);

/* Whether the field is digits with one ',' or '.', other than `decimal`, before its last three: a
 * thousand or a fraction, which nobody can tell. */
bool number_is_thousand_or_fraction(const char *bytes, size_t n, char decimal);

#endif
