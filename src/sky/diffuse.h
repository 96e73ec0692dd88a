/* Diffuse: what part of the sunshine on a plane comes from all of the sky and from the ground,
 * out of whatever was measured beside it; where nothing was, an estimate, which is good enough to
 * weigh a correction and never to meet a limit.
 *
 * The sky is taken as equally bright (isotropic), the ground as a dull, level surface: the plain
 * model of B. Y. H. Liu and R. C. Jordan, Solar Energy 7 (1963) 53 (from memory; read second-hand
 * as Gt = Gb Rb + Gd (1 + cos b)/2 + rho G (1 - cos b)/2). A clear sky is brighter about the sun,
 * so that the model puts too much into the beam: the uncertainties below allow for it.
 *
 * All irradiances in W/m2. "Diffuse" in the plane is all that is not beam, light from the ground
 * included.
 */
#ifndef SKY_DIFFUSE_H
#define SKY_DIFFUSE_H

/* What light meets: heights and angles as cosines. */
struct diffuse_scene {
    double cos_zenith;    /* of the sun's direction with the vertical */
    double cos_incidence; /* with the plane's normal */
    double cos_tilt;      /* of the plane */
    double ground;        /* share of light that the ground throws back, 0 to 1; often 0.2 */
};

/* Diffuse in the plane from the sunshine in the plane and the beam across its rays. */
double diffuse_of_beam(const struct diffuse_scene *scene, double plane, double beam_normal);

/* From sunshine in the plane and diffuse on the level; with the sun behind the plane all is
 * diffuse. */
double diffuse_of_level(const struct diffuse_scene *scene, double plane, double diffuse_level);

/* Beam across its rays from global and diffuse on the level; 0 with the sun within a degree of the
 * horizon or below it. */
double diffuse_beam_of_pair(const struct diffuse_scene *scene, double global_level,
                            double diffuse_level);

/* Share of diffuse in the global irradiance on the level, by its clearness (global over what the
 * sun sends to a level plane above the air).
 * In:      clearness   >= 0
 * Source:  D. G. Erbs, S. A. Klein, J. A. Duffie, Solar Energy 28 (1982) 293; coefficients read in
 *          copies that agree. Meant for means of an hour. */
double diffuse_erbs(double clearness);

/* Estimates the diffuse share of the sunshine in a plane from that sunshine alone: the clearness
 * is sought at which Erbs' split, put into the plane, gives it.
 * In:      plane       > 0
 *          above_air   irradiance across the rays above the air, > 0
 * Out:     u           standard uncertainty of the share: 0.05 under a clear sky, 0.15 otherwise
 * (method of
 *                      this program; our figures)
 * Returns: 0 to 1; NaN with the sun below 5 degrees, where nothing can be said. */
double diffuse_estimate(const struct diffuse_scene *scene, double plane, double above_air,
                        double *u);

/* Irradiance across the rays above the air at a distance in astronomical units: 1361 W/m2 at 1
 * (G. Kopp, J. L. Lean, Geophys. Res. Lett. 38 (2011) L01706; from memory). */
double diffuse_above_air(double distance_au);

#endif
