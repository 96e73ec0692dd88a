#include "draft/understood.h"

#include "base/calendar.h"
#include "base/files.h"
#include "base/numbers.h"
#include "draft/clock_form.h"
#include "draft/clock_miss.h"
#include "draft/outside.h"
#include "draft/people.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROWS_SHOWN = 3 };

static const char *ending(size_t n)
{
    return n == 1 ? "" : "s";
}

static void add_names_line(const struct sample *sample, struct text *out)
{
    const struct head_rows *head = &sample->head;
    if (head->none)
        text_addf(out, "%zu columns without names, called by number", head->n);
    else
        text_addf(out, "%zu columns, named on line %ld", head->n, head->line);
    if (head->unit != NULL)
        text_addf(out, ", units on line %ld", head->unit_line);
    if (head->n_above > 0)
        text_addf(out, "; above the names %zu line%s of something else", head->n_above,
                  ending(head->n_above));
    size_t other = head->none ? 0 : head->n_below - (head->unit != NULL);
    if (other > 0)
        text_addf(out, "; below them %zu line%s without readings", other, ending(other));
    text_addf(out, ".\nBetween the fields: %s. Decimal sign: %s%s.\n",
              dialect_separator_word(sample->dialect.separator),
              dialect_decimal_word(sample->dialect.decimal),
              sample->dialect.n_decimals > 0 ? "" : " (no number has one)");
}

static void add_head(const struct draft_log *log, struct text *out)
{
    const struct sample *sample = &log->sample;
    for (size_t i = 0; i < log->n_logs; i++) {
        text_add(out, i > 0 ? ", " : "");
        draft_add_clean(out, path_base(log->logs[i]));
    }
    text_add(out, ": ");
    add_names_line(sample, out);
    text_addf(out, "Looked at: %s%zu row%s%s%s.\n", sample->more ? "" : "all ", sample->n_rows,
              ending(sample->n_rows), log->n_logs > 1 ? " of the logs together" : "",
              sample->more ? " of beginning, middle and end" : "");
    if (sample->converted)
        text_add(out, "Some text is not UTF-8 and was read as Windows-1252.\n");
    if (sample->n_heads_again > 0)
        text_addf(out, "The names stand %zu time%s more between the rows, as after a power-up.\n",
                  sample->n_heads_again, ending(sample->n_heads_again));
    if (sample->n_bad > 0 && sample->first_bad > 0)
        text_addf(out, "%zu line%s could not be cut into fields (the first is line %ld).\n",
                  sample->n_bad, ending(sample->n_bad), sample->first_bad);
    else if (sample->n_bad > 0)
        text_addf(out, "%zu line%s could not be cut into fields.\n", sample->n_bad,
                  ending(sample->n_bad));
    if (sample->n_wider > 0)
        text_addf(out, "%zu row%s more fields than there are names.\n", sample->n_wider,
                  sample->n_wider == 1 ? " has" : "s have");
}

/* Of a signal: a thermometer in ohm needs no gain. */
static const char *raw_needs(const struct guess *guess)
{
    return unit_find(guess->unit_text, DIM_RESISTANCE) != NULL ? "kind" : "gain";
}

static void add_guess(const struct draft_log *log, size_t i, struct text *out)
{
    const struct draft_column *column = &log->columns[i];
    const struct guess *guess = &column->guess;
    const struct clock *clock = &log->clock;
    if (clock_uses(clock, i)) {
        bool last = i == clock->column[clock->n_columns - 1];
        const char *part = clock->n_columns == 1   ? "time"
                           : clock->zone_beside && last ? "zone of the stamps"
                           : clock->n_columns > 2  ? "part of the time"
                           : i == clock->column[0] ? "time, the day"
                                                   : "time, the hour";
        text_addf(out, "%s (guess: its rows read as %s)", part, clock->format);
    } else if (guess->kind == GUESS_CHANNEL) {
        text_addf(out, "%s", channel_row(guess->channel)->word);
        if (guess_is_total(guess))
            text_addf(out, " as a total in %s", guess->unit->name);
        else if (guess->unit != NULL)
            text_addf(out, " in %s", guess->unit->name);
        else if (guess->pulses != NULL)
            text_addf(out, " as %s: the litres per pulse are needed", guess->pulses->name);
        else if (guess->raw)
            text_addf(out, " as a signal in %s: its %s is needed", guess->unit_text,
                      raw_needs(guess));
        else
            text_add(out, ", unit not said");
        text_addf(out, " (guess: %s)", guess->why);
        if (draft_log_rival(log, i)) {
            text_add(out, "; left out: '");
            draft_add_clean(out, log->sample.head.name[log->chosen[guess->channel]]);
            text_addf(out, "' was taken");
        }
    } else {
        text_add(out, "not used");
        if (guess->why[0] != '\0')
            text_addf(out, " (%s)", guess->why);
    }
    if (guess->unit != NULL && guess->unit_text[0] == '\0')
        text_addf(out, "\n    the unit is a guess: %s", guess->unit_why);
    if (guess->unit != NULL && unit_note(guess->unit) != NULL)
        text_addf(out, "\n    %s", unit_note(guess->unit));
    if (guess->unit_ask[0] != '\0')
        text_addf(out, "\n    to be asked: %s", guess->unit_ask);
    if (column->trouble != NULL)
        text_addf(out, "; not proposed: %s", column->trouble);
}

