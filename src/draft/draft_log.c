#include "draft/draft_log.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

void draft_log_free(struct draft_log *log)
{
    sample_free(&log->sample);
    clock_free(&log->clock);
    free(log->columns);
    free(log->value);
    memset(log, 0, sizeof *log);
}

bool draft_log_claims(const struct draft_log *log, size_t column, enum channel channel)
{
    const struct draft_column *c = &log->columns[column];
    return c->guess.kind == GUESS_CHANNEL && c->guess.channel == channel && c->trouble == NULL;
}

bool draft_log_rival(const struct draft_log *log, size_t column)
{
    const struct guess *guess = &log->columns[column].guess;
    return guess->kind == GUESS_CHANNEL && draft_log_claims(log, column, guess->channel) &&
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
