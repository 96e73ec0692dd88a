/* Clear sky: what sunshine a cloudless day would give, well enough for its shape over the day.
 *
 * Beam by H. C. Hottel, Solar Energy 18 (1976) 129, for 23 km of visibility, without the
 * climates' small factors; diffuse by B. Y. H. Liu and R. C. Jordan, Solar Energy 4 (1960) 1:
 * tau_d = 0.271 - 0.294 tau_b (both from memory, as Duffie and Beckman restate them). Levels may
 * be off by 10 % on a given day.
 */
#ifndef SKY_CLEAR_H
#define SKY_CLEAR_H

#include "sky/incidence.h"

struct clear_sky {
    double beam_normal; /* across its rays, W/m2; 0 with the sun down */
    double diffuse;     /* on the level, W/m2 */
};

/* In: sine of the sun's height, altitude in m (up to 2500; above, as there), irradiance above the
 * air */
struct clear_sky clear_sky_at(double sin_height, double altitude_m, double above_air_W_m2);

/* The same on a plane: its beam, and what is diffuse, with light from the ground (a plain sky and
 * ground, sky/diffuse.h). */
struct clear_plane {
    double beam;
    double diffuse;
};
struct clear_plane clear_on_plane(const struct clear_sky *sky, struct vector sun,
                                  const struct plane *plane, double ground);

#endif
