/* Sun: where it stands at a place on the ground, at any instant from 1950 to 2100.
 *
 * Apparent place by ERFA, the free edition of the IAU's standard routines: the Earth's place and
 * speed (epv00), aberration (ab), precession and nutation of 2000B (pnm00b, within 3e-7 degrees of
 * the full model, at a tenth of its cost), sidereal time (gst00b); then the height of the place on
 * the WGS84 ellipsoid (parallax) and the daily aberration. That is done at nodes 12 hours apart, on
 * a grid of absolute time, between which the smooth parts are interpolated by cubics and only the
 * Earth's rotation is exact. The interpolation errs by less than 1e-7 degrees; hourly nodes would
 * be no better and cost a slow logger's long test twelve times as much.
 *
 * What limits it is time, not astronomy. UTC is taken for UT1: 0.9 s at most, 0.004 degrees, while
 * leap seconds are kept. They are to end by 2035, after which UTC may run off by some tens of
 * seconds before 2100 (60 s are 0.25 degrees); neither is announced years ahead. Before 1972 UTC
 * was steered otherwise, within 0.2 s. Polar motion is left out (0.0002 degrees). Of TT, which
 * places the Earth on its course, later leap seconds than ERFA knows change nothing that can be
 * seen.
 */
#ifndef SKY_SUN_H
#define SKY_SUN_H

#include "sky/vector.h"

#include <stdbool.h>
#include <stdint.h>

enum { SUN_NODES = 4, SUN_KEPT = 32 };

struct sun_node {
    double au[3];    /* apparent sun from the Earth's centre, true equator and equinox of date */
    double turn_rad; /* sidereal time less Earth rotation angle */
};

struct sun {
    double longitude_rad;
    double sin_latitude, cos_latitude;
    double from_axis_au;  /* of the place, from the Earth's axis and from the equator's plane */
    double from_plane_au;
    int64_t first;        /* number of the first node; nodes count half days since 1970 */
    bool filled;
    struct sun_node node[SUN_NODES];
    /* Those formed last, by number modulo SUN_KEPT: sixteen days. */
    bool has[SUN_KEPT];
    int64_t number[SUN_KEPT];
    struct sun_node kept[SUN_KEPT];
};

/* In: latitude -pi/2 to pi/2, north positive; longitude east positive; altitude above the
 * ellipsoid, for which that above the sea will do. */
void sun_init(struct sun *sun, double latitude_rad, double longitude_rad, double altitude_m);

/* Whether the routines are meant for the instant: years 1950 to 2100. */
bool sun_covers(int64_t time_us);

/* Direction in which the sun's centre really is, as without air. In time order it costs a few
 * hundred nanoseconds.
 * Source: ERFA's routines above; rotation into the horizon by spherical trigonometry. */
struct vector sun_geometric(struct sun *sun, int64_t time_us);

/* The same without interpolation, for tests of it. */
struct vector sun_geometric_direct(const struct sun *sun, int64_t time_us);

/* By how much air lifts what stands at a height, rad.
 * In:      height_rad     without air; below -2 degrees as at -2
 *          pressure_hPa   >= 0
 *          air_degC       > -273
 * Source:  I. Reda, A. Andreas, NREL/TP-560-34302 (2008), equation 42 (from memory). */
double sun_refraction_rad(double height_rad, double pressure_hPa, double air_degC);

/* Pressure of the standard atmosphere, hPa. Source: ICAO (ISO 2533), from memory: 1013.25 (1 -
 * 2.25577e-5 h)^5.25588. */
double sun_pressure_hPa(double altitude_m);

/* A direction lifted by refraction. */
struct vector sun_lifted(struct vector geometric, double pressure_hPa, double air_degC);

/* Apparent solar time less noon as an angle, -pi to pi: below 0 in the morning. */
double sun_hour_angle_rad(struct sun *sun, int64_t time_us);

/* Apparent less mean solar time, s: at the place's own longitude, from the sun's hour angle as seen
 * from the Earth's centre. */
double sun_equation_of_time_s(struct sun *sun, int64_t time_us);

/* Apparent declination seen from the Earth's centre, rad. */
double sun_declination_rad(struct sun *sun, int64_t time_us);

/* Distance from the Earth's centre, astronomical units. */
double sun_distance_au(struct sun *sun, int64_t time_us);

#endif
