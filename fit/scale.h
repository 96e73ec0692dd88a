/* What the scatter of the points says about the stated reading uncertainties, and what is made
 * of it: one factor on variances (reading covariance and new readings alike) with its freedom. */
#ifndef FIT_SCALE_H
#define FIT_SCALE_H

#include "fit/curve.h"
#include "fit/scatter.h"

enum fit_scale {
    FIT_SCALE_STATED,    /* believe the stated uncertainties */
    FIT_SCALE_ESTIMATED, /* believe the scatter only */
    FIT_SCALE_AT_LEAST   /* the scatter may widen, never narrow */
};

struct fit_scaling {
    double factor; /* on the variance of readings */
    double dof;    /* of that factor: > 0, INFINITY where nothing rests on the scatter */
};

/* What becomes of the scatter that was seen.
 * In:      seen    factors with their freedom; NaN and 0 where no scatter is seen
 *          stated  whether the points have uncertainties of their own; where not, the scatter counts
 *                  under every choice
 * Returns: stated    {1, INFINITY}
 *          estimated the factor and its freedom, or the most, where shared errors leave the factor less
 *                    than one degree; NaN where no scatter was seen
 *          at least  the larger factor, and the freedom whose t(0.975) gives the widest of what the
 *                    readings' 95 % interval is by what is stated, 1.96, and by the scatter:
 *                    t(freedom) sqrt(factor), or t(most_freedom) sqrt(most) if that is less. Where
 *                    the readings scatter a little less than stated they may, found from so few,
 *                    still have more behind them than stated: the interval does not jump from
 *                    t(freedom) to 1.96 where the factor passes 1. {1, INFINITY} where nothing was
 *                    seen, or so little scatter that 1.96 is the widest
 * Source:  docs/methods.md, "Scatter and scale": our own rule for the third. */
struct fit_scaling fit_scale(const struct fit_scatter *seen, enum fit_scale scale, bool stated);

/* Scatter about a curve whose points share no error: chi2 / dof under both factors. */
struct fit_scatter fit_scatter_alone(double chi2, size_t dof);

/* The same for the scatter of a fit whose points share no error. */
double fit_scale_factor(const struct fit_curve *curve, enum fit_scale scale);
double fit_scale_dof(const struct fit_curve *curve, enum fit_scale scale);

#endif
