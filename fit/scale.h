/* What the scatter of the points says about the stated reading uncertainties, and what is made
 * of it: one factor on variances (reading covariance and new readings alike) with its freedom. */
#ifndef FIT_SCALE_H
#define FIT_SCALE_H

#include "fit/curve.h"

enum fit_scale {
    FIT_SCALE_STATED,    /* believe the stated uncertainties */
    FIT_SCALE_ESTIMATED, /* believe the scatter only */
    FIT_SCALE_AT_LEAST   /* the scatter may widen, never narrow */
};

/* Factor by which cov_reading (and the variance of a new reading) is multiplied.
 * Returns: 1, chi2/dof, or the larger of both. Where nothing was stated (equal_weights) it is
 *          chi2/dof under every choice. NaN if the scatter is needed and dof == 0; with
 *          FIT_SCALE_AT_LEAST and stated uncertainties dof == 0 gives 1. */
double fit_scale_factor(const struct fit_curve *curve, enum fit_scale scale);

/* Degrees of freedom of that factor.
 * Returns: INFINITY where the stated uncertainties apply, else dof */
double fit_scale_dof(const struct fit_curve *curve, enum fit_scale scale);

#endif
