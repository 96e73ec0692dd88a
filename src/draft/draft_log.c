#include "draft/draft_log.h"

#include <stdlib.h>
#include <string.h>

static const char *const instrument_names[CH_LOGGED] = {
    [CH_IRRADIANCE] = "sun", [CH_AMBIENT] = "air", [CH_INLET] = "inlet", [CH_OUTLET] = "outlet",
    [CH_FLOW] = "flow",      [CH_WIND] = "wind",   [CH_DIFFUSE] = "sky", [CH_INCIDENCE] = "angle",
    [CH_MASS_FLOW] = "mass meter", [CH_SKY] = "sky temperature", [CH_LONGWAVE] = "longwave",
};

const char *draft_instrument_name(enum channel channel)
{
    return instrument_names[channel];
}

void draft_add_clean(struct text *out, const char *string)
{
    bool whole = text_is_utf8(string, strlen(string));
    for (const char *c = string; *c != '\0'; c++) {
        unsigned char byte = (unsigned char)*c;
        bool shown = byte >= 0x20 && byte != 0x7F && (whole || byte < 0x80);
        text_add_bytes(out, shown ? c : "?", 1);
    }
}

void draft_log_free(struct draft_log *log)
{
    sample_free(&log->sample);
    free(log->columns);
    memset(log, 0, sizeof *log);
}

static bool claims(const struct draft_log *log, size_t column, enum channel channel)
{
    const struct draft_column *c = &log->columns[column];
    return c->guess.kind == GUESS_CHANNEL && c->guess.channel == channel && c->trouble == NULL;
}

static size_t choose(const struct draft_log *log, enum channel channel)
{
    size_t none = log->sample.header.n;
    size_t weaker = none;
    for (size_t i = 0; i < none; i++) {
        if (!claims(log, i, channel))
            continue;
        if (!log->columns[i].guess.by_unit_alone)
            return i;
        if (weaker == none)
            weaker = i;
    }
    return weaker;
}

bool draft_log_rival(const struct draft_log *log, size_t column)
{
    const struct guess *guess = &log->columns[column].guess;
    return guess->kind == GUESS_CHANNEL && claims(log, column, guess->channel) &&
           log->chosen[guess->channel] != column;
}

static void look_at_column(struct draft_log *log, size_t i)
{
    struct draft_column *column = &log->columns[i];
    column->guess.channel = CH_COUNT;
    if (!clock_uses(&log->clock, i))
        guess_column(log->sample.header.names[i], &column->guess);
    measure_column(&log->sample, i, &column->guess, &column->measure);
    column->trouble = sample_name_trouble(&log->sample, i, clock_uses(&log->clock, i));
}

bool draft_log_read(struct draft_log *log, const char *const *logs, size_t n, struct faults *faults)
{
    memset(log, 0, sizeof *log);
    log->logs = logs;
    log->n_logs = n;
    if (!sample_read(&log->sample, logs, n, faults) ||
        !clock_find(&log->sample, &log->clock, faults))
        return false;
    log->columns = calloc(log->sample.header.n, sizeof *log->columns);
    if (log->columns == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < log->sample.header.n; i++)
        look_at_column(log, i);
    for (int ch = 0; ch < CH_LOGGED; ch++)
        log->chosen[ch] = choose(log, (enum channel)ch);
    return true;
}
