/* Numbers as text, never obeying the locale.
 */
#ifndef BASE_NUMBERS_H
#define BASE_NUMBERS_H

#include <stdbool.h>
#include <stddef.h>

/* Reads a whole field as one finite decimal number.
 * In:      bytes, n   the field, outer blanks already cut; need not end in NUL
 *          decimal    '.' or ',': the only decimal sign accepted
 * Out:     value      untouched on failure
 * Returns: false unless all of the field is [sign] digits [decimal digits] [e [sign] digits] with at
 *          least one digit, at most 64 bytes, and the result is finite. No "nan", "inf", hexadecimal
 *          or blanks. Correctly rounded: short numbers by an exact product or quotient of two exact
 *          doubles (Clinger 1990), all others by strtod, which main leaves in the C locale. */
bool number_read(const char *bytes, size_t n, char decimal, double *value);

/* Reads a whole field as an integer of at most 18 digits with optional sign. */
bool number_read_integer(const char *bytes, size_t n, long long *value);

/* "NaN", "inf", "-inf", "0"; NULL for a number that has digits to choose. */
const char *number_word(double value);

/* Shortest of 15, 16, 17 significant digits that reads back equal ("NaN" for not a number).
 * size >= 32. Returns: out. */
const char *number_exact(double value, char *out, size_t size);

/* `digits` significant digits, plain notation where it is short, never "-0". size >= 32. */
const char *number_significant(double value, int digits, char *out, size_t size);

/* Value rounded to the place of the second significant digit of its uncertainty u ("0.7731").
 * u <= 0 or not finite: four significant digits. size >= 32. */
const char *number_rounded(double value, double u, char *out, size_t size);

/* The place after the decimal point of the second significant digit of u (0.0123 -> 3, 12.3 -> 0);
 * 4 when u is not positive and finite. */
int number_places(double u);

#endif
