#include "domain/material.h"

#include <math.h>

#define MEMORY "(from memory)"

const struct surface_kind surface_kinds[SURFACE_KINDS] = {
    {"black paint",
     {0.93, 0.97},
     {0.88, 0.98},
     120.0,
     "flat black paint absorbs and emits about 95 % (read); limit of ordinary paint (from memory)"},
    {"stove paint",
     {0.93, 0.97},
     {0.86, 0.96},
     400.0,
     "as black paint (read); heat-resisting binder (from memory)"},
    {"selective",
     {0.92, 0.96},
     {0.10, 0.20},
     180.0,
     "absorbs like paint, emits 10 to 20 % (read); limit (from memory)"},
    {"selective paint",
     {0.90, 0.94},
     {0.70, 0.90},
     150.0,
     "pigmented paint: above 0.90, 0.70 to 0.90 for its binder (read); limit (from memory)"},
    {"semi-selective paint",
     {0.85, 0.89},
     {0.30, 0.40},
     150.0,
     "0.87 and 0.35, Del Col et al. 2013 (read second-hand); limit (from memory)"},
    {"black chrome", {0.93, 0.96}, {0.08, 0.14}, 250.0, MEMORY},
    {"black nickel", {0.88, 0.96}, {0.07, 0.12}, 180.0, MEMORY},
    {"sputtered", {0.94, 0.96}, {0.04, 0.05}, 220.0, MEMORY},
    {"coloured anodised aluminium", {0.92, 0.96}, {0.10, 0.15}, 180.0, MEMORY},
};

#define GLASS_EMITTANCE                                                                            \
    {                                                                                              \
        0.84, 0.92                                                                                 \
    }

const struct glazing_kind glazing_kinds[GLAZING_KINDS] = {
    {"window glass",
     1.526,
     {0.82, 0.85},
     GLASS_EMITTANCE,
     90.0,
     "ordinary float; annealed glass breaks by uneven heat (from memory)"},
    {"low-iron glass",
     1.526,
     {0.90, 0.92},
     GLASS_EMITTANCE,
     200.0,
     "3 to 4 mm, tempered (from memory)"},
    {"antireflective glass",
     1.526,
     {0.95, 0.96},
     GLASS_EMITTANCE,
     200.0,
     "low-iron, both faces; 0.96 (read second-hand), range and limit (from memory)"},
    {"acrylic sheet", 1.49, {0.88, 0.92}, {0.85, 0.95}, 80.0, MEMORY},
    {"polycarbonate sheet", 1.586, {0.80, 0.87}, {0.85, 0.95}, 120.0, MEMORY},
    {"twin-wall polycarbonate",
     1.586,
     {0.76, 0.83},
     {0.85, 0.95},
     120.0,
     "as one pane: the air inside it is not counted (from memory)"},
};

const struct insulation_kind insulation_kinds[INSULATION_KINDS] = {
    {"mineral wool",
     {0.035, 0.045},
     0.00015,
     200.0,
     "binder fumes above about 200 degC (from memory)"},
    {"glass wool",
     {0.033, 0.042},
     0.00018,
     200.0,
     "binder fumes above about 200 degC (from memory)"},
    {"polyurethane foam", {0.022, 0.028}, 0.00010, 110.0, "110 to 150 degC (from memory)"},
    {"polyisocyanurate foam",
     {0.022, 0.028},
     0.00010,
     130.0,
     "110 to 150 degC (from memory); ages by up to 17 % (read)"},
    {"expanded polystyrene",
     {0.034, 0.038},
     0.00012,
     75.0,
     "0.036 W/(m K) (read); softens near 75 to 80 degC (from memory)"},
    {"cork", {0.037, 0.045}, 0.00012, 120.0, MEMORY},
    {"wood fibre", {0.038, 0.050}, 0.00012, 110.0, "chars slowly above (from memory)"},
};

const struct sheet_kind sheet_kinds[SHEET_KINDS] = {
    {"copper", 385.0, 0.03, "Duffie and Beckman, example 6.5.1 (from memory)"},
    {"aluminium", 211.0, 0.08, "pure sheet to alloy (from memory)"},
    {"steel", 50.0, 0.10, MEMORY},
    {"stainless steel", 16.0, 0.08, MEMORY},
};

