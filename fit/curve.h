/* The efficiency curve's estimator: points with errors in efficiency and in reduced temperature
 * -> coefficients, their covariance and the influence of every reading.
 *
 * Minimised is   chi2(b) = sum_i r_i(b)^2 / v_i(b),
 *   r_i = eta_i - sum_j t_ij b_j,   s_i = slope of the curve at x_i,
 *   v_i = u_eta_i^2 + s_i^2 u_x_i^2 - 2 s_i cov_eta_x_i,
 * with v inside the minimisation. Re-weighting with v held fixed converges to another place
 * (Pearson's data with York's weights show it).
 *
 * The uncertainties are those that are fresh for each point (readings, and sessions if the caller
 * adds them). Errors common to all points do not belong here: they are carried by refits.
 *
 * Source: D. York et al., Am. J. Phys. 72 (2004) 367, generalised to terms linear in b; errors by
 *         first-order propagation as in M. Kalantar, Meas. Sci. Technol. 3 (1992) (attributions
 *         second-hand, from memory of the papers). */
#ifndef FIT_CURVE_H
#define FIT_CURVE_H

#include <stdbool.h>
#include <stddef.h>

#include "fit/form.h"
#include "fit/linear.h"
#include "fit/status.h"

struct fit_point {
    struct fit_condition at;
    double eta;       /* efficiency, no unit */
    double u_eta;     /* standard uncertainty of eta, >= 0 */
    double u_x;       /* standard uncertainty of at.x (m2 K/W), >= 0 */
    double cov_eta_x; /* covariance of the two errors (m2 K/W), |cov| <= u_eta u_x */
};

struct fit_curve {
    const struct fit_form *form;
    size_t n, p, dof;
    double coef[FIT_FORM_MAX_COEF];
    double cov_reading[FIT_FORM_MAX_COEF * FIT_FORM_MAX_COEF]; /* p*p row-major, scale as stated */
    double chi2;              /* at the minimum; the plain residual sum if equal_weights */
    double birge;             /* sqrt(chi2 / dof); NaN when dof == 0 or equal_weights */
    double *d_coef_d_eta;     /* p*n row-major: d coef_j / d eta_i */
    double *d_coef_d_x;       /* p*n row-major: d coef_j / d x_i */
    size_t iterations;
    size_t undetermined;      /* coefficient that FIT_RANK speaks of, else FIT_NO_COLUMN */
    bool equal_weights;       /* no uncertainty was stated: every v taken as 1 */
};

/* Fit a form.
 * In:      form    from fit_form_find()
 *          points  n points, all finite; either every point's v is positive, or all are zero
 *                  (exact data, or uncertainties unknown), which sets equal_weights. Then
 *                  cov_reading is for unit variance: multiply by fit_scale_factor().
 *          n       >= form->n_coef; with n == n_coef there is no residual scatter
 * Out:     out     owned by the caller, to be emptied by fit_curve_free(); on failure it holds no
 *                  memory and its numbers are NaN
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_NOT_FINITE, FIT_TOO_FEW, FIT_RANK (see undetermined),
 *          FIT_NOT_CONVERGED, FIT_RANGE (a negative uncertainty, a covariance too large, or
 *          some variances zero while others are not) */
enum fit_status fit_curve_fit(const struct fit_form *form, const struct fit_point *points,
                              size_t n, struct fit_curve *out);

/* The coefficients alone: the same, and the same failures, at less cost, for refits of moved
 * points.
 * Out:     coef    form->n_coef of them; NaN on failure
 * Returns: as fit_curve_fit() */
enum fit_status fit_curve_coef(const struct fit_form *form, const struct fit_point *points,
                               size_t n, double *coef);

/* Give back the memory; the struct may be freed again or filled anew. */
void fit_curve_free(struct fit_curve *curve);

/* Variance v of eta minus curve for a point, at the slope that coef gives there.
 * Returns: v as above, >= 0 */
double fit_curve_variance(const struct fit_form *form, const double *coef,
                          const struct fit_point *point);

/* Covariance in the other usual definition: inverse of the normal matrix at the adjusted points.
 * It is what York et al. (2004) print; it differs from cov_reading where residuals are large.
 * In:      points  the n points that the curve was fitted to
 * Out:     cov     p*p row-major, scale as stated
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_RANK, FIT_NOT_FINITE */
enum fit_status fit_curve_cov_adjusted(const struct fit_curve *curve,
                                       const struct fit_point *points, double *cov);

/* Ordinary unweighted least squares of the same form: what a spreadsheet gives.
 * Out:     out  coefficients; fit_linear_std_error() gives the spreadsheet's standard errors
 * Returns: as fit_linear() */
enum fit_status fit_curve_plain(const struct fit_form *form, const struct fit_point *points,
                                size_t n, struct fit_linear *out);

#endif
