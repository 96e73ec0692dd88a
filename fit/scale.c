#include "fit/scale.h"

#include <math.h>

#include "fit/combine.h"
#include "fit/distributions.h"

/* Below half a degree of freedom t is above 160 and rises beyond all numbers. */
static const double fewest = 0.5;

/* Half a 95 % interval of readings that scatter so, in their stated standard uncertainty. */
static double half_width(double factor, double freedom)
{
    return freedom >= fewest ? sqrt(factor) * fit_coverage_95(freedom) : INFINITY;
}

static struct fit_scaling at_least(const struct fit_scatter *seen)
{
    struct fit_scaling scaling = {fmax(1, seen->factor), INFINITY};
    if (!(seen->most_freedom > 0))
        return (struct fit_scaling){1, INFINITY};
    double by_factor = half_width(seen->factor, seen->freedom);
    double at_most = half_width(seen->most, seen->most_freedom);
    if (seen->factor >= 1 && by_factor <= at_most) {
        scaling.dof = seen->freedom;
        return scaling;
    }
    double times = fmin(by_factor, at_most) / sqrt(scaling.factor);
    scaling.dof = fit_t_freedom(0.975, times, fewest);
    if (scaling.factor > 1)
        scaling.dof = fmin(scaling.dof, seen->most_freedom);
    return scaling;
}

struct fit_scaling fit_scale(const struct fit_scatter *seen, enum fit_scale scale, bool stated)
{
    if (!stated || scale == FIT_SCALE_ESTIMATED)
        return seen->freedom >= 1 ? (struct fit_scaling){seen->factor, seen->freedom}
                                  : (struct fit_scaling){seen->most, seen->most_freedom};
    if (scale == FIT_SCALE_STATED)
        return (struct fit_scaling){1, INFINITY};
    return at_least(seen);
}

struct fit_scatter fit_scatter_alone(double chi2, size_t dof)
{
    double freedom = (double)dof, factor = dof > 0 ? chi2 / freedom : NAN;
    return (struct fit_scatter){chi2, factor, freedom, factor, freedom};
}

static struct fit_scaling of_curve(const struct fit_curve *curve, enum fit_scale scale)
{
    struct fit_scatter seen = fit_scatter_alone(curve->chi2, curve->dof);
    return fit_scale(&seen, scale, !curve->equal_weights);
}

double fit_scale_factor(const struct fit_curve *curve, enum fit_scale scale)
{
    return of_curve(curve, scale).factor;
}

double fit_scale_dof(const struct fit_curve *curve, enum fit_scale scale)
{
    return of_curve(curve, scale).dof;
}
