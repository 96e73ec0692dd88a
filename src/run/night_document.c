/* What the sun sensors show at night: their zero, or that of the logger. */
#include "base/files.h"
#include "domain/error_expand.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

enum { AT_SIZE = 40, FIRST_SIZE = 160 };

/* So small a zero is nothing to act on: a thousandth of full sunshine. */
#define SMALL_W_M2 1.0

static const struct instrument *sensor_of(const struct reduction *r, size_t k)
{
    return instrument_of_channel(r->setup.instruments, r->setup.n_instruments, night_channels[k]);
}

static bool was_found(const struct reduction *r, size_t k)
{
    return r->night.channel[k].found.nights > 0 && sensor_of(r, k) != NULL;
}

/* "log.csv:1042", or the time where logs were joined. */
static const char *first_of(const struct reduction *r, size_t k, char out[FIRST_SIZE])
{
    const struct night_sum *all = &r->night.channel[k].found.all;
    const struct log_account *account = log_set_account(&r->logs, night_channels[k]);
    if (all->place.line > 0 && all->place.file < account->n_files)
        snprintf(out, FIRST_SIZE, "%.120s:%lu", path_base(account->files[all->place.file].path),
                 (unsigned long)all->place.line);
    else
        zone_iso(log_set_zone(&r->logs), all->first_us, out, FIRST_SIZE);
    return out;
}

/* Against what is stated of the sensor's zero. */
static void judge(const struct instrument *sensor, double mean_W_m2, char *out, size_t size)
{
    double most = error_of_zero_most(sensor);
    if (!(most > 0.0))
        snprintf(out, size, "No zero is stated of it.");
    else
        snprintf(out, size, "That is %s the ± %.2g W/m² that %s of its zero.",
                 fabs(mean_W_m2) > most ? "more than" : "within", most,
                 sensor->checked_zero.given                         ? "its check left"
                 : sensor->zero.at.given || sensor->offset.at.given ? "is stated"
                                                                    : "its kind claims");
}

static bool say_zero(const struct reduction *r, size_t k, struct document *doc,
                     struct faults *faults)
{
    const struct night_found *found = &r->night.channel[k].found;
    const struct instrument *sensor = sensor_of(r, k);
    double mean = found->all.mean;
    double most = error_of_zero_most(sensor);
    char value[WORDS_SIZE], first[FIRST_SIZE], number[32], verdict[WORDS_SIZE];
    words_fixed(mean, 1, value, sizeof value);
    words_number(found->all.n, number, sizeof number);
    judge(sensor, mean, verdict, sizeof verdict);
    return document_finding(
        doc, FINDING_CHECKS, fabs(mean) > (most > 0.0 ? most : SMALL_W_M2), faults,
        "%s '%s' shows %s W/m² (mean of %s readings, scatter %.1f, the first %s): its zero%s. %s",
        r->night.placed ? "At night" : "In the dark", sensor->name, value, number,
        night_scatter(&found->all), first_of(r, k, first),
        fabs(mean) < SMALL_W_M2 ? "" : ", which is not taken off", verdict);
}

static bool say_how(const struct reduction *r, size_t k, struct document *doc,
                    struct faults *faults)
{
    const struct night_found *found = &r->night.channel[k].found;
    char from[AT_SIZE], least[WORDS_SIZE], most[WORDS_SIZE];
    bool one = found->nights == 1;
    zone_iso(log_set_zone(&r->logs), found->all.first_us, from, sizeof from);
    words_fixed(found->least, 1, least, sizeof least);
    words_fixed(found->most, 1, most, sizeof most);
    if (!document_finding(doc, FINDING_LOG, false, faults,
                          "The zero of '%s' is that of %s%s, from %s on%s%s%s%s%s.",
                          sensor_of(r, k)->name,
                          r->night.placed ? one ? "one night" : "nights"
                          : one           ? "the darkest hour of one stretch of readings near zero"
                                : "the darkest hour of each stretch of readings near zero",
                          r->night.placed ? " with the sun 6° or more below the horizon" : "", from,
                          one ? "" : ": their means lie between ", one ? "" : least,
                          one ? "" : " and ", one ? "" : most, one ? "" : " W/m²"))
        return false;
    return r->night.placed ||
           document_finding(
               doc, FINDING_LOG, false, faults,
               "Where the sun stood then is not known, since %s: dusk or a cover may be in "
               "it.",
               r->angles_refused ? "place and clock do not fit the sunshine"
               : r->angles.lamp  ? "there is a lamp"
                                 : "the place is not stated");
}

/* By which `add` the readings would be moved to zero, in the unit that the description's `add` is
 * in; NaN where a table or a resistance stands between. */
