#include "domain/instrument.h"

#include "domain/instrument_kind.h"
#include "domain/instrument_readings.h"
#include "domain/instrument_signal.h"

static struct place place_of(const char *file, const struct stated *at)
{
    return fault_at(file, at->line, at->column);
}

/* The kinds that can measure the channel, for messages. */
static void list_kinds(enum channel channel, struct text *out)
{
    for (size_t i = 0; i < instrument_kinds_n; i++)
        if (kind_measures(&instrument_kinds[i], channel))
            text_addf(out, "%s%s", out->length > 0 ? ", " : "", instrument_kinds[i].name);
}

static bool refuse_kind(const struct instrument *instrument, bool known, const char *file,
                        struct faults *faults)
{
    struct text list = {0};
    const char *text = instrument->kind_text.text;
    const char *word = channel_row(instrument->channel)->word;
    list_kinds(instrument->channel, &list);
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &instrument->kind_text.at));
    if (known)
        fault_found(fault, "a '%s' does not measure %s", text, word);
    else
        fault_found(fault, "'%s' is not a known kind of instrument", text);
    if (instrument->measures.at.given)
        fault_expected(fault, "for %s one of: %s", word, text_string(&list));
    const char *near = known ? NULL : text_nearest(text, instrument_kind_names, instrument_kinds_n);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    else if (!known)
        fault_hint(fault, "or leave 'kind' out and state 'calibration'");
    text_free(&list);
    return false;
}

static bool settle_kind(struct instrument *instrument, const char *file, struct faults *faults)
{
    if (!instrument->kind_text.at.given)
        return true;
    size_t i = 0;
    while (i < instrument_kinds_n &&
           !text_same_nocase(instrument->kind_text.text, instrument_kinds[i].name))
        i++;
    bool known = i < instrument_kinds_n;
    if (!known || (instrument->measures.at.given &&
                   !kind_measures(&instrument_kinds[i], instrument->channel)))
        return refuse_kind(instrument, known, file, faults);
    instrument->kind.at = instrument->kind_text.at;
    instrument->kind.index = i;
    return true;
}

/* `matched to` and `pair` belong together and take the place of an own calibration. */
static bool check_pair_keys(const struct instrument *instrument, const char *file,
                            struct faults *faults)
{
    const struct stated *matched = &instrument->matched_to.at;
    const struct stated *pair = &instrument->pair.at;
    if (matched->given != pair->given) {
        const struct stated *at = matched->given ? matched : pair;
        struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, at));
        fault_found(fault, "'%s' stands without '%s'", matched->given ? "matched to" : "pair",
                    matched->given ? "pair" : "matched to");
        fault_expected(fault, "both: 'matched to = NAME' and 'pair = 0.03 K standard'");
        return false;
    }
    bool own = instrument->calibration.at.given || instrument->offset.at.given;
    if (!matched->given || !own)
        return true;
    const struct stated *at =
        instrument->calibration.at.given ? &instrument->calibration.at : &instrument->offset.at;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, at));
    fault_found(fault, "'%s' is matched to '%s' and states a calibration of its own",
                instrument->name, instrument->matched_to.text);
    fault_expected(fault, "only what is left between the two, as 'pair'");
    fault_hint(fault, "state the calibration under '%s' and remove it here",
               instrument->matched_to.text);
    return false;
}

static bool check_gain(const struct instrument *instrument, const char *file, struct faults *faults)
{
    if (!instrument->gain.at.given || instrument->gain.value < 0.0 || instrument->gain.value > 0.0)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &instrument->gain.at));
    fault_found(fault, "a gain of 0 makes every reading the same");
    fault_expected(fault, "a number other than 0");
    return false;
}

static bool check_dates(const struct instrument *instrument, const char *file,
                        struct faults *faults)
{
    if (!instrument->calibrated.at.given || !instrument->due.at.given ||
        instrument->calibrated.day < instrument->due.day)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &instrument->due.at));
    fault_found(fault, "the calibration of '%s' is due on %s, not after it was made (%s)",
                instrument->name, instrument->due.text, instrument->calibrated.text);
    fault_expected(fault, "a day after 'calibrated'");
    return false;
}

