#include "study/build.h"

#include "physics/film.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Our own figures, standard uncertainties: of what is stated without one, and of the formulas. */
#define U_ABSORPTANCE 0.01
#define U_TRANSMITTANCE 0.01
#define U_COVER_EMITTANCE 0.022
#define U_CONDUCTIVITY 0.05
#define U_THICKNESS 0.05 /* of insulation: compressed here, a slit there */
#define U_EDGE 0.30      /* corners, frame, fixings */
#define U_GAP 0.10
#define U_SHEET 0.05
#define U_BOND 0.20
#define U_FILM_STATED 0.10
#define U_FILM 0.20
#define U_FILM_OTHER 0.40
#define U_WIND 0.25 /* formulas for the wind's coefficient differ by half either way */
#define U_CONVECTION 0.08

#define OUTSIDE_W_M2K 10.0      /* still to moving air and radiation (common practice, no source) */
#define UNKNOWN_FLUID_W_MK 0.45 /* our figure: conductivity of a fluid that a table describes */

static const struct property_row rows[PROPERTIES] = {
    [PROP_TRANSMITTANCE] = {"cover.transmittance", "transmittance of the cover", "", false,
                            "measure the sun below and beside a pane", false},
    [PROP_COVER_EMITTANCE] = {"cover.emittance", "emittance of the cover", "", false, "", false},
    [PROP_GAP] = {"cover.gap", "gap below the cover", "m", true,
                  "measure it at several places", false},
    [PROP_ABSORPTANCE] = {"absorber.absorptance", "absorptance of the absorber", "", false,
                          "have a sample measured", false},
    [PROP_EMITTANCE] = {"absorber.emittance", "emittance of the absorber", "", false,
                        "have a sample measured", false},
    [PROP_SHEET] = {"absorber.sheet", "conductivity and thickness of the sheet", "", true,
                    "measure the thickness", false},
    [PROP_BOND] = {"bond.conductance", "bond between tube and sheet", "W/(m K)", true,
                   "cut a sample and look", false},
    [PROP_FILM] = {"tubes.film", "heat transfer to the fluid", "W/(m2 K)", true, "", true},
    [PROP_BACK] = {"back.conductivity", "insulation behind the absorber", "", true,
                   "its data sheet; look for slits", false},
    [PROP_EDGE] = {"edge.conductivity", "insulation of the edge", "", true,
                   "look for slits", false},
    [PROP_WIND] = {"wind.coefficient", "formula for the wind", "", true, "", true},
    [PROP_CONVECTION] = {"gap.convection", "formula for the air in the gap", "", true, "", true},
    [PROP_SKY] = {"sky.temperature", "sky's temperature", "K", false, "measure it", true},
};

const struct property_row *property_row(enum property property)
{
    return &rows[property];
}

struct making {
    struct build *b;
    const struct construction *c;
    const struct test_setup *setup;
    const struct conditions *conditions;
    struct faults *faults;
};

static void set_origin(struct build *b, enum property property, double u, const char *words)
{
    b->u[property] = u;
    snprintf(b->origin[property], sizeof b->origin[property], "%.110s", words);
}

/* A value that is stated, with its error or a documented one; relative errors are of the value. */
static double stated(const struct making *m, enum property property, double value,
                     const struct stated_error *error, double u_by_default)
{
    if (error != NULL && error->at.given)
        set_origin(m->b, property, error->relative ? error->u * value : error->u, "stated");
    else
        set_origin(m->b, property, u_by_default, "stated, its error is not (our figure)");
    return value;
}

static double usual(const struct making *m, enum property property, struct material_range range,
                    const char *name, const char *source)
{
    char words[200];
    snprintf(words, sizeof words, "%s, %.3g to %.3g: %s", name, range.low, range.high, source);
    set_origin(m->b, property, material_u(range), words);
    return material_middle(range);
}

static void add_limit(struct build *b, const char *part, const char *material, double limit_degC,
                      const char *source, bool at_cover)
{
    struct build_limit *limit = &b->limits[b->n_limits++];
    *limit = (struct build_limit){
        .part = part, .limit_degC = limit_degC, .source = source, .at_cover = at_cover};
    snprintf(limit->material, sizeof limit->material, "%s", material);
}

