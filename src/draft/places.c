#include "draft/places.h"

#include "base/calendar.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Our own figures: what a sun sensor in W/m2 reaches on a day that is fit for a test, what a
 * thermometer on a collector shows in any unit, and the share of sunny rows that must agree. */
#define SUN_LEAST 250.0
#define SUN_MOST 1600.0
#define NIGHT_MOST 20.0
#define COLDEST -60.0
#define HOTTEST 400.0
#define AGREE 0.9

enum { THERMOMETERS_MAX = 8, ROWS_ENOUGH = 10 };

static const double *values(const struct draft_log *log, size_t column)
{
    return log->value + column * log->sample.n_rows;
}

static bool is_open(const struct draft_log *log, size_t column)
{
    const struct draft_column *c = &log->columns[column];
    return c->guess.kind == GUESS_NONE && !c->guess.refused && c->trouble == NULL &&
           !clock_uses(&log->clock, column) && 2 * c->measure.n > log->sample.n_rows &&
           !(c->measure.counts && c->measure.whole);
}

static void take(struct draft_log *log, size_t column, enum channel channel, const char *why)
{
    struct guess *guess = &log->columns[column].guess;
    guess->kind = GUESS_CHANNEL;
    guess->channel = channel;
    guess->by = GUESS_BY_NUMBERS;
    snprintf(guess->why, sizeof guess->why, "its numbers: %s", why);
    if (guess->unit != NULL && guess->unit_text[0] == '\0')
        snprintf(guess->unit_text, sizeof guess->unit_text, "%s", guess->unit->name);
    if (guess->unit != NULL && guess->unit_why[0] == '\0')
        snprintf(guess->unit_why, sizeof guess->unit_why, "the unit in its head");
    log->chosen[channel] = column;
}

/* Local hours from 22 to 4; false without a clock. */
static bool is_night(const struct draft_log *log, size_t row)
{
    struct civil civil;
    if (!log->clock.found || log->clock.in_stamp || log->clock.counts == CLOCK_COUNT_UTC ||
        log->clock.counts == CLOCK_COUNT_START || log->clock.time_us[row] == CLOCK_NONE)
        return false;
    calendar_civil(log->clock.time_us[row], &civil);
    return civil.hour >= 22 || civil.hour < 4;
}

static void settle_sun(struct draft_log *log)
{
    size_t none = log->sample.head.n;
    size_t found = none;
    char why[GUESS_WHY_SIZE / 2];
    if (log->chosen[CH_IRRADIANCE] != none)
        return;
    for (size_t i = 0; i < none; i++) {
        const struct measure *m = &log->columns[i].measure;
        if (!is_open(log, i) || log->columns[i].guess.unit != NULL || m->least < -NIGHT_MOST ||
            m->most < SUN_LEAST || m->most > SUN_MOST)
            continue;
        if (found != none)
            return;
        found = i;
    }
    if (found == none)
        return;
    size_t nights = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double value = values(log, found)[row];
        bool night = is_night(log, row) && !isnan(value);
        if (night && value > NIGHT_MOST)
            return;
        nights += night;
    }
    const struct measure *m = &log->columns[found].measure;
    if (nights > 0)
        snprintf(why, sizeof why, "near 0 at night, up to %g by day", m->most);
    else
        snprintf(why, sizeof why, "from %g to %g, as sunshine in W/m2", m->least, m->most);
    take(log, found, CH_IRRADIANCE, why);
}

static bool is_thermometer(const struct draft_log *log, size_t column)
{
    struct name_words words;
    const struct draft_column *c = &log->columns[column];
    if (!is_open(log, column) || c->measure.least < COLDEST || c->measure.most > HOTTEST)
        return false;
    if (c->guess.unit != NULL)
        return c->guess.unit->dimension == DIM_TEMPERATURE;
    words_cut(log->sample.head.name[column], &words);
    return words_temperature(&words);
}