/* Only a thermometer of the fluid has a mounting, and only if strapped on an error of it. */
static bool settle_mounting(struct instrument *instrument, const char *file, struct faults *faults)
{
    const struct stated *at = instrument->mounting.at.given ? &instrument->mounting.at
                                                            : &instrument->mounting_error.at;
    bool strapped = instrument->mounting.at.given &&
                    instrument->mounting.index == MOUNTING_STRAPPED_ON;
    bool fluid = instrument->channel == CH_INLET || instrument->channel == CH_OUTLET;
    instrument->mounting_share = strapped ? STRAPPED_ON_SHARE : 0.0;
    instrument->u_mounting = !strapped                             ? 0.0
                             : instrument->mounting_error.at.given ? instrument->mounting_error.u
                                                                   : STRAPPED_ON_U;
    if (!at->given || (fluid && (strapped || !instrument->mounting_error.at.given)))
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, at));
    if (!fluid) {
        fault_found(fault, "'mounting' is of a thermometer of the fluid, not of %s",
                    channel_row(instrument->channel)->word);
        fault_expected(fault, "'measures = inlet' or 'measures = outlet' beside it");
    } else {
        fault_found(fault, "'mounting error' stands without 'mounting = strapped on'");
        fault_hint(fault, "an immersed thermometer has its error under 'calibration'");
    }
    return false;
}

static bool check_pulses(const struct instrument *instrument, bool whole, const char *file,
                         struct faults *faults)
{
    const struct stated *at = &instrument->m3_per_pulse.at;
    bool counts = instrument->unit != NULL && instrument->unit->dimension == DIM_PULSES;
    if (at->given && instrument->channel != CH_FLOW) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, at));
        fault_found(fault, "'litres per pulse' is of a meter of volume, not of %s",
                    channel_row(instrument->channel)->word);
        fault_expected(fault, "'measures = flow' beside it");
        return false;
    }
    if (at->given || !counts || !whole)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &instrument->unit_text.at));
    fault_found(fault, "[instrument %s] counts pulses ('unit = %s') and has no 'litres per pulse'",
                instrument->name, instrument->unit_text.text);
    fault_expected(fault, "what one pulse stands for, of the meter's data sheet or found with a "
                          "bucket: 'litres per pulse = 0.0022 L'");
    fault_hint(fault, "if the column holds a flow, its unit is a volume in a time: L/min, m3/h");
    return false;
}

bool instrument_is_total(const struct instrument *instrument)
{
    return instrument->unit != NULL && (instrument->unit->dimension == DIM_VOLUME ||
                                        instrument->unit->dimension == DIM_ENERGY);
}

static bool refuse_of_total(const struct instrument *instrument, const struct stated *at,
                            const char *key, const char *file, struct faults *faults)
{
    if (!at->given)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, at));
    fault_found(fault, "'%s' is not of a total ('unit = %s')", key, instrument->unit_text.text);
    fault_expected(fault, "a total as it stands in the log, without it");
    return false;
}

/* Without its step nobody could say how sure the flow of a window is. */
static bool check_total(const struct instrument *instrument, bool whole, const char *file,
                        struct faults *faults)
{
    if (!instrument_is_total(instrument))
        return true;
    bool good =
        refuse_of_total(instrument, &instrument->stuck_text.at, "stuck after", file, faults);
    good &= refuse_of_total(instrument, &instrument->spike_text.at, "spike", file, faults);
    if (instrument->pairs.n > 0)
        good &= refuse_of_total(instrument, &instrument->pairs.items[0].at, "calibration table",
                                file, faults);
    if (instrument->resolution.value > 0.0 || !whole)
        return good;
    struct fault *fault = fault_new(faults, FAULT_INPUT, instrument->head);
    fault_found(fault,
                "[instrument %s] reads a total ('unit = %s') and has no 'resolution' above 0",
                instrument->name, instrument->unit_text.text);
    bool heat = instrument->channel == CH_METERED;
    fault_expected(fault, "the smallest step by which the column moves: 'resolution = %s'",
                   heat ? "0.01 kWh" : "0.1 L");
    fault_hint(fault, heat ? "if the column holds the heat of the moment, its unit is a power: kW, "
                             "BTU/h"
                           : "if the column holds a flow, its unit is a volume in a time: L/min, "
                             "m3/h");
    return false;
}

bool instrument_settle(struct instrument *instrument, bool whole, const char *file,
                       struct faults *faults)
{
    bool good = check_gain(instrument, file, faults);
    good = check_dates(instrument, file, faults) && good;
    if (!instrument->id.at.given && instrument->serial.at.given)
        instrument->id = instrument->serial;
    if (whole)
        good = check_pair_keys(instrument, file, faults) && good;
    instrument->gain_value = instrument->gain.at.given ? instrument->gain.value : 1.0;
    instrument->add_value = instrument->add.at.given ? instrument->add.value : 0.0;
    instrument->channel = (enum channel)instrument->measures.index;
    good = settle_kind(instrument, file, faults) && good;
    if (!instrument->measures.at.given)
        return false;
    good = settle_mounting(instrument, file, faults) && good;
    if (instrument->unit_text.at.given)
        instrument->unit =
            unit_find(instrument->unit_text.text,
                      instrument_column_dimension(instrument, instrument->unit_text.text));
    good = check_pulses(instrument, whole, file, faults) && good;
    good = check_total(instrument, whole, file, faults) && good;
    good = instrument_settle_signal(instrument, file, faults) && good;
    return instrument_settle_readings(instrument, file, faults) && good;
}

