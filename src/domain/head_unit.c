#include "domain/head_unit.h"

#include "base/text.h"

#include <string.h>

/* Signals that base/units.h does not know, because no quantity is stated in them. */
static const char *const raw_words[] = {"mA",     "Hz",  "pulse", "pulses", "count",
                                        "counts", "raw", "adc",   "ohm",    "ohms"};

/* Units as names of columns have them, where neither '/' nor brackets are welcome. */
static const struct {
    const char *form;
    const char *unit;
} forms[] = {
    {"Wm2", "W/m2"},          {"kWm2", "kW/m2"},     {"Lmin", "L/min"}, {"Lh", "L/h"},
    {"m3h", "m3/h"},          {"W/m^2", "W/m2"},     {"W m-2", "W/m2"}, {"watts/meter^2", "W/m2"},
    {"meters/second", "m/s"}, {"L/minute", "L/min"}, {"mLmin", "mL/min"}, {"Ls", "L/s"},
    {"gs", "g/s"},            {"kgs", "kg/s"},       {"kgmin", "kg/min"}, {"kgh", "kg/h"},
};

/* What a name may end in without brackets: in other dimensions "T_in" would end in inches. */
static const enum dimension bare_dimensions[] = {DIM_TEMPERATURE, DIM_IRRADIANCE, DIM_VOLUME_FLOW,
                                                 DIM_MASS_FLOW,   DIM_SPEED,      DIM_ANGLE,
                                                 DIM_VOLTAGE};
enum { BARE = sizeof bare_dimensions / sizeof bare_dimensions[0] };

/* Units of totals and of heats, as few as names can be trusted to end in. */
static const char *const bare_totals[] = {"m3",  "L",       "litres", "liters",
                                          "gal", "gallons", "kWh",    "MWh",
                                          "Wh",  "MJ",      "GJ",     "kW"};

static const struct unit *find_bare_total(const char *text)
{
    for (size_t i = 0; i < sizeof bare_totals / sizeof bare_totals[0]; i++)
        if (text_same(text, bare_totals[i]))
            return unit_find(text, unit_dimension_of(text));
    return NULL;
}

static const struct unit *find_bare(const char *text)
{
    for (size_t i = 0; i < BARE; i++) {
        const struct unit *unit = unit_find(text, bare_dimensions[i]);
        if (unit != NULL)
            return unit;
    }
    return NULL;
}

/* Between brackets any unit counts, so that kW or bar are known for what they are. */
static const struct unit *find_any(const char *text)
{
    const struct unit *unit = find_bare(text);
    enum dimension dimension = unit == NULL ? unit_dimension_of(text) : DIM_COUNT;
    return dimension == DIM_COUNT ? unit : unit_find(text, dimension);
}

static bool is_raw(const char *text)
{
    for (size_t i = 0; i < sizeof raw_words / sizeof raw_words[0]; i++)
        if (text_same_nocase(raw_words[i], text))
            return true;
    return false;
}

/* "L_min" and "L per min" -> "L/min". */
static void with_slashes(const char *text, char *out)
{
    const char *per = strstr(text, "_per_");
    if (per == NULL)
        per = strstr(text, " per ");
    if (per != NULL) {
        memcpy(out, text, (size_t)(per - text));
        strcpy(out + (per - text), "/");
        strcat(out, per + 5);
        return;
    }
    strcpy(out, text);
    for (char *c = out; *c != '\0'; c++)
        if (*c == '_' || *c == ' ')
            *c = '/';
}

/* A unit holds a letter, a percent or a degree sign: a number is none, and looking it up is dear.
 */
static bool has_letter(const char *text)
{
    for (; *text != '\0'; text++)
        if ((*text >= 'A' && *text <= 'Z') || (*text >= 'a' && *text <= 'z') || *text == '%' ||
            (unsigned char)*text >= 0x80)
            return true;
    return false;
}

static bool take(struct head_unit *found, const char *text, bool bracketed)
{
    char slashed[HEAD_UNIT_SIZE];
    if (strlen(text) >= HEAD_UNIT_SIZE || !has_letter(text))
        return false;
    found->unit = bracketed ? find_any(text) : find_bare(text);
    for (size_t i = 0; found->unit == NULL && i < sizeof forms / sizeof forms[0]; i++)
        if (text_same_nocase(text, forms[i].form))
            found->unit = find_bare(forms[i].unit);
    if (found->unit == NULL) {
        with_slashes(text, slashed);
        found->unit = text_same(text, slashed) ? NULL : find_bare(slashed);
    }
    if (found->unit == NULL)
        found->unit = find_bare_total(text);
    enum dimension dimension = found->unit == NULL ? DIM_COUNT : found->unit->dimension;
    found->raw = found->unit == NULL ? is_raw(text)
                                     : dimension == DIM_VOLTAGE || dimension == DIM_RESISTANCE ||
                                           dimension == DIM_PULSES;
    if (found->unit == NULL && !found->raw)
        return false;
    strcpy(found->text, text);
    return true;
}

/* The bracket that the last one closes: in "sun (BTU/(h ft2))" the first. NULL if there is none. */
static const char *opening(const char *name, const char *to, char open, char close)
{
    int depth = 0;
    for (const char *at = to;; at--) {
        depth += (*at == close) - (*at == open);
        if (depth == 0 || at == name)
            return depth == 0 ? at : NULL;
    }
}

