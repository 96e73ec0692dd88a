#include "draft/describe.h"

#include "domain/instrument_kind.h"
#include "draft/describe_line.h"
#include "draft/outside.h"
#include "draft/people.h"

#include <stdio.h>
#include <string.h>

/* Names told where a column is asked for. */
enum { PERHAPS = 4 };

/* What a person needs to know about stating a channel's gain and error. */
static const struct {
    const char *gain;        /* how to find it, for a signal */
    const char *calibration; /* an example that is accepted */
} lessons[CH_LOGGED] = {
    [CH_IRRADIANCE] =
        {"W/m2 for one unit of the signal; 12.3 uV per W/m2 give 1000/12.3 = 81.3 per mV",
         "1.2 % k=2"},
    [CH_DIFFUSE] =
        {"W/m2 for one unit of the signal; 12.3 uV per W/m2 give 1000/12.3 = 81.3 per mV",
         "4 % k=2"},
    [CH_AMBIENT] = {"degC for one unit of the signal; with an offset also 'add'", "0.3 K k=2"},
    [CH_INLET] = {"degC for one unit of the signal; with an offset also 'add'", "0.1 K k=2"},
    [CH_OUTLET] = {"degC for one unit of the signal; with an offset also 'add'", "0.1 K k=2"},
    [CH_FLOW] = {"L/min for one unit of the signal; at 450 pulses a litre 1 Hz is 60/450 = 0.1333",
                 "1 % k=2"},
    [CH_WIND] = {"m/s for one unit of the signal; with an offset also 'add'", "0.3 m/s limit"},
    [CH_INCIDENCE] = {"degrees for one unit of the signal; with an offset also 'add'",
                      "1 deg limit"},
    [CH_MASS_FLOW] = {"kg/h for one unit of the signal; with an offset also 'add'", "1 % k=2"},
    [CH_SKY] = {"degC for one unit of the signal; with an offset also 'add'", "3 K limit"},
    [CH_LONGWAVE] = {"W/m2 for one unit of the signal, its own radiation added", "5 % limit"},
    [CH_DIRECT] = {"W/m2 for one unit of the signal", "1 % k=2"},
    [CH_GLOBAL] = {"W/m2 for one unit of the signal", "2 % k=2"},
    [CH_LEVEL_DIFFUSE] = {"W/m2 for one unit of the signal, times the shade's correction",
                          "4 % k=2"},
    [CH_TILT] = {"degrees for one unit of the signal; with an offset also 'add'", "1 deg limit"},
    [CH_AZIMUTH] = {"degrees for one unit of the signal, clockwise from north; with an offset "
                    "also 'add'",
                    "2 deg limit"},
    [CH_METERED] = {"kW for one unit of the signal; with an offset also 'add'", "3 % limit"},
};
static const char *const gain_examples[CH_LOGGED] = {
    [CH_IRRADIANCE] = "81.3", [CH_DIFFUSE] = "81.3", [CH_AMBIENT] = "0.1",   [CH_INLET] = "0.1",
    [CH_OUTLET] = "0.1",      [CH_FLOW] = "0.1333",  [CH_WIND] = "0.75",     [CH_INCIDENCE] = "1",
    [CH_MASS_FLOW] = "10",    [CH_SKY] = "0.1",      [CH_LONGWAVE] = "81.3",
    [CH_DIRECT] = "81.3",     [CH_GLOBAL] = "81.3",  [CH_LEVEL_DIFFUSE] = "81.3",
    [CH_TILT] = "1",          [CH_AZIMUTH] = "1",    [CH_METERED] = "0.001",
};

/* Two units are possible: the lines to choose from. */
static void add_unit_asked(const struct guess *guess, struct text *out)
{
    char remark[GUESS_ASK_SIZE + 40];
    snprintf(remark, sizeof remark, "%s", guess->unit_ask);
    describe_line(out, "unit", "", FILL_IN, remark);
}

static void add_pulses(const struct guess *guess, struct text *out)
{
    char remark[GUESS_WHY_SIZE];
    snprintf(remark, sizeof remark, "%s",
             guess->unit_why[0] != '\0' ? guess->unit_why : "a word in its name");
    describe_line(out, "unit", guess->pulses->name, "# guess: ", remark);
    text_add(out, "# A counter that only rises: pulses; what came since the row before: pulses per "
                  "interval\n# (each row must hold all of them: a log that was thinned or averaged "
                  "has lost the others);\n# a frequency: Hz.\n");
    describe_line(out, "litres per pulse", "", FILL_IN,
                  "of the meter's data sheet or a bucket, such as 0.0022 L");
}

