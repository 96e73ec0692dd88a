#include "draft/draft_log.h"

#include "base/numbers.h"
#include "draft/advice.h"
#include "draft/places.h"
#include "draft/totals.h"
#include "draft/units_settle.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DIGITS = 6 };

static const char *const instrument_names[CH_LOGGED] = {
    [CH_IRRADIANCE] = "sun",      [CH_AMBIENT] = "air",       [CH_INLET] = "inlet",
    [CH_OUTLET] = "outlet",       [CH_FLOW] = "flow",         [CH_WIND] = "wind",
    [CH_DIFFUSE] = "sky",         [CH_INCIDENCE] = "angle",   [CH_MASS_FLOW] = "mass meter",
    [CH_SKY] = "sky temperature", [CH_LONGWAVE] = "longwave",
    [CH_DIRECT] = "direct",       [CH_GLOBAL] = "global",     [CH_LEVEL_DIFFUSE] = "level sky",
    [CH_TILT] = "tilt",           [CH_AZIMUTH] = "azimuth",   [CH_METERED] = "heat meter",
};

const char *draft_instrument_name(enum channel channel)
{
    return instrument_names[channel];
}

const char *draft_number(double value, char out[32])
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

/* A control character, of ASCII or of the second set that UTF-8 writes in two bytes. */
static size_t control_bytes(const char *at)
{
    unsigned char byte = (unsigned char)at[0];
    if (byte == 0xC2 && (unsigned char)at[1] >= 0x80 && (unsigned char)at[1] <= 0x9F)
        return 2;
    return byte < 0x20 || byte == 0x7F;
}

void draft_add_clean(struct text *out, const char *string)
{
    bool whole = text_is_utf8(string, strlen(string));
    while (*string != '\0') {
        size_t control = control_bytes(string);
        bool shown = control == 0 && (whole || (unsigned char)*string < 0x80);
        text_add_bytes(out, shown ? string : "?", 1);
        string += control > 0 ? control : 1;
    }
}

void draft_log_free(struct draft_log *log)
{
    sample_free(&log->sample);
    clock_free(&log->clock);
    free(log->columns);
    free(log->value);
    memset(log, 0, sizeof *log);
}

static bool claims(const struct draft_log *log, size_t column, enum channel channel)
{
    const struct draft_column *c = &log->columns[column];
    return c->guess.kind == GUESS_CHANNEL && c->guess.channel == channel && c->trouble == NULL;
}

/* A column without one number is chosen only where there is no other; a total of water only where
 * there is no flow, but that of a heat meter before the heat of the moment, which it holds better.
 */
static bool is_better(const struct draft_column *a, const struct draft_column *b)
{
    if ((a->measure.n == 0) != (b->measure.n == 0))
        return b->measure.n == 0;
    if (guess_is_total(&a->guess) != guess_is_total(&b->guess))
        return guess_is_total(a->guess.channel == CH_METERED ? &a->guess : &b->guess);
    return a->guess.by < b->guess.by;
}

static size_t choose(const struct draft_log *log, enum channel channel)
{
    size_t none = log->sample.head.n;
    size_t best = none;
    for (size_t i = 0; i < none; i++)
        if (claims(log, i, channel) &&
            (best == none || is_better(&log->columns[i], &log->columns[best])))
            best = i;
    return best;
}

bool draft_log_rival(const struct draft_log *log, size_t column)
{
    const struct guess *guess = &log->columns[column].guess;
    return guess->kind == GUESS_CHANNEL && claims(log, column, guess->channel) &&
           log->chosen[guess->channel] != log->sample.head.n &&
           log->chosen[guess->channel] != column;
}

struct draft_column *draft_log_column(const struct draft_log *log, enum channel channel)
{
    size_t column = log->chosen[channel];
    return column < log->sample.head.n ? &log->columns[column] : NULL;
}

double draft_log_number(const struct draft_log *log, enum channel channel, size_t row)
{
    size_t column = log->chosen[channel];
    return column < log->sample.head.n ? log->value[column * log->sample.n_rows + row] : NAN;
}