static bool refuse_pane(const struct making *m, const struct cover_keys *keys, double transmittance)
{
    struct fault *fault = fault_new(m->faults, FAULT_INPUT, keys->head);
    fault_found(fault, "a pane that lets %.3g of the sun through cannot be worked with",
                transmittance);
    fault_expected(fault, "a transmittance above 0 and below 0.99");
    return false;
}

/* Transmittance of one pane at right angles by its extinction and thickness. */
static double by_body(double index, const struct cover_keys *keys)
{
    struct cover_sheet sheet = {index, keys->extinction_1_m.value * keys->thickness_m.value};
    struct cover_light light;
    cover_light(&sheet, 1, 0.0, &light);
    return light.passed;
}

static bool add_pane(const struct making *m, const struct cover_keys *keys)
{
    struct build *b = m->b;
    size_t i = b->plate.n_covers++;
    const struct glazing_kind *kind =
        keys->glazing.at.given ? &glazing_kinds[keys->glazing.index] : NULL;
    bool body = keys->extinction_1_m.at.given && keys->thickness_m.at.given;
    b->index[i] = keys->index.at.given ? keys->index.value : kind != NULL ? kind->index : 1.526;
    if (keys->transmittance.at.given)
        b->transmittance[i] = stated(m, PROP_TRANSMITTANCE, keys->transmittance.value,
                                     &keys->transmittance_error, U_TRANSMITTANCE);
    else if (body)
        b->transmittance[i] = stated(m, PROP_TRANSMITTANCE, by_body(b->index[i], keys),
                                     &keys->transmittance_error, U_TRANSMITTANCE);
    else
        b->transmittance[i] =
            usual(m, PROP_TRANSMITTANCE, kind->transmittance, kind->name, kind->source);
    b->plate.cover_emittance[i] =
        keys->emittance.at.given || kind == NULL
            ? stated(m, PROP_COVER_EMITTANCE,
                     keys->emittance.at.given ? keys->emittance.value : 0.88,
                     &keys->emittance_error, U_COVER_EMITTANCE)
            : usual(m, PROP_COVER_EMITTANCE, kind->emittance, kind->name, kind->source);
    b->plate.gap_m[i] = keys->gap_m.value;
    set_origin(b, PROP_GAP, U_GAP, "10 % (our figure)");
    set_origin(b, PROP_CONVECTION, U_CONVECTION, "8 % (our figure)");
    return cover_of_transmittance(b->index[i], b->transmittance[i], &b->plate.sheet[i]) ||
           refuse_pane(m, keys, b->transmittance[i]);
}

static bool add_covers(const struct making *m, const struct cover_keys *keys, const char *part)
{
    size_t n = !keys->given ? 0 : keys->number.at.given ? (size_t)keys->number.value : 1;
    for (size_t i = 0; i < n; i++)
        if (!add_pane(m, keys))
            return false;
    if (n > 0 && keys->glazing.at.given) {
        const struct glazing_kind *kind = &glazing_kinds[keys->glazing.index];
        add_limit(m->b, part, kind->name, kind->limit_degC, kind->source, true);
    }
    return true;
}

/* 15 % of a stated emittance, but 0.01 to 0.03: how well such a measurement is done (our figure).
 */
static double u_emittance(double emittance)
{
    return fmin(fmax(0.15 * emittance, 0.01), 0.03);
}

static void set_absorber(const struct making *m)
{
    struct build *b = m->b;
    const struct absorber_keys *keys = &m->c->absorber;
    const struct surface_kind *kind =
        keys->surface.at.given ? &surface_kinds[keys->surface.index] : NULL;
    b->plate.absorptance =
        keys->absorptance.at.given
            ? stated(m, PROP_ABSORPTANCE, keys->absorptance.value, &keys->absorptance_error,
                     U_ABSORPTANCE * keys->absorptance.value)
            : usual(m, PROP_ABSORPTANCE, kind->absorptance, kind->name, kind->source);
    b->plate.emittance = keys->emittance.at.given
                             ? stated(m, PROP_EMITTANCE, keys->emittance.value,
                                      &keys->emittance_error, u_emittance(keys->emittance.value))
                             : usual(m, PROP_EMITTANCE, kind->emittance, kind->name, kind->source);
    b->plate.absorptance_falls = true;
    if (kind != NULL)
        add_limit(b, "surface of the absorber", kind->name, kind->limit_degC, kind->source, false);
    const struct sheet_kind *sheet =
        keys->material.at.given ? &sheet_kinds[keys->material.index] : NULL;
    b->plate.fin.conductivity_W_mK =
        sheet != NULL ? sheet->conductivity_W_mK : keys->conductivity_W_mK.value;
    b->plate.fin.thickness_m = keys->thickness_m.value;
    double u = sheet != NULL ? hypot(sheet->u_relative, U_SHEET) : U_SHEET;
    set_origin(b, PROP_SHEET, u, sheet != NULL ? sheet->source : "5 % (our figure)");
}

