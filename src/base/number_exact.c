#include "base/numbers.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Significant digits: all that can be needed, and the fewest that are tried. */
enum { DIGITS = 17, LEAST = 15 };

/* Powers of ten that a long double of 64 bits holds exactly. */
enum { POWER_MOST = 27 };

/* What the digits are known to, in units of the last one. */
#define KNOWN (1.0 / 64.0)

/* |value| = (digits + tail +- KNOWN) * 10^(exponent - 16), and `half` the distance to the next
 * double in the same units. */
struct decimal {
    uint64_t digits; /* 17 of them */
    double tail;     /* -0.5 to 0.5 */
    int exponent;
    double half;
};

enum verdict { READS_BACK, READS_OTHER, UNDECIDED };

static long double scaled(long double value, int power)
{
    static const long double powers[POWER_MOST + 1] = {
        1e0L,  1e1L,  1e2L,  1e3L,  1e4L,  1e5L,  1e6L,  1e7L,  1e8L,  1e9L,
        1e10L, 1e11L, 1e12L, 1e13L, 1e14L, 1e15L, 1e16L, 1e17L, 1e18L, 1e19L,
        1e20L, 1e21L, 1e22L, 1e23L, 1e24L, 1e25L, 1e26L, 1e27L};
    return power < 0 ? value / powers[-power] : value * powers[power];
}

/* The digits by one product or quotient, whose only rounding is some 1/128 of the last digit at
 * most. Returns: false where that does not tell them, and for powers of two, below which doubles
 * lie closer than above. */
static bool take_apart(double value, struct decimal *to)
{
    int binary;
    double size = fabs(value), part = frexp(size, &binary);
    int power = DIGITS - 1 - (int)floor(log10(size));
    if (LDBL_MANT_DIG < 64 || part == 0.5 || abs(power) >= POWER_MOST)
        return false;
    long double exact = scaled(size, power);
    power += exact < 1e16L ? 1 : exact >= 1e17L ? -1 : 0;
    exact = scaled(size, power);
    uint64_t whole = (uint64_t)exact;
    double rest = (double)(exact - (long double)whole);
    to->digits = whole + (rest > 0.5);
    to->tail = rest > 0.5 ? rest - 1.0 : rest;
    to->exponent = DIGITS - 1 - power;
    to->half = (double)scaled(ldexp(1.0, binary - DBL_MANT_DIG - 1), power);
    return fabs(rest - 0.5) > KNOWN && whole >= UINT64_C(10000000000000000) &&
           to->digits < UINT64_C(100000000000000000);
}

/* Whether the nearest number of fewer digits reads back as the value: it does if it is off by less
 * than half the distance to the next double. `unit` is 10 or 100: the digits left out. */
static enum verdict judge(const struct decimal *all, uint64_t unit, uint64_t *kept)
{
    double rest = (double)(all->digits % unit) + all->tail, middle = 0.5 * (double)unit;
    double off = rest > middle ? (double)unit - rest : rest;
    *kept = all->digits / unit + (rest > middle);
    if (off - KNOWN > all->half)
        return READS_OTHER;
    return off + KNOWN < all->half && fabs(rest - middle) > KNOWN ? READS_BACK : UNDECIDED;
}

/* n digits without the last zeros, as "%.*g" writes them. */
static void write(bool negative, uint64_t kept, int n, int exponent, char *out)
{
    char digit[DIGITS + 1];
    int places = n, at = 0;
    for (int i = n; i-- > 0; kept /= 10)
        digit[i] = (char)('0' + kept % 10);
    while (n > 1 && digit[n - 1] == '0')
        n--;
    if (negative)
        out[at++] = '-';
    bool plain = exponent >= -4 && exponent < places;
    int before = !plain ? 1 : exponent >= 0 ? exponent + 1 : 0; /* digits before the point */
    if (before == 0)
        out[at++] = '0';
    for (int i = 0; i < before; i++)
        out[at++] = i < n ? digit[i] : '0';
    if (n > before)
        out[at++] = '.';
    for (int i = exponent + 1; plain && i < 0; i++)
        out[at++] = '0';
    for (int i = before; i < n; i++)
        out[at++] = digit[i];
    out[at] = '\0';
    if (!plain)
        snprintf(out + at, 14, "e%c%02d", exponent < 0 ? '-' : '+', abs(exponent));
}

/* By the library, for what cannot be told from 17 digits. */
static const char *by_library(double value, char *out, size_t size)
{
    for (int digits = LEAST; digits <= DIGITS; digits++) {
        double back;
        snprintf(out, size, "%.*g", digits, value);
        if (number_read(out, strlen(out), '.', &back) && back == value)
            break;
    }
    return out;
}

const char *number_exact(double value, char *out, size_t size)
{
    struct decimal all;
    const char *word = number_word(value);
    if (word != NULL) {
        snprintf(out, size, "%s", word);
        return out;
    }
    if (!take_apart(value, &all))
        return by_library(value, out, size);
    uint64_t unit = 100, kept = all.digits;
    int digits = LEAST;
    for (; digits < DIGITS; digits++, unit /= 10) {
        enum verdict verdict = judge(&all, unit, &kept);
        if (verdict == UNDECIDED)
            return by_library(value, out, size);
        if (verdict == READS_BACK)
            break;
    }
    if (digits == DIGITS)
        kept = all.digits;
    uint64_t full = digits == LEAST ? UINT64_C(1000000000000000) : UINT64_C(10000000000000000);
    if (digits < DIGITS && kept == full) { /* 9.99... was rounded up */
        kept /= 10;
        all.exponent++;
    }
    write(signbit(value), kept, digits, all.exponent, out);
    return out;
}
