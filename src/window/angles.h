/* Angles: what the sun's place and the collector's make of each reading: the angle of incidence,
 * and the diffuse sunshine in the plane where two sensors give it. The sun is found once a minute
 * (sky/track.h). The angle on a plane that stands still or turns about one axis is interpolated
 * over each minute, but within 5 degrees of the normal; about two axes it is nought; where columns
 * say how the plane lies a row costs an arc tangent.
 *
 *   incidence   angle between the refracted sun's rays and the normal of the mount's plane
 *   diffuse     in the plane: G - direct normal * cos(incidence); without direct normal, global
 *               less diffuse on the level make it; with the diffuse on the level alone, by the
 *               plain sky and ground of sky/diffuse.h
 *
 * Beside it counts what does not fit together: a bright collector under a sun that is down or
 * behind it, brighter than that sun could make it, diffuse above what it is part of, sensors that
 * measure one thing in two ways.
 */
#ifndef WINDOW_ANGLES_H
#define WINDOW_ANGLES_H

#include "ingest/block.h"
#include "sky/mount.h"
#include "sky/track.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Light that was seen, over the rows that say something of it. */
struct angles_doubts {
    uint64_t bright;       /* rows above ANGLES_BRIGHT_W_M2 */
    uint64_t bright_night; /* of these, with the sun a degree below the horizon or more */
    uint64_t bright_behind; /* of these, with the sun high and behind the collector */
    uint64_t too_bright;    /* of these, brighter than a clear sky with that sun by a fifth */
    uint64_t plane_compared; /* rows in which diffuse in the plane and irradiance were both read */
    uint64_t plane_above;    /* of these, diffuse above irradiance by more than 5 % and 5 W/m2 */
    uint64_t compared;     /* rows in which diffuse and global were both seen by day */
    uint64_t diffuse_above; /* of these, diffuse above global by more than 5 % and 5 W/m2 */
    uint64_t pairs;         /* rows with global, direct and diffuse, all on the level */
    double sum_global;      /* over these: global, and what the other two make of it */
    double sum_made;
};
#define ANGLES_BRIGHT_W_M2 300.0

/* The angle at four minutes of a grid of absolute time. */
struct angles_minutes {
    bool filled;
    int64_t first; /* number of the first minute since 1970 */
    double at[4];
};

struct angles {
    bool place;  /* latitude and longitude are known */
    bool aimed;  /* and which way the collector looks, as far as columns do not say it */
    bool lamp;   /* no sun: the angle is stated */
    double lamp_rad;
    struct track track;
    double altitude_m;
    struct mount mount;
    double ground; /* share of light that the ground throws back */
    struct angles_minutes minutes;
    struct angles_doubts doubts;
};

/* Nothing is known: no channel is derived. */
void angles_init(struct angles *angles);

/* The sun stands over a place (as sun_init). The mount and its plane, where known: `aimed`. */
void angles_place(struct angles *angles, double latitude_rad, double longitude_rad,
                  double altitude_m);

/* Whether the angle of incidence can be formed from a block of these channels. */
bool angles_can(const struct angles *angles, const struct block *block);

/* Whether the diffuse can. Needs the angle or columns, and a second sensor. */
bool angles_can_split(const struct angles *angles, const struct block *block);

/* Fill a channel for all rows of a block. Out: value, flag   block->n of them */
void angles_incidence(struct angles *angles, const struct block *block, double *value,
                      uint8_t *flag);
void angles_diffuse(struct angles *angles, const struct block *block, double *value,
                    uint8_t *flag);

/* Counts the doubts of a block that holds the incidence, if there is any.
 * In: diffuse_read   whether the diffuse in the plane was read, and not formed */
void angles_watch(struct angles *angles, const struct block *block, bool diffuse_read);

/* Counts n readings above ANGLES_BRIGHT_W_M2 under one sun.
 * In: sin_height  of the sun; incidence_rad, NaN where it is not known; altitude_m of the place
 *     too_bright  of the n, those above angles_brightest_W_m2 */
void angles_doubt_light(struct angles_doubts *doubts, double sin_height, double incidence_rad,
                        uint64_t n, uint64_t too_bright);

/* The most sunshine that is believed: a clear sky's (sky/clear.h) on a plane at that angle, with
 * all of the sky's diffuse and of the ground's, and a fifth and 50 W/m2 more (our figures). */
double angles_brightest_W_m2(double sin_height, double incidence_rad, double altitude_m,
                             double ground);

#endif