static double add_for(const struct instrument *sensor, double mean_W_m2)
{
    double gain = sensor->gain.at.given ? sensor->gain.value : 1.0;
    double add = sensor->add.at.given ? sensor->add.value : 0.0;
    if (sensor->signal.kind != SIGNAL_NONE || sensor->unit == NULL)
        return NAN;
    return add - mean_W_m2 / sensor->unit->scale * gain / sensor->gain_value;
}

static double mean_sunshine(const struct reduction *r)
{
    double sum = 0.0;
    for (size_t i = 0; i < r->means.n; i++)
        sum += r->means.items[i].mean[CH_IRRADIANCE];
    return r->means.n > 0 ? sum / (double)r->means.n : NAN;
}

static bool say_cure(const struct reduction *r, size_t k, struct document *doc,
                     struct faults *faults)
{
    const struct night_found *found = &r->night.channel[k].found;
    const struct instrument *sensor = sensor_of(r, k);
    double add = add_for(sensor, found->all.mean);
    double share = 100.0 * fabs(found->all.mean) / mean_sunshine(r);
    char key[NAME_SIZE + WORDS_SIZE] = "", worth[WORDS_SIZE] = "";
    if (fabs(found->all.mean) < SMALL_W_M2)
        return true;
    if (isfinite(add))
        snprintf(key, sizeof key, ", and 'add = %.4g' in [instrument %s] takes it off", add,
                 sensor->name);
    if (isfinite(share) && night_channels[k] == CH_IRRADIANCE)
        snprintf(worth, sizeof worth, " In the windows it is %.2g %% of the sunshine.", share);
    return document_finding(doc, FINDING_LOG, false, faults,
                            "A thermopile reads some W/m² low under a clear night sky, and less so "
                            "by day; what a logger "
                            "adds stays. To tell them apart cover '%s' by day with something "
                            "opaque for five minutes and "
                            "note what it shows: that is wrong by day too%s.%s",
                            sensor->name, key, worth);
}

static bool add_row(const struct reduction *r, size_t k, struct table *table, struct faults *faults)
{
    const struct night_found *found = &r->night.channel[k].found;
    char first[FIRST_SIZE];
    double most = error_of_zero_most(sensor_of(r, k));
    struct cell cells[] = {
        cell_text(channel_row(night_channels[k])->word),
        cell_text(sensor_of(r, k)->column.text),
        cell_number((double)found->nights),
        cell_number((double)found->all.n),
        cell_text(first_of(r, k, first)),
        cell_number(found->all.mean),
        cell_number(night_scatter(&found->all)),
        cell_number(found->least),
        cell_number(found->most),
        cell_number(most > 0.0 ? most : NAN),
    };
    return table_row(table, cells, faults);
}

static bool night_table(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "channel", .label = "channel", .unit = "", .kind = CELL_TEXT},
        {.id = "column", .label = "column", .unit = "", .kind = CELL_TEXT},
        {.id = "nights", .label = "nights", .unit = "", .kind = CELL_NUMBER, .digits = 0},
        {.id = "readings", .label = "readings", .unit = "", .kind = CELL_NUMBER, .digits = 0},
        {.id = "first", .label = "first", .unit = "", .kind = CELL_TEXT},
        {.id = "zero", .label = "zero", .unit = "W/m2", .kind = CELL_NUMBER, .digits = 2},
        {.id = "scatter", .label = "scatter", .unit = "W/m2", .kind = CELL_NUMBER, .digits = 2},
        {.id = "least", .label = "least", .unit = "W/m2", .kind = CELL_NUMBER, .digits = 2},
        {.id = "most", .label = "most", .unit = "W/m2", .kind = CELL_NUMBER, .digits = 2},
        {.id = "stated", .label = "stated ±", .unit = "W/m2", .kind = CELL_NUMBER, .digits = 2},
    };
    struct table *table = document_table(
        doc, "nights", "Zero of the sun sensors at night",
        "Means of readings without sun; least and most are the nights' own means. Nothing of it is "
        "taken off.",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = true;
    table->file = true;
    for (size_t k = 0; k < NIGHT_CHANNELS; k++)
        if (was_found(r, k) && !add_row(r, k, table, faults))
            return false;
    return true;
}

bool reduction_night(const struct reduction *r, struct document *doc, struct faults *faults)
{
    bool any = false;
    if (!r->from_log)
        return true;
    for (size_t k = 0; k < NIGHT_CHANNELS; k++) {
        if (!was_found(r, k))
            continue;
        any = true;
        if (!say_zero(r, k, doc, faults) || !say_how(r, k, doc, faults) ||
            !say_cure(r, k, doc, faults))
            return false;
    }
    return !any || night_table(r, doc, faults);
}
