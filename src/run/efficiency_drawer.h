/* One worker of a Monte Carlo: draws every error once, forms every point, fits the curve.
 */
#ifndef RUN_EFFICIENCY_DRAWER_H
#define RUN_EFFICIENCY_DRAWER_H

#include "base/randoms.h"
#include "run/efficiency.h"

#include <stdbool.h>
#include <stddef.h>

/* An error as it is drawn: its targets in the worker's own shifts. */
struct pull {
    double *slot[ERROR_TARGETS];
    double by[ERROR_TARGETS]; /* shift for one standard uncertainty */
    size_t n_targets;
    bool rectangular;
    double dof;
    const struct error_source *bounded; /* acts on some points only: added point by point; or NULL */
    double z; /* of a bounded one, as drawn */
};

struct drawer {
    const struct efficiency *e;        /* borrowed, as the next two */
    const struct point *points;
    const struct point_setup *setup;
    struct randoms randoms;
    struct shifts shifts;              /* pulls point into it: the struct must not move */
    struct pull *common;               /* calibration rows */
    size_t n_common;
    struct pull *daily;                /* session rows */
    size_t n_daily;
    bool any_bounded;                  /* among these two */
    struct pull *own;                  /* reading errors, those of point k from own_from[k] on */
    size_t *own_from;                  /* n + 1 */
    size_t *order;                     /* fitted points, those of a session next to each other */
    struct fit_point *moved;
    double day_scatter;                /* in efficiency, of a session, seen between the days */
};

/* Returns: false with a machine fault; drawer_free is then due all the same. */
bool drawer_init(struct drawer *drawer, const struct efficiency *e, const struct point *points,
                 const struct point_setup *setup, const struct error_registry *registry,
                 struct faults *faults);
void drawer_free(struct drawer *drawer); /* safe twice, and on {0} */

/* One draw from the drawer's randoms.
 * Out:     coef  EFFICIENCY_COEFS, of which the form's are written
 * Returns: false if a point could not be formed or the curve not be fitted */
bool drawer_draw(struct drawer *drawer, double *coef);

#endif
