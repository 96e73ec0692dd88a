#include "draft/understood.h"

#include "base/calendar.h"
#include "base/files.h"
#include "base/numbers.h"

#include <stdio.h>
#include <string.h>

enum { ROWS_SHOWN = 3, DIGITS = 6 };

/* Without the zeros that end a decimal fraction. */
static const char *number(double value, char out[32])
{
    number_significant(value, DIGITS, out, 32);
    if (strchr(out, '.') == NULL || strchr(out, 'e') != NULL)
        return out;
    size_t n = strlen(out);
    while (out[n - 1] == '0')
        n--;
    n -= out[n - 1] == '.';
    out[n] = '\0';
    return out;
}

static const char *ending(size_t n)
{
    return n == 1 ? "" : "s";
}

static void add_head(const struct draft_log *log, struct text *out)
{
    const struct sample *sample = &log->sample;
    for (size_t i = 0; i < log->n_logs; i++) {
        text_add(out, i > 0 ? ", " : "");
        draft_add_clean(out, path_base(log->logs[i]));
    }
    text_addf(out,
              ": %zu columns, named on line %ld; commas between fields, decimal point.\n"
              "Looked at: %s%zu row%s%s.\n",
              sample->header.n, sample->header.line, sample->more ? "the first " : "all ",
              sample->n_rows, ending(sample->n_rows),
              log->n_logs > 1 ? " of the logs together" : "");
    if (sample->header.converted)
        text_add(out, "The names are not UTF-8 and were read as Windows-1252.\n");
    if (sample->n_bad > 0)
        text_addf(out, "%zu line%s could not be cut into fields (the first is line %ld).\n",
                  sample->n_bad, ending(sample->n_bad), sample->first_bad);
    if (sample->n_wider > 0)
        text_addf(out,
                  "%zu row%s more fields than the header row has names: is the first line a title, "
                  "or is a decimal comma in use?\n",
                  sample->n_wider, sample->n_wider == 1 ? " has" : "s have");
}

static void add_guess(const struct draft_log *log, size_t i, struct text *out)
{
    const struct draft_column *column = &log->columns[i];
    const struct guess *guess = &column->guess;
    const struct clock *clock = &log->clock;
    if (clock_uses(clock, i)) {
        const char *part = clock->n_columns == 1   ? "time"
                           : i == clock->column[0] ? "time, the day"
                                                   : "time, the hour";
        text_addf(out, "%s (guess: its rows read as %s)", part, clock->format);
    } else if (guess->kind == GUESS_CHANNEL) {
        text_addf(out, "%s", channel_row(guess->channel)->word);
        if (guess->unit != NULL)
            text_addf(out, " in %s", guess->unit->name);
        else if (guess->raw)
            text_addf(out, " as a signal in %s: its gain is needed", guess->unit_text);
        else
            text_add(out, ", unit not said");
        text_addf(out, " (guess: %s)", guess->why);
        if (draft_log_rival(log, i)) {
            text_add(out, "; left out: '");
            draft_add_clean(out, log->sample.header.names[log->chosen[guess->channel]]);
            text_addf(out, "' was taken");
        }
    } else {
        text_add(out, "not used");
        if (guess->why[0] != '\0')
            text_addf(out, " (%s)", guess->why);
        if (!clock->found && i == clock->counter)
            text_addf(out, " (it seems to hold %s, which is not read as a time)",
                      clock->counter_is);
    }
    if (column->trouble != NULL)
        text_addf(out, "; cannot be named: %s", column->trouble);
}

static void add_odd(const struct draft_log *log, size_t i, struct text *out)
{
    const struct measure *m = &log->columns[i].measure;
    const struct sample *sample = &log->sample;
    text_addf(out, ", %zu not a number", m->odd);
    if (m->odd == 0)
        return;
    text_add(out, " (the first: '");
    draft_add_clean(out, sample_cell(sample, m->odd_row, i));
    text_addf(out, "' on line %ld%s)", sample->line[m->odd_row],
              m->odd_row < sample->n_first ? "" : " of a later log");
}

static void add_outside(const struct guess *guess, size_t n, struct text *out)
{
    const struct channel_row *row = channel_row(guess->channel);
    if (n > 0)
        text_addf(out,
                  "\n    %zu cannot be: %s is between %g and %g %s; is the unit right, or is it a "
                  "mark for 'no reading'?",
                  n, row->word, row->least_si, row->most_si, dimension_si(row->dimension));
}

