/* The interval of a curve found a second way: every error drawn, every point formed anew through
 * point_evaluate, the curve fitted again, thousands of times. It sees what the linear result cannot:
 * errors that are rectangular, effects that are not straight, few degrees of freedom.
 *
 * Source: JCGM 101:2008: 7.9 (how many draws), 8 (comparing both), 6.4.9.2 (Student's t for errors
 *         found from few readings); clause numbers from memory.
 */
#ifndef RUN_EFFICIENCY_DRAWS_H
#define RUN_EFFICIENCY_DRAWS_H

#include "run/efficiency.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    DRAWS_BATCH = 2000,      /* whole blocks of base/randoms.h */
    DRAWS_LEAST = 10,        /* batches */
    DRAWS_FEWEST = DRAWS_LEAST * DRAWS_BATCH,
    DRAWS_MOST = 1000000,
    DRAWS_USUAL = 200000,    /* no more than this unasked for */
    DRAWS_POINTS = 4000000,  /* and no more points formed: about a second */
    DRAWS_THREADS = 16,
    DRAWS_PLACES = 3         /* reduced temperatures at which the curve is looked at */
};

struct draws_request {
    size_t draws; /* 0: as many as settle the ends, within DRAWS_POINTS */
    uint64_t seed;
    unsigned threads; /* >= 1; the result does not depend on it */
};

/* One number, its 95 % interval both ways. */
struct draws_interval {
    double value;
    double u_linear, low_linear, high_linear;
    double u, low, high;
    double tolerance; /* half a unit of the first digit of u: JCGM 101, 7.9.2 */
    double doubt;     /* twice the standard deviation of the worse end, from the batches */
    bool differs;     /* an end lies further from the linear one than tolerance and doubt */
};

struct draws {
    size_t n;       /* made; 0: left out, because there are too many points */
    size_t refused; /* of these: a point could not be formed or the curve not be fitted */
    bool settled;   /* every doubt is within its tolerance */
    bool usable;    /* at most 1 in 1000 was refused */
    struct draws_interval coef[EFFICIENCY_COEFS];
    struct draws_interval at[DRAWS_PLACES]; /* the curve at x[], g_W_m2 */
    double x[DRAWS_PLACES];
    double g_W_m2;
};

/* Draws.
 * In:      e, points, n, setup, registry  as efficiency_fit took and made them
 *          g_W_m2   irradiance at which the curve is looked at
 * Returns: false with a machine fault (out of memory) */
bool efficiency_draw(const struct efficiency *e, const struct point *points,
                     const struct point_setup *setup, const struct error_registry *registry,
                     const struct draws_request *request, double g_W_m2, struct draws *out,
                     struct faults *faults);

#endif
