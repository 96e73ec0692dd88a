/* Fluids: density, specific heat and enthalpy against temperature. Water, glycol in water, or a
 * user's table of the same three columns.
 *
 * All properties are held on a grid of equal steps in temperature with cubic interpolation, so that
 * a call costs the same for any fluid and the enthalpy is the exact integral of the specific heat
 * used.
 */
#ifndef DOMAIN_FLUID_H
#define DOMAIN_FLUID_H

#include "base/faults.h"
#include "domain/glycol.h"

#include <stdbool.h>
#include <stddef.h>

enum { FLUID_NAME_SIZE = 80, FLUID_SOURCE_SIZE = 200, FLUID_GRID = 256 };

enum fluid_kind { FLUID_TABLE, FLUID_WATER, FLUID_GLYCOL };

/* How much glycol is in, as stated and both ways. Points of a fraction are always on the stated
 * basis. */
struct fluid_mixture {
    enum glycol glycol;
    bool by_mass; /* the stated basis */
    double volume; /* fractions, 0.3 = 30 % */
    double mass;
    double freezing_degC;
};

struct fluid {
    enum fluid_kind kind;
    struct fluid_mixture mixture; /* FLUID_GLYCOL only */
    char name[FLUID_NAME_SIZE];
    char source[FLUID_SOURCE_SIZE]; /* where the figures come from, with its mark */
    double least_degC;
    double most_degC;
    double u_cp;      /* relative standard uncertainty of the specific heat (calibration kind) */
    double u_density; /* relative */
    double u_fraction; /* in points of the mixture (0.02 = 2 of 100); 0: no mixture */
    double step_K;
    double cells_per_K; /* 1/step_K */
    size_t n; /* grid points, <= FLUID_GRID */
    double density[FLUID_GRID];  /* kg/m3 */
    double cp[FLUID_GRID];       /* J/(kg K) */
    double enthalpy[FLUID_GRID]; /* J/kg from least_degC */
    /* What follows from these, by grid cell, s from 0 to 1 in it: density = a + b s + c s^2 + d
     * s^3, enthalpy = enthalpy[i] + step * s (a + b s + c s^2 + d s^3) */
    struct fluid_cubic {
        double a;
        double b;
        double c;
        double d;
    } density_in[FLUID_GRID], enthalpy_in[FLUID_GRID];
    double cp_by_fraction[FLUID_GRID];      /* relative change per unit of the fraction; 0: none */
    double density_by_fraction[FLUID_GRID]; /* 0.02 times it is what 2 points do */
};

/* Liquid water, 0 to 130 degC (101.325 kPa, above 100 degC saturated).
 * Source: docs/methods.md; against IAPWS-95 within 0.1 % in cp and 0.02 % in density, 1 to 120
 * degC. */
void fluid_water(struct fluid *fluid);

/* Glycol in water by the polynomials of the ASHRAE tables (domain/glycol.h), from where it freezes,
 * -35 degC at the lowest, to 100 degC.
 * In: fraction  on the stated basis, within the tables' 10 to 60 % by volume */
void fluid_glycol(struct fluid *fluid, enum glycol glycol, bool by_mass, double fraction);

/* A user's table: rows of temperature (degC, strictly rising), density (kg/m3), specific heat
 * (J/(kg K)); at least 2 rows, straight lines between them.
 * Returns: false with an input fault that names the row. `file` only serves messages. */
bool fluid_table(struct fluid *fluid, const char *name, const double *t_degC, const double *density,
                 const double *cp, size_t n, const char *file, struct faults *faults);

/* The same fluid with cp and density off by a factor each: what an error of a table does. */
void fluid_scale(struct fluid *fluid, double cp_factor, double density_factor);

/* Whether all three can be asked for at t. NaN is outside. */
bool fluid_covers(const struct fluid *fluid, double t_degC);

/* Outside the range: NaN. */
double fluid_density(const struct fluid *fluid, double t_degC);
double fluid_cp(const struct fluid *fluid, double t_degC);

/* Relative change of cp and density per unit of the mixture's fraction; 0 for other fluids, NaN
 * outside the range. */
double fluid_cp_by_fraction(const struct fluid *fluid, double t_degC);
double fluid_density_by_fraction(const struct fluid *fluid, double t_degC);

/* "water" or "fluid": what a sentence for people calls it. */
const char *fluid_word(const struct fluid *fluid);

/* h(to) - h(from), J/kg: the integral of cp. NaN outside. */
double fluid_enthalpy_rise(const struct fluid *fluid, double from_degC, double to_degC);

/* Heat of n instants, W: density at the meter * flow * rise of the enthalpy from inlet to outlet.
 * In:      meter_at_outlet   else it is at the inlet, and so is the temperature of what it measures
 * Out:     heat_W   n of them; NaN where one of the temperatures is outside */
void fluid_heat(const struct fluid *fluid, bool meter_at_outlet, const double *flow_m3_s,
                const double *t_in_degC, const double *t_out_degC, size_t n, double *heat_W);

#endif
