/* Weather: an invented summer day, second by second, the same for the same (draw, day).
 *
 * A smooth clear-sky shape over a plane that is turned by hand towards the sun every half hour,
 * haze that comes and goes, a few cloud passages with soft edges, air that warms, and a fan's wind
 * (or, for the rig, the wind of the garden). Nothing is measured anywhere; figures are ours.
 */
#ifndef DEMO_WEATHER_H
#define DEMO_WEATHER_H

#include "base/faults.h"
#include "base/randoms.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum weather_day { WEATHER_FIRST, WEATHER_SECOND, WEATHER_GARDEN, WEATHER_BUCKET, WEATHER_DAYS };
enum { WEATHER_CLOUDS = 4 };

struct weather_now {
    double g_W_m2;       /* beam and diffuse in the plane */
    double diffuse_W_m2; /* in the plane */
    double incidence_rad;
    double t_ambient_degC;
    double wind_m_s; /* >= 0 */
};

struct weather_cloud {
    double middle_s; /* local clock, seconds of the day */
    double half_s;   /* half of its length */
    double depth;    /* share of the beam that it takes, 0 to 1 */
};

struct weather {
    enum weather_day day;
    struct randoms randoms;
    struct weather_cloud clouds[WEATHER_CLOUDS];
    int turn;       /* half hours of the day so far */
    double aim_rad; /* how well the rack was aimed at the last turn */
    double haze;    /* slow wander of the beam, a share */
    double air_K;   /* wander of the air about its daily course */
    double gust_m_s;
};

/* Returns: false with a machine fault when out of memory; weather_free is then still safe. */
bool weather_init(struct weather *weather, enum weather_day day, uint64_t draw,
                  struct faults *faults);
void weather_free(struct weather *weather);

/* The sky at a local clock time (seconds of the day); called once for each second, in order. */
void weather_next(struct weather *weather, double local_s, struct weather_now *sky);

#endif
