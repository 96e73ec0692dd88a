/* Whether the checks fit the rest of the description. */
#include "run/check.h"

#include <string.h>

static struct fault *fault_in(const struct run_section *run, const struct stated *at,
                              struct faults *faults)
{
    struct place place = at == NULL ? run->head : fault_at(run->head.file, at->line, at->column);
    return fault_new(faults, FAULT_INPUT, place);
}

static const struct instrument *named(const struct test_setup *setup, const char *name)
{
    return instrument_find(setup->instruments, setup->n_instruments, name);
}

static bool is_thermometer(const struct instrument *instrument)
{
    return channel_row(instrument->channel)->dimension == DIM_TEMPERATURE;
}

static bool is_listed(const struct run_section *run, const char *name, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (text_same_nocase(run->check.thermometers.items[i].text, name))
            return true;
    return false;
}

static bool fit_thermometer(const struct test_setup *setup, const struct run_section *run, size_t i,
                            struct faults *faults)
{
    const struct check_keys *keys = &run->check;
    const struct stated_text *item = &keys->thermometers.items[i];
    const struct instrument *found = named(setup, item->text);
    if (is_listed(run, item->text, i)) {
        fault_found(fault_in(run, &item->at, faults), "'%s' is named twice", item->text);
        return false;
    }
    if (found != NULL && is_thermometer(found))
        return true;
    bool outside = found == NULL && keys->reference.at.given &&
                   text_same_nocase(keys->reference.text, item->text);
    if (outside && !keys->stretch)
        return true;
    struct fault *fault = fault_in(run, &item->at, faults);
    if (found != NULL)
        fault_found(fault, "'%s' is no thermometer", item->text);
    else if (outside)
        fault_found(fault, "the reference '%s' has no column in the log", item->text);
    else
        fault_found(fault, "no instrument has the name '%s'", item->text);
    fault_expected(fault, outside ? "'compared' with what all of them read, instead of a stretch"
                                  : "the NAME of an [instrument NAME] that measures a temperature");
    return false;
}

static bool fit_reference(const struct test_setup *setup, const struct run_section *run,
                          struct faults *faults)
{
    const struct check_keys *keys = &run->check;
    if (!keys->reference.at.given)
        return true;
    bool inside = named(setup, keys->reference.text) != NULL;
    if (!is_listed(run, keys->reference.text, keys->thermometers.n)) {
        struct fault *fault = fault_in(run, &keys->reference.at, faults);
        fault_found(fault, "the reference '%s' is not among the thermometers",
                    keys->reference.text);
        fault_expected(fault, "one of those that 'thermometers' names");
        return false;
    }
    if (inside != keys->reference_error.at.given)
        return true;
    const struct stated *at = inside ? &keys->reference_error.at : &keys->reference.at;
    struct fault *fault = fault_in(run, at, faults);
    if (inside) {
        fault_found(fault, "'reference error' beside a reference that is an instrument");
        fault_hint(fault, "its error stands under [instrument %s], as 'calibration'",
                   keys->reference.text);
    } else {
        fault_found(fault, "the error of the reference '%s' is not stated", keys->reference.text);
        fault_hint(fault, "add for instance 'reference error = 0.05 K k=2'");
    }
    return false;
}

static bool fit_together(const struct test_setup *setup, const struct run_section *run,
                         struct faults *faults)
{
    bool good = fit_reference(setup, run, faults);
    for (size_t i = 0; i < run->check.thermometers.n; i++)
        good = fit_thermometer(setup, run, i, faults) && good;
    return good;
}

static bool fit_fill(const struct check_keys *keys, const struct run_section *run,
                     const struct instrument *meter, size_t i, struct faults *faults)
{
    const struct bucket_fill *fill = &keys->fills[i];
    bool weighs = meter->channel == CH_MASS_FLOW;
    struct fault *fault = NULL;
    if (!(fill->pulses > 0) && fill->shown_mass != weighs) {
        fault = fault_new(faults, FAULT_INPUT, fill->at);
        fault_found(fault, "'%s' measures a %s, and here it shows a %s", meter->name,
                    weighs ? "mass" : "volume", fill->shown_mass ? "mass" : "volume");
    } else if (fill->pulses > 0 && !meter->m3_per_pulse.at.given) {
        fault = fault_new(faults, FAULT_INPUT, fill->at);
        fault_found(fault, "the pulses of '%s' tell nothing", meter->name);
        fault_hint(fault,
                   "give what the meter showed, such as 'fill = 8.02 %s'; a meter that gives "
                   "pulses has 'litres per pulse' under [instrument %s]",
                   weighs ? "kg, 300 s, 1.604 kg/min" : "L, 300 s, 1.604 L/min", meter->name);
    } else if (fill->by_mass != weighs && !keys->water_degC.at.given) {
        fault = fault_in(run, NULL, faults);
        fault_found(fault, "litres and kilograms are compared at an unknown temperature");
        fault_hint(fault, "add that of the water in the bucket, for instance 'water = 18 degC'");
    }
    return fault == NULL;
}

