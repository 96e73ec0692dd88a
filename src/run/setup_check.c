/* Sections of a description held against each other. */
#include "run/setup_parts.h"

#include "run/setup_heat.h"
#include "run/setup_log.h"
#include "run/setup_stage.h"

/* Logs or points, not both and not neither. */
static bool check_source(const struct making *making)
{
    const struct test_setup *setup = making->setup;
    if (setup->log.given != setup->points.given || setup_untested(setup) ||
        setup_published(setup) || 
        (setup->planned_too && !setup->log.given && !setup->points.given))
        return true;
    if (!setup->log.given && (!making->whole || setup->n_other_logs > 0))
        return false;
    struct place at = setup->points.given ? setup->points.head : fault_at(setup->path, 0, 0);
    struct fault *fault = fault_new(making->faults, FAULT_INPUT, at);
    if (setup->points.given)
        fault_found(fault, "there are both [log] (line %ld) and [points]", setup->log.head.line);
    else
        fault_found(fault, "there is neither [log] nor [points]");
    fault_expected(fault, "[log] with the logger's files, or [points] with a table of points");
    return false;
}

/* With a log every instrument has a column and its unit. */
static bool check_columns(const struct making *making)
{
    bool good = true;
    for (size_t i = 0; i < making->setup->n_instruments; i++) {
        const struct instrument *instrument = &making->setup->instruments[i];
        const char *absent = !instrument->column.at.given      ? "column"
                             : !instrument->unit_text.at.given ? "unit"
                                                               : NULL;
        if (absent == NULL)
            continue;
        struct fault *fault = fault_new(making->faults, FAULT_INPUT, instrument->head);
        fault_found(fault, "[instrument %s] has no '%s'", instrument->name, absent);
        fault_expected(fault, "the column's head in the log and its unit");
        good = false;
    }
    return good;
}

static bool check_log(const struct making *making, bool sections_good)
{
    bool planned = making->setup->planned_too && setup_planned(making->setup);
    if (!making->setup->log.given && !planned)
        return setup_totals_have_log(making->setup, making->faults);
    bool good = true;
    if (sections_good && making->description->whole && !planned)
        good = check_columns(making);
    if (making->whole_instruments && making->whole)
        good = setup_needed_measured(making->setup, making->faults) && good;
    return good;
}

/* What is measured is not stated as well: one of them would be passed over in silence. */
static bool refuse_double(const struct making *making, const struct stated *at, const char *key,
                          enum channel channel)
{
    const struct test_setup *setup = making->setup;
    const struct instrument *instrument =
        instrument_of_channel(setup->instruments, setup->n_instruments, channel);
    if (!at->given || instrument == NULL)
        return true;
    struct fault *fault =
        fault_new(making->faults, FAULT_INPUT, fault_at(setup->path, at->line, at->column));
    fault_found(fault, "[site] states the %s that [instrument %s] measures", key,
                instrument->name);
    fault_expected(fault, "one of them");
    return false;
}

static bool check_surroundings(const struct making *making)
{
    const struct site *site = &making->setup->site;
    bool good = refuse_double(making, &site->wind_m_s.at, "wind", CH_WIND);
    good = refuse_double(making, &site->sky.at, "sky", CH_SKY) && good;
    good = refuse_double(making, &site->tilt_rad.at, "tilt", CH_TILT) && good;
    good = refuse_double(making, &site->azimuth_rad.at, "azimuth", CH_AZIMUTH) && good;
    good =
        refuse_double(making, &site->lamp_angle_rad.at, "lamp's angle", CH_INCIDENCE) && good;
    return refuse_double(making, &site->sky.at, "sky", CH_LONGWAVE) && good;
}

bool setup_check(const struct making *making, bool sections_good)
{
    bool good = check_source(making);
    good = check_log(making, sections_good) && good;
    if (making->whole_instruments && making->whole)
        good = setup_heat_fits(making->setup, making->faults) && good;
    return check_surroundings(making) && good;
}