/* A thermometer in ohm: most are of platinum. */
static void add_resistance(const struct unit *unit, struct text *out)
{
    describe_line(out, "unit", unit->name, "# guess: ", "it ends the column's name");
    describe_line(out, "resistance", "", FILL_IN,
                  "Pt100 (108 ohm at 20 degC) or Pt1000 (1078 ohm)");
    describe_line(out, "# lead", "0.4 ohm", "# ",
                  "an example: both leads of a sensor with two wires");
    text_add(out,
             "# A thermistor instead: unit = degC, and a 'calibration table' of ohm and degC.\n");
}

/* A unit that was found, and what its name may mean besides. */
static void add_unit_found(const struct guess *guess, struct text *out)
{
    describe_line(out, "unit", guess->unit->name, "# guess: ", guess->unit_why);
    if (unit_note(guess->unit) != NULL)
        text_addf(out, "# %s.\n", unit_note(guess->unit));
    if (guess->step[0] != '\0')
        describe_line(out, "resolution", guess->step, "# guess: ", guess->step_why);
}

static void add_unit(const struct guess *guess, struct text *out)
{
    char remark[GUESS_WHY_SIZE + 80];
    enum channel channel = guess->channel;
    const struct unit *usual = guess_usual_unit(channel);
    if (guess->unit != NULL) {
        add_unit_found(guess, out);
    } else if (guess->pulses != NULL) {
        add_pulses(guess, out);
    } else if (guess->raw && channel_row(channel)->dimension == DIM_TEMPERATURE &&
               unit_find(guess->unit_text, DIM_RESISTANCE) != NULL) {
        add_resistance(unit_find(guess->unit_text, DIM_RESISTANCE), out);
    } else if (guess->raw) {
        describe_line(out, "unit", usual->name, "# ", "of gain * number + add");
        describe_line(out, "gain", "", FILL_IN, lessons[channel].gain);
        describe_line(out, "# gain", gain_examples[channel], "# ", "an example");
        text_add(
            out,
            "# Or a 'calibration table' of the log's number and the value, instead of a gain.\n");
    } else if (guess->unit_ask[0] != '\0') {
        add_unit_asked(guess, out);
    } else {
        snprintf(remark, sizeof remark, "the column's name does not say it; such as %s",
                 dimension_examples(channel_row(channel)->dimension));
        describe_line(out, "unit", "", FILL_IN, remark);
    }
}

/* Other columns that claim the same channel, as lines to swap in. */
static void add_rivals(const struct draft_log *log, enum channel channel, struct text *out)
{
    for (size_t i = 0; i < log->sample.head.n; i++) {
        const struct guess *guess = &log->columns[i].guess;
        if (!draft_log_rival(log, i) || guess->channel != channel)
            continue;
        describe_line(out, "# column", log->sample.head.name[i],
                      "# guess: ", "this one claims it too; keep one of them");
        if (guess->unit != NULL)
            describe_line(out, "# unit", guess->unit->name, "# ", "of that column");
        else if (guess->raw)
            describe_line(out, "# unit", guess_usual_unit(channel)->name, "# ",
                          "of that column, which holds a signal: it needs a gain");
    }
}

static void add_kinds(enum channel channel, struct text *out)
{
    for (size_t i = 0; i < instrument_kinds_n; i++)
        if (kind_measures(&instrument_kinds[i], channel))
            describe_line(out, "# kind", instrument_kinds[i].name, "# ", instrument_kinds[i].help);
}

/* The list of thermometers is long and stands once. */
void describe_errors(enum channel channel, bool *thermometers_listed, struct text *out)
{
    bool thermometer = channel == CH_INLET || channel == CH_OUTLET || channel == CH_AMBIENT;
    text_add(out,
             "# Without an error here the band is too narrow. State the certificate's figure, or\n"
             "# take the '#' off the kind that it is:\n");
    describe_line(out, "# calibration", lessons[channel].calibration, "# ",
                  "an example, not this instrument's figure");
    if (!thermometer || !*thermometers_listed) {
        add_kinds(channel, out);
    } else {
        if (channel == CH_AMBIENT)
            describe_line(out, "# kind", "shaded air thermometer", "# ", "or another thermometer");
        text_addf(out, "# kind        = one of those listed above for a thermometer\n");
    }
    *thermometers_listed = *thermometers_listed || thermometer;
    if (channel == CH_OUTLET)
        text_add(
            out,
            "# Calibrated together with the inlet's in one bucket? That is the cheapest gain:\n"
            "# matched to  = inlet\n"
            "# pair        = 0.03 K standard\n");
}

