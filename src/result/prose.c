#include "result/prose.h"

#include <stdbool.h>
#include <string.h>

static const struct {
    const char *ascii;
    const char *people;
} words[] = {
    {"degC", "°C"}, {"degF", "°F"}, {"m2", "m²"},   {"m3", "m³"},   {"cm2", "cm²"},
    {"cm3", "cm³"}, {"mm2", "mm²"}, {"mm3", "mm³"}, {"dm3", "dm³"}, {"km2", "km²"},
    {"ft2", "ft²"}, {"ft3", "ft³"}, {"s2", "s²"},   {"K2", "K²"},   {"+-", "±"},
};

/* Before " = ". */
static const struct {
    const char *ascii;
    const char *people;
} symbols[] = {
    {"eta0", "η₀"}, {"a1", "a₁"}, {"a2", "a₂"}, {"a3", "a₃"}, {"b0", "b₀"},
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_word(char c)
{
    return is_digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' ||
           (unsigned char)c >= 0x80;
}

/* "m2.csv" goes on behind the point, "2.05 m2." does not. */
static bool goes_on(const char *after)
{
    return is_word(after[0]) || ((after[0] == '.' || after[0] == '-') && is_word(after[1]));
}

/* The end of what is quoted from `at` on; `at` where nothing is: "sky's" holds no quote. */
static const char *quote_end(const char *text, const char *at)
{
    if (*at != '\'' || (at > text && is_word(at[-1])) || at[1] == ' ' || at[1] == '\0')
        return at;
    for (const char *end = at + 1; (end = strchr(end, '\'')) != NULL; end++)
        if (!is_word(end[1]))
            return end + 1;
    return at;
}

/* What stands instead of the piece at `at`. Out: bytes that it replaces. Returns: NULL for none. */
static const char *instead_of(const char *text, const char *at, size_t *taken)
{
    char before = at > text ? at[-1] : ' ';
    *taken = 1;
    if (*at == '-' && is_digit(at[1]))
        return is_word(before) || strchr(".-+/\\", before) != NULL ? NULL : "−";
    *taken = strlen(" deg");
    if (strncmp(at, " deg", *taken) == 0 && is_digit(before) && !goes_on(at + *taken))
        return "°";
    if (is_word(before) || before == '.' || before == '-' || before == '\\')
        return NULL;
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        *taken = strlen(words[i].ascii);
        if (strncmp(at, words[i].ascii, *taken) == 0 && !goes_on(at + *taken))
            return words[i].people;
    }
    for (size_t i = 0; i < sizeof symbols / sizeof symbols[0]; i++) {
        *taken = strlen(symbols[i].ascii);
        if (strncmp(at, symbols[i].ascii, *taken) == 0 && strncmp(at + *taken, " = ", 3) == 0)
            return symbols[i].people;
    }
    return NULL;
}

/* "irradiance at least = 925 W/m2": a line for the description, and nothing else. */
static bool is_line(const char *text)
{
    size_t key = strspn(text, "abcdefghijklmnopqrstuvwxyz ");
    return key > 0 && text[key] == '=' && text[key - 1] == ' ' && text[strlen(text) - 1] != '.' &&
           strpbrk(text + key, ",;:\n") == NULL && strstr(text, ". ") == NULL;
}

/* The next piece of the result and its bytes; *at moves on behind what it stands for. */
static const char *next_piece(const char *text, const char **at, size_t *n)
{
    size_t taken;
    const char *from = *at, *end;
    end = from == text && is_line(text) ? text + strlen(text) : quote_end(text, from);
    const char *instead = end > from ? NULL : instead_of(text, from, &taken);
    if (instead != NULL) {
        *at += taken;
        *n = strlen(instead);
        return instead;
    }
    *at = end > from ? end : from + 1;
    *n = (size_t)(*at - from);
    return from;
}

void prose_add(struct text *out, const char *ascii)
{
    size_t n;
    for (const char *at = ascii; at != NULL && *at != '\0';) {
        const char *piece = next_piece(ascii, &at, &n);
        text_add_bytes(out, piece, n);
    }
}

const char *prose_words(const char *ascii, char *buffer, size_t size)
{
    size_t used = 0, n;
    for (const char *at = ascii; *at != '\0';) {
        const char *piece = next_piece(ascii, &at, &n);
        if (used + n + 1 > size)
            return ascii;
        memcpy(buffer + used, piece, n);
        used += n;
    }
    if (used == strlen(ascii) && memcmp(buffer, ascii, used) == 0)
        return ascii;
    buffer[used] = '\0';
    return buffer;
}