/* Share of the sunny rows in which column a is warmer than b; NAN with too few of them. */
static double warmer(const struct draft_log *log, size_t a, size_t b)
{
    size_t n = 0, above = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double difference = values(log, a)[row] - values(log, b)[row];
        if (!draft_log_sunny(log, row) || isnan(difference))
            continue;
        n++;
        above += difference > 0.0;
    }
    return n < ROWS_ENOUGH ? NAN : (double)above / (double)n;
}

static double spread(const struct draft_log *log, size_t column)
{
    return log->columns[column].measure.most - log->columns[column].measure.least;
}

/* Of three or more: the one that varies less than half as much as any other. */
static void settle_air(struct draft_log *log, size_t *open, size_t *n)
{
    size_t least = 0;
    char why[GUESS_WHY_SIZE / 2];
    for (size_t i = 1; i < *n; i++)
        least = spread(log, open[i]) < spread(log, open[least]) ? i : least;
    for (size_t i = 0; i < *n; i++)
        if (i != least && spread(log, open[i]) < 2.0 * spread(log, open[least]))
            return;
    snprintf(why, sizeof why, "they vary least, from %g to %g",
             log->columns[open[least]].measure.least, log->columns[open[least]].measure.most);
    take(log, open[least], CH_AMBIENT, why);
    memmove(open + least, open + least + 1, (*n - least - 1) * sizeof *open);
    (*n)--;
}

static void settle_pair(struct draft_log *log, size_t a, size_t b)
{
    double share = warmer(log, a, b);
    size_t hot = share >= AGREE ? a : b;
    size_t cold = share >= AGREE ? b : a;
    char why[GUESS_WHY_SIZE / 2];
    if (isnan(share) || (share < AGREE && share > 1.0 - AGREE))
        return;
    share = share >= AGREE ? share : 1.0 - share;
    snprintf(why, sizeof why, "warmer than '%.32s' in %.0f %% of the sunny rows",
             log->sample.head.name[cold], 100.0 * share);
    take(log, hot, CH_OUTLET, why);
    snprintf(why, sizeof why, "colder than '%.32s' in %.0f %% of the sunny rows",
             log->sample.head.name[hot], 100.0 * share);
    take(log, cold, CH_INLET, why);
}

/* One thermometer of the fluid has a name; is the only other one left its partner? */
static void settle_partner(struct draft_log *log, size_t open)
{
    size_t none = log->sample.head.n;
    bool inlet = log->chosen[CH_INLET] != none;
    size_t named = log->chosen[inlet ? CH_INLET : CH_OUTLET];
    double share = inlet ? warmer(log, open, named) : warmer(log, named, open);
    char why[GUESS_WHY_SIZE / 2];
    if (isnan(share) || share < AGREE)
        return;
    snprintf(why, sizeof why, "%s than '%.32s' in %.0f %% of the sunny rows",
             inlet ? "warmer" : "colder", log->sample.head.name[named], 100.0 * share);
    take(log, open, inlet ? CH_OUTLET : CH_INLET, why);
}

static void settle_thermometers(struct draft_log *log)
{
    size_t none = log->sample.head.n;
    size_t open[THERMOMETERS_MAX];
    size_t n = 0;
    for (size_t i = 0; i < none && n < THERMOMETERS_MAX; i++)
        if (is_thermometer(log, i))
            open[n++] = i;
    bool air = log->chosen[CH_AMBIENT] != none;
    bool inlet = log->chosen[CH_INLET] != none;
    bool outlet = log->chosen[CH_OUTLET] != none;
    if (!air && !inlet && !outlet && n >= 3)
        settle_air(log, open, &n);
    air = log->chosen[CH_AMBIENT] != none;
    if (air && !inlet && !outlet && n == 2)
        settle_pair(log, open[0], open[1]);
    else if (air && inlet != outlet && n == 1)
        settle_partner(log, open[0]);
    else if (!air && inlet && outlet && n == 1)
        take(log, open[0], CH_AMBIENT, "those of the only thermometer left");
}

void places_settle(struct draft_log *log)
{
    settle_sun(log);
    settle_thermometers(log);
}
