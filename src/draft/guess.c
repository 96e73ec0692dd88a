#include "draft/guess.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/* When two channels are spoken for equally, the one named first here: "in" is the weakest word. */
static const enum channel order[CH_LOGGED] = {CH_DIFFUSE,   CH_INCIDENCE, CH_IRRADIANCE, CH_WIND,
                                              CH_FLOW,      CH_AMBIENT,   CH_OUTLET,     CH_INLET,
                                              CH_MASS_FLOW, CH_SKY,       CH_LONGWAVE,   CH_DIRECT,
                                              CH_GLOBAL,    CH_LEVEL_DIFFUSE,
                                              CH_TILT,      CH_AZIMUTH,   CH_METERED};

static const char *const usual_units[CH_LOGGED] = {
    [CH_IRRADIANCE] = "W/m2", [CH_AMBIENT] = "degC", [CH_INLET] = "degC",    [CH_OUTLET] = "degC",
    [CH_FLOW] = "L/min",      [CH_WIND] = "m/s",     [CH_DIFFUSE] = "W/m2",  [CH_INCIDENCE] = "deg",
    [CH_MASS_FLOW] = "kg/h",  [CH_SKY] = "degC",     [CH_LONGWAVE] = "W/m2",
    [CH_DIRECT] = "W/m2",     [CH_GLOBAL] = "W/m2",  [CH_LEVEL_DIFFUSE] = "W/m2",
    [CH_TILT] = "deg",        [CH_AZIMUTH] = "deg",  [CH_METERED] = "kW",
};

const struct unit *guess_usual_unit(enum channel channel)
{
    return unit_find(usual_units[channel], channel_row(channel)->dimension);
}

static bool suits(enum channel channel, const struct unit *unit)
{
    return channel_row(channel)->dimension == unit->dimension ||
           (channel == CH_FLOW && unit->dimension == DIM_VOLUME) ||
           (channel == CH_METERED && unit->dimension == DIM_ENERGY);
}

/* Heat and power are words of many things: they say a heat meter only with a unit of theirs, and
 * "solar power" is somebody's word for sunshine. */
static bool says_heat(const struct word_claim claims[CH_LOGGED], const struct unit *unit)
{
    return unit != NULL && (unit->dimension == DIM_ENERGY ||
                            claims[CH_METERED].weight > claims[CH_IRRADIANCE].weight);
}

/* The heaviest claim among the channels that the unit, or the word "temperature", leaves.
 * Returns: CH_COUNT if there is none. */
static enum channel heaviest(const struct word_claim claims[CH_LOGGED], const struct unit *unit,
                             bool temperature)
{
    enum channel best = CH_COUNT;
    for (size_t i = 0; i < CH_LOGGED; i++) {
        enum channel channel = order[i];
        if (claims[channel].weight == 0 || (unit != NULL && !suits(channel, unit)) ||
            (channel == CH_METERED && !says_heat(claims, unit)))
            continue;
        if (temperature && channel_row(channel)->dimension != DIM_TEMPERATURE)
            continue;
        if (best == CH_COUNT || claims[channel].weight > claims[best].weight)
            best = channel;
    }
    return best;
}

/* W/m2, L/min, m/s, kg/h and kWh are each of one channel mostly; a temperature may be anything's.
 */
static enum channel by_unit(const struct unit *unit)
{
    static const enum channel channels[] = {CH_IRRADIANCE, CH_FLOW, CH_WIND, CH_MASS_FLOW};
    for (size_t i = 0; i < sizeof channels / sizeof channels[0]; i++)
        if (unit != NULL && channel_row(channels[i])->dimension == unit->dimension)
            return channels[i];
    return unit != NULL && unit->dimension == DIM_ENERGY ? CH_METERED : CH_COUNT;
}

static void say_why(struct guess *guess, const char *words)
{
    const char *glue = words != NULL && guess->unit_text[0] != '\0' ? " and " : "";
    size_t n = 0;
    if (words != NULL)
        n = (size_t)snprintf(guess->why, sizeof guess->why, "the word '%s'", words);
    if (guess->unit_text[0] != '\0')
        snprintf(guess->why + n, sizeof guess->why - n, "%sthe unit '%s'", glue, guess->unit_text);
    guess->by = words == NULL ? GUESS_BY_UNIT : GUESS_BY_WORD;
}

static void refuse_unit(struct guess *guess, const char *words, const struct unit *unit)
{
    enum dimension wanted = channel_row(guess->channel)->dimension;
    guess->kind = GUESS_OTHER_UNIT;
    snprintf(guess->why, sizeof guess->why,
             "the word '%s' says %s, but '%s' is a unit of %s, not of %s (%s)", words,
             channel_row(guess->channel)->word, guess->unit_text, dimension_name(unit->dimension),
             dimension_name(wanted), dimension_examples(wanted));
}

/* "deg" alone says neither Celsius nor Fahrenheit: then the unit is not said. */
static bool bare_degrees(const struct head_unit *head, const struct name_words *words)
{
    return head->unit != NULL && head->unit->dimension == DIM_ANGLE && words_temperature(words);
}

