#include "base/units_spelling.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Forms that mean the same as an ASCII one. The first kind is dropped from a folded text, and
 * stands between the factors of a compound one. */
static const struct {
    const char *form;
    const char *ascii;   /* in a folded text */
    const char *between; /* in a compound one */
} folds[] = {
    {" ", "", " "},
    {"\t", "", " "},
    {"**", "", "^"},
    {"^", "", "^"},
    {"*", "", " "},
    {"\xc2\xa0", "", " "},     /* no-break space */
    {"\xe2\x80\xaf", "", " "}, /* narrow no-break space */
    {"\xe2\x80\x89", "", " "}, /* thin space */
    {"\xc2\xb7", "", " "},     /* middle dot */
    {"\xe2\x8b\x85", "", " "}, /* dot operator */
    {"\xe2\x88\x99", "", " "}, /* bullet operator */
    {"\xc3\x97", "", " "},     /* multiplication sign */
    {"\xc2\xb2", "2", "2"},    /* superscript two */
    {"\xc2\xb3", "3", "3"},    /* superscript three */
    {"\xc2\xb9", "1", "1"},    /* superscript one */
    {"\xb2", "2", "2"},        /* the same of Latin-1, from a file's head */
    {"\xb3", "3", "3"},
    {"\xb7", "", " "},
    {"\xe2\x81\xbb", "-", "-"}, /* superscript minus */
    {"\xe2\x88\x92", "-", "-"}, /* minus */
    {"\xe2\x80\x93", "-", "-"}, /* en dash, typed for it */
    {"\xe2\x82\x82", "2", "2"}, /* subscript two */
    {"\xc2\xb0", "deg", "deg"}, /* degree sign */
    {"\xc2\xba", "deg", "deg"}, /* masculine ordinal, typed for it */
    {"\xcb\x9a", "deg", "deg"}, /* ring above, typed for it */
    {"\xe2\x84\x83", "degC", "degC"},
    {"\xe2\x84\x89", "degF", "degF"},
    {"\xc2\xb5", "u", "u"},         /* micro sign */
    {"\xce\xbc", "u", "u"},         /* Greek mu */
    {"\xe2\x84\xaa", "K", "K"},     /* Kelvin sign */
    {"\xe2\x84\x93", "L", "L"},     /* script l */
    {"\xe2\x84\xa6", "ohm", "ohm"}, /* ohm sign */
    {"\xce\xa9", "ohm", "ohm"},     /* Greek omega */
    {"\xe2\x88\x95", "/", "/"},     /* division slash */
    {"\xe2\x81\x84", "/", "/"},     /* fraction slash */
    {"\xb0", "deg", "deg"},         /* degree sign of Latin-1, from a file's head */
    {"\xba", "deg", "deg"},
};

/* The row of the form at `bytes`; -1 if none, which most ASCII bytes tell at once. */
static int fold_at(const char *bytes, size_t left)
{
    if ((unsigned char)bytes[0] < 0x80 && strchr(" \t*^", bytes[0]) == NULL)
        return -1;
    for (size_t i = 0; i < sizeof folds / sizeof folds[0]; i++) {
        size_t n = strlen(folds[i].form);
        if (n <= left && memcmp(bytes, folds[i].form, n) == 0)
            return (int)i;
    }
    return -1;
}

static bool fold(const char *spelling, size_t length, bool compound, char out[UNIT_FOLDED_SIZE])
{
    size_t n = 0;
    for (size_t i = 0; i < length;) {
        const char one[2] = {spelling[i], '\0'};
        int row = fold_at(spelling + i, length - i);
        const char *piece = row < 0 ? one : compound ? folds[row].between : folds[row].ascii;
        size_t add = strlen(piece);
        if (n + add >= UNIT_FOLDED_SIZE)
            return false;
        memcpy(out + n, piece, add);
        n += add;
        i += row < 0 ? 1 : strlen(folds[row].form);
    }
    out[n] = '\0';
    return true;
}

bool unit_fold(const char *spelling, size_t n, char out[UNIT_FOLDED_SIZE])
{
    return fold(spelling, n, false, out);
}

