#include "run/setup_heat.h"

static const struct instrument *instrument_for(const struct test_setup *setup, enum channel channel)
{
    return instrument_of_channel(setup->instruments, setup->n_instruments, channel);
}

static bool has_flow(const struct test_setup *setup)
{
    return instrument_for(setup, CH_FLOW) != NULL || instrument_for(setup, CH_MASS_FLOW) != NULL;
}

bool setup_heat_by_meter(const struct test_setup *setup)
{
    const struct stated_choice *from = &setup->fluid_choice.heat_from;
    if (from->at.given)
        return from->index == HEAT_FROM_METER;
    return !has_flow(setup) && instrument_for(setup, CH_METERED) != NULL;
}

/* Another channel that serves as well. */
static bool is_replaced(const struct test_setup *setup, enum channel channel)
{
    return channel == CH_FLOW && (has_flow(setup) || setup_heat_by_meter(setup));
}

bool setup_needed_measured(const struct test_setup *setup, struct faults *faults)
{
    bool good = true;
    for (int ch = 0; ch < CH_LOGGED; ch++) {
        const struct channel_row *row = channel_row((enum channel)ch);
        if (!row->needed || instrument_for(setup, row->id) != NULL || is_replaced(setup, row->id))
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(setup->path, 0, 0));
        fault_found(fault, "no instrument measures %s (%s)", row->word, row->label);
        fault_expected(fault, "a section [instrument NAME] with 'measures = %s'", row->word);
        good = false;
    }
    return good;
}

static struct fault *fault_of(const struct test_setup *setup, const struct stated *at,
                              struct faults *faults)
{
    return fault_new(faults, FAULT_INPUT, fault_at(setup->path, at->line, at->column));
}

/* A table of points holds the heat that it holds. */
static bool refuse_points(const struct test_setup *setup, const struct instrument *meter,
                          struct faults *faults)
{
    struct fault *fault = fault_of(setup, &meter->measures.at, faults);
    fault_found(fault, "[instrument %s] measures 'metered heat', and there are [points]",
                meter->name);
    fault_expected(fault, "[log]: a heat meter's heat is taken from its log");
    fault_hint(fault, "a table of points may hold its heat in a column 'heat', which is held "
                      "against flow and rise");
    return false;
}

static bool refuse_pipes(const struct test_setup *setup, struct faults *faults)
{
    bool good = true;
    for (int end = 0; end < PIPES; end++) {
        const struct pipe *pipe = &setup->pipes.of[end];
        if (!pipe->given)
            continue;
        const struct stated *at = pipe->loss.at.given ? &pipe->loss.at : &pipe->diameter_m.at;
        struct fault *fault = fault_of(setup, at, faults);
        fault_found(fault,
                    "there is a [pipe], and the heat is that of a heat meter: on which side of the "
                    "pipe its thermometers stand is not known");
        fault_hint(fault, "take [pipe] out and put its loss into the meter's 'calibration', or "
                          "measure the flow and write 'heat from = flow' in [fluid]");
        good = false;
    }
    return good;
}

bool setup_heat_fits(const struct test_setup *setup, struct faults *faults)
{
    const struct stated_choice *from = &setup->fluid_choice.heat_from;
    const struct instrument *meter = instrument_for(setup, CH_METERED);
    bool good = true;
    if (setup->points.given && meter != NULL)
        good = refuse_points(setup, meter, faults);
    bool asked = setup->log.given || setup->points.given || setup->n_runs > 0;
    if (asked && from->at.given && from->index == HEAT_FROM_METER && meter == NULL) {
        struct fault *fault = fault_of(setup, &from->at, faults);
        fault_found(fault, "'heat from = heat meter', and no instrument measures it");
        fault_expected(fault, "a section [instrument NAME] with 'measures = metered heat'");
        good = false;
    }
    return (!setup_heat_by_meter(setup) || refuse_pipes(setup, faults)) && good;
}