static void add_measure(const struct draft_log *log, size_t i, struct text *out)
{
    const struct measure *m = &log->columns[i].measure;
    char first[32], least[32], most[32];
    if (clock_uses(&log->clock, i)) {
        text_add(out, "first '");
        draft_add_clean(out, sample_cell(&log->sample, 0, i));
        text_addf(out, "'; %zu empty", m->missing);
        return;
    }
    if (m->n > 0)
        text_addf(out, "first %s, smallest %s, largest %s; ", number(m->first, first),
                  number(m->least, least), number(m->most, most));
    text_addf(out, "%zu number%s, %zu empty", m->n, ending(m->n), m->missing);
    add_odd(log, i, out);
    add_outside(&log->columns[i].guess, m->outside, out);
}

static void add_columns(const struct draft_log *log, struct text *out)
{
    text_add(out, "\nColumns\n");
    for (size_t i = 0; i < log->sample.header.n; i++) {
        text_addf(out, "%2zu  ", i + 1);
        draft_add_clean(out, log->sample.header.names[i]);
        text_add(out, "\n    ");
        add_guess(log, i, out);
        text_add(out, "\n    ");
        add_measure(log, i, out);
        text_add(out, "\n");
    }
}

static const char *duration(int64_t us, char out[40])
{
    char text[32];
    snprintf(out, 40, "%s s", number((double)us / (double)US_PER_S, text));
    return out;
}

static void add_steps(const struct clock *clock, struct text *out)
{
    char step[40], least[40], most[40];
    if (clock->step_us == 0)
        return;
    text_addf(out, "A row every %s", duration(clock->step_us, step));
    if (clock->least_step_us != clock->most_step_us)
        text_addf(out, " mostly (%s to %s)", duration(clock->least_step_us, least),
                  duration(clock->most_step_us, most));
    text_add(out, ".\n");
    if (clock->n_back > 0)
        text_addf(out, "%zu row%s not later than the row before.\n", clock->n_back,
                  clock->n_back == 1 ? " is" : "s are");
}

static void add_clock(const struct draft_log *log, struct text *out)
{
    const struct clock *clock = &log->clock;
    char stamp[40];
    text_add(out, "\nTime\n");
    if (!clock->found) {
        text_add(out, "No column was recognised as the time. What is read: ISO 8601, or day, month "
                      "and year with hours and minutes, in one column or in two.\n");
        return;
    }
    text_addf(out, "%s reads %zu of %zu stamps.", clock->format, clock->n_read, clock->n_stamps);
    calendar_iso(clock->first_us, 0, stamp, sizeof stamp);
    stamp[strcspn(stamp, "Z")] = '\0';
    text_addf(out, " The first is %s%s.\n", stamp,
              clock->in_stamp ? " in UTC" : " by the logger's clock, whose zone no file tells");
    if (clock->other[0] != '\0')
        text_addf(out,
                  "Day first or month first? No number above 12 tells: %s reads as many. Both "
                  "stand in the description; keep the right one.\n",
                  clock->other);
    add_steps(clock, out);
}

static void add_reading(const struct draft_log *log, size_t row, enum channel channel,
                        struct text *out)
{
    const struct guess *guess = &log->columns[log->chosen[channel]].guess;
    const char *cell = sample_cell(&log->sample, row, log->chosen[channel]);
    double value;
    char si[32];
    text_addf(out, "    %-10s '", channel_row(channel)->word);
    draft_add_clean(out, cell);
    text_addf(out, "'%s%s -> ", guess->unit_text[0] == '\0' ? "" : " ", guess->unit_text);
    if (!number_read(cell, strlen(cell), '.', &value))
        text_add(out, "no reading\n");
    else if (guess->unit == NULL)
        text_addf(out, "needs its %s\n", guess->raw ? "gain" : "unit");
    else
        text_addf(out, "%s %s\n", number(unit_absolute(guess->unit, value), si),
                  dimension_si(channel_row(channel)->dimension));
}

static void add_rows(const struct draft_log *log, struct text *out)
{
    bool any = false;
    for (int ch = 0; ch < CH_LOGGED; ch++)
        any = any || log->chosen[ch] < log->sample.header.n;
    if (!any)
        return;
    text_add(out, "\nThe first rows, as written -> as they will be read\n");
    for (size_t row = 0; row < log->sample.n_rows && row < ROWS_SHOWN; row++) {
        text_addf(out, "  line %ld\n", log->sample.line[row]);
        for (int ch = 0; ch < CH_LOGGED; ch++)
            if (log->chosen[ch] < log->sample.header.n)
                add_reading(log, row, (enum channel)ch, out);
    }
}

void understood_add(const struct draft_log *log, struct text *out)
{
    add_head(log, out);
    add_columns(log, out);
    add_clock(log, out);
    add_rows(log, out);
}