static void set_bond(const struct making *m)
{
    struct build *b = m->b;
    const struct bond_keys *keys = &m->c->bond;
    if (keys->conductance_W_mK.at.given) {
        const struct stated_error *error = &keys->error;
        double value = keys->conductance_W_mK.value;
        b->plate.fin.bond_W_mK = value;
        if (error->at.given)
            set_origin(b, PROP_BOND, error->relative ? error->u : error->u / value, "stated");
        else
            set_origin(b, PROP_BOND, U_BOND, "stated, its error is not (our figure)");
        return;
    }
    const struct bond_kind *kind = &bond_kinds[keys->kind.index];
    struct material_range range = kind->conductance_W_mK;
    b->plate.fin.bond_W_mK = INFINITY;
    if (!isfinite(range.low))
        return;
    char words[200];
    struct material_range logs = {log(range.low), log(range.high)};
    snprintf(words, sizeof words, "%s, %.3g to %.3g W/(m K): %s", kind->name, range.low, range.high,
             kind->source);
    set_origin(b, PROP_BOND, material_u(logs), words);
    b->plate.fin.bond_W_mK = exp(material_middle(logs));
}

static void set_insulation(const struct making *m, const struct insulation_keys *keys,
                           enum property property, double u_body, struct plate_insulation *out,
                           const char *part)
{
    struct build *b = m->b;
    const struct insulation_kind *kind =
        keys->material.at.given ? &insulation_kinds[keys->material.index] : NULL;
    out->outside_W_m2K = OUTSIDE_W_M2K;
    out->thickness_m = keys->thickness_m.value;
    out->at_10_W_mK = 1.0;
    if (keys->thickness_m.value == 0.0)
        return;
    double u = U_CONDUCTIVITY;
    if (keys->conductivity_W_mK.at.given)
        out->at_10_W_mK = keys->conductivity_W_mK.value;
    else {
        out->at_10_W_mK = material_middle(kind->conductivity_W_mK);
        u = material_u(kind->conductivity_W_mK) / out->at_10_W_mK;
    }
    if (keys->error.at.given)
        u = keys->error.relative ? keys->error.u : keys->error.u / out->at_10_W_mK;
    if (keys->hot_W_mK.at.given)
        out->rise_W_mK2 = (keys->hot_W_mK.value - out->at_10_W_mK) / 90.0;
    else if (kind != NULL)
        out->rise_W_mK2 = kind->rise_W_mK2;
    set_origin(b, property, hypot(u, u_body),
               keys->error.at.given ? "conductivity as stated, and how it is fitted (our figure)"
               : kind != NULL       ? kind->source
                                    : "conductivity and how it is fitted (our figures)");
    if (keys->limit_degC.at.given)
        add_limit(b, part, kind != NULL ? kind->name : "as stated", keys->limit_degC.value,
                  "stated", false);
    else if (kind != NULL)
        add_limit(b, part, kind->name, kind->limit_degC, kind->source, false);
    else
        return;
    b->limits[b->n_limits - 1].conducts = true;
}

static void set_back_and_edge(const struct making *m)
{
    struct build *b = m->b;
    const struct insulation_keys *edge = &m->c->edge;
    b->plate.back.area_share = 1.0;
    set_insulation(m, &m->c->back, PROP_BACK, U_THICKNESS, &b->plate.back,
                   "insulation behind the absorber");
    if (!edge->given)
        return;
    /* 3 sqrt(2 A): around a rectangle twice as long as wide. */
    b->perimeter_assumed = !edge->perimeter_m.at.given;
    double perimeter =
        b->perimeter_assumed ? 3.0 * sqrt(2.0 * b->reference_m2) : edge->perimeter_m.value;
    b->plate.edge.area_share = perimeter * edge->height_m.value / b->plate.absorber_m2;
    set_insulation(m, edge, PROP_EDGE, U_EDGE, &b->plate.edge, "insulation of the edge");
}