static bool fit_bucket(const struct test_setup *setup, const struct run_section *run,
                       struct faults *faults)
{
    const struct instrument *meter =
        instrument_of_channel(setup->instruments, setup->n_instruments, CH_FLOW);
    if (meter == NULL)
        meter = instrument_of_channel(setup->instruments, setup->n_instruments, CH_MASS_FLOW);
    if (meter == NULL) {
        struct fault *fault = fault_in(run, NULL, faults);
        fault_found(fault, "there is no meter that [run %s] could check", run->name);
        fault_expected(fault, "an instrument with 'measures = flow'");
        return false;
    }
    for (size_t i = 0; i < run->check.n_fills; i++)
        if (!fit_fill(&run->check, run, meter, i, faults))
            return false;
    return true;
}

/* Whether the run finds the offset of this instrument. */
static bool touches(const struct run_section *run, const struct instrument *instrument)
{
    switch (run->kind) {
    case RUN_ZERO_CHECK:
        return instrument->channel == CH_INLET || instrument->channel == CH_OUTLET;
    case RUN_TOGETHER:
        return is_listed(run, instrument->name, run->check.thermometers.n);
    default:
        return false;
    }
}

/* A pair is corrected as a whole or not at all. */
static bool fit_pairs(const struct test_setup *setup, const struct run_section *run,
                      struct faults *faults)
{
    for (size_t i = 0; i < setup->n_instruments; i++) {
        const struct instrument *own = &setup->instruments[i];
        if (!own->matched_to.at.given)
            continue;
        const struct instrument *other = named(setup, own->matched_to.text);
        if (other == NULL || touches(run, own) == touches(run, other))
            continue;
        struct fault *fault = fault_in(run, NULL, faults);
        fault_found(fault, "'%s' is matched to '%s', and only one of them is in the %s", own->name,
                    other->name, run_kind_word(run->kind));
        fault_expected(fault, "both, or neither");
        fault_hint(fault, "name both under 'thermometers', or remove 'matched to' and 'pair'");
        return false;
    }
    return true;
}

static bool fit_once(const struct test_setup *setup, size_t k, struct faults *faults)
{
    const struct run_section *run = &setup->runs[k];
    for (size_t j = 0; j < k; j++) {
        const struct run_section *other = &setup->runs[j];
        bool same = other->kind == run->kind && run->kind != RUN_TOGETHER;
        for (size_t i = 0; i < setup->n_instruments && !same; i++)
            same = touches(run, &setup->instruments[i]) && touches(other, &setup->instruments[i]);
        if (!same || !run_is_check(other) || !other->check.applied)
            continue;
        struct fault *fault = fault_in(run, NULL, faults);
        fault_found(fault, "[run %s] finds what [run %s] (line %ld) has found already", run->name,
                    other->name, other->head.line);
        fault_expected(fault, "one check for each error");
        fault_hint(fault, "'apply = no' under one of them: it then only says what it found");
        return false;
    }
    return true;
}

static bool fit_log(const struct test_setup *setup, const struct run_section *run,
                    struct faults *faults)
{
    if (!run->check.stretch || setup->log.given)
        return true;
    struct fault *fault = fault_in(run, &run->check.from.at, faults);
    fault_found(fault, "there is no [log] of which 'from' and 'to' could be a stretch");
    fault_hint(fault,
               "the points of an earlier reduction are corrected already: leave the check out, and "
               "state what it found as 'calibration', 'matched to' and 'pair'");
    return false;
}

/* Corrected twice is as wrong as not at all, and no table tells. */
static bool fit_points(const struct test_setup *setup, const struct run_section *run,
                       struct faults *faults)
{
    if (!setup->points.given || setup->points.corrected.at.given)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, setup->points.head);
    fault_found(fault, "[points] does not say whether what [run %s] finds is in the points already",
                run->name);
    fault_expected(fault, "'corrected = no' for points as they were read, 'corrected = yes' for "
                          "those of an earlier reduction with this check");
    return false;
}

bool checks_fit(const struct test_setup *setup, struct faults *faults)
{
    bool good = true, asked = false;
    for (size_t k = 0; k < setup->n_runs; k++) {
        const struct run_section *run = &setup->runs[k];
        if (!run_is_check(run))
            continue;
        good = fit_log(setup, run, faults) && good;
        if (run->kind == RUN_TOGETHER)
            good = fit_together(setup, run, faults) && good;
        if (run->kind == RUN_BUCKET)
            good = fit_bucket(setup, run, faults) && good;
        if (run->check.applied && !asked) {
            good = fit_points(setup, run, faults) && good;
            asked = true;
        }
        if (run->check.applied)
            good = fit_pairs(setup, run, faults) && fit_once(setup, k, faults) && good;
    }
    return good;
}
