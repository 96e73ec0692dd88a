/* A window that is only planned: what its means would be if it went like the others of the test,
 * and the collector did what is known of it.
 */
#ifndef STUDY_PLAN_TYPICAL_H
#define STUDY_PLAN_TYPICAL_H

#include "base/faults.h"
#include "point/means_list.h"
#include "point/point.h"
#include "fit/modifier.h"
#include "run/efficiency.h"
#include "run/reduction.h"

#include <stdbool.h>
#include <stdint.h>

/* Where the curve on which planned points lie comes from. */
enum plan_prior { PRIOR_MEASURED, PRIOR_BUILT, PRIOR_USUAL };

/* Taken where no test says anything; all our own figures. A flat plate under one glass, and
 * readings as they scatter in steady windows: sunshine and flow 0.5 % of a window's mean, a
 * temperature 0.03 K. Of a clear day's sunshine the share that comes from the sun itself. */
#define PLAN_USUAL_ETA0 0.75
#define PLAN_USUAL_A1 4.0
#define PLAN_USUAL_A2 0.01
#define PLAN_USUAL_G_W_m2 900.0
#define PLAN_USUAL_SCATTER 0.005
#define PLAN_USUAL_SCATTER_K 0.03
#define PLAN_USUAL_READINGS 60
#define PLAN_USUAL_BEAM 0.85

struct plan_typical {
    struct means means; /* inlet and outlet are set by each planned window */
    double g_W_m2;
    double ambient_degC; /* NaN where points are given as T* alone */
    bool of_points;      /* conditions and scatter are those of the test */
    bool scatter_taken;  /* the readings' errors are not the test's */
    enum plan_prior prior;
    const struct fit_form *form;
    double coef[EFFICIENCY_COEFS];
    double optics; /* what the sunshine counts for, beside head on: 1 but for a window off the
                      normal */
    struct fit_modifier modifier; /* prior, where the plan is for it (plan_modifier.h) */
    double latitude_rad;
    double diffuse_share; /* of planned windows, where curve and modifier are fitted together; else
                             0 */
    double share_mean;    /* for which the curve holds there; else 0 */
};

/* Conditions of a usual test: what the operating point of the description says, else sunshine and
 * scatter as above, air of 20 degC, 0.02 kg/s for each m2. Prior: the construction where it is
 * whole, else the usual plate. Returns: false with a machine fault */
bool plan_typical_usual(struct plan_typical *typical, const struct reduction *reduction,
                        const struct point_setup *setup, struct faults *faults);

/* Conditions and scatter of the points: the median of each channel that all of them have. Prior
 * untouched. In: means->n > 0. */
void plan_typical_points(struct plan_typical *typical, const struct means_list *means);

/* The planned window.
 * In:      rise_K   fluid that enters, above the air; of points given as T*: on the run's basis
 *          session  its day
 * Out:     out
 * Returns: false where it cannot be: outside the fluid's range, or the collector gives nothing */
bool plan_window(const struct plan_typical *typical, const struct point_setup *setup, double rise_K,
                 int64_t session, struct means *out);

#endif
