#include "base/files.h"
#include "base/libraries.h"
#include "domain/instrument_kind.h"
#include "domain/surroundings.h"
#include "base/version.h"
#include "run/reduction_document.h"
#include "run/setup_heat.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

bool program_facts(struct document *doc, struct faults *faults)
{
    struct text text = {0};
    libraries_add(&text);
    bool good = text_ok(&text, faults) &&
                document_fact(doc, "program", "etabench", faults, "%s", ETABENCH_VERSION) &&
                document_fact(doc, "program", "libraries", faults, "%s", text_string(&text));
    text_free(&text);
    return good;
}

static bool description_fact(const struct reduction *r, struct document *doc,
                             struct faults *faults)
{
    return document_fact(doc, "input", path_base(r->setup.path), faults, "SHA-256 %s",
                         r->setup.sha256);
}

static bool input_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    for (size_t k = 0; k < r->logs.n; k++)
        for (size_t i = 0; i < r->logs.account[k].n_files; i++)
            if (!document_fact(doc, "input", path_base(r->logs.account[k].files[i].path), faults,
                               "SHA-256 %s", r->logs.account[k].files[i].sha256))
                return false;
    for (size_t i = 0; i < r->n_points_files; i++)
        if (!document_fact(doc, "input", path_base(r->points_files[i].path), faults, "SHA-256 %s",
                           r->points_files[i].sha256))
            return false;
    return true;
}

static bool capacity_fact(const struct collector *c, struct document *doc, struct faults *faults)
{
    if (!(c->capacity_J_m2K > 0))
        return document_fact(doc, "collector", "heat capacity", faults,
                             "not stated: heat stored in a drifting window is not corrected");
    return document_fact(doc, "collector", "heat capacity", faults,
                         "%.4g kJ/(m2 K) +- %.3g standard, %s the fluid inside (%s)",
                         1e-3 * c->capacity_J_m2K, 1e-3 * c->u_capacity_J_m2K,
                         c->capacity_dry ? "without" : "with", c->capacity_origin);
}

static bool surface_fact(const struct collector *c, struct document *doc, struct faults *faults)
{
    if (c->emittance.at.given)
        return document_fact(doc, "collector", "emittance", faults, "%.3g", c->emittance.value);
    return document_fact(doc, "collector", "surface", faults, "%s",
                         c->surface.at.given
                             ? surface_words[c->surface.index]
                             : "not stated: taken as black where wind or sky count");
}

static bool collector_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct collector *c = &r->setup.collector;
    if (!document_fact(doc, "collector", "name", faults, "%s",
                       c->name.at.given ? c->name.text : "not stated"))
        return false;
    for (int area = 0; area < AREA_COUNT; area++)
        if (c->area[area].at.given &&
            !document_fact(doc, "collector", area_word((enum area_reference)area), faults,
                           "%.4g m2%s", c->area[area].value,
                           area == (int)c->reference ? " (the efficiency refers to it)" : ""))
            return false;
    return document_fact(doc, "collector", "area error", faults, "%.3g %% standard%s",
                         100 * c->u_area,
                         c->u_area_by_default ? " (not stated: common practice, no source)"
                                              : "") &&
           capacity_fact(c, doc, faults) && surface_fact(c, doc, faults);
}

static bool angle_fact(struct document *doc, const char *key, const struct stated_number *angle,
                       struct faults *faults)
{
    if (!angle->at.given)
        return document_fact(doc, "site", key, faults, "not stated");
    return document_fact(doc, "site", key, faults, "%.6g deg", angle->value * 180 / M_PI);
}

static bool site_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct site *site = &r->setup.site;
    return angle_fact(doc, "latitude", &site->latitude_rad, faults) &&
           angle_fact(doc, "longitude", &site->longitude_rad, faults) &&
           angle_fact(doc, "tilt", &site->tilt_rad, faults) &&
           angle_fact(doc, "azimuth", &site->azimuth_rad, faults) &&
           (!site->wind_m_s.at.given ||
            document_fact(doc, "site", "wind", faults, "%.3g m/s, stated%s%s", site->wind_m_s.value,
                          site->wind_error.at.given ? ", " : "",
                          site->wind_error.at.given ? site->wind_error.text : "")) &&
           (!site->sky.at.given ||
            document_fact(doc, "site", "sky", faults, "%s", sky_words[site->sky.index]));
}

