#include "domain/words.h"

#include "base/text.h"

#include <string.h>

/* Common practice of who names columns, no source. A row with a capital is a symbol and is compared
 * letter for letter; other rows ignore letter case. */
static const struct word_row rows[] = {
    {"diffuse", CH_DIFFUSE, 9},
    {"diffus", CH_DIFFUSE, 9},
    {"Gd", CH_DIFFUSE, 9},
    {"G d", CH_DIFFUSE, 9},
    {"gdiff", CH_DIFFUSE, 9},
    {"G diff", CH_DIFFUSE, 9},
    {"gdif", CH_DIFFUSE, 9},

    {"DHI", CH_LEVEL_DIFFUSE, 9},
    {"diffuse horizontal", CH_LEVEL_DIFFUSE, 19},
    {"GHI", CH_GLOBAL, 9},
    {"horizontal", CH_GLOBAL, 4},
    {"DNI", CH_DIRECT, 9},
    {"direct normal", CH_DIRECT, 9},
    {"pyrheliometer", CH_DIRECT, 9},
    {"azimuth", CH_AZIMUTH, 2},
    {"tilt", CH_TILT, 1},

    {"incidence", CH_INCIDENCE, 9},
    {"AOI", CH_INCIDENCE, 9},
    {"theta", CH_INCIDENCE, 3},
    {"angle", CH_INCIDENCE, 1},

    {"irradiance", CH_IRRADIANCE, 3},
    {"irradiation", CH_IRRADIANCE, 3},
    {"irrad", CH_IRRADIANCE, 3},
    {"irr", CH_IRRADIANCE, 3},
    {"insolation", CH_IRRADIANCE, 3},
    {"pyranometer", CH_IRRADIANCE, 3},
    {"pyrano", CH_IRRADIANCE, 3},
    {"pyr", CH_IRRADIANCE, 3},
    {"radiation", CH_IRRADIANCE, 3},
    {"sunshine", CH_IRRADIANCE, 3},
    {"global tilted", CH_IRRADIANCE, 3},
    {"global", CH_IRRADIANCE, 2},
    {"slrw", CH_IRRADIANCE, 3},
    {"in plane", CH_IRRADIANCE, 2},
    {"POA", CH_IRRADIANCE, 3},
    {"GTI", CH_IRRADIANCE, 3},
    {"G", CH_IRRADIANCE, 2},
    {"sun", CH_IRRADIANCE, 1},
    {"solar", CH_IRRADIANCE, 1},

    {"sky temperature", CH_SKY, 9},
    {"tsky", CH_SKY, 9},
    {"pyrgeometer", CH_LONGWAVE, 9},
    {"longwave", CH_LONGWAVE, 9},

    {"wind", CH_WIND, 3},
    {"windspeed", CH_WIND, 3},
    {"anemometer", CH_WIND, 3},
    {"ws", CH_WIND, 3},

    {"flow", CH_FLOW, 2},
    {"flowrate", CH_FLOW, 2},
    {"flowmeter", CH_FLOW, 2},
    {"vfr", CH_FLOW, 3},
    {"volume flow", CH_FLOW, 3},
    {"pulse", CH_FLOW, 1},
    {"pulses", CH_FLOW, 1},
    {"counter", CH_FLOW, 1},
    {"total", CH_FLOW, 1},
    {"volume", CH_FLOW, 1},
    {"water meter", CH_FLOW, 2},
    {"mass flow", CH_MASS_FLOW, 5},
    {"massflow", CH_MASS_FLOW, 5},
    {"mdot", CH_MASS_FLOW, 5},

    {"heat meter", CH_METERED, 3},
    {"heatmeter", CH_METERED, 3},
    {"heat", CH_METERED, 2},
    {"energy", CH_METERED, 2},
    {"power", CH_METERED, 1},
    {"yield", CH_METERED, 1},

    {"ambient", CH_AMBIENT, 3},
    {"amb", CH_AMBIENT, 3},
    {"tamb", CH_AMBIENT, 3},
    {"tair", CH_AMBIENT, 3},
    {"outside", CH_AMBIENT, 2},
    {"outdoor", CH_AMBIENT, 2},
    {"air", CH_AMBIENT, 2},
    {"Ta", CH_AMBIENT, 2},
    {"t a", CH_AMBIENT, 2},

    {"outlet", CH_OUTLET, 3},
    {"tout", CH_OUTLET, 3},
    {"To", CH_OUTLET, 2},
    {"t o", CH_OUTLET, 2},
    {"return", CH_OUTLET, 2},
    {"hot", CH_OUTLET, 1},
    {"out", CH_OUTLET, 1},

    {"inlet", CH_INLET, 3},
    {"tin", CH_INLET, 3},
    {"Ti", CH_INLET, 2},
    {"t i", CH_INLET, 2},
    {"supply", CH_INLET, 2},
    {"cold", CH_INLET, 1},
    {"in", CH_INLET, 1},
};

