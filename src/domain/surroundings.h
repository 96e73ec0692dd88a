/* Surroundings: what a wind or a sky that is not known, or not the same all through the test, does
 * to the heat loss. One table that a specialist can proof-read.
 *
 * Where wind or sky were measured, the result is for those that were measured. Where they were not,
 * it is for a wind of 3 m/s and a usual clear sky, and what it may be off by counts as an error of
 * the whole test (and, for the sky, one of each day).
 */
#ifndef DOMAIN_SURROUNDINGS_H
#define DOMAIN_SURROUNDINGS_H

#include "domain/collector.h"
#include "domain/error_source.h"
#include "domain/site.h"

#include <stdbool.h>

enum surface { SURFACE_BLACK, SURFACE_SELECTIVE, SURFACES };
extern const char *const surface_words[SURFACES];

enum sky_known { SKY_UNKNOWN, SKY_SWINBANK, SKY_INDOORS, SKY_KNOWN };
extern const char *const sky_words[SKY_KNOWN];

/* How much more a collector loses, per m2. */
struct exposure {
    double wind_J_m3K; /* per degree above the air and m/s of wind */
    double sky_W_m2K;  /* per degree by which the sky is colder */
    char origin[96];   /* "black surface": what the two are of */
};

/* By construction and surface of the description, black where nothing is stated.
 * Source: docs/methods.md, "Wind and sky". */
void exposure_of(const struct collector *collector, struct exposure *exposure);

/* Temperature of a black body that sends this radiation (Stefan and Boltzmann). In: >= 0. */
double sky_degC_of_longwave(double longwave_W_m2);

/* Clear sky's temperature from that of the air near the ground: t = 0.0552 T^1.5, kelvin.
 * Source: W. C. Swinbank, Q. J. R. Meteorol. Soc. 89 (1963) 339 (from memory). */
double sky_swinbank_degC(double t_air_degC);

/* Adds the rows "surroundings.wind", "surroundings.sky" and "surroundings.sky day" that apply.
 * In:      wind, sky   measured for every point
 * Returns: false only when memory is short. */
bool surroundings_expand(const struct collector *collector, const struct site *site, bool wind,
                         bool sky, struct error_registry *registry, struct faults *faults);

#endif
