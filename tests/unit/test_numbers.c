#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/number_quick.h"
#include "base/number_spelled.h"
#include "base/numbers.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool read_text(const char *text, char decimal, double *value)
{
    return number_read(text, strlen(text), decimal, value);
}

static void numbers_are_read(void **state)
{
    static const struct {
        const char *text;
        char decimal;
        double value;
    } rows[] = {
        {"23.47", '.', 23.47},
        {"-0.385", '.', -0.385},
        {"+17", '.', 17.0},
        {".25", '.', 0.25},
        {"3.", '.', 3.0},
        {"23,47", ',', 23.47},
        {"1e3", '.', 1000.0},
        {"1.25E-2", '.', 0.0125},
        {"7,5e+1", ',', 75.0},
        {"000000000000000000000000000042.50", '.', 42.5},
        {"0.00000000000000000000000000001", '.', 1e-29},
        {"9007199254740993", '.', 9007199254740992.0},
        {"1.7976931348623157e308", '.', DBL_MAX},
        {"4.9406564584124654e-324", '.', 4.9406564584124654e-324},
        {"1e-400", '.', 0.0},
        {"0e99999999999999999999", '.', 0.0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = NAN;
        bool read = read_text(rows[i].text, rows[i].decimal, &value);
        if (!read || value != rows[i].value)
            fail_msg("'%s': read %d, %.17g, not %.17g", rows[i].text, read, value, rows[i].value);
    }
}

static void other_texts_are_refused(void **state)
{
    static const struct {
        const char *text;
        char decimal;
    } rows[] = {
        {"", '.'},
        {" 1", '.'},
        {"1 ", '.'},
        {"nan", '.'},
        {"inf", '.'},
        {"0x1p3", '.'},
        {"23,4", '.'},
        {"23.4", ','},
        {"1.2.3", '.'},
        {"--1", '.'},
        {"+-1", '.'},
        {"1e", '.'},
        {"1e+", '.'},
        {"e5", '.'},
        {".", '.'},
        {"-", '.'},
        {"-.", '.'},
        {"1e5.0", '.'},
        {"1e400", '.'},
        {"12a", '.'},
        {"1,234.5", '.'},
        {"1d3", '.'},
        {"1e99999999999999999999", '.'},
        {"-1e309", '.'},
        {"11111111111111111111111111111111111111111111111111111111111111111", '.'},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = -7.25;
        if (read_text(rows[i].text, rows[i].decimal, &value))
            fail_msg("'%s' was taken for %.17g", rows[i].text, value);
        assert_true(value == -7.25);
    }
    double value = 0.0;
    assert_false(number_read("1\0002", 3, '.', &value));
}

/* What a spreadsheet or a typographer makes of a number, and what could be two numbers. */
static void spelled_numbers_are_read(void **state)
{
    static const struct {
        const char *text;
        char decimal;
        double value; /* NAN: refused */
    } rows[] = {
        {"1,234.5", '.', 1234.5},
        {"1.234,5", ',', 1234.5},
        {"12,345,678", '.', 12345678.0},
        {"-1.234.567,25", ',', -1234567.25},
        {"1 012,3", ',', 1012.3},
        {"1\xC2\xA0" "012", ',', 1012.0},
        {"1\xE2\x80\xAF" "012.75", '.', 1012.75},
        {"1'012.4", '.', 1012.4},
        {"1\xE2\x80\x99" "012", '.', 1012.0},
        {"\xE2\x88\x92" "5.93", '.', -5.93},
        {"\xE2\x80\x93" "0,7", ',', -0.7},
        {"\xC2\xA0" "23.41\xC2\xA0", '.', 23.41},
        {"\xA0" "23.41", '.', 23.41},
        {"=\"23.41\"", '.', 23.41},
        {"=\"\"", '.', NAN},
        {"1,012", '.', NAN}, /* or 1.012 */
        {"1.012", ',', NAN},
        {"1 012", '.', NAN}, /* or two numbers */
        {"1,23.4", '.', NAN},
        {"1,2345.6", '.', NAN},
        {"1234,567.8", '.', NAN},
        {"0,123.4", '.', NAN},
        {"1,234'567.8", '.', NAN},
        {"1.234.5", '.', NAN},
        {"23.4 W/m2", '.', NAN},
        {"\xC2\xA0", '.', NAN},
        {"\xE2\x88\x92", '.', NAN},
        {"", '.', NAN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = NAN;
        bool read =
            number_spelled(rows[i].text, strlen(rows[i].text), rows[i].decimal, &value);
        bool good = isnan(rows[i].value) ? !read && isnan(value) : read && value == rows[i].value;
        if (!good)
            fail_msg("'%s': read %d, %.17g, not %.17g", rows[i].text, read, value, rows[i].value);
    }
}

static void a_thousand_or_a_fraction_is_known(void **state)
{
    static const struct {
        const char *text;
        char decimal;
        bool known;
    } rows[] = {
        {"1,012", '.', true},     {"-12,345", '.', true}, {"123.456", ',', true},
        {"1.012", '.', false},    {"0,812", '.', false},  {"1,01", '.', false},
        {"1,0123", '.', false},   {",012", '.', false},   {"1x,012", '.', false},
        {"1234,012", '.', false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (number_is_thousand_or_fraction(rows[i].text, strlen(rows[i].text), rows[i].decimal) !=
            rows[i].known)
            fail_msg("'%s' with '%c'", rows[i].text, rows[i].decimal);
}

static uint64_t next_random(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

static double random_double(uint64_t *state)
{
    double value;
    do {
        uint64_t bits = next_random(state);
        memcpy(&value, &bits, sizeof value);
    } while (!isfinite(value));
    return value;
}

/* The decimal that lies half way between two doubles (odd, from 2^53 to 2^54), or just above. */
static void write_half_way(uint64_t *state, char *out, size_t size)
{
    uint64_t whole = (UINT64_C(1) << 52) + (next_random(state) >> 12);
    int64_t nudge = (int64_t)(next_random(state) % 3) - 1;
    snprintf(out, size, "%llu.%s", (unsigned long long)(2 * whole + 1),
             nudge == 0  ? "0"
             : nudge > 0 ? "000000000000001"
                         : "0e0");
}

static void write_digits(uint64_t *state, char *out, size_t size)
{
    int before = (int)(next_random(state) % 23);
    int after = (int)(next_random(state) % 19) + (before == 0);
    size_t n = 0;
    if (next_random(state) % 2 == 0)
        out[n++] = '-';
    for (int i = 0; i < before; i++)
        out[n++] = (char)('0' + next_random(state) % 10);
    if (after > 0)
        out[n++] = '.';
    for (int i = 0; i < after; i++)
        out[n++] = (char)('0' + next_random(state) % 10);
    out[n] = '\0';
    if (next_random(state) % 2 == 0)
        snprintf(out + n, size - n, "e%d", (int)(next_random(state) % 60) - 30);
}

/* One text of the five kinds in turn; the last is what loggers write. */
static void write_number(uint64_t i, uint64_t *state, char *out, size_t size)
{
    switch (i % 5) {
    case 0:
        snprintf(out, size, "%.17g", random_double(state));
        break;
    case 1:
        write_digits(state, out, size);
        break;
    case 2:
        write_half_way(state, out, size);
        break;
    case 3: /* powers at the border of the exact path */
        snprintf(out, size, "%llue%d", (unsigned long long)(next_random(state) >> 10),
                 (int)(next_random(state) % 52) - 26);
        break;
    default:
        snprintf(out, size, "%.*f", (int)(next_random(state) % 5),
                 (double)(next_random(state) % 2000000) / 1000.0 - 500.0);
    }
}

/* The short way of logs (base/number_quick.h): what it takes has the same bits.
 * Returns: 1 if it took the whole text */
static uint64_t try_quick(const char *text, char decimal, double expected)
{
    double value = 0.0;
    const char *end = number_quick(text, decimal, &value);
    if (end == NULL || *end != '\0')
        return 0;
    if (memcmp(&value, &expected, sizeof value) != 0)
        fail_msg("'%s' was read quickly as %.17g, not %.17g", text, value, expected);
    return 1;
}

/* 10^7 numbers (10^6 under the sanitizer, which takes ten times as long), or as many as
 * NUMBERS_COMPARED says. The C library's strtod is the reference: glibc documents it as correctly
 * rounded. */
#if defined __SANITIZE_ADDRESS__
enum { NUMBERS_COMPARED = 1000000 };
#else
enum { NUMBERS_COMPARED = 10000000 };
#endif

static void agrees_with_the_library_to_the_last_bit(void **state)
{
    const char *wish = getenv("NUMBERS_COMPARED");
    uint64_t count = wish == NULL ? NUMBERS_COMPARED : strtoull(wish, NULL, 10);
    uint64_t seed = 20260621;
    uint64_t compared = 0, quick = 0;
    (void)state;
    assert_true(count > 0);
    for (uint64_t i = 0; i < count; i++) {
        char text[96];
        double value = 0.0;
        write_number(i, &seed, text, sizeof text);
        double expected = strtod(text, NULL);
        if (strlen(text) > 64 || !isfinite(expected))
            continue;
        compared++;
        if (!read_text(text, '.', &value) || memcmp(&value, &expected, sizeof value) != 0)
            fail_msg("'%s' was read as %.17g, not %.17g", text, value, expected);
        quick += try_quick(text, '.', expected);
        char *point = strchr(text, '.');
        if (point == NULL || i % 7 != 0)
            continue;
        *point = ',';
        if (!read_text(text, ',', &value) || memcmp(&value, &expected, sizeof value) != 0)
            fail_msg("'%s' was read as %.17g, not %.17g", text, value, expected);
        try_quick(text, ',', expected);
    }
    assert_true(compared > count * 9 / 10);
    assert_true(quick > count / 5); /* what loggers write, and some of the others */
}

static void integers_are_read(void **state)
{
    static const struct {
        const char *text;
        bool read;
        long long value;
    } rows[] = {
        {"17", true, 17},
        {"-3042", true, -3042},
        {"+5", true, 5},
        {"999999999999999999", true, 999999999999999999},
        {"1000000000000000000", false, 0},
        {"", false, 0},
        {"-", false, 0},
        {"1.0", false, 0},
        {" 1", false, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        long long value = 0;
        bool read = number_read_integer(rows[i].text, strlen(rows[i].text), &value);
        if (read != rows[i].read || value != rows[i].value)
            fail_msg("'%s': read %d, %lld", rows[i].text, read, value);
    }
}

/* Digit after digit by the library alone. */
static void exact_by_library(double value, char *out, size_t size)
{
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(out, size, "%.*g", digits, value);
        if (strtod(out, NULL) == value)
            return;
    }
}

static void assert_as_library(double value)
{
    char text[32], expected[32];
    exact_by_library(value, expected, sizeof expected);
    if (strcmp(number_exact(value, text, sizeof text), expected) != 0)
        fail_msg("%.17g was printed as '%s', not '%s'", value, text, expected);
}

static void exact_texts_are_the_librarys(void **state)
{
    uint64_t seed = 240581;
    (void)state;
    for (int i = 0; i < 300000; i++) {
        double value = random_double(&seed);
        if (value != 0.0)
            assert_as_library(value);
        /* Sizes that are met: from 1e-11 to 1e44. */
        int exponent;
        value = frexp(value, &exponent);
        if (value != 0.0)
            assert_as_library(ldexp(value, (int)(next_random(&seed) % 184) - 36));
        /* Few digits, and what a few roundings make of them. */
        double few = (double)(next_random(&seed) % 2000000) / 1e4 - 99.0;
        if (few != 0.0) {
            assert_as_library(few);
            assert_as_library(nextafter(few, 1e9));
            assert_as_library(few * 0.1 * 10.0 / 3.0);
        }
    }
    for (int exponent = -1074; exponent <= 1023; exponent++) {
        double power = ldexp(1.0, exponent);
        assert_as_library(power);
        assert_as_library(nextafter(power, 1e308));
        assert_as_library(-nextafter(power, 0.0) - (exponent == -1074 ? power : 0.0));
    }
    for (int exponent = -307; exponent <= 308; exponent++) {
        char text[16];
        snprintf(text, sizeof text, "1e%d", exponent);
        double power = strtod(text, NULL);
        assert_as_library(power);
        assert_as_library(nextafter(power, 0.0));
        assert_as_library(nextafter(power, 1e308));
        assert_as_library(power * (1.0 - 1e-15));
    }
}

static void exact_texts_read_back(void **state)
{
    uint64_t seed = 61827;
    char text[32];
    (void)state;
    for (int i = 0; i < 100000; i++) {
        double value = random_double(&seed);
        double back = 0.0;
        number_exact(value, text, sizeof text);
        if (!read_text(text, '.', &back) || back != value)
            fail_msg("%.17g was printed as '%s'", value, text);
    }
    assert_string_equal(number_exact(0.1, text, sizeof text), "0.1");
    assert_string_equal(number_exact(-0.0, text, sizeof text), "0");
    assert_string_equal(number_exact(1.0 / 3.0, text, sizeof text), "0.3333333333333333");
    assert_string_equal(number_exact(NAN, text, sizeof text), "NaN");
    assert_string_equal(number_exact(-INFINITY, text, sizeof text), "-inf");
}

static void significant_digits_are_plain_where_short(void **state)
{
    static const struct {
        double value;
        int digits;
        const char *text;
    } rows[] = {
        {0.76234, 4, "0.7623"}, {0.77, 4, "0.7700"},       {1234.5, 3, "1230"},
        {-0.0, 3, "0"},         {9.996, 3, "10.0"},        {-3.14159, 2, "-3.1"},
        {2.5e-7, 2, "2.5e-07"}, {0.000025, 2, "0.000025"}, {1.5e17, 3, "1.50e+17"},
        {985.4, 1, "1000"},     {NAN, 3, "NaN"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[32];
        number_significant(rows[i].value, rows[i].digits, text, sizeof text);
        if (strcmp(text, rows[i].text) != 0)
            fail_msg("row %zu: '%s', not '%s'", i, text, rows[i].text);
    }
}

/* Rounding to two digits of the uncertainty is the GUM's advice (JCGM 100:2008, 7.2.6). */
static void values_are_rounded_to_their_uncertainty(void **state)
{
    static const struct {
        double value;
        double u;
        const char *text;
        int places;
    } rows[] = {
        {0.773138, 0.0123, "0.773", 3},
        {0.773138, 0.00123, "0.7731", 4},
        {417.26, 12.3, "417", 0},
        {4567.3, 123.0, "4570", 0},
        {3.87654, 0.0996, "3.88", 2},
        {-0.00012, 0.031, "0.000", 3},
        {12.3456, 0.0, "12.35", 4},
        {12.3456, NAN, "12.35", 4},
        {999999999999999.0, 1e-14, "1000000000000000", 15},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[32];
        number_rounded(rows[i].value, rows[i].u, text, sizeof text);
        if (strcmp(text, rows[i].text) != 0 || number_places(rows[i].u) != rows[i].places)
            fail_msg("row %zu: '%s' with %d places, not '%s' with %d", i, text,
                     number_places(rows[i].u), rows[i].text, rows[i].places);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_read),
        cmocka_unit_test(spelled_numbers_are_read),
        cmocka_unit_test(a_thousand_or_a_fraction_is_known),
        cmocka_unit_test(other_texts_are_refused),
        cmocka_unit_test(agrees_with_the_library_to_the_last_bit),
        cmocka_unit_test(integers_are_read),
        cmocka_unit_test(exact_texts_are_the_librarys),
        cmocka_unit_test(exact_texts_read_back),
        cmocka_unit_test(significant_digits_are_plain_where_short),
        cmocka_unit_test(values_are_rounded_to_their_uncertainty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