double draft_log_si(const struct draft_log *log, enum channel channel, size_t row)
{
    const struct draft_column *column = draft_log_column(log, channel);
    if (column == NULL || column->guess.unit == NULL ||
        column->guess.unit->dimension != channel_row(channel)->dimension)
        return NAN;
    return unit_absolute(column->guess.unit, draft_log_number(log, channel, row));
}

bool draft_log_sunny(const struct draft_log *log, size_t row)
{
    const struct draft_column *column = draft_log_column(log, CH_IRRADIANCE);
    return column != NULL && column->measure.most > 0.0 &&
           draft_log_number(log, CH_IRRADIANCE, row) >= 0.5 * column->measure.most;
}

void draft_log_doubt(struct draft_log *log, const char *format, ...)
{
    va_list arguments;
    if (log->n_doubts == DRAFT_DOUBTS)
        return;
    va_start(arguments, format);
    vsnprintf(log->doubt[log->n_doubts++], DRAFT_REASON_SIZE, format, arguments);
    va_end(arguments);
}

static bool look_at_column(struct draft_log *log, size_t i)
{
    const struct head_rows *head = &log->sample.head;
    struct draft_column *column = &log->columns[i];
    column->guess.channel = CH_COUNT;
    if (!clock_uses(&log->clock, i))
        guess_column(head->name[i], head->unit == NULL ? "" : head->unit[i], &column->guess);
    column->trouble = sample_name_trouble(&log->sample, i, clock_uses(&log->clock, i));
    return measure_column(&log->sample, i, &column->measure, log->value + i * log->sample.n_rows);
}

static bool look_at_columns(struct draft_log *log, struct faults *faults)
{
    size_t n = log->sample.head.n;
    log->columns = calloc(n, sizeof *log->columns);
    log->value = calloc(n * log->sample.n_rows, sizeof *log->value);
    if (log->columns == NULL || log->value == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < n; i++)
        if (!look_at_column(log, i))
            return fault_memory(faults);
    return true;
}

/* A description names one meter of flow: a volume's where there are both. */
static void choose_meter(struct draft_log *log)
{
    size_t none = log->sample.head.n;
    bool flow = log->chosen[CH_FLOW] != none || log->chosen[CH_MASS_FLOW] != none;
    if (!flow && log->chosen[CH_METERED] != none)
        draft_log_doubt(
            log,
            "No column of a flow was recognised: the heat will be that of the heat meter "
            "('%.60s'). With a flow beside it ('measures = flow') the two check each "
            "other.",
            log->sample.head.name[log->chosen[CH_METERED]]);
    if (log->chosen[CH_FLOW] == none || log->chosen[CH_MASS_FLOW] == none)
        return;
    draft_log_doubt(log,
                    "There are a flow meter ('%.60s') and one that weighs ('%.60s'); the first is "
                    "taken. For the other write 'measures = mass flow' and its column instead.",
                    log->sample.head.name[log->chosen[CH_FLOW]],
                    log->sample.head.name[log->chosen[CH_MASS_FLOW]]);
    log->chosen[CH_MASS_FLOW] = none;
}

bool draft_log_read(struct draft_log *log, const char *const *logs, size_t n,
                    const struct dialect *pinned, struct faults *faults)
{
    memset(log, 0, sizeof *log);
    log->logs = logs;
    log->n_logs = n;
    if (!sample_read(&log->sample, logs, n, pinned, faults) ||
        !clock_find(&log->sample, &log->clock, faults) || !look_at_columns(log, faults))
        return false;
    for (int ch = 0; ch < CH_LOGGED; ch++)
        log->chosen[ch] = choose(log, (enum channel)ch);
    choose_meter(log);
    places_settle(log);
    totals_settle(log);
    units_settle(log);
    for (size_t i = 0; i < log->sample.head.n; i++)
        measure_outside(log->value + i * log->sample.n_rows, log->sample.n_rows,
                        &log->columns[i].guess, &log->columns[i].measure);
    return advice_find(log, faults);
}
