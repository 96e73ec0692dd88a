/* Curve and incidence angle modifier in one fit, from points at any angle and temperature:
 *   eta = eta0 K_hem(theta, f) - a1 x - a2 g x^2 - ...
 *   K_hem = [K_b(theta) (1 - f) + K_d f] / [(1 - f0) + K_d f0]
 * eta0 (of the form "mean": eta) holds for light at the normal whose diffuse share is f0. K_b and
 * K_d are those of fit/modifier.h; K_d moves with the coefficients.
 *
 * The estimator is that of fit/curve.h: minimised is sum r^2/v with v, which holds the slope of the
 * curve at x, inside the minimisation; Gauss-Newton steps on r/sqrt(v) by orthogonal reflections,
 * halved where they do not lead down. Errors of angle and diffuse share act like errors of eta:
 * callers put them into u_eta and cov_eta_x. */
#ifndef FIT_JOINT_H
#define FIT_JOINT_H

#include <stdbool.h>
#include <stddef.h>

#include "fit/curve.h"
#include "fit/modifier.h"

struct fit_joint_point {
    struct fit_point curve; /* eta as measured, at its angle */
    struct fit_angle angle; /* 0 <= theta < pi/2 */
    double diffuse_share;   /* f, 0 to 1 */
};

struct fit_joint_shape {
    const struct fit_form *form;
    struct fit_modifier m; /* its form; n = 0: knots as the points lie. With n > 0 its coefficients
                              begin and its knots stay */
    double diffuse_share;  /* f0, 0 to 1 */
};

struct fit_joint {
    const struct fit_form *form;
    struct fit_modifier m; /* at the minimum */
    double diffuse_share;  /* f0 */
    double k_diffuse;
    size_t n, p, q, n_coef, dof; /* p of the curve and q of the modifier, n_coef both */
    double coef[FIT_MAX_COEF];   /* the curve's, then the modifier's */
    double
        cov[FIT_MAX_COEF * FIT_MAX_COEF]; /* of these errors; of unit variance if equal_weights */
    double cov_unit[FIT_MAX_COEF * FIT_MAX_COEF]; /* inverse normal matrix, for correlations */
    double widened[FIT_MAX_COEF]; /* how much less well each coefficient is known than it would be
                                     with all of the other kind known (of the curve, of the
                                     modifier), >= 1; set before a step is taken, too */
    double chi2;                  /* the plain residual sum if equal_weights */
    double *d_coef_d_eta;         /* n_coef*n row-major; NULL from fit_joint_again */
    double *d_coef_d_x;
    size_t iterations;
    size_t undetermined; /* coefficient that FIT_RANK speaks of, else FIT_NO_COLUMN */
    bool equal_weights;  /* no uncertainty was stated */
};

/* Fit.
 * In:      points  n points, all finite; every v positive, or all zero
 * Out:     out     to be emptied by fit_joint_free(); on failure it holds no memory, its
 *                  coefficients are NaN, and `widened` holds what is known of it (NaN if nothing)
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_NOT_FINITE, FIT_TOO_FEW, FIT_RANK, FIT_NOT_CONVERGED,
 *          FIT_RANGE */
enum fit_status fit_joint_fit(const struct fit_joint_shape *shape,
                              const struct fit_joint_point *points, size_t n,
                              struct fit_joint *out);

/* The coefficients alone, begun at those of a fit with its form, knots and f0: for refits of moved
 * points.
 * Out:     coef  fit->n_coef values; NaN on failure */
enum fit_status fit_joint_again(const struct fit_joint *fit, const struct fit_joint_point *points,
                                double *coef);

void fit_joint_free(struct fit_joint *fit);

/* K_hem of a point, and what the fit expects of it. */
double fit_joint_total(const struct fit_joint *fit, const struct fit_joint_point *point);
double fit_joint_value(const struct fit_joint *fit, const struct fit_joint_point *point);

/* Slopes of what is expected of a point against each coefficient.
 * Out: t  n_coef values */
void fit_joint_slopes(const struct fit_joint *fit, const struct fit_joint_point *point, double *t);

#endif
