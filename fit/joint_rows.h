/* What the parts of the joint fit share; nothing else includes this. */
#ifndef FIT_JOINT_ROWS_H
#define FIT_JOINT_ROWS_H

#include "fit/joint.h"

/* The modifier and its neighbours a small step away in each coefficient, each with its K_d. */
struct joint_near {
    struct fit_modifier at, up[FIT_MAX_COEF], down[FIT_MAX_COEF];
    double k_d, k_d_up[FIT_MAX_COEF], k_d_down[FIT_MAX_COEF], h[FIT_MAX_COEF];
};

/* In: share  of fit_modifier_step() taken */
void joint_near_at(const struct fit_modifier *m, double share, struct joint_near *near);

/* One point as seen from trial coefficients: as struct fit_local of fit/influence.h. */
struct joint_local {
    double t[FIT_MAX_COEF], dt[FIT_MAX_COEF], d2t[FIT_MAX_COEF];
    double r, s, s_x, v, m, u2_x;
};
void joint_local_at(const struct fit_joint *fit, const struct joint_near *near,
                    const struct fit_joint_point *point, struct joint_local *out);

/* r and v alone. Returns: r^2/v; infinite where v vanishes */
double joint_misfit(const struct fit_joint *fit, double k_d, const struct fit_joint_point *point);

/* Fills d_coef_d_eta, d_coef_d_x and cov of a fit at its minimum.
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_NOT_CONVERGED if it is none, FIT_NOT_FINITE */
enum fit_status joint_influence(struct fit_joint *fit, const struct fit_joint_point *points);

#endif
