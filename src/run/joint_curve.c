#include "run/joint_curve.h"

#include "run/efficiency_points.h"
#include "run/joint.h"
#include "run/modifier_angles.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DEG (180 / M_PI)

static bool none_left(const struct reduction *r, const struct run_section *run,
                      struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(r->setup.path, run->head.line, 0));
    bool planes = run->shape == FIT_MODIFIER_TWO_PLANES;
    fault_found(fault,
                "no point is left: all are left out by name, at no known angle, or beyond %.0f "
                "deg off the normal",
                MODIFIER_MOST_RAD * DEG);
    fault_expected(fault, "%s",
                   planes ? "a [site] with latitude, longitude, tilt and azimuth, and points with "
                            "times"
                          : "points from the normal to about 60 deg, with cool and with hot water");
    return false;
}

static bool known(const struct run_section *run, const struct point *point)
{
    bool planes = run->shape == FIT_MODIFIER_TWO_PLANES;
    return isfinite(point->value.incidence_rad) && (!planes || isfinite(point->value.slope_rad));
}

bool joint_points(const struct reduction *r, const struct run_section *run,
                  const struct point_setup *setup, struct point *points, size_t *n, size_t *beyond,
                  size_t *without, struct faults *faults)
{
    size_t used = 0;
    *n = *beyond = *without = 0;
    if (!efficiency_points(r, run, setup, points, faults) ||
        !modifier_has_angles(r, run, points, faults))
        return false;
    for (size_t i = 0; i < r->means.n; i++) {
        bool far = points[i].value.incidence_rad > MODIFIER_MOST_RAD;
        if (!known(run, &points[i]) || far) {
            *without += known(run, &points[i]) ? 0 : 1;
            *beyond += known(run, &points[i]) ? 1 : 0;
            continue;
        }
        used += points[i].left_out ? 0 : 1;
        points[(*n)++] = points[i];
    }
    return used > 0 || none_left(r, run, faults);
}

bool joint_curve(const struct reduction *r, const struct run_section *run,
                 const struct point_setup *setup, struct point *points, struct efficiency *e,
                 struct faults *faults)
{
    struct efficiency_request request = efficiency_request(run);
    struct joint *joint = calloc(1, sizeof *joint);
    size_t n, beyond, without;
    memset(e, 0, sizeof *e);
    if (joint == NULL)
        return fault_memory(faults);
    bool good = joint_points(r, run, setup, points, &n, &beyond, &without, faults) &&
                joint_fit(joint, points, n, setup, &r->setup.errors, &request, run->shape, faults);
    if (good) {
        memcpy(points, joint->brought, n * sizeof *points);
        *e = joint->e; /* and what it owns */
        memset(&joint->e, 0, sizeof joint->e);
        joint_free(joint);
    }
    free(joint);
    return good;
}