static void add_found(const struct draft_log *log, enum channel channel, struct text *out)
{
    size_t column = log->chosen[channel];
    const struct guess *guess = &log->columns[column].guess;
    describe_line(out, "column", log->sample.head.name[column], "# guess: ", guess->why);
    add_rivals(log, channel, out);
    add_unit(guess, out);
    if (log->columns[column].measure.outside > 0) {
        text_add(out, "# ");
        outside_add(log, column, out);
        text_add(out, "\n");
    }
}

/* Columns whose name says the channel and yet cannot be used, with the reason. */
static void add_why_not(const struct draft_log *log, enum channel channel, struct text *out)
{
    for (size_t i = 0; i < log->sample.head.n; i++) {
        const struct draft_column *column = &log->columns[i];
        const char *why = column->trouble != NULL ? column->trouble : column->guess.why;
        if (column->guess.channel != channel ||
            (column->trouble == NULL && column->guess.kind != GUESS_OTHER_UNIT))
            continue;
        text_add(out, "# The column '");
        draft_add_clean(out, log->sample.head.name[i]);
        text_addf(out, "' is not used: %s.\n", why);
    }
}

static bool is_left(const struct draft_log *log, size_t i)
{
    return log->columns[i].guess.kind == GUESS_NONE && !clock_uses(&log->clock, i) &&
           log->columns[i].trouble == NULL;
}

/* Columns that nothing is known of: one of them may be what is absent. */
static void add_perhaps(const struct draft_log *log, struct text *out)
{
    size_t n = 0;
    for (size_t i = 0; i < log->sample.head.n && n < PERHAPS; i++) {
        if (!is_left(log, i) || log->columns[i].guess.refused || log->columns[i].measure.n == 0 ||
            head_rows_time_word(log->sample.head.name[i]))
            continue;
        text_add(out, n++ == 0 ? "; perhaps '" : "', '");
        draft_add_clean(out, log->sample.head.name[i]);
    }
    text_add(out, n > 0 ? "'" : "");
}

static void add_absent(const struct draft_log *log, enum channel channel, struct text *out)
{
    char remark[160];
    struct text name = {0};
    add_why_not(log, channel, out);
    text_addf(&name, "no column was recognised as %s", channel_row(channel)->label);
    add_perhaps(log, &name);
    text_add(&name, "; as in the log, letter for letter");
    describe_line(out, "column", "", FILL_IN, text_string(&name));
    text_fail_with(out, &name);
    text_free(&name);
    snprintf(remark, sizeof remark, "such as %s",
             dimension_examples(channel_row(channel)->dimension));
    describe_line(out, "unit", "", FILL_IN, remark);
}

/* Columns that were not recognised: one of them may be what is absent. */
static void add_left(const struct draft_log *log, struct text *out)
{
    size_t n = 0;
    for (size_t i = 0; i < log->sample.head.n; i++) {
        if (!is_left(log, i))
            continue;
        text_add(out, n++ == 0 ? "\n# Columns that are not used: " : "; ");
        draft_add_clean(out, log->sample.head.name[i]);
    }
    text_add(out, n > 0 ? "\n" : "");
}

void describe_instruments(const struct draft_log *log, struct text *out)
{
    bool thermometers_listed = false;
    add_left(log, out);
    for (int ch = 0; ch < CH_LOGGED; ch++) {
        enum channel channel = (enum channel)ch;
        bool found = log->chosen[ch] < log->sample.head.n;
        bool other = channel == CH_FLOW && (log->chosen[CH_MASS_FLOW] < log->sample.head.n ||
                                            log->chosen[CH_METERED] < log->sample.head.n);
        if (!found && (other || !channel_row(channel)->needed))
            continue;
        text_addf(out, "\n[instrument %s]\n", draft_instrument_name(channel));
        describe_line(out, "measures", channel_row(channel)->word, "# ",
                      channel_row(channel)->label);
        if (found)
            add_found(log, channel, out);
        else
            add_absent(log, channel, out);
        describe_errors(channel, &thermometers_listed, out);
    }
}
