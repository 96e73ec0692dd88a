/* Bath: where the water comes from. A thermostat bath for the plates; a bucket with a heating rod
 * for the rig.
 */
#ifndef DEMO_BATH_H
#define DEMO_BATH_H

#include "base/randoms.h"

#include <stdbool.h>
#include <stddef.h>

/* From a clock time on (seconds of the day), this temperature is wanted. */
struct hold {
    double from_s;
    double t_degC;
};

/* The temperature wanted at a time: that of the last hold that has begun, or of the first one. */
double hold_wanted(const struct hold *holds, size_t n, double local_s);

struct bath {
    double t_degC;
    double ripple_K;
};

/* One second on: towards the wanted temperature as fast as the heater and the cooler can, then held
 * with a small ripple. Returns: temperature of the water that leaves, degC. */
double bath_next(struct bath *bath, double wanted_degC, struct randoms *randoms);

struct bucket {
    double t_degC;
    double ripple_K; /* stirring by hand and pump */
};

/* One second on: the rod works in proportion to what is missing, the collector brings its heat
 * back, a trickle of cold water carries off the surplus (shut while far too cold).
 *
 * In:      heat_W   brought by the collector
 *
 * Returns: temperature of the water that leaves, degC. */
double bucket_next(struct bucket *bucket, double wanted_degC, double heat_W, double t_ambient_degC,
                   struct randoms *randoms);

/* One second on without a thermostat: the rod gives all it can and the collector adds its heat, so
 * that the water warms all the way. Until the rod is switched on, fresh water holds the bucket
 * where it is.
 *
 * Returns: temperature of the water that leaves, degC. */
double bucket_unwatched(struct bucket *bucket, bool rod_on, double heat_W, double t_ambient_degC,
                        struct randoms *randoms);

#endif