const struct instrument *instrument_find(const struct instrument *instruments, size_t n,
                                         const char *name)
{
    for (size_t i = 0; i < n; i++)
        if (text_same_nocase(instruments[i].name, name))
            return &instruments[i];
    return NULL;
}

const struct instrument *instrument_of_channel(const struct instrument *instruments, size_t n,
                                               enum channel channel)
{
    for (size_t i = 0; i < n; i++)
        if (instruments[i].measures.at.given && instruments[i].channel == channel)
            return &instruments[i];
    return NULL;
}

/* The same channel or the same column as one of the n instruments before it. */
static bool check_twice(const struct instrument *before, size_t n,
                        const struct instrument *instrument, const char *file,
                        struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < n; i++) {
        const struct instrument *other = &before[i];
        if (other->measures.at.given && instrument->measures.at.given &&
            other->channel == instrument->channel) {
            struct fault *fault =
                fault_new(faults, FAULT_INPUT, place_of(file, &instrument->measures.at));
            fault_found(fault, "'%s' and '%s' both measure %s", other->name, instrument->name,
                        channel_row(other->channel)->word);
            fault_expected(fault, "one instrument for each; the first is on line %ld",
                           other->head.line);
            good = false;
        }
        if (other->column.at.given && instrument->column.at.given &&
            text_same(other->column.text, instrument->column.text) &&
            text_same_nocase(other->log_name.text, instrument->log_name.text)) {
            struct fault *fault =
                fault_new(faults, FAULT_INPUT, place_of(file, &instrument->column.at));
            fault_found(fault, "'%s' and '%s' both read the column '%s'", other->name,
                        instrument->name, other->column.text);
            fault_expected(fault, "a column for each; the first is on line %ld",
                           other->column.at.line);
            good = false;
        }
    }
    return good;
}

static bool refuse_match(const struct instrument *instrument, const char *file,
                         const char *expected, struct faults *faults)
{
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, place_of(file, &instrument->matched_to.at));
    fault_found(fault, "'%s' cannot be matched to '%s'", instrument->name,
                instrument->matched_to.text);
    fault_expected(fault, "%s", expected);
    return false;
}

static bool is_thermometer(const struct instrument *instrument)
{
    return instrument->measures.at.given &&
           channel_row(instrument->channel)->dimension == DIM_TEMPERATURE;
}

static bool check_match(const struct instrument *instruments, size_t n,
                        const struct instrument *instrument, const char *file,
                        struct faults *faults)
{
    if (!instrument->matched_to.at.given)
        return true;
    const char *name = instrument->matched_to.text;
    const struct instrument *other = instrument_find(instruments, n, name);
    if (other == NULL || other == instrument)
        return refuse_match(instrument, file, "the name of another instrument", faults);
    if (!is_thermometer(instrument) || !is_thermometer(other))
        return refuse_match(instrument, file, "two thermometers", faults);
    if (other->matched_to.at.given)
        return refuse_match(instrument, file, "an instrument that is not itself matched", faults);
    if (!other->calibration.at.given && !other->offset.at.given && !other->kind_text.at.given)
        return refuse_match(instrument, file, "an instrument with a 'calibration' or a 'kind'",
                            faults);
    for (const struct instrument *i = instruments; i < instrument; i++)
        if (i->matched_to.at.given && text_same_nocase(i->matched_to.text, name))
            return refuse_match(instrument, file, "pairs: one instrument matched to one other",
                                faults);
    return true;
}

/* One meter: of volume or of mass. */
static bool check_meters(const struct instrument *instruments, size_t n, const char *file,
                         struct faults *faults)
{
    const struct instrument *volume = instrument_of_channel(instruments, n, CH_FLOW);
    const struct instrument *mass = instrument_of_channel(instruments, n, CH_MASS_FLOW);
    if (volume == NULL || mass == NULL)
        return true;
    const struct instrument *second = volume > mass ? volume : mass;
    struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &second->measures.at));
    fault_found(fault, "'%s' measures flow and '%s' mass flow", volume->name, mass->name);
    fault_expected(fault, "one of the two");
    fault_hint(fault, "keep the meter whose error is the smaller, and take the other section out");
    return false;
}

bool instruments_check(const struct instrument *instruments, size_t n, const char *file,
                       struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < n; i++) {
        good = check_twice(instruments, i, &instruments[i], file, faults) && good;
        good = check_match(instruments, n, &instruments[i], file, faults) && good;
    }
    return check_meters(instruments, n, file, faults) && good;
}