/* Where a row stands, for people. */
static void add_line(const struct draft_log *log, size_t row, struct text *out)
{
    const struct sample_row *at = &log->sample.row[row];
    if (at->line > 0)
        text_addf(out, "on line %ld", at->line);
    else
        text_add(out, "further down");
    if (at->log > 0)
        text_add(out, " of a later log");
}

static void add_odd(const struct draft_log *log, size_t i, struct text *out)
{
    const struct measure *m = &log->columns[i].measure;
    if (m->marked > 0) {
        text_addf(out, ", %zu '", m->marked);
        draft_add_clean(out, m->marker);
        text_add(out, "' or the like");
    }
    text_addf(out, ", %zu not a number", m->odd);
    if (m->odd == 0)
        return;
    text_add(out, " (the first: '");
    draft_add_clean(out, sample_cell(&log->sample, m->odd_row, i));
    text_add(out, "' ");
    add_line(log, m->odd_row, out);
    text_add(out, m->thousands > 0 ? "; a sign between the thousands is not read)" : ")");
}

static void add_codes(const struct draft_log *log, size_t i, struct text *out)
{
    const struct measure *m = &log->columns[i].measure;
    char value[32];
    for (size_t k = 0; k < m->n_codes; k++) {
        const struct measure_code *code = &m->code[k];
        text_addf(out, "\n    %s stands %zu time%s exactly, first ",
                  draft_number(code->value, value), code->n, ending(code->n));
        add_line(log, code->row, out);
        if (code->known != NULL)
            text_addf(out, ": an error code? (so write %s)", code->known);
        else
            text_add(out, ", far from all other numbers: an error code?");
    }
}

static void add_outside(const struct draft_log *log, size_t i, struct text *out)
{
    if (log->columns[i].measure.outside > 0)
        text_add(out, "\n    ");
    outside_add(log, i, out);
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
        text_addf(out, "first %s, smallest %s, largest %s; ", draft_number(m->first, first),
                  draft_number(m->least, least), draft_number(m->most, most));
    text_addf(out, "%zu number%s, %zu empty", m->n, ending(m->n), m->missing);
    add_odd(log, i, out);
    add_codes(log, i, out);
    add_outside(log, i, out);
}

static void add_columns(const struct draft_log *log, struct text *out)
{
    text_add(out, "\nColumns\n");
    for (size_t i = 0; i < log->sample.head.n; i++) {
        text_addf(out, "%2zu  ", i + 1);
        draft_add_clean(out, log->sample.head.name[i]);
        text_add(out, "\n    ");
        add_guess(log, i, out);
        text_add(out, "\n    ");
        add_measure(log, i, out);
        text_add(out, "\n");
    }
}

/* "10 s", "5 min", "2 h 20 min": what a person would say. */
static const char *duration(int64_t us, char out[40])
{
    char text[32];
    int64_t s = us / US_PER_S;
    if (us % US_PER_S != 0 || s < 120 || s % 60 != 0)
        snprintf(out, 40, "%s s", draft_number((double)us / (double)US_PER_S, text));
    else if (s < 2 * S_PER_H)
        snprintf(out, 40, "%d min", (int)(s / 60));
    else if (s % S_PER_H != 0)
        snprintf(out, 40, "%d h %d min", (int)(s / S_PER_H), (int)(s % S_PER_H / 60));
    else
        snprintf(out, 40, "%d h", (int)(s / S_PER_H));
    return out;
}

