/* What the parts of the joint fit share; nothing else includes this. */
#ifndef RUN_JOINT_JOB_H
#define RUN_JOINT_JOB_H

#include "run/joint.h"

enum { JOINT_COV = FIT_MAX_COEF * FIT_MAX_COEF };

struct joint_job {
    struct joint *out;
    const struct point *points;
    size_t n_points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    const struct efficiency_held *held; /* NULL: scatter is seen in the points */
    struct fit_joint_shape shape;
    struct fit_joint_point *used;  /* out's */
    struct fit_joint_point *own;   /* e.n: errors of readings alone */
    struct fit_joint_point *moved; /* e.n, scratch */
    double reading[JOINT_COV], session[JOINT_COV], calibration[JOINT_COV], left_out[JOINT_COV];
    struct faults *faults;
};

/* Where a point stands; its errors are left as they are. */
void joint_place(const struct point_setup *setup, const struct point_value *value,
                 struct fit_joint_point *to);

/* Takes the points in use and weighs them; angle and share weigh by the fit, once there is one. */
void joint_take(struct joint_job *job);
bool joint_weigh(struct joint_job *job);

/* Coefficients of the scratch points, less those of the fit.
 * Out: d  fit.n_coef values */
bool joint_refit(const struct joint_job *job, double *d);

/* Each adds its part of the covariance, and its shares to curve and modifier. */
void joint_add_reading(struct joint_job *job);
bool joint_add_sources(struct joint_job *job, enum error_kind kind);
bool joint_add_days(struct joint_job *job);
bool joint_add_surroundings(struct joint_job *job);
bool joint_add_curvature(struct joint_job *job);
bool joint_add_loss(struct joint_job *job); /* of the form "mean", which knows none */

/* Fills curve and modifier from the fit and the parts: what is needed to judge the scatter, and all
 * the rest. */
bool joint_fill_curve(struct joint_job *job);
bool joint_fill(struct joint_job *job);

#endif
