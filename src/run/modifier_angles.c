#include "run/modifier_angles.h"

#include <math.h>

bool modifier_has_angles(const struct reduction *r, const struct run_section *run,
                         const struct point *points, struct faults *faults)
{
    for (size_t i = 0; i < r->means.n; i++)
        if (isfinite(points[i].value.incidence_rad))
            return true;
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(r->setup.path, run->head.line, 0));
    if (r->means.n == 0) {
        fault_found(fault, "there is no %s to work with", r->from_log ? "steady window" : "point");
        fault_hint(fault, "the report says which limits refused");
    } else if (r->angles_refused) {
        fault_found(fault,
                    "angles from the sun's place are refused: the sunshine does not keep the "
                    "sun's time");
        fault_hint(fault,
                   "put 'time' in [log] right, or say 'clock checked = yes' in [site] if the "
                   "clock was compared");
    } else {
        fault_found(fault, "the angle of incidence is known of no point");
        fault_expected(fault, "place, tilt and azimuth in [site], with times, or 'incidence'");
        fault_hint(fault, "of a table, add a column 'incidence [deg]'; of a log, a [site] with "
                          "latitude, longitude, tilt and azimuth");
    }
    return false;
}
