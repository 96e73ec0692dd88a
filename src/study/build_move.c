/* Moving the properties of a build: rows of the registry, and searches. */
#include "study/build.h"

#include <math.h>
#include <string.h>

#define MOST_TRANSMITTANCE 0.985

static void move_transmittance(struct build *b, double amount)
{
    for (size_t i = 0; i < b->plate.n_covers; i++) {
        double wanted = fmax(b->transmittance[i] + amount, 1e-3);
        double held = fmin(wanted, MOST_TRANSMITTANCE);
        cover_of_transmittance(b->index[i], held, &b->plate.sheet[i]);
        b->plate.lit_m2 *= wanted / held;
        b->transmittance[i] = wanted;
    }
}

static void move_gaps(struct build *b, double factor)
{
    for (size_t i = 0; i < b->plate.n_covers; i++)
        b->plate.gap_m[i] *= factor;
}

static void move_cover_emittance(struct build *b, double amount)
{
    for (size_t i = 0; i < b->plate.n_covers; i++)
        b->plate.cover_emittance[i] = fmax(b->plate.cover_emittance[i] + amount, 0.01);
}

static void move_insulation(struct plate_insulation *layer, double factor)
{
    layer->at_10_W_mK *= factor;
    layer->rise_W_mK2 *= factor;
}

void build_move(struct build *b, enum property property, double amount)
{
    double factor = exp(amount);
    switch (property) {
    case PROP_TRANSMITTANCE:
        move_transmittance(b, amount);
        break;
    case PROP_COVER_EMITTANCE:
        move_cover_emittance(b, amount);
        break;
    case PROP_GAP:
        move_gaps(b, factor);
        break;
    case PROP_ABSORPTANCE:
        b->plate.absorptance += amount;
        break;
    case PROP_EMITTANCE:
        b->plate.emittance = fmax(b->plate.emittance + amount, 0.0);
        break;
    case PROP_SHEET:
        b->plate.fin.conductivity_W_mK *= factor;
        break;
    case PROP_BOND:
        b->plate.fin.bond_W_mK *= factor;
        break;
    case PROP_FILM:
        b->plate.fin.film_W_m2K *= factor;
        break;
    case PROP_BACK:
        move_insulation(&b->plate.back, factor);
        break;
    case PROP_EDGE:
        move_insulation(&b->plate.edge, factor);
        break;
    case PROP_WIND:
        b->plate.wind_factor *= factor;
        break;
    case PROP_CONVECTION:
        b->plate.gap_factor *= factor;
        break;
    case PROP_SKY:
        b->weather.sky_degC += amount;
        break;
    case PROPERTIES:
        break;
    }
}

double build_value(const struct build *b, enum property property)
{
    switch (property) {
    case PROP_TRANSMITTANCE:
        return b->transmittance[0];
    case PROP_COVER_EMITTANCE:
        return b->plate.cover_emittance[0];
    case PROP_GAP:
        return b->plate.gap_m[0];
    case PROP_ABSORPTANCE:
        return b->plate.absorptance;
    case PROP_EMITTANCE:
        return b->plate.emittance;
    case PROP_SHEET:
        return b->plate.fin.conductivity_W_mK * b->plate.fin.thickness_m;
    case PROP_BOND:
        return b->plate.fin.bond_W_mK;
    case PROP_FILM:
        return b->plate.fin.film_W_m2K;
    case PROP_BACK:
        return b->plate.back.at_10_W_mK;
    case PROP_EDGE:
        return b->plate.edge.at_10_W_mK;
    case PROP_WIND:
        return b->plate.wind_factor;
    case PROP_CONVECTION:
        return b->plate.gap_factor;
    case PROP_SKY:
        return b->weather.sky_degC;
    case PROPERTIES:
        break;
    }
    return NAN;
}

bool build_registry(const struct build *build, struct error_registry *registry,
                    struct faults *faults)
{
    for (int p = 0; p < PROPERTIES; p++) {
        const struct property_row *property = property_row((enum property)p);
        struct error_source row = {.kind = ERROR_CALIBRATION,
                                   .u = build->u[p],
                                   .dof = INFINITY,
                                   .n_targets = 1,
                                   .property = (size_t)p,
                                   .targets = {{.what = SHIFT_PROPERTY, .weight = 1.0}}};
        snprintf(row.id, sizeof row.id, "%s", property->id);
        snprintf(row.label, sizeof row.label, "%s", property->label);
        snprintf(row.cure, sizeof row.cure, "%s", property->cure);
        snprintf(row.origin, sizeof row.origin, "%s", build->origin[p]);
        if (row.u > 0.0 && !registry_add(registry, &row, faults))
            return false;
    }
    return true;
}

void build_move_row(struct build *build, const struct error_source *row, double value)
{
    for (size_t i = 0; i < row->n_targets; i++)
        build_move(build, (enum property)row->property, row->targets[i].weight * value);
}
