/* Where the collector stands and where it faces. All optional until something needs the sun's
 * place.
 */
#ifndef DOMAIN_SITE_H
#define DOMAIN_SITE_H

#include "description/schema.h"
#include "domain/error_source.h"

enum site_mount { SITE_FIXED, SITE_ONE_AXIS, SITE_TWO_AXES, SITE_LAMP, SITE_MOUNTS };

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

    struct stated_choice mount; /* enum site_mount; site_settle fills in 'fixed' with a tilt */
    struct stated_number axis_tilt_rad; /* of one axis: 0 level, pi/2 upright */
    struct stated_number axis_azimuth_rad; /* of its upper end */
    struct stated_number ground; /* share of light that the ground throws back */
    struct stated_error tilt_error, azimuth_error; /* rad */
    struct stated_error clock_error;               /* s */
    struct stated_choice clock_checked;            /* 0 = yes */
    struct stated_number lamp_angle_rad;
    struct stated_error lamp_uniformity, lamp_spectrum; /* relative */
    struct stated_error lamp_heat;                      /* W/m2 */
};

extern const struct schema site_schema; /* [site] */

/* Returns: false with a fault if both facing and azimuth are given, a wind error alone, an axis
 * without a mount that has one or the other way round, a lamp's keys without a lamp, one of
 * latitude and longitude alone. Warns of a tilted collector that looks away from the noon sun, as
 * with an azimuth counted from south, and of one that looks at the ground. */
bool site_settle(struct site *site, const char *file, struct faults *faults);

/* Whether latitude and longitude are stated. */
bool site_has_place(const struct site *site);

/* Adds what is not known of the angles: "mount.tilt", "mount.azimuth", "clock" of a collector
 * whose angle comes from the sun's place; "lamp.uniformity", "lamp.spectrum", "lamp.heat" under a
 * lamp, where stated. In:      tilt, azimuth   whether the description states them (a column has
 * its instrument's errors) Returns: false only when memory is short. */
bool site_expand(const struct site *site, bool tilt, bool azimuth, struct error_registry *registry,
                 struct faults *faults);

#endif
