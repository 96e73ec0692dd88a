/* The forms of curve that can be fitted, as a table. Every form is linear in its coefficients:
 * efficiency = sum_j t_j(condition) b_j. A new form is one row; a new condition is one field of
 * struct fit_condition, which older forms do not look at. */
#ifndef FIT_FORM_H
#define FIT_FORM_H

#include <stdbool.h>
#include <stddef.h>

#define FIT_FORM_MAX_COEF 4

struct fit_condition {
    double x; /* reduced temperature difference (m2 K/W), any sign */
    double g; /* irradiance in the collector's plane (W/m2) */
    double wind; /* u' = wind speed less the origin from which it is counted (m/s), any sign */
};

struct fit_form {
    const char *name;
    size_t n_coef;
    const char *symbols[FIT_FORM_MAX_COEF];
    bool with_wind; /* the last coefficient is a3 */
    /* Each writes n_coef values: the terms, and their first and second derivative with
     * respect to x at fixed g and wind. */
    void (*terms)(const struct fit_condition *at, double *t);
    void (*slopes)(const struct fit_condition *at, double *dt_dx);
    void (*bends)(const struct fit_condition *at, double *d2t_dx2);
};

/* The form of a name:
 *   "mean"          eta = eta                          (terms 1)
 *   "line"          eta = eta0 - a1 x                  (terms 1, -x)
 *   "second order"  eta = eta0 - a1 x - a2 g x^2       (terms 1, -x, -g x^2)
 *   "line with wind"          ... - a3 wind x          (terms 1, -x, -wind x)
 *   "second order with wind"  ... - a3 wind x          (terms 1, -x, -g x^2, -wind x)
 * eta0 and eta without unit, a1 in W/(m2 K), a2 in W/(m2 K2), a3 in J/(m3 K).
 * a1 holds at wind = 0: another origin of the wind, u0 instead of 0, gives a1 + a3 u0 for the same
 * curve (ISO 9806:2017 counts from 3 m/s, the edition of 2013 from 0; from memory).
 * Returns: NULL if there is no such name */
const struct fit_form *fit_form_find(const char *name);

/* The i-th form, simplest first; NULL past the last. */
const struct fit_form *fit_form_at(size_t i);

/* Value of a form: sum_j t_j(at) coef_j. */
double fit_form_value(const struct fit_form *form, const double *coef,
                      const struct fit_condition *at);

/* Slope of a form: d value / d x at fixed g and wind. */
double fit_form_slope(const struct fit_form *form, const double *coef,
                      const struct fit_condition *at);

/* Slope of a form against the wind: d value / d wind at fixed x and g; 0 without a wind term. */
double fit_form_wind_slope(const struct fit_form *form, const double *coef,
                           const struct fit_condition *at);

#endif
