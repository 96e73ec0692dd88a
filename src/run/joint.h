/* Curve and incidence angle modifier fitted together, from points at any angle and temperature: a
 * rack that stands still has none with the sun on its normal. The result is a curve and a modifier
 * in the structs that runs of either kind print, with the errors of the one fit behind both.
 *
 * Source: docs/methods.md, "Curve and modifier together". */
#ifndef RUN_JOINT_H
#define RUN_JOINT_H

#include "base/faults.h"
#include "fit/joint.h"
#include "run/efficiency.h"
#include "run/modifier.h"

#include <stdbool.h>

/* From here on points do not tell curve and modifier apart: an interval this many times as wide as
 * it would be with the other known says nothing (0.5 % of readings become 10 %). Our own figure. */
#define JOINT_WIDENED_MOST 20.0

/* Angles that span less are one angle. Our own figure. */
#define JOINT_ONE_ANGLE_RAD (5 * 0.017453292519943295)

/* From here on they hardly do. Our own figure. */
#define JOINT_WIDENED_MUCH 5.0

/* Upper limit of a1, W/(m2 K), counted where one temperature shows no loss: flat plates in the
 * published sets that were read lie between 2 and 7; twice the most of glazed ones is our own
 * figure's reason for 10. */
#define JOINT_USUAL_A1 10.0

/* How the points lie: cool and hot, near the normal and far off it, by the middles of both ranges.
 */
struct joint_spread {
    size_t n;
    double least_rad, most_rad, mid_rad; /* mid: halfway in 1/cos theta */
    double least_x, most_x, mid_x;
    size_t corner[2][2]; /* points; [0 cool, 1 hot][0 near the normal, 1 far off it] */
    double together;     /* correlation of x with 1/cos theta - 1; NaN if either stands still */
};

struct joint {
    struct fit_joint fit;
    struct efficiency e;   /* its coefficients; its points as they would be at the normal */
    struct modifier m;     /* its points are all that are in use */
    struct fit_joint_point *used; /* e.n, as fitted: weights of readings and sessions */
    struct point *brought; /* all given points, efficiencies brought to the normal: for tables */
    struct joint_spread spread;
    double share_mean; /* diffuse share f0 for which the curve holds: the mean of the points */
    double covariance[MODIFIER_COV]; /* all errors, all coefficients: fit.n_coef squared */
    double reading[MODIFIER_COV];    /* its parts */
    double session[MODIFIER_COV];
    double common[MODIFIER_COV]; /* calibration, what the form left out */
    struct error_parts parts;    /* of both but the readings, all coefficients */
};

/* Fits.
 * In:      points   n, those not to be used marked left out; every other with an angle of at most
 *                   MODIFIER_MOST_RAD
 * Out:     out      to be emptied by joint_free; on failure it holds nothing but `spread` and
 *                   fit.widened (NaN where no fit was begun)
 * Returns: false with a data fault (too few points or temperatures; angle and loss cannot be told
 *          apart) or a machine fault */
bool joint_fit(struct joint *out, const struct point *points, size_t n,
               const struct point_setup *setup, const struct error_registry *registry,
               const struct efficiency_request *request, enum fit_modifier_form shape,
               struct faults *faults);

void joint_free(struct joint *joint);

/* eta0 of the beam alone: for light at the normal without a diffuse share. */
struct fit_band joint_eta0_of_beam(const struct joint *joint);

/* How points lie; those left out do not count. */
void joint_spread_of(const struct point *points, size_t n, struct joint_spread *spread);

/* The largest of fit.widened over curve or modifier. Out: coef  which coefficient */
double joint_widest(const struct fit_joint *fit, size_t *coef);

/* What is missing to tell curve and modifier apart: "points with ..., and ...".
 * Out: out  of WORDS_SIZE * 4 bytes. Returns: out */
const char *joint_wanted(const struct joint_spread *spread, char *out, size_t size);

#endif