/* The name's own unit counts; the units row must not say another. */
static void join_units(const char *name, const char *unit_row, struct head_unit *head,
                       struct guess *guess)
{
    struct head_unit row;
    head_unit_find(name, head);
    head_unit_of(unit_row, &row);
    if (row.text[0] == '\0')
        return;
    if (head->text[0] == '\0') {
        head->unit = row.unit;
        head->raw = row.raw;
        strcpy(head->text, row.text);
        snprintf(guess->unit_why, sizeof guess->unit_why, "'%s' in the units row", row.text);
    } else if (head->unit != row.unit || head->raw != row.raw) {
        snprintf(guess->unit_ask, sizeof guess->unit_ask,
                 "its name says '%s', the units row says '%s': which is right?", head->text,
                 row.text);
        head->unit = NULL;
        head->raw = false;
        head->text[0] = '\0';
    }
}

/* "pulses", "counter" of a flow meter, with or without a unit at the end. */
static void find_pulses(const struct head_unit *head, const struct name_words *words,
                        struct guess *guess)
{
    const struct unit *said = head->text[0] == '\0' ? NULL : unit_find(head->text, DIM_PULSES);
    bool word = head->text[0] == '\0' && words_pulses(words);
    if (guess->channel != CH_FLOW || !(said != NULL || word))
        return;
    guess->raw = true;
    guess->pulses = said != NULL ? said : unit_find("pulses", DIM_PULSES);
    if (guess->unit_text[0] == '\0')
        strcpy(guess->unit_text, "pulses");
}

/* "ms" behind a word of the wind is m/s; elsewhere it is rather milliseconds. */
static const struct unit *find_wind_unit(const struct name_words *words, struct guess *guess)
{
    if (guess->channel != CH_WIND || guess->unit_text[0] != '\0' || guess->raw || words->n < 2 ||
        !text_same_nocase(words->word[words->n - 1], "ms"))
        return NULL;
    strcpy(guess->unit_text, "ms");
    return unit_find("m/s", DIM_SPEED);
}

static void take_channel(struct guess *guess, const struct unit *unit, const char *words)
{
    guess->kind = GUESS_CHANNEL;
    guess->unit = unit;
    say_why(guess, words);
    if (guess->unit_why[0] == '\0' && guess->unit_text[0] != '\0')
        snprintf(guess->unit_why, sizeof guess->unit_why, "'%s' in the column's name",
                 guess->unit_text);
}

/* "T_in_L" is the left one: a volume counts where a word speaks of a flow or of its total. */
static bool bare_letter(const struct head_unit *head, const struct word_claim claims[CH_LOGGED])
{
    return head->unit != NULL && head->unit->dimension == DIM_VOLUME &&
           text_same(head->text, "L") && claims[CH_FLOW].weight == 0;
}

static void guess_words(const struct name_words *words, const struct head_unit *head,
                        struct guess *guess)
{
    struct word_claim claims[CH_LOGGED];
    words_claims(words, claims);
    bool unsaid = head->raw || bare_degrees(head, words) || bare_letter(head, claims);
    const struct unit *unit = unsaid ? NULL : head->unit;
    if (unit != NULL || head->raw)
        strcpy(guess->unit_text, head->text);
    guess->raw = head->raw;
    guess->channel = heaviest(claims, unit, unit == NULL && words_temperature(words));
    if (guess->channel != CH_COUNT) {
        if (unit == NULL && guess->unit_ask[0] == '\0')
            unit = find_wind_unit(words, guess);
        take_channel(guess, unit, claims[guess->channel].words);
        find_pulses(head, words, guess);
        return;
    }
    guess->channel = by_unit(unit);
    if (guess->channel != CH_COUNT) {
        take_channel(guess, unit, NULL);
        return;
    }
    guess->channel = unit == NULL ? CH_COUNT : heaviest(claims, NULL, false);
    if (guess->channel != CH_COUNT)
        refuse_unit(guess, claims[guess->channel].words, unit);
    else
        guess->unit = unit; /* a thermometer of unknown place */
}

void guess_column(const char *name, const char *unit_row, struct guess *guess)
{
    struct head_unit head;
    struct name_words words;
    memset(guess, 0, sizeof *guess);
    guess->channel = CH_COUNT;
    join_units(name, unit_row, &head, guess);
    words_cut(head.rest, &words);
    const char *refusal = words_refusal(&words);
    bool heat = head.unit != NULL &&
                (head.unit->dimension == DIM_ENERGY || head.unit->dimension == DIM_POWER);
    const char *electric = heat ? words_electric(&words) : NULL;
    if (refusal == NULL && electric == NULL) {
        guess_words(&words, &head, guess);
        return;
    }
    guess->refused = true;
    snprintf(guess->why, sizeof guess->why, "'%s' is none of the collector's readings",
             refusal != NULL ? refusal : electric);
}

bool guess_is_total(const struct guess *guess)
{
    return guess->unit != NULL &&
           (guess->unit->dimension == DIM_VOLUME || guess->unit->dimension == DIM_ENERGY);
}
