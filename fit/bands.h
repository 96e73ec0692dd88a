/* Three bands about a fitted curve at one condition. They answer different questions:
 *   curve        where the curve itself lies                        all parts
 *   next window  where another window of the same test would fall   reading + session + new window;
 *                calibration moves curve and window together, so it is left out
 *   elsewhere    where a window of another bench, or the truth as another bench would find it,
 *                would fall                                         all parts + new window
 * "reading" of the fit and of the new window rest on the same estimate of scatter and so share
 * one number of degrees of freedom; likewise "session". */
#ifndef FIT_BANDS_H
#define FIT_BANDS_H

#include <stddef.h>

struct fit_parts {
    size_t p;
    const double *coef;        /* p */
    const double *reading;     /* p*p, scale factor already applied; NULL for none */
    const double *session;     /* p*p or NULL for none (or if already within reading) */
    const double *calibration; /* p*p or NULL for none */
    double reading_dof;        /* > 0, INFINITY where stated */
    double session_dof;
    double calibration_dof;
};

struct fit_new_window {
    double reading_variance; /* of efficiency minus curve, scale factor already applied, >= 0 */
    double session_variance; /* of a session not among the fitted ones, >= 0 */
};

struct fit_band {
    double value;
    double u;        /* standard uncertainty */
    double dof;      /* effective, may be INFINITY */
    double half_95;  /* half width, two-sided 95 % */
};

/* In:  t  p terms of the form at the condition
 * Out: out; its numbers are NaN if a part is NaN (no degrees of freedom) */
void fit_band_curve(const struct fit_parts *parts, const double *t, struct fit_band *out);
void fit_band_next_window(const struct fit_parts *parts, const double *t,
                          const struct fit_new_window *window, struct fit_band *out);
void fit_band_elsewhere(const struct fit_parts *parts, const double *t,
                        const struct fit_new_window *window, struct fit_band *out);

/* Half width at another level, 0 < level < 1. */
double fit_band_half_width(const struct fit_band *band, double level);

#endif
