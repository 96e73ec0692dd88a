/* The plain number, read where it stands: what a log holds millions of. In a header because a call
 * for each reading costs as much as the reading.
 */
#ifndef BASE_NUMBER_QUICK_H
#define BASE_NUMBER_QUICK_H

#include <stddef.h>
#include <stdint.h>

/* All powers of ten that a double holds exactly, 1e0 to 1e22. */
extern const double number_exact_power[];

/* Reads the number that text begins with, if it is plain: [-] digits [decimal digits], at most 18
 * of them; the same value as number_read gives.
 * In:      text   ended by any byte that is no digit
 * Returns: where it stopped; NULL if the number is not plain (value is then untouched) */
static inline const char *number_quick(const char *text, char decimal, double *value)
{
    enum { DIGITS_MOST = 18 }; /* fit into 64 bits whatever they are */
    int negative = *text == '-';
    const char *at = text + negative;
    const char *from = at;
    ptrdiff_t places = 0;
    uint64_t mantissa = 0;
    unsigned digit;
    for (; (digit = (unsigned)*at - '0') <= 9; at++)
        mantissa = mantissa * 10 + digit;
    ptrdiff_t digits = at - from;
    if (*at == decimal) {
        from = ++at;
        for (; (digit = (unsigned)*at - '0') <= 9; at++)
            mantissa = mantissa * 10 + digit;
        places = at - from;
        digits += places;
    }
    if (digits < 1 || digits > DIGITS_MOST || mantissa > (UINT64_C(1) << 53))
        return NULL;
    double v = (double)mantissa / number_exact_power[places];
    *value = negative ? -v : v;
    return at;
}

#endif
