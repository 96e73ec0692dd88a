#include "result/typography.h"

#include "base/numbers.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const struct {
    const char *ascii;
    const char *people;
} symbols[] = {
    {"eta0", "η₀"}, {"eta", "η"}, {"a1", "a₁"},   {"a2", "a₂"},   {"a3", "a₃"},
    {"b0", "b₀"},   {"tau", "τ"}, {"theta", "θ"}, {"alpha", "α"}, {"epsilon", "ε"},
    {"dT", "ΔT"},   {"rho", "ρ"}, {"u'", "u′"},    {"+-", "±"},
};

/* Appends if it fits with its NUL; a piece is a whole character or word. */
static bool append(char *out, size_t size, size_t *used, const char *piece, size_t n)
{
    if (*used + n + 1 > size)
        return false;
    memcpy(out + *used, piece, n);
    *used += n;
    out[*used] = '\0';
    return true;
}

static size_t character_bytes(const char *at)
{
    size_t n = 1;
    while (((unsigned char)at[n] & 0xC0U) == 0x80)
        n++;
    return n;
}

static const char *copy_whole(const char *from, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    while (*from && append(out, size, &used, from, character_bytes(from)))
        from += character_bytes(from);
    return out;
}

const char *typo_symbol(const char *ascii, char *out, size_t size)
{
    for (size_t i = 0; i < sizeof symbols / sizeof symbols[0]; i++)
        if (strcmp(symbols[i].ascii, ascii) == 0)
            return copy_whole(symbols[i].people, out, size);
    return copy_whole(ascii, out, size);
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* The piece at `at` of a unit, how many bytes of input it stands for. */
static const char *unit_piece(const char *ascii, const char *at, size_t *taken)
{
    *taken = 4;
    if (strncmp(at, "degC", 4) == 0)
        return "°C";
    if (strncmp(at, "degF", 4) == 0)
        return "°F";
    *taken = 3;
    if (strncmp(at, "deg", 3) == 0 && !is_letter(at[3]) && (at == ascii || !is_letter(at[-1])))
        return "°";
    *taken = 1;
    if (at > ascii && is_letter(at[-1]) && *at == '2')
        return "²";
    if (at > ascii && is_letter(at[-1]) && *at == '3')
        return "³";
    return NULL;
}

const char *typo_unit(const char *ascii, char *out, size_t size)
{
    size_t used = 0;
    const char *at = ascii;
    out[0] = '\0';
    while (*at) {
        size_t taken;
        const char *piece = unit_piece(ascii, at, &taken);
        size_t n = piece ? strlen(piece) : character_bytes(at);
        if (!append(out, size, &used, piece ? piece : at, n))
            break;
        at += piece ? taken : n;
    }
    return out;
}

const char *typo_number(const char *ascii, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (const char *at = ascii; *at; at++) {
        bool minus = *at == '-' && (at == ascii || at[-1] == 'e');
        if (!append(out, size, &used, minus ? "−" : at, minus ? strlen("−") : 1))
            break;
    }
    return out;
}

/* Of a number that says nothing of its uncertainty: a fourth would claim too much. */
enum { DIGITS_ALONE = 3 };

static void add_rounded(struct text *out, double value, double u)
{
    char ascii[32];
    char people[TYPO_SIZE];
    if (isfinite(u) && u > 0)
        number_rounded(value, u, ascii, sizeof ascii);
    else
        number_significant(value, DIGITS_ALONE, ascii, sizeof ascii);
    text_add(out, typo_number(ascii, people, sizeof people));
}

void typo_value(struct text *out, double value, double low, double high, const char *unit)
{
    char people[TYPO_SIZE];
    double half = 0.5 * (high - low);
    if (!isfinite(value)) {
        text_add(out, "not known");
        return;
    }
    add_rounded(out, value, half);
    if (isfinite(half) && half > 0) {
        if (fabs(0.5 * (high + low) - value) > 0.1 * half) {
            text_add(out, " (");
            add_rounded(out, low, half);
            text_add(out, " to ");
            add_rounded(out, high, half);
            text_add(out, ")");
        } else {
            text_add(out, " ± ");
            add_rounded(out, half, half);
        }
    }
    if (unit[0] != '\0') {
        text_add(out, strcmp(unit, "deg") == 0 ? "" : " ");
        text_add(out, typo_unit(unit, people, sizeof people));
    }
}
