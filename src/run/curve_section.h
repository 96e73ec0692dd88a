/* The [curve NAME] sections: curves that were not measured here but stand in a publication, a
 * report or a data sheet. They take part in a comparison (study/stated_curve.h).
 */
#ifndef RUN_CURVE_SECTION_H
#define RUN_CURVE_SECTION_H

#include "description/schema.h"
#include "domain/collector.h"

#include <stdbool.h>
#include <stddef.h>

/* eta0 is of the whole sunshine, or of the beam alone as in tests over changing days. */
enum curve_sunshine { SUNSHINE_TOTAL, SUNSHINE_BEAM };
enum curve_temperature { CURVE_MEAN, CURVE_INLET };

struct curve_section {
    char name[NAME_SIZE];
    struct place head; /* file borrowed from the setup */
    struct stated_text source;
    struct stated_number eta0, a1, a2;                   /* SI; a2 not given: a straight line */
    struct stated_error eta0_error, a1_error, a2_error;
    struct stated_choice area_choice;                    /* enum area_reference */
    struct stated_choice temperature_choice;             /* enum curve_temperature */
    struct stated_number area[AREA_COUNT];               /* m2 */
    struct stated_number mass_kg_s;                      /* through the whole collector */
    struct stated_number cp_J_kgK;
    struct stated_text fluid;
    struct stated_range range;                           /* m2 K/W, that it was tested over */
    struct stated_choice sunshine_choice;                /* enum curve_sunshine */
    struct stated_number diffuse_modifier;
    struct stated_error diffuse_modifier_error;
    struct stated_number diffuse_share;

    /* Settled by curves_read. */
    enum area_reference reference;
    enum curve_temperature temperature;
    enum curve_sunshine sunshine;
    double heat_J_kgK; /* of the fluid: 4180 by default */
    double share;      /* of diffuse light, where eta0 is of the beam: 0.15 by default */
};

struct curve_sections {
    struct curve_section *items; /* owned */
    size_t n;
};

extern const struct schema curve_schema; /* [curve NAME] */

/* Reads every [curve NAME] of a description.
 * In:      file    as the setup keeps it; names it in faults
 * Out:     curves  zeroed by the caller; curves_free is due whatever comes back
 * Returns: false with the faults of all of them: beside what any key can lack, an error of eta0 in
 *          percent (of eta0 or points of it: two readings), a diffuse modifier where eta0 is of the
 *          whole sunshine and none where it is of the beam, an error without its coefficient, an
 *          inner area larger than the gross */
bool curves_read(struct curve_sections *curves, const struct description *description,
                 const char *file, struct faults *faults);

void curves_free(struct curve_sections *curves); /* safe twice */

#endif