static bool mixture_facts(const struct fluid *fluid, struct document *doc, struct faults *faults)
{
    const struct fluid_mixture *m = &fluid->mixture;
    return document_fact(doc, "fluid", "fraction", faults,
                         "%.1f %% by volume, %.1f %% by mass (stated by %s; the other to 0.5 "
                         "points, from densities at 20 degC)",
                         100 * m->volume, 100 * m->mass, m->by_mass ? "mass" : "volume") &&
           document_fact(doc, "fluid", "begins to freeze at", faults,
                         "%.0f degC, as a pure mixture (Melinder 2010) [read second-hand]",
                         ceil(m->freezing_degC)) &&
           document_fact(doc, "fluid", "range", faults, "%.1f to %.0f degC", fluid->least_degC,
                         fluid->most_degC) &&
           document_fact(doc, "fluid", "at 40 degC", faults, "%.1f kg/m3, %.1f J/(kg K)",
                         fluid_density(fluid, 40.0), fluid_cp(fluid, 40.0));
}

static bool fluid_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct fluid *fluid = &r->setup.fluid;
    const struct fluid_choice *choice = &r->setup.fluid_choice;
    if (!document_fact(doc, "fluid", "name", faults, "%s", fluid->name) ||
        !document_fact(doc, "fluid", "properties", faults, "%s", fluid->source) ||
        (fluid->kind == FLUID_GLYCOL && !mixture_facts(fluid, doc, faults)) ||
        !document_fact(doc, "fluid", "flow metered at", faults, "%s",
                       choice->meter_at.index == METER_AT_OUTLET ? "the outlet" : "the inlet"))
        return false;
    bool metered = instrument_of_channel(r->setup.instruments, r->setup.n_instruments,
                                         CH_METERED) != NULL;
    bool by_meter = setup_heat_by_meter(&r->setup);
    if (metered && !document_fact(doc, "fluid", "heat from", faults, "%s",
                                  by_meter ? "the heat meter" : "flow and both temperatures"))
        return false;
    if (by_meter)
        return document_fact(doc, "fluid", "transit time", faults,
                             "not used: the heat is that of the heat meter, so the fluid counts in "
                             "the heat capacity");
    if (choice->transit_s.value > 0)
        return document_fact(doc, "fluid", "transit time", faults,
                             "%.4g s: the inlet is delayed by it, so the fluid does not count in "
                             "the heat capacity",
                             choice->transit_s.value);
    return document_fact(
        doc, "fluid", "transit time", faults,
        "not stated: inlet and outlet of the same instant are compared, so the fluid "
        "counts in the heat capacity");
}

static bool instrument_fact(const struct instrument *in, struct document *doc,
                            struct faults *faults)
{
    struct text text = {0};
    text_addf(&text, "%s", channel_row(in->channel)->word);
    if (in->column.at.given)
        text_addf(&text, ", column '%s' in %s", in->column.text,
                  in->unit == NULL ? "?" : in->unit->name);
    if (in->kind.at.given)
        text_addf(&text, ", %s", instrument_kinds[in->kind.index].name);
    text_addf(&text, ", id %s", in->id.at.given ? in->id.text : "not stated");
    if (in->note.at.given)
        text_addf(&text, " (%s)", in->note.text);
    bool good = text_ok(&text, faults) && document_fact(doc, "instrument", in->name, faults, "%s",
                                                        text_string(&text));
    text_free(&text);
    return good;
}

bool reduction_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (!program_facts(doc, faults) || !description_fact(r, doc, faults) ||
        !input_facts(r, doc, faults) ||
        !collector_facts(r, doc, faults) || !site_facts(r, doc, faults) ||
        !fluid_facts(r, doc, faults))
        return false;
    for (size_t i = 0; i < r->setup.n_instruments; i++)
        if (!instrument_fact(&r->setup.instruments[i], doc, faults))
            return false;
    return true;
}
