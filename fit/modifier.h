/* The incidence angle modifier K: how much of the sunshine a collector takes at an angle, beside
 * what it takes when the sun stands on its normal. One for the beam, by its angle, and one for
 * light from the whole sky, which follows from the first.
 *
 *   "b0"          K = 1 - b0 (1/cos theta - 1), at least 0                1 coefficient, b0
 *   "tangent"     K = 1 - tan^p(theta/2)                                  1 coefficient, p > 0
 *   "table"       K at multiples of 10 degrees, straight between them     one for each of them
 *   "two planes"  K = K_along(theta along) K_across(theta across)         those of two tables
 *
 * Every form is 1 at 0. Tangent and tables are 0 at 90 degrees and so is b0 where it is above 0. K
 * may exceed 1 (tubes, reflectors): b0 below 0, or figures of a table above 1.
 * Sign: b0 above 0 is a modifier that falls with the angle. American rating tables print it with
 * the other sign (K = 1 + b0 S).
 *
 * Source: b0: A. F. Souka and H. H. Safwat, Solar Energy 10 (1966) 170; two planes: W. R. McIntire,
 *         Solar Energy 31 (1983) 15 (both second-hand); tangent: P. Ambrosetti (from memory). */
#ifndef FIT_MODIFIER_H
#define FIT_MODIFIER_H

#include <stdbool.h>
#include <stddef.h>

#include "fit/linear.h"

enum fit_modifier_form {
    FIT_MODIFIER_B0,
    FIT_MODIFIER_TANGENT,
    FIT_MODIFIER_TABLE,
    FIT_MODIFIER_TWO_PLANES,
    FIT_MODIFIER_FORMS
};

/* (n_along + 1) (n_across + 1) at most, the figure 1 at the normal being one of each. */
enum { FIT_MODIFIER_SKY = (FIT_MAX_COEF / 2 + 1) * (FIT_MAX_COEF / 2 + 1) };

struct fit_angle {
    double theta_rad;  /* off the normal, 0 to pi/2 */
    double along_rad;  /* its projections into two planes through the normal, of either sign: */
    double across_rad; /* tan^2 theta = tan^2 along + tan^2 across; looked at by two planes only */
};

struct fit_modifier {
    enum fit_modifier_form form;
    size_t n;                      /* coefficients, 1 .. FIT_MAX_COEF */
    size_t n_along;                /* two planes: the first of them are along's */
    double coef[FIT_MAX_COEF];     /* b0, p, or K at the knots */
    double knot_rad[FIT_MAX_COEF]; /* tables: rising in each plane, between 0 and pi/2 */
    /* Two planes: K of diffuse light is a sum over pairs of figures, one of each plane, whose
     * weights depend on the knots alone. Filled by fit_modifier_weigh_sky(), row by row of along;
     * nothing else needs to know of it. */
    bool sky_weighed;
    double sky[FIT_MODIFIER_SKY];
};

/* "b0", "tangent", "table", "two planes". */
const char *fit_modifier_name(enum fit_modifier_form form);

/* K of the beam. An angle of 90 degrees or more, or one that is not a number, gives 0 or NaN. */
double fit_modifier_beam(const struct fit_modifier *m, const struct fit_angle *at);

/* K of light that comes equally from the whole half of the sky in front of the collector:
 *   (1/pi) integral of K cos theta over that half,  which is  2 int K sin theta cos theta dtheta
 * where K is a matter of theta alone. b0 is in closed form: 1/(1 + b0) for b0 >= 0, where K is cut
 * off at cos theta = b0/(1 + b0); 1 - b0 for b0 < 0, where it is not. The others by Gauss nodes on
 * every 10 degrees: 8, or 4 in each of two planes.
 * Returns: > 0; NaN for coefficients that are no numbers */
double fit_modifier_diffuse(const struct fit_modifier *m);

/* Makes fit_modifier_diffuse() of two planes fast as long as the knots stay: a fit asks for it in
 * every step. Nothing for the other forms. */
void fit_modifier_weigh_sky(struct fit_modifier *m);

/* The points that the others are compared with: those of the efficiency curve. */
struct fit_modifier_near {
    double diffuse_share; /* f0, their mean, 0 to 1 */
    struct fit_angle at;  /* 0 where they stand at the normal */
};

/* What a test measures with one sensor for all sunshine: efficiency without loss over that of the
 * curve, whose points had a diffuse share and an angle of their own.
 *   K_hem = [K_b (1 - f) + K_d f] / [K_b0 (1 - f0) + K_d f0]
 * In:      k_b, k_d  of the point; k_b0  of the beam at the curve's points, 1 at the normal
 *          f, f0     diffuse shares of the point and of the curve's points, 0 to 1 */
double fit_modifier_total(double k_b, double k_d, double f, double k_b0, double f0);

/* The same solved for K_b.
 * Returns: NaN where f is 1 */
double fit_modifier_beam_of_total(double k_total, double k_d, double f, double k_b0, double f0);

/* Slopes of fit_modifier_beam against each coefficient.
 * Out: d  n values */
void fit_modifier_slopes(const struct fit_modifier *m, const struct fit_angle *at, double *d);

#endif