const struct bond_kind bond_kinds[BOND_KINDS] = {
    {"one piece", {INFINITY, INFINITY}, "roll-bond, extruded: no seam at all"},
    {"soldered",
     {40.0, 400.0},
     "all along; above 30 W/(m K) is asked for (from memory); our figure"},
    {"welded", {25.0, 250.0}, "a seam or spots along the tube (our figure)"},
    {"glued", {8.0, 40.0}, "heat-conducting filler in a groove (our figure)"},
    {"clipped", {3.0, 15.0}, "a fin pressed or wired onto the tube (our figure)"},
    {"laid on", {0.5, 4.0}, "the tube merely touches the sheet (our figure)"},
};

const char *const surface_kind_words[SURFACE_KINDS] = {"black paint",
                                                       "stove paint",
                                                       "selective",
                                                       "selective paint",
                                                       "semi-selective paint",
                                                       "black chrome",
                                                       "black nickel",
                                                       "sputtered",
                                                       "coloured anodised aluminium"};
const char *const glazing_words[GLAZING_KINDS] = {
    "window glass",  "low-iron glass",      "antireflective glass",
    "acrylic sheet", "polycarbonate sheet", "twin-wall polycarbonate"};
const char *const insulation_words[INSULATION_KINDS] = {
    "mineral wool",         "glass wool", "polyurethane foam", "polyisocyanurate foam",
    "expanded polystyrene", "cork",       "wood fibre"};
const char *const sheet_words[SHEET_KINDS] = {"copper", "aluminium", "steel", "stainless steel"};
const char *const bond_words[BOND_KINDS] = {"one piece", "soldered", "welded",
                                            "glued",     "clipped",  "laid on"};

double material_middle(struct material_range range)
{
    return 0.5 * (range.low + range.high);
}

double material_u(struct material_range range)
{
    return 0.5 * (range.high - range.low) / sqrt(3.0);
}

/* The name of the range that holds the value; `name_of` and `range_of` walk a table. */
struct nearest {
    const char *name;
    double distance;
};

static void consider(struct nearest *best, const char *name, struct material_range range,
                     double value)
{
    double distance = fabs(value - material_middle(range));
    if (value < range.low || value > range.high ||
        (best->name != NULL && distance >= best->distance))
        return;
    *best = (struct nearest){name, distance};
}

const char *material_surface_of_absorptance(double absorptance)
{
    struct nearest best = {0};
    for (size_t i = 0; i < SURFACE_KINDS; i++)
        consider(&best, surface_kinds[i].name, surface_kinds[i].absorptance, absorptance);
    return best.name;
}

const char *material_surface_of_emittance(double emittance)
{
    struct nearest best = {0};
    for (size_t i = 0; i < SURFACE_KINDS; i++)
        consider(&best, surface_kinds[i].name, surface_kinds[i].emittance, emittance);
    return best.name;
}

const char *material_glazing_of_transmittance(double transmittance)
{
    struct nearest best = {0};
    for (size_t i = 0; i < GLAZING_KINDS; i++)
        consider(&best, glazing_kinds[i].name, glazing_kinds[i].transmittance, transmittance);
    return best.name;
}

const char *material_bond_of_conductance(double conductance_W_mK)
{
    struct nearest best = {0};
    for (size_t i = 1; i < BOND_KINDS; i++) {
        struct material_range range = bond_kinds[i].conductance_W_mK;
        consider(&best, bond_kinds[i].name,
                 (struct material_range){log(range.low), log(range.high)}, log(conductance_W_mK));
    }
    return best.name;
}

const char *material_insulation_of_conductivity(double conductivity_W_mK)
{
    struct nearest best = {0};
    for (size_t i = 0; i < INSULATION_KINDS; i++)
        consider(&best, insulation_kinds[i].name, insulation_kinds[i].conductivity_W_mK,
                 conductivity_W_mK);
    return best.name;
}
