/* Film: heat from a tube's inner surface to the fluid that flows in it.
 */
#ifndef PHYSICS_FILM_H
#define PHYSICS_FILM_H

struct film_fluid {
    double conductivity_W_mK;
    double viscosity_Pa_s;
    double cp_J_kgK;
};

/* Liquid water, 0 to 150 degC. Conductivity within 1 %, viscosity within 3 %.
 * Source: k = 0.5706 + 1.756e-3 t - 6.46e-6 t^2 and mu = 2.414e-5 * 10^(247.8/(T - 140)), common
 *         engineering fits (from memory), compared with IAPWS 2008 and 2011
 * (tests/unit/test_physics.c) */
struct film_fluid film_water(double t_degC, double cp_J_kgK);

/* Nusselt number of a long smooth tube with an even flux of heat: 4.36 below Re 2300, Gnielinski
 * above 4000, a straight line between the two.
 * In:      mass_kg_s  in one tube, > 0
 * Source:  V. Gnielinski, Int. Chem. Eng. 16 (1976) 359; the line between: the same, Int. J. Heat
 *          Mass Transfer 63 (2013) 134 (both from memory) */
double film_nusselt(double mass_kg_s, double inside_m, const struct film_fluid *fluid);

/* W/(m2 K). */
double film_W_m2K(double mass_kg_s, double inside_m, const struct film_fluid *fluid);

/* Glycol in water, from water at the same temperature: conductivity falls with the share by volume,
 * viscosity grows with its exponential. Rough: 10 % and 30 %, which the film feels by half. In:
 * growth   3.2 for propylene glycol, 2.2 for ethylene glycol (0 to 60 %, 20 to 80 degC; from
 *                   memory) */
struct film_fluid film_mixture(const struct film_fluid *water, double volume_share, double growth,
                               double cp_J_kgK);

/* The same for a fluid of which only the conductivity is known: as if it flowed quietly. */
double film_laminar_W_m2K(double inside_m, double conductivity_W_mK);

#endif