static void add_steps(const struct draft_log *log, struct text *out)
{
    const struct clock_run *run = &log->clock.run;
    char step[40], most[40];
    if (run->step_us == 0)
        return;
    if (run->rows_per_stamp > 1)
        text_addf(out, "%zu rows under each stamp, a stamp every %s", run->rows_per_stamp,
                  duration(run->step_us, step));
    else
        text_addf(out, "A row every %s", duration(run->step_us, step));
    size_t regular = run->n_even + run->n_gaps;
    size_t uneven = run->rows_per_stamp > 1 || regular > run->n_steps ? 0 : run->n_steps - regular;
    if (uneven > 0)
        text_addf(out, " mostly; %zu of %zu steps differ by more than a tenth", uneven,
                  run->n_steps);
    text_add(out, ".\n");
    if (run->n_gaps > 0) {
        text_addf(out, "%zu gap%s: the longest is %s, after the row ", run->n_gaps,
                  ending(run->n_gaps), duration(run->most_us, most));
        add_line(log, run->gap_row, out);
        text_add(out, ".\n");
    }
    if (run->n_back > 0 && log->clock.counts != CLOCK_COUNT_START) {
        text_addf(out, "%zu row%s not later than the row before, the first ", run->n_back,
                  run->n_back == 1 ? " is" : "s are");
        add_line(log, run->back_row, out);
        text_add(out, ".\n");
    }
}

static void add_fall(const struct draft_log *log, struct text *out)
{
    const struct clock_run *run = &log->clock.run;
    char stamp[40];
    if (run->n_falls == 0 || log->clock.in_stamp)
        return;
    text_addf(out, "The clock falls back by an hour after %s, ",
              calendar_plain(run->fall_us, 0, stamp, sizeof stamp));
    add_line(log, run->fall_row, out);
    text_add(out, ": it seems to follow summer time, so name its zone (Region/City).\n");
}

/* A logger without a clock. */
static void add_count_from_start(const struct draft_log *log, struct text *out)
{
    const struct clock *clock = &log->clock;
    char first[40], last[40];
    text_addf(out, " It counts from %s to %s", duration(clock->first_us, first),
              duration(clock->last_us, last));
    if (clock->run.n_back > 0) {
        text_addf(out, " and falls %zu time%s, the first ", clock->run.n_back,
                  ending(clock->run.n_back));
        add_line(log, clock->run.back_row, out);
        text_add(out, ": each fall is a power-up whose time must be stated too");
    }
    text_add(out, ". When the logger was switched on no file tells.\n");
    add_steps(log, out);
}

/* Which of the numbers is the day. */
static void add_order(const struct clock *clock, struct text *out)
{
    if (clock->settled != NULL)
        text_addf(out, "Day and month are settled: %s.\n", clock->settled);
    if (clock->other[0] != '\0' && clock->asked)
        text_addf(out,
                  "Day first or month first? No number above 12 tells: %s reads as many. Both "
                  "stand in the description; keep the right one.\n",
                  clock->other);
    else if (clock->other[0] != '\0')
        text_addf(out,
                  "Day first is a guess: no number above 12 tells, and with points the day comes "
                  "first nearly everywhere. If the month does: %s, which also stands in the "
                  "description.\n",
                  clock->other);
    if (clock->year_first[0] != '\0')
        text_addf(out,
                  "That the year stands last is %s: %s reads as many. It also stands in the "
                  "description%s.\n",
                  clock->asked ? "not sure" : "a guess", clock->year_first,
                  clock->asked ? "; keep the right one" : "");
}

/* The first stamp that the form does not read. */
static void add_unread(const struct draft_log *log, struct text *out)
{
    char stamp[CLOCK_TEXT_SIZE];
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        if (log->clock.time_us[row] != CLOCK_NONE ||
            !clock_form_stamp(&log->sample, &log->clock, row, stamp))
            continue;
        text_add(out, "; the first that it does not read is '");
        draft_add_clean(out, text_trim(stamp));
        text_add(out, "', ");
        add_line(log, row, out);
        return;
    }
}

