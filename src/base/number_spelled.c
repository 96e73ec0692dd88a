#include "base/number_spelled.h"

#include "base/numbers.h"

#include <string.h>

enum { PLAIN_SIZE = 64 };

/* Blanks of typography, as UTF-8 and as Windows-1252 write them. */
static const char *const wide_blanks[] = {"\xC2\xA0",     "\xE2\x80\xAF", "\xE2\x80\x89",
                                          "\xE2\x80\x87", "\xA0",         NULL};
static const char *const apostrophes[] = {"'", "\xE2\x80\x99", NULL};
static const char *const minus_signs[] = {"\xE2\x88\x92", "\xE2\x80\x93", NULL};

/* A piece of a field. */
struct piece {
    const char *at;
    const char *end;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Returns: bytes of the sign that the piece begins with; 0 if it is none of them. */
static size_t begins_with(const struct piece *piece, const char *const *signs)
{
    for (; *signs != NULL; signs++) {
        size_t n = strlen(*signs);
        if ((size_t)(piece->end - piece->at) >= n && memcmp(piece->at, *signs, n) == 0)
            return n;
    }
    return 0;
}

static size_t ends_with_blank(const struct piece *piece)
{
    for (const char *const *sign = wide_blanks; *sign != NULL; sign++) {
        size_t n = strlen(*sign);
        if ((size_t)(piece->end - piece->at) >= n && memcmp(piece->end - n, *sign, n) == 0)
            return n;
    }
    return 0;
}

static void cut_blanks(struct piece *piece)
{
    size_t n;
    while (piece->at < piece->end &&
           (n = *piece->at == ' ' ? 1 : begins_with(piece, wide_blanks)) > 0)
        piece->at += n;
    while (piece->at < piece->end && (n = piece->end[-1] == ' ' ? 1 : ends_with_blank(piece)) > 0)
        piece->end -= n;
}

/* ="23.4" */
static void cut_formula(struct piece *piece)
{
    if (piece->end - piece->at > 3 && memcmp(piece->at, "=\"", 2) == 0 && piece->end[-1] == '"') {
        piece->at += 2;
        piece->end--;
    }
}

/* Bytes of the sign between groups that the piece begins with; 0 if no group of three follows. */
static size_t group_sign(const struct piece *piece, char decimal, bool *weak)
{
    char c = *piece->at;
    *weak = c == ' ' || (c != decimal && (c == ',' || c == '.'));
    size_t n = *weak ? 1 : begins_with(piece, wide_blanks);
    if (n == 0)
        n = begins_with(piece, apostrophes);
    if (n == 0 || (size_t)(piece->end - piece->at) < n + 3)
        return 0;
    const char *digits = piece->at + n;
    bool three = is_digit(digits[0]) && is_digit(digits[1]) && is_digit(digits[2]);
    bool more = digits + 3 < piece->end && is_digit(digits[3]);
    return three && !more ? n : 0;
}

/* Copies the digits before the decimal sign. Returns: false if their groups say too little. */
static bool copy_groups(struct piece *piece, char decimal, char *out, size_t *length)
{
    const char *first = piece->at;
    size_t groups = 0, sign_n = 0, n;
    const char *sign = NULL;
    bool weak = false;
    while (piece->at < piece->end && is_digit(*piece->at))
        out[(*length)++] = *piece->at++;
    size_t lead = (size_t)(piece->at - first);
    while (lead >= 1 && lead <= 3 && *first != '0' && piece->at < piece->end &&
           (n = group_sign(piece, decimal, &weak)) > 0) {
        if (sign != NULL && (n != sign_n || memcmp(sign, piece->at, n) != 0))
            return false;
        sign = piece->at;
        sign_n = n;
        memcpy(out + *length, piece->at + n, 3);
        *length += 3;
        piece->at += n + 3;
        groups++;
    }
    bool fraction = piece->at < piece->end && *piece->at == decimal;
    return groups != 1 || !weak || fraction;
}

bool number_spelled(const char *bytes, size_t n, char decimal, double *value)
{
    char plain[PLAIN_SIZE];
    size_t length = 0;
    struct piece piece = {bytes, bytes + n};
    if (n == 0 || n >= PLAIN_SIZE)
        return false;
    cut_blanks(&piece);
    cut_formula(&piece);
    cut_blanks(&piece);
    if (piece.at == piece.end)
        return false;
    size_t minus = begins_with(&piece, minus_signs);
    if (minus > 0 || *piece.at == '-' || *piece.at == '+') {
        plain[length++] = *piece.at == '+' ? '+' : '-';
        piece.at += minus > 0 ? minus : 1;
    }
    if (piece.at == piece.end || !copy_groups(&piece, decimal, plain, &length))
        return false;
    memcpy(plain + length, piece.at, (size_t)(piece.end - piece.at));
    length += (size_t)(piece.end - piece.at);
    return number_read(plain, length, decimal, value);
}

bool number_is_thousand_or_fraction(const char *bytes, size_t n, char decimal)
{
    char other = decimal == '.' ? ',' : '.';
    size_t sign = n > 0 && (bytes[0] == '-' || bytes[0] == '+') ? 1 : 0;
    if (n < sign + 5 || n > sign + 7 || bytes[n - 4] != other || bytes[sign] == '0')
        return false;
    for (size_t i = sign; i < n; i++)
        if (i != n - 4 && !is_digit(bytes[i]))
            return false;
    return true;
}
