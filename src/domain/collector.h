/* The collector under test: its areas, the one to which the efficiency refers, and what it stores.
 */
#ifndef DOMAIN_COLLECTOR_H
#define DOMAIN_COLLECTOR_H

#include "description/schema.h"

enum area_reference { AREA_GROSS, AREA_APERTURE, AREA_ABSORBER, AREA_COUNT };
const char *area_word(enum area_reference area); /* "gross" */

struct collector {
    struct stated_text name;
    struct stated_number area[AREA_COUNT]; /* m2 */
    struct stated_choice wanted;           /* `reference` as stated, an enum area_reference */
    struct stated_error area_error;
    struct stated_number capacity; /* J/(m2 K) of the reference area */
    struct stated_error capacity_error;
    struct stated_choice construction; /* a row of domain/storage.h */
    struct stated_choice surface;      /* enum surface of domain/surroundings.h */
    struct stated_number emittance;    /* of the absorber, instead of surface */

    /* Settled by collector_settle. */
    enum area_reference reference;
    bool fallback;        /* the default (gross) was not given, so another one serves */
    double area_m2;       /* of the reference */
    double u_area;        /* relative standard uncertainty */
    bool u_area_by_default; /* 0.3 %: common practice, no source */

    /* Settled by storage_settle. */
    double capacity_J_m2K; /* 0: not known, storage is not corrected */
    double u_capacity_J_m2K;
    bool capacity_assumed;    /* neither capacity nor construction stated */
    bool capacity_dry;        /* without the fluid, because the inlet is delayed */
    char capacity_origin[96]; /* "stated", or the estimate and whose it is */
};

extern const struct schema collector_schema; /* [collector] */

/* Chooses the reference area: the one stated, else gross, else the largest given.
 * In:      section  place of the section's head, for what is missing
 * Returns: false with a fault if no area is given, the chosen one is absent, or a smaller area is
 *          larger than one that contains it (absorber of a flat plate may exceed the aperture by
 *          its edges, so only gross is compared). */
bool collector_settle(struct collector *collector, const char *file, struct place section,
                      struct faults *faults);

#endif
