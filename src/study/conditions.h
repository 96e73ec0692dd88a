/* Conditions: what a test met, as far as a prediction needs it; and what is taken where the test
 * does not say.
 */
#ifndef STUDY_CONDITIONS_H
#define STUDY_CONDITIONS_H

#include "physics/plate.h"
#include "run/reduction.h"

#include <stdbool.h>

struct conditions {
    bool tested;                  /* at least one steady point */
    struct plate_weather weather; /* means of the points; taken: 1000 W/m2, 15 % diffuse at right
                                     angles, 20 degC, 3 m/s, tilt 45 deg */
    double u_sky_K;               /* of the sky's temperature as taken */
    bool wind_measured, sky_measured, diffuse_measured, incidence_measured;
    double mass_kg_s;  /* through the whole collector; taken: 0.02 kg/s a m2 */
    double fluid_degC; /* mean of inlet and outlet over the test; taken: 30 K above the air */
    double x_low_m2K_W, x_high_m2K_W; /* reduced temperatures met; taken: 0 to 0.06 */
    double x_mean_m2K_W;
    double wind_low_m_s, wind_high_m_s;
};

/* In: basis  of the reduced temperature
 * The sky where none was measured: as [site] says; unknown: 12.5 K below the air within 12.5 K;
 * Swinbank's over the part of the view that is sky within 7 K, indoors as warm as the air within 2
 * K. */
void conditions_of(const struct reduction *reduction, enum plate_basis basis,
                   struct conditions *out);

#endif
