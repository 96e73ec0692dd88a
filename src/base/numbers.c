#include "base/numbers.h"

#include "base/number_quick.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_BYTES_MAX = 64, EXACT_POWER_MAX = 22, MANTISSA_DIGITS_MAX = 19 };

/* The exact path multiplies or divides two exact doubles once: it needs plain double arithmetic. */
_Static_assert(FLT_EVAL_METHOD == 0 && DBL_MANT_DIG == 53, "arithmetic is not IEEE double");

const double number_exact_power[EXACT_POWER_MAX + 1] = {
    1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/* A number's parts: (negative ? -1 : 1) * mantissa * 10^power10. */
struct parts {
    bool negative;
    bool exact; /* no digit was left out of mantissa */
    int digits; /* significant ones taken into mantissa */
    uint64_t mantissa;
    int power10;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static void take_digit(struct parts *parts, char c, bool after_point)
{
    if (parts->digits < MANTISSA_DIGITS_MAX) {
        parts->mantissa = parts->mantissa * 10 + (uint64_t)(c - '0');
        if (parts->mantissa != 0)
            parts->digits++;
        parts->power10 -= after_point ? 1 : 0;
        return;
    }
    if (c != '0')
        parts->exact = false;
    parts->power10 += after_point ? 0 : 1;
}

/* Reads [sign] digits [decimal digits]. Returns: where it stopped, or NULL without a digit. */
static const char *read_mantissa(const char *at, const char *end, char decimal, struct parts *parts)
{
    bool any = false;
    *parts = (struct parts){.exact = true};
    if (at < end && (*at == '-' || *at == '+'))
        parts->negative = *at++ == '-';
    for (; at < end && is_digit(*at); at++, any = true)
        take_digit(parts, *at, false);
    if (at < end && *at == decimal)
        for (at++; at < end && is_digit(*at); at++, any = true)
            take_digit(parts, *at, true);
    return any ? at : NULL;
}

/* Reads nothing, or e [sign] digits up to the end. Returns: false for anything else. */
static bool read_exponent(const char *at, const char *end, struct parts *parts)
{
    int value = 0;
    if (at == end)
        return true;
    if (*at != 'e' && *at != 'E')
        return false;
    at++;
    bool negative = at < end && *at == '-';
    if (at < end && (*at == '-' || *at == '+'))
        at++;
    if (at == end)
        return false;
    for (; at < end; at++) {
        if (!is_digit(*at))
            return false;
        if (value < 100000) /* far outside a double's range whatever follows */
            value = value * 10 + (*at - '0');
    }
    parts->power10 += negative ? -value : value;
    return true;
}

/* Clinger, "How to read floating point numbers accurately", PLDI 1990: where mantissa and power are
 * both exact doubles, one rounding gives the correctly rounded value. */
static bool value_exact(const struct parts *parts, double *value)
{
    if (!parts->exact || parts->mantissa > (UINT64_C(1) << 53))
        return false;
    if (parts->power10 < -EXACT_POWER_MAX || parts->power10 > EXACT_POWER_MAX)
        return false;
    double v = (double)parts->mantissa;
    v = parts->power10 < 0 ? v / number_exact_power[-parts->power10]
                           : v * number_exact_power[parts->power10];
    *value = parts->negative ? -v : v;
    return true;
}

static bool value_by_library(const char *bytes, size_t n, char decimal, double *value)
{
    char copy[NUMBER_BYTES_MAX + 1];
    char *end;
    for (size_t i = 0; i < n; i++)
        copy[i] = bytes[i] == decimal ? '.' : bytes[i];
    copy[n] = '\0';
    double v = strtod(copy, &end);
    if (*end != '\0' || !isfinite(v))
        return false;
    *value = v;
    return true;
}

bool number_read(const char *bytes, size_t n, char decimal, double *value)
{
    struct parts parts;
    if (n == 0 || n > NUMBER_BYTES_MAX)
        return false;
    const char *end = bytes + n;
    const char *at = read_mantissa(bytes, end, decimal, &parts);
    if (at == NULL || !read_exponent(at, end, &parts))
        return false;
    return value_exact(&parts, value) || value_by_library(bytes, n, decimal, value);
}

bool number_read_integer(const char *bytes, size_t n, long long *value)
{
    bool negative = n > 0 && bytes[0] == '-';
    size_t start = n > 0 && (bytes[0] == '-' || bytes[0] == '+') ? 1 : 0;
    long long sum = 0;
    if (n == start || n - start > 18)
        return false;
    for (size_t i = start; i < n; i++) {
        if (!is_digit(bytes[i]))
            return false;
        sum = sum * 10 + (bytes[i] - '0');
    }
    *value = negative ? -sum : sum;
    return true;
}

const char *number_word(double value)
{
    return isnan(value)   ? "NaN"
           : isinf(value) ? (value < 0 ? "-inf" : "inf")
           : value == 0.0 ? "0"
                          : NULL;
}

/* Decimal exponent of |value| once rounded to `digits` significant digits: 9.96 with two is 1. */
static int rounded_exponent(double value, int digits, double *rounded)
{
    char text[64];
    snprintf(text, sizeof text, "%.*e", digits - 1, value);
    *rounded = strtod(text, NULL);
    const char *e = strchr(text, 'e');
    return e == NULL ? 0 : (int)strtol(e + 1, NULL, 10);
}

/* Fixed notation; a value that rounds to nothing loses its sign. */
static const char *print_fixed(double value, int places, char *out, size_t size)
{
    snprintf(out, size, "%.*f", places, value);
    if (out[0] == '-' && strspn(out, "-0.") == strlen(out))
        memmove(out, out + 1, strlen(out));
    return out;
}

const char *number_significant(double value, int digits, char *out, size_t size)
{
    enum { PLAIN_FROM = -5, PLAIN_TO = 15, DIGITS_MAX = 17 };
    double rounded;
    if (number_word(value) != NULL) {
        snprintf(out, size, "%s", number_word(value));
        return out;
    }
    digits = digits < 1 ? 1 : digits > DIGITS_MAX ? DIGITS_MAX : digits;
    int exponent = rounded_exponent(value, digits, &rounded);
    if (exponent < PLAIN_FROM || exponent > PLAIN_TO) {
        snprintf(out, size, "%.*e", digits - 1, value);
        return out;
    }
    int places = digits - 1 - exponent;
    return print_fixed(places > 0 ? value : rounded, places > 0 ? places : 0, out, size);
}

/* As number_places, but -1 where the second digit stands for tens. */
static int places_of(double u)
{
    double rounded;
    return 1 - rounded_exponent(u, 2, &rounded);
}

int number_places(double u)
{
    if (!(u > 0.0) || !isfinite(u))
        return 4;
    int places = places_of(u);
    return places > 0 ? places : 0;
}

const char *number_rounded(double value, double u, char *out, size_t size)
{
    if (!(u > 0.0) || !isfinite(u) || !isfinite(value))
        return number_significant(value, 4, out, size);
    int places = places_of(u);
    if (places > 12 || fabs(value) >= 1e15) /* fixed notation would not fit */
        return number_significant(value, 4, out, size);
    if (places >= 0)
        return print_fixed(value, places, out, size);
    double unit = pow(10.0, -places);
    return print_fixed(round(value / unit) * unit, 0, out, size);
}
