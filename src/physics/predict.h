/* Prediction: the curve of a flat plate in a form that can be laid beside a measured one.
 *
 * The plate's balance is solved over the range that was (or would be) tested, and the same form is
 * fitted through the answers by plain least squares, as a test's points would be.
 */
#ifndef PHYSICS_PREDICT_H
#define PHYSICS_PREDICT_H

#include "base/faults.h"
#include "fit/form.h"
#include "physics/plate.h"

#include <stdbool.h>
#include <stddef.h>

struct predict_range {
    double x_low_m2K_W; /* reduced temperature (t - t_a)/G, t on the basis of the flow */
    double x_high_m2K_W;
    double wind_low_m_s; /* forms with a wind term: the winds that were met */
    double wind_high_m_s;
    double wind_origin_m_s; /* from which such a form counts */
};

enum { PREDICT_STEPS = 7 };

/* The coefficients of a form.
 * In:      flow          basis and heat capacity flow; its temperature is not looked at
 *          reference_m2  area to which the efficiency refers
 *          range         x_low < x_high unless the form is "mean"; wind_low < wind_high for a wind
 * term Out:     coef          form->n_coef values Returns: false with a data fault where a balance
 * does not close or the range cannot hold the form */
bool predict_curve(const struct plate *plate, const struct plate_weather *weather,
                   const struct plate_flow *flow, double reference_m2, const struct fit_form *form,
                   const struct predict_range *range, double *coef, struct faults *faults);

/* Efficiency at one reduced temperature, straight from the balance. */
bool predict_efficiency(const struct plate *plate, const struct plate_weather *weather,
                        const struct cover_absorbed *optics, const struct plate_flow *flow,
                        double reference_m2, double x_m2K_W, double *eta, struct faults *faults);

/* Modifier for the beam, K = (tau alpha)/(tau alpha at normal incidence). */
double predict_modifier(const struct plate *plate, double incidence_rad);

/* The same for light from the whole half space. */
double predict_modifier_diffuse(const struct plate *plate);

/* b0 of K = 1 - b0 (1/cos(theta) - 1), least squares through K(0) = 1 at 5 deg steps up to an angle
 * below 90 deg. It depends on that angle, since glass does not follow the form: say which. */
double predict_b0(const struct plate *plate, double up_to_deg);

#endif
