/* Air: its properties and the heat that a layer of it carries between two plates, and the heat that
 * wind takes off a surface.
 */
#ifndef PHYSICS_AIR_H
#define PHYSICS_AIR_H

#define AIR_KELVIN 273.15
#define AIR_STEFAN_BOLTZMANN 5.670374419e-8 /* W/(m2 K4), CODATA 2018 */

/* Dry air at 101.325 kPa. */
struct air {
    double conductivity_W_mK;
    double viscosity_m2_s;   /* kinematic */
    double diffusivity_m2_s; /* of heat */
};

/* In:      t_K  100 to 1500: Sutherland's formulas for viscosity and conductivity, c_p 1007 J/(kg
 * K) Source:  F. M. White, Viscous Fluid Flow, ch. 1 (from memory); good to some 2 % */
struct air air_at(double t_K);

/* Convection through a layer of air between two parallel plates, the lower one warmer.
 * In:      t_low_K, t_high_K  of the plate below and the plate above, both > 0
 *          gap_m      > 0
 *          tilt_rad   from horizontal; above 75 deg the value at 75 deg
 * Out:     rayleigh, nusselt   either may be NULL
 * Returns: W/(m2 K); conduction alone (Nu = 1) where the plate above is the warmer one
 * Source:  Hollands et al., J. Heat Transfer 98 (1976) 189 (read second-hand); fitted to 60 deg,
 *          used to 75 */
double air_gap_W_m2K(double t_low_K, double t_high_K, double gap_m, double tilt_rad,
                     double *rayleigh, double *nusselt);

/* What wind takes off a cover: 2.8 + 3.0 V.
 * In:      wind_m_s >= 0
 * Source:  Watmuff et al. 1977, as given by Duffie and Beckman (read second-hand) */
double air_wind_W_m2K(double wind_m_s);

#endif
