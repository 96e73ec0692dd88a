/* Means: what one steady-state window (or one row of a points table typed by hand) leaves behind.
 * The only thing from which points are made, whatever its origin.
 */
#ifndef DOMAIN_MEANS_H
#define DOMAIN_MEANS_H

#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { MEANS_NAME_SIZE = 48, MEANS_GROUP_SIZE = 48 };

/* How the diffuse share of a point's sunshine is known; an estimated one meets no limit. */
enum share_known { SHARE_UNKNOWN, SHARE_MEASURED, SHARE_ESTIMATED };

/* What a measured share was formed from: a diffuse in the plane, or other sensors and the angle. */
enum share_from { SHARE_FROM_PLANE, SHARE_FROM_DIRECT, SHARE_FROM_PAIR, SHARE_FROM_LEVEL };

/* The sun over a point and the plane under it. Directions: east, north, up. */
struct means_sun {
    bool known;        /* the direction: place and time are known */
    double at[3];      /* of the refracted sun at the middle of the time; a unit vector */
    double per_s[3];   /* how it moves */
    bool plane_known;  /* the collector's tilt and azimuth */
    double tilt_rad;
    double azimuth_rad;
    double ground; /* share of light that it throws back; where `from` is not SHARE_FROM_PLANE */
    enum share_known share;
    enum share_from from;
    double diffuse_share;   /* of the sunshine in the plane; NaN if not known */
    double u_diffuse_share; /* its standard uncertainty; of a measured one 0: see its instruments */
};

struct means {
    char name[MEANS_NAME_SIZE];   /* windows: their start in UTC, "2026-06-21T10:15:00Z" */
    char group[MEANS_GROUP_SIZE]; /* a class's group; "" where there is none */
    int64_t start_us;
    int64_t end_us;
    int64_t session;       /* local day number; points by hand without time: 0 */
    size_t readings;       /* per channel; 0 when typed by hand without a count */
    size_t set_aside;      /* rows of the window that do not count: a needed reading was not good */
    bool timed; /* start_us and end_us are known */
    bool has[CH_COUNT];
    double mean[CH_COUNT]; /* SI; CH_HEAT is the mean of the heat formed per reading, where has[] */
    double u[CH_COUNT]; /* standard uncertainty of the mean from reading errors alone, SI; >= 0 */
    double metered_J;      /* what a heat meter's total rose by between two of its steps ... */
    double metered_s;      /* ... and in what time; 0: it is no total, or has no say */
    double drift_K_s;      /* of the mean fluid temperature; NaN if unknown */
    double u_drift_K_s;    /* its standard uncertainty from reading errors alone; >= 0 */
    struct means_sun sun;  /* filled by run/sun_means.h */

    /* A reduced point typed by hand: efficiency and reduced temperature instead of temperatures and
     * flow. has[] then holds irradiance alone. */
    bool reduced;
    double eta;
    double x; /* m2 K/W */
    double u_eta;
    double u_x;
};

#endif
