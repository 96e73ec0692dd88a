#include "run/group_tints.h"

#include <stdbool.h>
#include <string.h>

enum family {
    RED,
    BLUE,
    GREEN,
    PURPLE,
    BROWN,
    ORANGE,
    TURQUOISE,
    PINK,
    YELLOW,
    GREY,
    BLACK,
    WHITE,
    FAMILIES,
    FREE_FAMILIES = PINK, /* handed out to other names: those before it differ most */
    SHADES = 2
};

static const char *const shades[FAMILIES][SHADES] = {
    [RED] = {"#C0182B", "#7D0F1C"},       [BLUE] = {"#0072B2", "#004A75"},
    [GREEN] = {"#1E7B1E", "#0F4D0F"},     [PURPLE] = {"#7A3D9A", "#4D2166"},
    [BROWN] = {"#7A4B2A", "#4A2C17"},     [ORANGE] = {"#B85300", "#7F3900"},
    [TURQUOISE] = {"#007A80", "#004F54"}, [PINK] = {"#B8336A", "#7D1F46"},
    [YELLOW] = {"#8A6A00", "#5C4700"},    [GREY] = {"#5E5E5E", "#404040"},
    [BLACK] = {"#000000", "#222222"},     [WHITE] = {"#757575", "#6B6B6B"},
};

static const struct {
    const char *word; /* small letters */
    enum family family;
} words[] = {
    {"red", RED},           {"rot", RED},           {"rouge", RED},      {"rojo", RED},
    {"roja", RED},          {"rosso", RED},         {"rossa", RED},      {"blue", BLUE},
    {"blau", BLUE},         {"bleu", BLUE},         {"bleue", BLUE},     {"azul", BLUE},
    {"blu", BLUE},          {"green", GREEN},       {"grün", GREEN},     {"vert", GREEN},
    {"verte", GREEN},       {"verde", GREEN},       {"yellow", YELLOW},  {"gelb", YELLOW},
    {"jaune", YELLOW},      {"amarillo", YELLOW},   {"giallo", YELLOW},  {"orange", ORANGE},
    {"naranja", ORANGE},    {"arancione", ORANGE},  {"purple", PURPLE},  {"violet", PURPLE},
    {"lila", PURPLE},       {"violett", PURPLE},    {"violeta", PURPLE}, {"viola", PURPLE},
    {"pink", PINK},         {"rosa", PINK},         {"rose", PINK},      {"brown", BROWN},
    {"braun", BROWN},       {"brun", BROWN},        {"marron", BROWN},   {"turquoise", TURQUOISE},
    {"teal", TURQUOISE},    {"cyan", TURQUOISE},    {"türkis", TURQUOISE}, {"grey", GREY},
    {"gray", GREY},         {"grau", GREY},         {"gris", GREY},      {"grigio", GREY},
    {"black", BLACK},       {"schwarz", BLACK},     {"noir", BLACK},     {"noire", BLACK},
    {"negro", BLACK},       {"nero", BLACK},        {"white", WHITE},    {"weiß", WHITE},
    {"weiss", WHITE},       {"blanc", WHITE},       {"blanco", WHITE},   {"bianco", WHITE},
};

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

static char small(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Whether the whole word of n bytes at `at` is `word`. */
static bool is_word(const char *at, size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++)
        if (word[i] == '\0' || small(at[i]) != word[i])
            return false;
    return word[n] == '\0';
}

/* The first colour that a name holds; FAMILIES if there is none. */
static enum family family_of(const char *name)
{
    for (const char *at = name; *at != '\0';) {
        size_t n = 0;
        while (is_letter(at[n]))
            n++;
        for (size_t i = 0; n > 0 && i < sizeof words / sizeof words[0]; i++)
            if (is_word(at, n, words[i].word))
                return words[i].family;
        at += n > 0 ? n : 1;
    }
    return FAMILIES;
}

/* The least used family, and of these the first. */
static enum family family_left(const size_t *used)
{
    enum family least = RED;
    for (int f = RED; f < FREE_FAMILIES; f++)
        if (used[f] < used[least])
            least = (enum family)f;
    return least;
}

void group_tints(const char *const *names, size_t n, const char **tints)
{
    size_t used[FAMILIES] = {0};
    for (size_t i = 0; i < n; i++) {
        enum family family = family_of(names[i]);
        tints[i] = NULL;
        if (family < FAMILIES)
            tints[i] = shades[family][used[family]++ % SHADES];
    }
    for (size_t i = 0; i < n; i++) {
        if (tints[i] != NULL)
            continue;
        enum family family = family_left(used);
        tints[i] = shades[family][used[family]++ % SHADES];
    }
}
