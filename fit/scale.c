#include "fit/scale.h"

#include <math.h>

/* Whether the factor comes from the scatter. */
static bool from_scatter(const struct fit_curve *curve, enum fit_scale scale)
{
    if (curve->equal_weights || scale == FIT_SCALE_ESTIMATED)
        return true;
    if (scale == FIT_SCALE_STATED || curve->dof == 0)
        return false;
    return curve->chi2 > (double)curve->dof;
}

double fit_scale_factor(const struct fit_curve *curve, enum fit_scale scale)
{
    if (!from_scatter(curve, scale))
        return 1.0;
    return curve->dof > 0 ? curve->chi2 / (double)curve->dof : NAN;
}

double fit_scale_dof(const struct fit_curve *curve, enum fit_scale scale)
{
    return from_scatter(curve, scale) ? (double)curve->dof : INFINITY;
}
