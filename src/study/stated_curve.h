/* A stated curve, out of a publication, brought to the basis of a comparison: coefficients and their
 * covariance on the area, the temperature and the sunshine that all are brought to.
 *
 * In this order, as far as the curve's own basis differs:
 *   sunshine     eta0 of the beam -> eta0 (1 - f + K_d f), f the share of diffuse light
 *   area         every coefficient times (its area / the wanted one); T* knows no area
 *   temperature  t_m = t_in + Q/(2 m c_p), so with k = A/(2 m c_p) in m2 K/W
 *                  mean -> inlet: eta is the root of  eta = f(x + k eta),  inlet -> mean: of f(x - k eta).
 *                For a line that is eta0/(1 + k a1), a1/(1 + k a1), exactly. With a2 the root is taken
 *                at nodes over the range, and the same form fitted to them at the stated irradiance.
 * Errors of the coefficients go with them by central differences; they count as independent of each
 * other, because publications do not state their correlation.
 *
 * Source: the root follows from the definitions in docs/methods.md; K_d and f as in tests over
 * changing days (ISO 9806, from memory).
 */
#ifndef STUDY_STATED_CURVE_H
#define STUDY_STATED_CURVE_H

#include "base/faults.h"
#include "fit/form.h"
#include "run/curve_section.h"
#include "run/efficiency.h"

#include <stdbool.h>
#include <stddef.h>

/* What a publication can state with an error. */
enum { STATED_VALUES = 4 };

struct stated_wish {
    enum area_reference area;
    bool inlet;             /* wanted: T* with the inlet temperature */
    double g_W_m2;          /* at which a2 is brought from one temperature to the other */
    double x_low, x_high;   /* range of the refit, m2 K/W, low < high */
};

/* A value whose error is not stated: what the coefficients would move by if it were off by all of
 * itself. */
struct stated_unknown {
    const char *what; /* "eta0" */
    double d[EFFICIENCY_COEFS];
};

struct stated_curve {
    const struct curve_section *from; /* borrowed */
    const struct fit_form *form;      /* "line" or "second order" */
    double coef[EFFICIENCY_COEFS];
    double covariance[EFFICIENCY_COV]; /* n*n, of the errors that are stated */
    struct stated_unknown unknown[STATED_VALUES];
    size_t n_unknown;
    double sun_factor, area_factor; /* on eta0, on all; 1 where nothing was to do */
    double k_m2K_W;                 /* 0 where the temperature is the curve's own */
    double misfit;                  /* largest |root - refit| over the nodes */
};

/* Whether a curve can be given for an area: it is its own, or both are stated. */
bool stated_curve_has_area(const struct curve_section *from, enum area_reference area);

/* Brings a curve to a basis.
 * Returns: false with an input fault where the temperature differs and no mass flow is stated, or the
 *          area that goes with it */
bool stated_curve_bring(struct stated_curve *curve, const struct curve_section *from,
                        const struct stated_wish *wish, struct faults *faults);

/* Whether some error that is not stated counts at a condition (at T* = 0 that of a1 does not). */
bool stated_curve_open(const struct stated_curve *curve, const struct fit_condition *at);

/* Whether an error that is not stated counts in one coefficient. */
bool stated_curve_lacks(const struct stated_curve *curve, size_t coef);

/* The curve as the outcome of a test without points, for what draws and compares curves.
 * Out: out  to be emptied by efficiency_free */
void stated_curve_as_efficiency(const struct stated_curve *curve, const struct stated_wish *wish,
                                struct efficiency *out);

#endif
