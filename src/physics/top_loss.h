/* Top loss: heat from a plate through covers and the air between them to wind and sky.
 *
 * The balance is solved, not linearised: every cover's temperature is such that what it receives
 * (from below, and as sunshine that it keeps) leaves it. A handbook formula stands beside it.
 */
#ifndef PHYSICS_TOP_LOSS_H
#define PHYSICS_TOP_LOSS_H

#include "base/faults.h"
#include "physics/cover.h"

#include <stdbool.h>
#include <stddef.h>

struct top_cover {
    double emittance; /* of both faces, above 0 to 1 */
    double gap_m;     /* to the cover or plate behind it, > 0 */
    double sun_W_m2;  /* sunshine that it keeps, >= 0 */
};

struct top_in {
    size_t n;                           /* covers, 0 to COVER_MOST */
    struct top_cover cover[COVER_MOST]; /* outermost first */
    double plate_degC;
    double plate_emittance; /* above 0 to 1; 0: no radiation from the plate */
    double ambient_degC;
    double sky_degC;
    double wind_W_m2K; /* off the outermost surface, > 0 */
    double tilt_rad;
    double gap_factor; /* on the convection in the gaps: 1, or what its formula may be off by */
    int most_steps;    /* of each root; 0: ROOT_STEPS */
};

struct top_out {
    double plate_W_m2; /* leaves the plate, negative when the plate is warmed from above */
    double wind_W_m2;  /* leaves the outermost surface by convection */
    double sky_W_m2;   /* and by radiation; both together are plate_W_m2 and the covers' sunshine */
    double cover_degC[COVER_MOST];
    double convection_W_m2K; /* between the plate and the innermost cover; 0 without a cover */
    double radiation_W_m2K;
    double rayleigh, nusselt;
    int steps; /* of the outer root */
};

/* Source:  docs/physics.md, "Top loss". Grey surfaces, covers opaque to heat radiation and of one
 *          temperature each; Hollands et al. 1976 in the gaps.
 * Returns: false with a data fault where the balance does not close: which, and what was tried */
bool top_loss(const struct top_in *in, struct top_out *out, struct faults *faults);

/* Top loss coefficient by the handbook formula, W/(m2 K), without a cold sky.
 * In:      covers 1 or more, emittances above 0, plate warmer than the ambient, tilt in rad (above
 * 70 deg the value at 70 deg) Returns: NaN where it does not hold (plate not warmer than the air,
 * no cover) Source:  S. A. Klein, Solar Energy 22 (1979) 79, as eq. 6.4.9 of Duffie and Beckman
 * (read second-hand): within 0.3 W/(m2 K) up to 200 degC (from memory) */
double top_loss_klein(size_t covers, double plate_emittance, double cover_emittance,
                      double plate_degC, double ambient_degC, double wind_W_m2K, double tilt_rad);

#endif
