#include "run/setup_log.h"

#include "base/files.h"

#include <math.h>
#include <stdlib.h>

static bool add_files(const struct test_setup *setup, const struct log_section *log,
                      struct log_plan *plan, struct faults *faults)
{
    for (size_t i = 0; i < log->files.n; i++) {
        char *path = path_beside(setup->path, log->files.items[i].text, faults);
        bool good = path != NULL && log_plan_add_file(plan, path, faults);
        free(path);
        if (!good)
            return false;
    }
    return true;
}

/* What several of its rows are as one. */
static enum log_joined joined_how(const struct instrument *instrument)
{
    if (instrument->channel == CH_AZIMUTH)
        return JOINED_DIRECTION;
    if (instrument_is_total(instrument))
        return JOINED_LAST;
    if (instrument->unit == NULL || instrument->unit->dimension != DIM_PULSES)
        return JOINED_MEAN;
    return text_same(instrument->unit->name, "pulses")                ? JOINED_LAST
           : text_same(instrument->unit->name, "pulses per interval") ? JOINED_SUM
                                                                      : JOINED_MEAN;
}

static bool add_columns(const struct test_setup *setup, size_t log, struct log_plan *plan,
                        struct faults *faults)
{
    for (size_t i = 0; i < setup->n_instruments; i++) {
        const struct instrument *instrument = &setup->instruments[i];
        if (instrument->log != log)
            continue;
        if (!log_plan_add_column(plan, instrument->channel, instrument->column.text,
                                 instrument->unit, instrument->gain_value, instrument->add_value,
                                 faults))
            return false;
        plan->columns[plan->n_columns - 1].signal =
            instrument->signal.kind != SIGNAL_NONE ? &instrument->signal : NULL;
        plan->columns[plan->n_columns - 1].head_unit_wrong =
            instrument->head_unit.index == HEAD_UNIT_WRONG;
        plan->columns[plan->n_columns - 1].joined = joined_how(instrument);
        log_plan_screen_column(plan, (struct log_screening){
                                         .stuck_us = llround(instrument->stuck_s * 1e6),
                                         .spike_si = instrument->spike_si,
                                         .resolution_si = instrument->resolution.value});
    }
    return true;
}

struct pulse_meter setup_pulse_meter(const struct test_setup *setup, enum counted_kind counted)
{
    const struct instrument *in = instrument_of_channel(setup->instruments, setup->n_instruments,
                                                        counted_channel(counted));
    struct pulse_meter meter = {PULSES_NONE, 0.0, 0.0};
    if (in != NULL && instrument_is_total(in))
        return (struct pulse_meter){PULSES_TOTAL, in->resolution.value,
                                    fabs(in->gain_value) * in->unit->scale};
    if (in == NULL || in->unit == NULL || in->unit->dimension != DIM_PULSES)
        return meter;
    meter.per_pulse = in->m3_per_pulse.value;
    meter.form = text_same(in->unit->name, "pulses")                ? PULSES_COUNTER
                 : text_same(in->unit->name, "pulses per interval") ? PULSES_PER_ROW
                                                                    : PULSES_RATE;
    return meter;
}

bool setup_totals_have_log(const struct test_setup *setup, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < setup->n_instruments && setup->points.given; i++) {
        const struct instrument *instrument = &setup->instruments[i];
        if (!instrument_is_total(instrument))
            continue;
        const struct stated *at = &instrument->unit_text.at;
        struct fault *fault =
            fault_new(faults, FAULT_INPUT, fault_at(setup->path, at->line, at->column));
        fault_found(fault,
                    "'unit = %s' of [instrument %s] says that a log holds its total, and there "
                    "are [points]",
                    instrument->unit_text.text, instrument->name);
        fault_hint(fault, "take 'unit' and 'resolution' out: the table's own head says its unit");
        good = false;
    }
    return good;
}

/* Our own figures. No lamp and no dull day is so weak; what the sun is in kW/m2, at the edge of a
 * cloud too. */
#define SUN_LEAST_W_M2 5.0
#define SUN_DULL_KW_M2 0.1
#define SUN_MOST_KW_M2 1.6

static bool wants_sun(const struct test_setup *setup)
{
    for (size_t i = 0; i < setup->n_runs; i++)
        if (!run_is_check(&setup->runs[i]))
            return true;
    return false;
}

bool setup_sun_fits(const struct test_setup *setup, const struct log_channel *sun,
                    struct faults *faults)
{
    const struct instrument *sensor =
        instrument_of_channel(setup->instruments, setup->n_instruments, CH_IRRADIANCE);
    if (sensor == NULL || !wants_sun(setup) || !sun->present || sun->count[FLAG_GOOD] == 0 ||
        !(sun->most_si > 0) || sun->most_si >= SUN_LEAST_W_M2)
        return true;
    const struct stated *at = &sensor->unit_text.at;
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(setup->path, at->line, at->column));
    fault_field(fault, "[instrument %s]", sensor->name);
    fault_found(fault, "the column '%s' is never more than %.2g W/m2: that is no sunshine",
                sensor->column.text, sun->most_si);
    bool kilo = sun->most_si > SUN_DULL_KW_M2 && sun->most_si < SUN_MOST_KW_M2 &&
                text_same(sensor->unit->name, "W/m2");
    if (kilo)
        fault_hint(fault, "is it in kW/m2? then state 'unit = kW/m2'");
    else
        fault_hint(fault, "is the sensor connected and uncovered, are 'column', 'unit' and 'gain' "
                          "right?");
    return false;
}

bool setup_log_plan(const struct test_setup *setup, size_t which, struct log_plan *plan,
                    struct faults *faults)
{
    const struct log_section *log = setup_log(setup, which);
    const struct time_text *time = &log->time;
    const char *second = time->columns[1][0] != '\0' ? time->columns[1] : NULL;
    if (!add_files(setup, log, plan, faults) || !add_columns(setup, which, plan, faults) ||
        !log_plan_set_time(plan, time->columns[0], second, time->format, faults))
        return false;
    for (size_t i = 2; i < TIME_COLUMNS_MAX && time->columns[i][0] != '\0'; i++)
        if (!log_plan_add_time(plan, time->columns[i], faults))
            return false;
    for (size_t i = 0; i < log->missing.n; i++)
        if (!log_plan_add_missing(plan, log->missing.items[i].text, faults))
            return false;
    plan->year = (int)log->year.value;
    plan->zone_in_stamp = time->in_stamp;
    plan->zone = &time->zone;
    plan->timing = log->clock.timing;
    plan->separator = log->separator_byte;
    plan->decimal = log->decimal_byte;
    plan->no_names = log->no_names;
    plan->names_line = log->names_line;
    plan->encoding = (enum encoding)log->encoding.index;
    plan->gap_us = log->gap_s.at.given ? llround(log->gap_s.value * 1e6) : 0;
    return true;
}
