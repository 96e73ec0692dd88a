/* The modifier's estimator: ratios K_hem at angles -> the coefficients of a form and their
 * covariance.
 *
 * Minimised is sum_i (K_i - K_hem(coef; angle_i, f_i, near))^2 / u_i^2 with K_hem of
 * fit/modifier.h. K_d, and K at the angle of the curve's points, are formed anew from the form in
 * each step, and their own dependence on the coefficients is in the slopes: holding them fixed
 * while a step is taken would end elsewhere, short of the minimum.
 *
 * Source: Gauss-Newton steps, halved where they do not lead down. */
#ifndef FIT_MODIFIER_FIT_H
#define FIT_MODIFIER_FIT_H

#include "fit/modifier.h"
#include "fit/status.h"

struct fit_modifier_point {
    struct fit_angle at;
    double diffuse_share; /* f, 0 to below 1 */
    double k_total;       /* K_hem as measured */
    double u;             /* its standard uncertainty, >= 0 */
};

struct fit_modifier_fit {
    struct fit_modifier m;
    double k_diffuse;
    double cov[FIT_MAX_COEF * FIT_MAX_COEF]; /* n*n row-major; of unit variance if equal_weights */
    double chi2;                             /* the plain residual sum if equal_weights */
    size_t dof;                              /* points less coefficients */
    size_t iterations;
    double least_rad, most_rad; /* the angles fitted: the form is not shown to hold outside */
    bool equal_weights;         /* no uncertainty was stated */
    size_t undetermined;        /* coefficient that FIT_RANK speaks of, else FIT_NO_COLUMN */
};

/* Where a fit begins: coefficients of the form m->form, and knots of a table where one of the angles
 * is nearest to. Two planes whose knots every 10 degrees would be more than `most` have them every
 * 20 degrees.
 * In:      m     its form, n = 0
 *          most  coefficients, 8 .. FIT_MAX_COEF
 * Returns: FIT_OK, FIT_RANK (a table, and no angle of 5 degrees or more; two planes, and none in one
 *          of them), FIT_RANGE (two planes need more knots than `most`) */
enum fit_status fit_modifier_begin(const struct fit_angle *angles, size_t n, size_t most,
                                   struct fit_modifier *m);

/* Fit a form. A table has knots at those multiples of 10 degrees that a point is nearest to, 10 to
 * 80: between them and beyond the last it is drawn straight, and nothing is known of it.
 * In:      points  n points, all finite, 0 <= theta < pi/2; either every u above 0 or all zero
 *          near    the points that the ratios are formed with
 * Out:     out     on failure its numbers are NaN; undetermined is set where the status is FIT_RANK
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_NOT_FINITE, FIT_TOO_FEW, FIT_RANK (all points near 0, or none
 *          at an angle that tells), FIT_RANGE (an input out of range), FIT_NOT_CONVERGED */
enum fit_status fit_modifier_fit(enum fit_modifier_form form,
                                 const struct fit_modifier_point *points, size_t n,
                                 const struct fit_modifier_near *near,
                                 struct fit_modifier_fit *out);

/* The same with the knots of a form that was fitted before: for the refits that carry an error
 * common to all points, whose angles may pass from one knot to the next.
 * In:      shape  its form, knots and number of coefficients are kept; its coefficients begin */
enum fit_status fit_modifier_refit(const struct fit_modifier *shape,
                                   const struct fit_modifier_point *points, size_t n,
                                   const struct fit_modifier_near *near,
                                   struct fit_modifier_fit *out);

/* One step towards it, for who moves the points between two steps (a Monte Carlo, where the curve
 * is found anew each time). Out: of out the coefficients alone */
enum fit_status fit_modifier_step(const struct fit_modifier *from,
                                  const struct fit_modifier_point *points, size_t n,
                                  const struct fit_modifier_near *near,
                                  struct fit_modifier_fit *out);

/* What a fitted form says of the beam at an angle.
 * Out: u  standard uncertainty from cov alone
 * Returns: K */
double fit_modifier_value(const struct fit_modifier_fit *fit, const struct fit_angle *at,
                          double *u);

#endif