/* Nothing in a log tells from which year its days are counted. */
static void add_epoch(const struct clock *clock, struct text *out)
{
    char stamp[40];
    if (clock->counts != CLOCK_COUNT_LOCAL)
        return;
    calendar_iso(clock->first_us + CLOCK_FROM_1904_US, 0, stamp, sizeof stamp);
    stamp[strcspn(stamp, "T")] = '\0';
    text_addf(out,
              "That the days count from 1900 is a guess: where they count from 1904, as old "
              "spreadsheets may, the first is on %s.\n",
              stamp);
}

static void add_clock(const struct draft_log *log, struct text *out)
{
    const struct clock *clock = &log->clock;
    char stamp[40];
    text_add(out, "\nTime\n");
    if (!clock->found) {
        text_add(out,
                 "No column was recognised as the time. What is read: ISO 8601; day, month "
                 "and year with hours and minutes, in one column or in several; seconds since "
                 "1970; a spreadsheet's days; hours, minutes, seconds or milliseconds since the "
                 "start.\n");
        clock_miss_add(&log->sample, clock, out);
        return;
    }
    text_addf(out, "%s reads %zu of %zu stamps", clock->format, clock->n_read, clock->n_stamps);
    add_unread(log, out);
    text_add(out, ".");
    if (clock->counts == CLOCK_COUNT_START) {
        add_count_from_start(log, out);
        return;
    }
    calendar_iso(clock->first_us, 0, stamp, sizeof stamp);
    stamp[strcspn(stamp, "Z")] = '\0';
    text_addf(out, " The first is %s%s", stamp,
              clock->in_stamp || clock->counts == CLOCK_COUNT_UTC
                  ? " in UTC"
                  : " by the logger's clock, whose zone no file tells");
    calendar_iso(clock->last_us, 0, stamp, sizeof stamp);
    stamp[strcspn(stamp, "Z")] = '\0';
    text_addf(out, "; the last is %s.\n", stamp);
    add_epoch(clock, out);
    add_order(clock, out);
    add_steps(log, out);
    add_fall(log, out);
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
    if (isnan(draft_log_number(log, channel, row)) ||
        !sample_number(&log->sample, row, log->chosen[channel], &value))
        text_add(out, "no reading\n");
    else if (guess->unit == NULL)
        text_addf(out, "needs its %s\n",
                  guess->pulses != NULL ? "litres per pulse"
                  : guess->raw          ? raw_needs(guess)
                                        : "unit");
    else if (guess_is_total(guess))
        text_addf(out, "the %s is its rise from row to row\n",
                  channel == CH_METERED ? "heat" : "flow");
    else
        text_addf(out, "%s %s%s\n", draft_number(unit_absolute(guess->unit, value), si),
                  dimension_si(guess->unit->dimension),
                  outside_is(channel, unit_absolute(guess->unit, value)) ? " (impossible)" : "");
}

static void add_rows(const struct draft_log *log, struct text *out)
{
    bool any = false;
    for (int ch = 0; ch < CH_LOGGED; ch++)
        any = any || log->chosen[ch] < log->sample.head.n;
    if (!any)
        return;
    text_add(out, "\nThe first rows, as written -> as they will be read\n");
    for (size_t row = 0; row < log->sample.n_rows && row < ROWS_SHOWN; row++) {
        text_addf(out, "  line %ld\n", log->sample.row[row].line);
        for (int ch = 0; ch < CH_LOGGED; ch++)
            if (log->chosen[ch] < log->sample.head.n)
                add_reading(log, row, (enum channel)ch, out);
    }
}

static void add_advice(const struct draft_log *log, struct text *out)
{
    if (log->n_doubts == 0 && log->rules_why[0] == '\0')
        return;
    text_add(out, "\nWhat to think over\n");
    for (size_t i = 0; i < log->n_doubts; i++)
        text_addf(out, "- %s\n", log->doubt[i]);
    if (log->homemade)
        text_addf(out,
                  "- The rules 'homemade rig' are proposed, since no window that was looked at "
                  "is steady by the standard's: %s.\n",
                  log->rules_why);
}

void understood_add(const struct draft_log *log, struct text *out)
{
    add_head(log, out);
    add_columns(log, out);
    add_clock(log, out);
    add_rows(log, out);
    add_advice(log, out);
}
