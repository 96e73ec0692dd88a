#include "domain/instrument_signal.h"

#include "base/numbers.h"

#include <math.h>
#include <string.h>

/* Longwave is no such channel: the signal of its sensor is only the difference to the radiation of
 * its own body. */
static bool is_sun_sensor(const struct instrument *instrument)
{
    return channel_row(instrument->channel)->dimension == DIM_IRRADIANCE &&
           instrument->channel != CH_LONGWAVE;
}

static bool refuse(const struct instrument *instrument, const char *file, struct faults *faults)
{
    const struct stated *at = &instrument->sensitivity.at;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
    fault_found(fault, "'sensitivity' is of a sun sensor, not of %s",
                channel_row(instrument->channel)->word);
    fault_expected(fault, "'measures = irradiance', or another kind of sunshine, beside it");
    return false;
}

static bool settle_sensitivity(struct instrument *instrument, const char *file,
                               struct faults *faults)
{
    if (!instrument->sensitivity.at.given)
        return true;
    if (!is_sun_sensor(instrument))
        return refuse(instrument, file, faults);
    if (instrument->unit == NULL)
        return true;
    double by = instrument->sensitivity.value / instrument->unit->scale;
    instrument->gain_value /= by;
    instrument->add_value /= by;
    instrument->unit = unit_find("W/m2", DIM_IRRADIANCE);
    return true;
}

static bool refuse_at(const struct stated *at, const char *found, const char *expected,
                      const char *file, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
    fault_found(fault, "%s", found);
    fault_expected(fault, "%s", expected);
    return false;
}

static bool settle_resistance(struct instrument *instrument, const char *file,
                              struct faults *faults)
{
    static const double r0_ohm[] = {100.0, 1000.0};
    struct signal *signal = &instrument->signal;
    if (!instrument->resistance.at.given)
        return !instrument->lead_ohm.at.given ||
               refuse_at(&instrument->lead_ohm.at, "'lead' is of a platinum thermometer",
                         "'resistance = Pt100' or 'Pt1000' beside it", file, faults);
    if (channel_row(instrument->channel)->dimension != DIM_TEMPERATURE)
        return refuse_at(&instrument->resistance.at,
                         "'resistance' is of a thermometer, and this instrument measures something "
                         "else",
                         "a temperature in 'measures'; another signal has a 'calibration table'",
                         file, faults);
    signal->kind = SIGNAL_PLATINUM;
    signal->r0_ohm = r0_ohm[instrument->resistance.index];
    signal->lead_ohm = instrument->lead_ohm.at.given ? instrument->lead_ohm.value : 0.0;
    if (instrument->unit == NULL)
        return true;
    instrument->gain_value *= instrument->unit->scale;
    instrument->add_value *= instrument->unit->scale;
    instrument->unit = unit_find("degC", DIM_TEMPERATURE);
    return true;
}

/* "12: 610" */
static bool read_pair(const char *text, double *raw, double *value)
{
    const char *colon = strchr(text, ':');
    if (colon == NULL)
        return false;
    size_t n = (size_t)(colon - text);
    const char *after = colon + 1;
    while (n > 0 && (text[n - 1] == ' ' || text[n - 1] == '\t'))
        n--;
    after += strspn(after, " \t");
    return number_read(text, n, '.', raw) && number_read(after, strlen(after), '.', value);
}

static bool refuse_pair(const struct stated_text *item, const char *expected, const char *file,
                        struct faults *faults)
{
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(file, item->at.line, item->at.column));
    fault_found(fault, "'%s' of 'calibration table'", item->text);
    fault_expected(fault, "%s", expected);
    fault_hint(fault, "write it like '4: 0, 12: 610, 20: 1200', with a decimal point");
    return false;
}

static bool settle_table(struct instrument *instrument, const char *file, struct faults *faults)
{
    const struct stated_list *pairs = &instrument->pairs;
    struct signal *signal = &instrument->signal;
    if (pairs->n == 0)
        return true;
    const struct stated *at = &pairs->items[0].at;
    if (instrument->sensitivity.at.given || instrument->resistance.at.given ||
        instrument->m3_per_pulse.at.given)
        return refuse_at(at,
                         "a 'calibration table' beside another statement of what the numbers are",
                         "one of them", file, faults);
    if (pairs->n < 2 || pairs->n > SIGNAL_PAIRS)
        return refuse_at(at, "a 'calibration table' that is no table", "2 to 64 pairs", file,
                         faults);
    for (size_t i = 0; i < pairs->n; i++) {
        double value;
        if (!read_pair(pairs->items[i].text, &signal->raw[i], &value))
            return refuse_pair(&pairs->items[i], "a number of the log, ':' and the value", file,
                               faults);
        if (i > 0 && !(signal->raw[i] > signal->raw[i - 1]))
            return refuse_pair(&pairs->items[i], "numbers of the log that rise from pair to pair",
                               file, faults);
        signal->value_si[i] = instrument->unit == NULL ? value
                                                       : unit_absolute(instrument->unit, value);
    }
    signal->n = pairs->n;
    signal->kind = SIGNAL_TABLE;
    return true;
}

bool instrument_settle_signal(struct instrument *instrument, const char *file,
                              struct faults *faults)
{
    instrument->signal = (struct signal){.kind = SIGNAL_NONE, .factor = 1.0};
    bool good = settle_sensitivity(instrument, file, faults);
    good &= settle_resistance(instrument, file, faults);
    return settle_table(instrument, file, faults) && good;
}

void instrument_correct(struct instrument *instrument, double factor, double add_si)
{
    struct signal *signal = &instrument->signal;
    if (instrument->unit == NULL)
        return;
    if (signal->kind != SIGNAL_NONE) {
        signal->factor *= factor;
        signal->add_si = factor * signal->add_si + add_si;
        return;
    }
    instrument->gain_value *= factor;
    instrument->add_value = factor * instrument->add_value + add_si / instrument->unit->scale;
}
