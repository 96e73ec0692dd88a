#include "run/joint_refusal.h"

#include <math.h>
#include <stdio.h>

bool joint_too_few(const struct joint_job *job, size_t n_coef)
{
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "%zu points for %zu coefficients of curve and modifier together",
                job->out->e.n, n_coef);
    fault_expected(fault, "at least %zu points", n_coef + 2);
    fault_hint(fault, "add points; 'shape = b0' and 'form = line' need the fewest");
    return false;
}

/* A plane of two in which no point stands off the normal. */
static bool one_plane(const struct joint_job *job)
{
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the points stand off the normal in one plane only");
    fault_expected(fault, "points far off the normal along the tubes, and others across them");
    fault_hint(fault, "a rack that stands still sees other angles along its slope on days weeks "
                      "apart, or when it is tilted; 'shape = table' needs less");
    return false;
}

bool joint_not_apart(const struct joint_job *job)
{
    const struct joint_spread *s = &job->out->spread;
    char wanted[400], times[80] = "";
    bool far = job->shape.m.form == FIT_MODIFIER_TABLE && s->least_rad > 10 * M_PI / 180;
    size_t coef;
    double widest = joint_widest(&job->out->fit, &coef);
    if (isfinite(widest))
        snprintf(times, sizeof times,
                 ": fitted together they are known %.0f times less well than "
                 "alone",
                 widest);
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    if (s->most_rad - s->least_rad < JOINT_ONE_ANGLE_RAD)
        fault_found(fault,
                    "all points lie at one angle (%.1f to %.1f deg off the normal): what the "
                    "angle does cannot be told from the efficiency itself",
                    s->least_rad * 180 / M_PI, s->most_rad * 180 / M_PI);
    else if (far)
        fault_found(fault,
                    "a table of the modifier begins at the normal, and the nearest point is "
                    "%.1f deg off it: its figures cannot be told from the efficiency there",
                    s->least_rad * 180 / M_PI);
    else
        fault_found(fault,
                    "these points cannot tell the heat loss from the angle%s (correlation of "
                    "T* with 1/cos - 1 is %.3f)",
                    times, s->together);
    fault_expected(fault, "%s",
                   far ? "points within 10 deg of the normal as well"
                       : joint_wanted(s, wanted, sizeof wanted));
    fault_hint(fault,
               "water as cool as the air early, late and at noon, then hot water at the same "
               "hours, tells them apart%s",
               job->shape.m.form == FIT_MODIFIER_TABLE ? "; 'shape = b0' needs less than a table"
                                                       : "");
    return false;
}

bool joint_refused(const struct joint_job *job, enum fit_status status)
{
    size_t coef;
    if (status == FIT_NO_MEMORY)
        return fault_memory(job->faults);
    if (status == FIT_TOO_FEW)
        return joint_too_few(job, job->shape.form->n_coef + 1);
    if (status == FIT_RANK && job->shape.m.form == FIT_MODIFIER_TWO_PLANES && job->out->fit.m.n < 2)
        return one_plane(job);
    if (status == FIT_RANK || !(joint_widest(&job->out->fit, &coef) < JOINT_WIDENED_MOST))
        return joint_not_apart(job);
    struct fault *fault = fault_new(job->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "curve and modifier could not be fitted together: %s",
                fit_status_text(status));
    fault_hint(fault,
               "look at the points in points.csv; take a simpler 'form' or 'shape', or leave "
               "a point out by name with 'leave out'");
    return false;
}
