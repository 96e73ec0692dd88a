/* Track: the sun's direction row by row, cheap enough for a log of many millions.
 *
 * The direction as refracted light has it (beam arrives along the refracted ray) is formed at
 * nodes a minute apart, on a grid of absolute time, and interpolated by cubics: within 1e-6
 * degrees of sun.h, whatever was asked before. Air pressure is that of the site's altitude, air
 * 10 degC: 30 K more change the lift by a tenth, 0.002 degrees at 45 degrees of height less than
 * 0.01 above 10 degrees.
 */
#ifndef SKY_TRACK_H
#define SKY_TRACK_H

#include "sky/sun.h"

#include <stdbool.h>
#include <stdint.h>

/* Kept: more than the minutes of a block of rows a second apart, which are asked for more than once.
 */
enum { TRACK_NODES = 128 };

struct track {
    struct sun sun;
    double pressure_hPa;
    struct track_node {
        bool formed;
        int64_t minute; /* since 1970 */
        struct vector sun;
    } node[TRACK_NODES]; /* of a minute, by its remainder */
};

/* As sun_init. */
void track_init(struct track *track, double latitude_rad, double longitude_rad, double altitude_m);

/* Direction of the sun as seen through the air; below the horizon as well. Its length is 1 within
 * 1e-10. */
struct vector track_at(struct track *track, int64_t time_us);

/* The same of an instant far from others, without nodes: a quarter of the work there. */
struct vector track_alone(struct track *track, int64_t time_us);

#endif
