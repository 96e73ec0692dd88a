/* Cover optics: what a stack of clear sheets lets through, sends back and keeps, and how much of
 * the sun an absorber behind it takes up.
 *
 * Each sheet by Fresnel's reflection at its two faces and absorption along the refracted ray, the
 * two polarisations kept apart through the whole stack and averaged at the end. Sheets are thick
 * against the wavelength: no interference. Source: Fresnel, Bouguer, Stokes 1862, as in Duffie and
 * Beckman ch. 5 (from memory).
 */
#ifndef PHYSICS_COVER_H
#define PHYSICS_COVER_H

#include <stdbool.h>
#include <stddef.h>

enum { COVER_MOST = 3 };

struct cover_sheet {
    double index;   /* of refraction, >= 1 */
    double optical; /* extinction times thickness, >= 0 */
};

struct cover_light {
    double passed;
    double reflected;        /* towards the sun */
    double kept[COVER_MOST]; /* by each sheet */
};

/* A stack for light from above.
 * In:      sheets, n   outermost first; n <= COVER_MOST, 0: everything passes
 *          incidence_rad  0 to pi/2 */
void cover_light(const struct cover_sheet *sheets, size_t n, double incidence_rad,
                 struct cover_light *out);

/* The sheet of which a transmittance at normal incidence was measured: the index as given and the
 * absorption that fits; where even without absorption too little would pass, no absorption and the
 * lower index that fits (an antireflective face).
 * In:      index > 1, transmittance above 0 and below 1
 * Returns: false if it is out of range */
bool cover_of_transmittance(double index, double transmittance, struct cover_sheet *out);

/* How an absorber's absorptance falls with the angle, over that at normal incidence: flat black, 1
 * at 0 deg, 0.93 at 60 deg; from 80 deg on a straight line to 0. Source: Beckman et al. 1977, as
 * eq. 4.11.1 of Duffie and Beckman (read second-hand) */
double cover_black_ratio(double incidence_rad);

/* Shares of the light that arrives. */
struct cover_absorbed {
    double plate; /* transmittance-absorptance product */
    double
        sheet[COVER_MOST]; /* kept by each sheet, on the way in and after the plate's reflection */
};

/* In:      absorptance   of the plate at this angle, 0 to 1
 *          incidence_rad 0 to pi/2
 * What the plate throws back is diffuse: the stack sends part of it down again as it does light at
 * 60 deg. */
void cover_absorbed(const struct cover_sheet *sheets, size_t n, double absorptance,
                    double incidence_rad, struct cover_absorbed *out);

/* The same for light that comes evenly from the whole half space (isotropic diffuse).
 * In:      absorptance   at normal incidence
 *          falls         it falls with the angle as cover_black_ratio says */
void cover_absorbed_diffuse(const struct cover_sheet *sheets, size_t n, double absorptance,
                            bool falls, struct cover_absorbed *out);

#endif