static const char *const refusals[] = {
    "battery", "batt",      "logger",  "board",    "cpu",      "junction",   "setpoint",
    "tank",    "store",     "storage", "room",     "ground",
    "std",     "stdev",     "sd",      "max",      "maximum",  "min",        "minimum",
    "dir",     "direction", "gust",    "pressure", "humidity", "rh",         "heater",
};

static const char *const temperature_words[] = {"t", "temp", "temperature", "thermometer", "tc"};

enum letter_kind { NEITHER, DIGIT, SMALL, CAPITAL };

static enum letter_kind kind_of(char c)
{
    if (c >= '0' && c <= '9')
        return DIGIT;
    if (c >= 'a' && c <= 'z')
        return SMALL;
    if (c >= 'A' && c <= 'Z')
        return CAPITAL;
    return NEITHER;
}

static bool parts(const char *name, size_t i)
{
    enum letter_kind before = i == 0 ? NEITHER : kind_of(name[i - 1]);
    enum letter_kind here = kind_of(name[i]);
    if (before == NEITHER || (before == DIGIT) != (here == DIGIT))
        return true;
    if (here != CAPITAL)
        return false;
    return before == SMALL || kind_of(name[i + 1]) == SMALL;
}

void words_cut(const char *name, struct name_words *words)
{
    size_t n = strlen(name);
    char *to = words->bytes;
    words->n = 0;
    if (n >= WORDS_NAME_SIZE)
        return;
    for (size_t i = 0; i < n; i++) {
        if (kind_of(name[i]) == NEITHER)
            continue;
        if (parts(name, i)) {
            if (words->n == WORDS_MAX)
                break;
            if (words->n > 0)
                *to++ = '\0';
            words->word[words->n++] = to;
        }
        *to++ = name[i];
    }
    *to = '\0';
}

bool words_any(const char *name, const char *const *words, size_t n)
{
    struct name_words cut;
    words_cut(name, &cut);
    for (size_t i = 0; i < cut.n; i++)
        for (size_t k = 0; k < n; k++)
            if (text_same_nocase(cut.word[i], words[k]))
                return true;
    return false;
}

const struct word_row *words_table(size_t *n)
{
    *n = sizeof rows / sizeof rows[0];
    return rows;
}

static bool has_capital(const char *string)
{
    for (; *string != '\0'; string++)
        if (kind_of(*string) == CAPITAL)
            return true;
    return false;
}

/* Whether the row's words stand from word `from` on. */
static bool stands_at(const struct word_row *row, const struct name_words *words, size_t from)
{
    bool exact = has_capital(row->words);
    const char *at = row->words;
    for (size_t i = from; *at != '\0'; i++) {
        size_t n = strcspn(at, " ");
        char one[WORDS_NAME_SIZE];
        if (i >= words->n)
            return false;
        memcpy(one, at, n);
        one[n] = '\0';
        if (!(exact ? text_same(one, words->word[i]) : text_same_nocase(one, words->word[i])))
            return false;
        at += n;
        at += *at == ' ';
    }
    return true;
}

void words_claims(const struct name_words *words, struct word_claim claims[CH_LOGGED])
{
    memset(claims, 0, CH_LOGGED * sizeof *claims);
    int heaviest[CH_LOGGED] = {0};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        for (size_t i = 0; i < words->n; i++) {
            struct word_claim *claim = &claims[rows[r].channel];
            if (!stands_at(&rows[r], words, i))
                continue;
            claim->weight += rows[r].weight;
            if (rows[r].weight > heaviest[rows[r].channel]) {
                heaviest[rows[r].channel] = rows[r].weight;
                claim->words = rows[r].words;
            }
            break;
        }
    }
}

static const char *find_any(const struct name_words *words, const char *const *list, size_t n)
{
    for (size_t i = 0; i < words->n; i++)
        for (size_t k = 0; k < n; k++)
            if (text_same_nocase(words->word[i], list[k]))
                return list[k];
    return NULL;
}

const char *words_refusal(const struct name_words *words)
{
    return find_any(words, refusals, sizeof refusals / sizeof refusals[0]);
}

const char *words_electric(const struct name_words *words)
{
    static const char *const list[] = {"pump",  "electric", "electrical", "electricity", "elec",
                                       "mains", "grid",     "pv",         "inverter"};
    return find_any(words, list, sizeof list / sizeof list[0]);
}

bool words_pulses(const struct name_words *words)
{
    static const char *const list[] = {"pulse", "pulses", "counter", "counts", "ticks"};
    return find_any(words, list, sizeof list / sizeof list[0]) != NULL;
}

bool words_temperature(const struct name_words *words)
{
    return find_any(words, temperature_words,
                    sizeof temperature_words / sizeof temperature_words[0]) != NULL;
}
