/* Propylene and ethylene glycol in water: published polynomials of density and specific heat, the
 * two ways to state how much is in, and where the mixture freezes.
 *
 *   property = sum of c_ij (T - T_base)^i (x - x_base)^j,   T in K
 *
 * ASHRAE:   fits to the tables of the Handbook of Fundamentals (2001); x by volume, 0.10 to 0.60;
 *           -35 to 100 degC, above freezing. This is what results are computed with.
 * Melinder: Properties of Secondary Working Fluids for Indirect Systems (IIR 2010); x by mass, up
 *           to 0.60; its own tables end at 40 degC. It only serves to say how far sources differ.
 * Both [read second-hand, as a general-purpose property library carries them].
 *
 * "By volume" is litres of glycol in a litre of the mixture, as the ASHRAE tables have it.
 */
#ifndef DOMAIN_GLYCOL_H
#define DOMAIN_GLYCOL_H

enum glycol { GLYCOL_PROPYLENE, GLYCOL_ETHYLENE, GLYCOL_COUNT };
enum glycol_source { GLYCOL_ASHRAE, GLYCOL_MELINDER, GLYCOL_SOURCES };

enum { GLYCOL_POWERS_T = 4, GLYCOL_POWERS_X = 6 };

struct glycol_polynomial {
    double base_K;
    double base_fraction;
    double density[GLYCOL_POWERS_T][GLYCOL_POWERS_X]; /* [i][j], kg/m3 */
    double cp[GLYCOL_POWERS_T][GLYCOL_POWERS_X];      /* J/(kg K) */
};

extern const struct glycol_polynomial glycol_polynomials[GLYCOL_COUNT][GLYCOL_SOURCES];

/* Range of the ASHRAE tables: fraction by volume, degC. */
extern const double glycol_least_volume;
extern const double glycol_most_volume;
extern const double glycol_least_degC;
extern const double glycol_most_degC;

const char *glycol_name(enum glycol glycol); /* "propylene glycol" */

/* In:      fraction  by volume for ASHRAE, by mass for Melinder
 * The ranges above are the caller's concern: a polynomial answers beyond them, too. */
double glycol_density(enum glycol glycol, enum glycol_source source, double fraction,
                      double t_degC);
double glycol_cp(enum glycol glycol, enum glycol_source source, double fraction, double t_degC);

/* From one basis to the other: w = x rho_pure / rho_mix(x), both at 20 degC, rho_mix by ASHRAE.
 * Source: densities of the pure glycols at 20 degC, handbook values [from memory]. Agrees with what
 * ASHRAE's own table of both fractions gives to 0.5 points (docs/methods.md, "Glycol in water").
 * In: fraction 0.05 to 0.65 */
double glycol_mass_of(enum glycol glycol, double volume);
double glycol_volume_of(enum glycol glycol, double mass);

/* Where ice begins to form, of the pure mixture without a maker's additives, degC; straight lines
 * between the figures of Melinder's curve, 10 to 60 % by mass. They lie up to 0.4 K under the curve
 * between two figures.
 * In: mass 0.10 to 0.60; beyond these the nearest end */
double glycol_freezing_degC(enum glycol glycol, double mass);

/* Largest relative difference of Melinder from ASHRAE, with its sign, on whole degrees from 0 to 40
 * degC, where Melinder's own tables end. NaN above 60 % by mass, where no second source reaches. */
struct glycol_spread {
    double cp;
    double density;
};
struct glycol_spread glycol_spread(enum glycol glycol, double volume);

#endif
