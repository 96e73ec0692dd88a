/* Where the collector stands and where it faces. All optional until something needs the sun's
 * place.
 */
#ifndef DOMAIN_SITE_H
#define DOMAIN_SITE_H

#include "description/schema.h"

struct site {
    struct stated_text name;
    struct stated_number latitude_rad;  /* north positive */
    struct stated_number longitude_rad; /* east positive */
    struct stated_number altitude_m;
    struct stated_number tilt_rad;      /* from horizontal */
    struct stated_choice facing;        /* index * 22.5 deg clockwise from north */
    struct stated_number wind_m_s;    /* over the collector, where nothing logs it */
    struct stated_error wind_error;
    struct stated_choice sky; /* enum sky_known of domain/surroundings.h */
    struct stated_number azimuth_rad; /* clockwise from north; site_settle fills it from facing */
};

extern const struct schema site_schema; /* [site] */

/* Returns: false with a fault if both facing and azimuth are given, or a wind error alone. */
bool site_settle(struct site *site, const char *file, struct faults *faults);

#endif
