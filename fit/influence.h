/* How the minimum of fit/curve.h moves when one reading moves: implicit differentiation of the
 * condition gradient = 0, exact to first order, residuals and the slope's bend included. */
#ifndef FIT_INFLUENCE_H
#define FIT_INFLUENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "fit/curve.h"

/* One point as seen from a trial curve. */
struct fit_local {
    double t[FIT_FORM_MAX_COEF], dt[FIT_FORM_MAX_COEF], d2t[FIT_FORM_MAX_COEF];
    double r;     /* eta - curve */
    double s;     /* slope of the curve */
    double s_x;   /* d slope / d x */
    double v;     /* variance of r */
    double m;     /* (dv/ds)/2 = s u_x^2 - cov */
    double u2_x;  /* u_x^2 */
};

/* Fill a struct fit_local.
 * In:      equal  take v as 1 and the errors of x as none */
void fit_local_at(const struct fit_form *form, const double *coef, const struct fit_point *point,
                  bool equal, struct fit_local *out);

/* One row of a Gauss-Newton step.
 * Out:     row  p values: minus the derivative of r/sqrt(v), (t + (r/v) m t')/sqrt(v)
 * Returns: r/sqrt(v) */
double fit_local_step(const struct fit_local *at, size_t p, double *row);

/* Influences and the covariance that follows from them.
 * In:      curve  form, n, p, coef and equal_weights set; coef at the minimum
 * Out:     curve->d_coef_d_eta, d_coef_d_x (p*n, allocated by the caller), cov_reading
 * Returns: FIT_OK, FIT_NOT_CONVERGED if coef is no minimum (second derivatives not positive),
 *          FIT_NOT_FINITE */
enum fit_status fit_influence(struct fit_curve *curve, const struct fit_point *points);

/* Whether coef is a minimum, for fits of which no influence is asked.
 * In:      curve  as above; d_coef_d_eta, d_coef_d_x and cov_reading are not looked at */
bool fit_influence_minimum(const struct fit_curve *curve, const struct fit_point *points);

#endif
