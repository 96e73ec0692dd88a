/* Heats: what a heat meter shows beside what flow and rise give, window by window and over the
 * test.
 *
 * Both are what the fluid carries away at the thermometers: no pipe and no storage comes in. Every
 * error source moves both as it moves a point (point_evaluate), so that what it does to the
 * difference is known: the calibrations of meter, flow meter, thermometers and fluid are one value
 * for the whole test, session rows one a day, readings one a window.
 *
 *   R = sum of the metered heats / sum of the others, over the windows that have both
 *
 * Source: GUM (JCGM 100:2008), 5.1; weighing by the heat is our own.
 */
#ifndef RUN_HEATS_H
#define RUN_HEATS_H

#include "run/reduction.h"

#include <stdbool.h>
#include <stddef.h>

struct heats_pair {
    double flow_W, u_flow_W;   /* of flow and rise; NaN where the window has none */
    double meter_W, u_meter_W; /* of the heat meter; NaN where the window has none */
    double u_difference_W;     /* of meter_W - flow_W; NaN where either is not known */
};

struct heats {
    struct heats_pair *pairs; /* one a window, in the order of the means */
    size_t n;
    size_t both;   /* windows that have both */
    size_t beyond; /* of these: differ by more than twice the uncertainty of their difference */
    double ratio;  /* R; NaN where no window has both */
    double u_ratio;
    double rise_K;    /* mean rise of the windows that have both */
    double water;     /* what a meter set for water shows of the true heat of this fluid, mean */
    double flow_m3_s; /* mean flow of the windows that have both */
};

/* What would make R what it is. */
enum heats_cause {
    HEATS_NONE,       /* nothing usual */
    HEATS_UNIT,       /* the unit of the energy */
    HEATS_FLOW_UNIT,  /* the unit of the flow */
    HEATS_FOR_WATER,  /* the meter is set for water */
    HEATS_FOR_GLYCOL, /* of water: the meter, or the loop, is one of glycol */
    HEATS_EXCHANGED   /* inlet and outlet */
};
struct heats_guess {
    enum heats_cause cause;
    double ratio;     /* that it would give */
    const char *what; /* of a unit: "MJ taken for kWh" */
};

/* In:      r   read from a log that has a heat meter
 * Out:     heats   to be freed, also after a failure
 * Returns: false when memory is short */
bool heats_find(const struct reduction *r, struct heats *heats, struct faults *faults);
void heats_free(struct heats *heats);

/* Whether R is further from 1 than both uncertainties together allow (twice that of R). */
bool heats_differ(const struct heats *heats);

/* The usual slip that gives such an R, within 5 % and twice its uncertainty; of several the
 * nearest. */
struct heats_guess heats_guess(const struct heats *heats);

#endif