/* The words of compound units; `power` is that of words such as sqm. */
static const struct {
    const char *atom;
    int power;
    const char *words; /* blank-separated */
} atoms[] = {
    {"W", 1, "W watt watts"},
    {"kW", 1, "kW kilowatt kilowatts"},
    {"mW", 1, "mW milliwatt milliwatts"},
    {"MW", 1, "MW"},
    {"J", 1, "J joule joules"},
    {"kJ", 1, "kJ"},
    {"MJ", 1, "MJ"},
    {"GJ", 1, "GJ"},
    {"Wh", 1, "Wh"},
    {"kWh", 1, "kWh"},
    {"cal", 1, "cal calorie calories"},
    {"kcal", 1, "kcal"},
    {"BTU", 1, "BTU BTUs"},
    {"kBTU", 1, "kBTU"},
    {"ly", 1, "ly langley langleys"},
    {"m", 1, "m metre metres meter meters"},
    {"m", 2, "sqm qm"},
    {"m", 3, "cbm"},
    {"cm", 1, "cm centimetre centimeter"},
    {"cm", 2, "sqcm qcm"},
    {"cm", 3, "cc ccm mL millilitre milliliter"},
    {"dm", 1, "dm"},
    {"mm", 1, "mm millimetre millimeter"},
    {"km", 1, "km kilometre kilometer"},
    {"in", 1, "in inch inches"},
    {"ft", 1, "ft foot feet"},
    {"ft", 2, "sqft"},
    {"ft", 3, "cuft"},
    {"mile", 1, "mile miles mi"},
    {"L", 1, "L litre litres liter liters ltr"},
    {"gal", 1, "gal gals gallon gallons USgal"},
    {"impgal", 1, "impgal UKgal"},
    {"kg", 1, "kg kilogram kilograms"},
    {"g", 1, "g gram grams"},
    {"mg", 1, "mg"},
    {"t", 1, "t tonne tonnes"},
    {"lb", 1, "lb lbs lbm pound pounds"},
    {"s", 1, "s sec secs second seconds"},
    {"min", 1, "min mins minute minutes"},
    {"h", 1, "h hr hrs hour hours"},
    {"d", 1, "d day days"},
    {"K", 1, "K kelvin degC C degK celsius"},
    {"mK", 1, "mK"},
    {"kgf", 1, "kgf kp"},
    {"degF", 1, "degF F degR R fahrenheit rankine"},
    {"V", 1, "V volt volts"},
    {"mV", 1, "mV"},
    {"uV", 1, "uV"},
    {"pulse", 1, "pulse pulses imp impulse impulses count counts"},
    {"1", 1, "1"},
};

enum { ATOMS = sizeof atoms / sizeof atoms[0] };

static bool has_word(const char *words, const char *word,
                     int (*compare)(const char *, const char *, size_t))
{
    size_t length = strlen(word);
    for (const char *at = words; *at != '\0';) {
        size_t n = strcspn(at, " ");
        if (n == length && compare(at, word, n) == 0)
            return true;
        at += n;
        at += strspn(at, " ");
    }
    return false;
}

/* Letter case counts first, then it is ignored if that leaves one answer. Returns: -1 if none. */
static int atom_of(const char *word)
{
    int found = -1;
    for (int i = 0; i < ATOMS; i++)
        if (has_word(atoms[i].words, word, strncmp))
            return i;
    for (int i = 0; i < ATOMS; i++) {
        if (!has_word(atoms[i].words, word, strncasecmp))
            continue;
        if (found >= 0)
            return -1;
        found = i;
    }
    return found;
}

static bool add_factor(struct unit_factors *factors, const char *atom, int power)
{
    size_t i = 0;
    while (i < factors->n && strcmp(factors->items[i].atom, atom) < 0)
        i++;
    if (i < factors->n && strcmp(factors->items[i].atom, atom) == 0) {
        factors->items[i].power += power;
        return factors->items[i].power != 0;
    }
    if (factors->n == UNIT_FACTORS_MAX)
        return false;
    memmove(&factors->items[i + 1], &factors->items[i],
            (factors->n - i) * sizeof factors->items[0]);
    strcpy(factors->items[i].atom, atom);
    factors->items[i].power = power;
    factors->n++;
    return true;
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* An exponent behind a word: "2", "^2", "-2", "^-2". *at moves behind it. Returns: 1 without one, 0
 * for one that is none. */
static int read_power(const char **at)
{
    const char *c = *at;
    bool caret = *c == '^';
    c += caret;
    bool minus = *c == '-' && c[1] >= '0' && c[1] <= '9';
    c += minus;
    if (*c < '0' || *c > '9')
        return caret ? 0 : 1;
    int power = *c - '0';
    *at = c + 1;
    return minus ? -power : power;
}

/* One word with its exponent; `sign` is -1 below the line. An exponent that is negative by itself
 * counts as it stands. */
static bool read_factor(const char **at, int sign, struct unit_factors *factors)
{
    char word[UNIT_ATOM_SIZE];
    size_t n = 0;
    while (is_letter((*at)[n]) && n < sizeof word - 1)
        n++;
    memcpy(word, *at, n);
    word[n] = '\0';
    int row = atom_of(word);
    if (n == 0 || row < 0)
        return false;
    *at += n;
    int power = read_power(at);
    if (power == 0)
        return false;
    return add_factor(factors, atoms[row].atom,
                      power < 0 ? power * atoms[row].power : sign * power * atoms[row].power);
}

bool unit_factors_read(const char *spelling, struct unit_factors *factors)
{
    char text[UNIT_FOLDED_SIZE];
    int sign = 1;
    memset(factors, 0, sizeof *factors);
    if (!fold(spelling, strlen(spelling), true, text))
        return false;
    const char *at = text;
    if (strncmp(at, "1/", 2) == 0)
        at++;
    while (*at != '\0') {
        if (strncmp(at, "per ", 4) == 0) {
            sign = -1;
            at += 4;
        } else if (*at == '/') {
            sign = -1;
            at++;
        } else if (strchr(" .()-", *at) != NULL) {
            at++;
        } else if (!read_factor(&at, sign, factors)) {
            return false;
        }
    }
    return factors->n >= 2;
}

bool unit_factors_same(const struct unit_factors *a, const struct unit_factors *b)
{
    if (a->n != b->n)
        return false;
    for (size_t i = 0; i < a->n; i++)
        if (strcmp(a->items[i].atom, b->items[i].atom) != 0 ||
            a->items[i].power != b->items[i].power)
            return false;
    return true;
}
