#include "draft/outside.h"

/* Units in which such numbers are mostly written, the usual one first (common practice). */
static const char *const others[][3] = {
    {"W/m2"},         {"degC", "degF"}, {"L/min", "L/h", "mL/min"},
    {"kg/h", "kg/s"}, {"m/s", "km/h"},  {"deg"},
};

bool outside_is(enum channel channel, double value_si)
{
    const struct channel_row *row = channel_row(channel);
    return !(value_si >= row->least_si && value_si <= row->most_si);
}

/* Another unit in which all numbers are possible; NULL if none of the usual ones is. */
static const struct unit *fitting(const struct measure *measure, const struct guess *guess)
{
    enum dimension dimension = channel_row(guess->channel)->dimension;
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        for (size_t k = 0; k < sizeof others[i] / sizeof others[i][0]; k++) {
            const struct unit *unit =
                others[i][k] == NULL ? NULL : unit_find(others[i][k], dimension);
            if (unit != NULL && unit != guess->unit &&
                !outside_is(guess->channel, unit_absolute(unit, measure->least)) &&
                !outside_is(guess->channel, unit_absolute(unit, measure->most)))
                return unit;
        }
    return NULL;
}

void outside_add(const struct draft_log *log, size_t column, struct text *out)
{
    const struct measure *measure = &log->columns[column].measure;
    const struct guess *guess = &log->columns[column].guess;
    if (measure->outside == 0)
        return;
    const struct channel_row *row = channel_row(guess->channel);
    const struct unit *unit = guess->unit;
    const struct unit *other = fitting(measure, guess);
    text_addf(out, "%zu of the %zu numbers %s impossible in %s", measure->outside, measure->n,
              measure->outside == 1 ? "is" : "are", unit->name);
    if (2 * measure->outside > measure->n && other != NULL)
        text_addf(out, ": are they %s?", other->name);
    else
        text_addf(out, " (%s is between %.4g and %.4g): %s", row->word,
                  (row->least_si - unit->offset) / unit->scale,
                  (row->most_si - unit->offset) / unit->scale,
                  2 * measure->outside > measure->n ? "is the unit another?"
                  : measure->outside == 1           ? "does it mean 'no reading'?"
                                                    : "do they mean 'no reading'?");
}