static void set_areas(const struct making *m)
{
    const struct stated_number *area = m->setup->collector.area;
    struct build *b = m->b;
    double aperture =
        area[AREA_APERTURE].at.given ? area[AREA_APERTURE].value : m->setup->collector.area_m2;
    b->reference_m2 = m->setup->collector.area_m2;
    b->area_assumed = !area[AREA_ABSORBER].at.given;
    b->plate.absorber_m2 = b->area_assumed ? aperture : area[AREA_ABSORBER].value;
    b->plate.lit_m2 = fmin(aperture, b->plate.absorber_m2);
}

static double computed_film(const struct making *m, double flow_kg_s)
{
    const struct fluid *fluid = &m->setup->fluid;
    const struct fluid_mixture *mixture = &fluid->mixture;
    double t = m->conditions->fluid_degC, inside = m->b->plate.fin.inside_m;
    double cp = fluid_cp(fluid, t);
    struct film_fluid water = film_water(t, cp);
    if (fluid->kind == FLUID_WATER)
        return film_W_m2K(flow_kg_s, inside, &water);
    if (fluid->kind != FLUID_GLYCOL)
        return film_laminar_W_m2K(inside, UNKNOWN_FLUID_W_MK);
    double growth = mixture->glycol == GLYCOL_PROPYLENE ? 3.2 : 2.2;
    struct film_fluid glycol = film_mixture(&water, mixture->volume, growth, cp);
    return film_W_m2K(flow_kg_s, inside, &glycol);
}

static void film_origin(const struct making *m)
{
    enum fluid_kind kind = m->setup->fluid.kind;
    if (!m->b->film_computed)
        set_origin(m->b, PROP_FILM, U_FILM_STATED, "stated, 10 % (our figure)");
    else if (kind == FLUID_WATER)
        set_origin(m->b, PROP_FILM, U_FILM, "computed, 20 % (our figure)");
    else
        set_origin(m->b, PROP_FILM, U_FILM_OTHER,
                   kind == FLUID_GLYCOL ? "computed for a rough mixture, 40 % (our figure)"
                                        : "as in quiet flow, 40 % (our figure)");
}

static void set_tubes(const struct making *m)
{
    struct build *b = m->b;
    const struct tubes_keys *keys = &m->c->tubes;
    struct fin *fin = &b->plate.fin;
    fin->spacing_m = keys->spacing_m.value;
    fin->outside_m = keys->outside_m.value;
    fin->inside_m = keys->inside_m.value;
    bool serpentine = keys->layout.at.given && keys->layout.index == TUBES_SERPENTINE;
    double in_one = m->conditions->mass_kg_s / (serpentine ? 1.0 : keys->number.value);
    b->film_computed = !keys->film_W_m2K.at.given;
    b->film_W_m2K = b->film_computed ? computed_film(m, in_one) : keys->film_W_m2K.value;
    film_origin(m);
    fin->film_W_m2K = b->film_W_m2K;
    b->tubes_area_m2 = keys->length_m.at.given
                           ? keys->number.value * keys->spacing_m.value * keys->length_m.value
                           : NAN;
}

bool build_make(struct build *build, const struct construction *construction,
                const struct test_setup *setup, const struct conditions *conditions,
                enum plate_basis basis, struct faults *faults)
{
    struct making m = {build, construction, setup, conditions, faults};
    memset(build, 0, sizeof *build);
    build->weather = conditions->weather;
    build->plate.wind_factor = build->plate.gap_factor = 1.0;
    set_origin(build, PROP_WIND, U_WIND, "25 %: formulas differ by more (our figure)");
    set_origin(build, PROP_SKY, conditions->u_sky_K,
               conditions->sky_measured ? "measured" : "what [site] says of the sky, or nothing");
    set_areas(&m);
    if (!add_covers(&m, &construction->cover, "cover") ||
        !add_covers(&m, &construction->inner_cover, "inner cover"))
        return false;
    set_absorber(&m);
    set_bond(&m);
    set_tubes(&m);
    set_back_and_edge(&m);
    double cp = fluid_cp(&setup->fluid, conditions->fluid_degC);
    build->flow = (struct plate_flow){.basis = basis, .flow_W_K = conditions->mass_kg_s * cp};
    return true;
}
