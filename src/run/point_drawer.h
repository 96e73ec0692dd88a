/* Points under errors drawn at random: every row of the registry once, every reading's own, each
 * point formed anew through point_evaluate. What is fitted to them is the caller's.
 */
#ifndef RUN_POINT_DRAWER_H
#define RUN_POINT_DRAWER_H

#include "base/randoms.h"
#include "point/point.h"

#include <stdbool.h>
#include <stddef.h>

/* An error as it is drawn: its targets in the drawer's own shifts. */
struct pull {
    double *slot[ERROR_TARGETS];
    double by[ERROR_TARGETS]; /* shift for one standard uncertainty */
    size_t n_targets;
    bool rectangular;
    double dof;
    const struct error_source
        *bounded; /* acts on some points only: added point by point; or NULL */
    double z; /* of a bounded one, as drawn */
};

/* Points whose readings scatter alike. */
struct point_drawer_group {
    double scale_factor, scale_dof; /* on variances of readings */
    double
        equal_unit; /* where none are stated: standard deviation of eta for a factor of 1; else 0 */
    double day_scatter; /* in efficiency, of a session, seen between the days; 0: none */
    double day_dof;
};

enum { POINT_DRAWER_GROUPS = 2 };

struct point_drawer {
    const struct point *points; /* borrowed, as the next three */
    const size_t *index;        /* n: which of them are drawn */
    const struct point_setup *setup;
    struct randoms *randoms;    /* as given to a draw */
    size_t n;
    size_t n_first; /* points of the first group; the others are of the second */
    struct point_drawer_group groups[POINT_DRAWER_GROUPS];
    struct shifts shifts;       /* pulls point into it: the struct must not move */
    struct pull *common;        /* calibration rows */
    size_t n_common;
    struct pull *daily;         /* session rows */
    size_t n_daily;
    bool any_bounded;           /* among these two */
    struct pull *own;           /* reading errors, those of point k from own_from[k] on */
    size_t *own_from;           /* n + 1 */
    size_t *order;              /* 0 .. n-1, those of a session next to each other */
    struct point_value *values; /* n, as drawn: eta with what its day and its own scatter add */
};

/* In:      drawer   points, index, setup, n, n_first and groups are set, the rest is zero
 * Returns: false with a machine fault; point_drawer_free is then due all the same. */
bool point_drawer_init(struct point_drawer *drawer, const struct error_registry *registry,
                       struct faults *faults);
void point_drawer_free(struct point_drawer *drawer); /* safe twice, and on {0} */

/* One draw.
 * Out:     drawer->values
 * Returns: false if a point could not be formed */
bool point_drawer_draw(struct point_drawer *drawer, struct randoms *randoms);

#endif
