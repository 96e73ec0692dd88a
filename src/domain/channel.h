/* Channels: the quantities that a collector test measures. One table that a technician can
 * proof-read; adding a channel is adding a row (and its reader, if it is derived).
 */
#ifndef DOMAIN_CHANNEL_H
#define DOMAIN_CHANNEL_H

#include "base/units.h"

#include <stdbool.h>
#include <stddef.h>

enum channel {
    CH_IRRADIANCE, /* hemispherical, plane of the collector, W/m2 */
    CH_AMBIENT,    /* air, degC */
    CH_INLET,      /* degC */
    CH_OUTLET,     /* degC */
    CH_FLOW,       /* volume flow at the meter, m3/s */
    CH_WIND,       /* over the collector, m/s */
    CH_DIFFUSE,    /* diffuse irradiance in the plane, W/m2 */
    CH_INCIDENCE,  /* angle of incidence of the beam, rad */
    CH_MASS_FLOW,  /* kg/s, of a meter that weighs; flow is then derived from it */
    CH_SKY,        /* temperature of the sky as the collector sees it, degC */
    CH_LONGWAVE,   /* heat radiation of sky and ground in the plane, W/m2; instead of CH_SKY */
    CH_DIRECT,     /* beam across its rays, W/m2 */
    CH_GLOBAL,     /* hemispherical on the level, W/m2 */
    CH_LEVEL_DIFFUSE, /* diffuse on the level, W/m2 */
    CH_TILT,       /* of the collector from horizontal, rad */
    CH_AZIMUTH,    /* into which it faces, clockwise from north, rad */
    CH_METERED,    /* useful heat by a heat meter of its own, W; of its total the rise */
    CH_LOGGED,     /* how many a log can carry; below: derived while reading */
    CH_HEAT = CH_LOGGED, /* useful heat, W, formed per reading (window/derived.h) */
    CH_COUNT
};

struct channel_row {
    enum channel id;
    const char *word;    /* as written in a description: "irradiance" */
    const char *label;   /* plain words for people: "sunshine on the collector" */
    const char *symbol;  /* the trade's: "G" */
    enum dimension dimension;
    double least_si;     /* below or above: flagged out of range, not used */
    double most_si;
    bool needed;         /* a reduction is impossible without it */
    int decimals;        /* in tables, in the display unit */
};

const struct channel_row *channel_row(enum channel id);

/* By the description's word; NULL if there is none. *n words for a "nearest" hint. */
const struct channel_row *channel_find(const char *word);
const char *const *channel_words(size_t *n);
extern const char *const channel_word_table[CH_LOGGED]; /* the same, in the order of the ids */

#endif