/* The piece between brackets. The rest is what stands on both sides. */
static bool take_brackets(struct head_unit *found, const char *name, char open, char close)
{
    char inside[WORDS_NAME_SIZE];
    const char *to = strrchr(name, close);
    const char *from = to == NULL ? NULL : opening(name, to, open, close);
    if (from == NULL)
        return false;
    memcpy(inside, from + 1, (size_t)(to - from - 1));
    inside[to - from - 1] = '\0';
    if (!take(found, text_trim(inside), true))
        return false;
    memcpy(found->rest, name, (size_t)(from - name));
    found->rest[from - name] = ' ';
    strcpy(found->rest + (from - name) + 1, to + 1);
    return true;
}

static bool starts_degree(const char *at)
{
    static const char *const signs[] = {"\xc2\xb0", "\xc2\xba", "\xcb\x9a", "\xe2\x84\x83",
                                        "\xe2\x84\x89"};
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (text_starts(at, signs[i]))
            return true;
    return false;
}

/* Whether the '/' at `at` stands between a name and its unit ("Flow/gpm"), not within a unit ("UA
 * W/K", "pulses/L"). */
static bool parts_unit(const char *name, const char *at)
{
    char before[WORDS_NAME_SIZE];
    const char *from = at;
    while (from > name && strchr("_ ,", from[-1]) == NULL)
        from--;
    memcpy(before, from, (size_t)(at - from));
    before[at - from] = '\0';
    return unit_dimension_of(before) == DIM_COUNT && !is_raw(before);
}

/* Where a unit may begin at the end of a name: behind a sign that parts, or with a degree sign.
 * Returns: NULL if not here. */
static const char *end_from(const char *name, const char *at)
{
    if (starts_degree(at))
        return at;
    bool parts = strchr("_ ,-", *at) != NULL || (*at == '/' && parts_unit(name, at));
    return parts ? at + 1 : NULL;
}

/* What follows a comma, or one of the last words. */
static bool take_end(struct head_unit *found, const char *name)
{
    char end[WORDS_NAME_SIZE];
    for (const char *at = name; *at != '\0'; at++) {
        const char *from = at == name ? NULL : end_from(name, at);
        if (from == NULL)
            continue;
        strcpy(end, from);
        if (!take(found, text_trim(end), *at == ','))
            continue;
        memcpy(found->rest, name, (size_t)(at - name));
        found->rest[at - name] = '\0';
        return true;
    }
    return false;
}

static bool is_capital(char c)
{
    return c >= 'A' && c <= 'Z';
}

/* A unit from `at` to the name's end; not of an angle: "SolarRad" is no radian. */
static bool take_from(struct head_unit *found, const char *name, const char *at)
{
    enum { LEAST = 3 };
    if (strlen(at) < LEAST || !take(found, at, false) || found->unit == NULL ||
        found->unit->dimension == DIM_ANGLE) {
        memset(found, 0, sizeof *found);
        return false;
    }
    memcpy(found->rest, name, (size_t)(at - name));
    found->rest[at - name] = '\0';
    return true;
}

/* "FlowLPM", "TinDegC": from a capital behind a small letter on; a "k" or "m" before it is of the
 * unit ("SolarkWm2") or may be ("FlowmX"). Not of one or two letters: "InletF" may be the sixth of
 * some. */
static bool take_glued(struct head_unit *found, const char *name)
{
    for (const char *at = name; *at != '\0'; at++) {
        if (at == name || at[-1] < 'a' || at[-1] > 'z' || !is_capital(*at))
            continue;
        bool prefix = at[-1] == 'k' || at[-1] == 'm';
        if (take_from(found, name, prefix ? at - 1 : at))
            return true;
    }
    return false;
}

/* A name that is nothing but a unit, and one of a single channel mostly: "L/min", "W/m2". Others
 * are words as well: "in", "C". */
static bool take_whole(struct head_unit *found, const char *name)
{
    enum { LEAST = 3 };
    if (strlen(name) < LEAST || !take(found, name, false) || found->unit == NULL)
        return false;
    enum dimension dimension = found->unit->dimension;
    return dimension == DIM_VOLUME_FLOW || dimension == DIM_IRRADIANCE ||
           (dimension == DIM_SPEED && strchr(name, '/') != NULL);
}

bool head_unit_is_sure(const struct head_unit *found)
{
    static const enum channel thermometers[] = {CH_AMBIENT, CH_INLET, CH_OUTLET, CH_SKY};
    struct name_words words;
    struct word_claim claims[CH_LOGGED];
    bool lone = found->text[0] != '\0' && found->text[1] == '\0';
    if (found->unit == NULL || (lone && strchr("CcFf", found->text[0]) == NULL))
        return false;
    words_cut(found->rest, &words);
    words_claims(&words, claims);
    for (size_t i = 0; i < sizeof thermometers / sizeof thermometers[0]; i++)
        if (claims[thermometers[i]].weight > 0)
            return true;
    return !lone;
}

void head_unit_of(const char *text, struct head_unit *found)
{
    char copy[WORDS_NAME_SIZE];
    memset(found, 0, sizeof *found);
    if (strlen(text) >= WORDS_NAME_SIZE)
        return;
    strcpy(copy, text);
    char *trimmed = text_trim(copy);
    size_t n = strlen(trimmed);
    bool bracketed =
        n > 2 && strchr("[(", trimmed[0]) != NULL && strchr("])", trimmed[n - 1]) != NULL;
    if (bracketed)
        trimmed[n - 1] = '\0';
    take(found, trimmed + bracketed, true);
}

void head_unit_find(const char *name, struct head_unit *found)
{
    memset(found, 0, sizeof *found);
    if (strlen(name) >= WORDS_NAME_SIZE)
        return;
    if (take_whole(found, name))
        return;
    memset(found, 0, sizeof *found);
    if (take_brackets(found, name, '[', ']') || take_brackets(found, name, '(', ')') ||
        take_end(found, name) || take_glued(found, name))
        return;
    strcpy(found->rest, name);
}
