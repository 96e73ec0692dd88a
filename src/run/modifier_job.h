/* What the parts of the modifier's fit share; nothing else includes this. */
#ifndef RUN_MODIFIER_JOB_H
#define RUN_MODIFIER_JOB_H

#include "run/modifier.h"

/* The work in hand. */
struct modifier_job {
    struct modifier *out;
    const struct efficiency *e;
    const struct point *points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    struct point_value *near_values;  /* e->n: the curve's points under a move */
    struct point_value *values;       /* out->n */
    struct fit_point *near;           /* e->n */
    struct fit_modifier_point *stand; /* e->n: angle and diffuse share of each of them */
    struct fit_modifier_point *moved; /* out->n */
    enum fit_modifier_form form;
    double settled; /* what a coefficient may still move by */
    bool drawn;     /* the fits of a turn are those of draws: quick */
    struct faults *faults;
};

#define MODIFIER_SETTLED 1e-9

/* What moves in a refit: a source, in one session or in all, or the curve's coefficients. */
struct modifier_move {
    const struct error_source *row;
    double value;
    const int64_t *session;
    const double *curve; /* e->form->n_coef values; NULL: none */
};

/* What is known of both while they are fitted in turn. */
struct modifier_state {
    struct fit_modifier m;
    bool known; /* m has coefficients */
    double eta0;
};

/* Curve and modifier fitted in turn under a move, until neither moves.
 * In:      state  the form with its coefficients, or its form alone
 * Out:     near, fit; job->moved, the points off the normal as they were fitted last
 * Returns: false with a fault */
bool modifier_settle(const struct modifier_job *job, const struct modifier_move *move,
                     struct modifier_state *state, struct fit_modifier_near *near,
                     struct fit_modifier_fit *fit);

/* The same of points that are formed already, in job->near_values and job->values.
 * In:      by  moves the curve's coefficients; NULL: nothing does
 * Returns: FIT_OK, or what hindered it */
enum fit_status modifier_settle_values(const struct modifier_job *job, const double *by,
                                       struct modifier_state *state,
                                       struct fit_modifier_near *near,
                                       struct fit_modifier_fit *fit);

/* Half the difference of the fitted coefficients under a move and its opposite.
 * Out: d  job->out->fit.m.n values */
bool modifier_shift(const struct modifier_job *job, struct modifier_move move, double *d);

/* The curve's points are brought together by the modifier, so that an error of it comes back to it
 * by way of the curve: what readings of the points off the normal do, with that counted. In/out:
 * cov  of the coefficients with the curve held fast */
bool modifier_feed_back(const struct modifier_job *job, double *cov);

/* A fit that failed, in words; false. */
bool modifier_refused(enum fit_status status, const struct modifier_job *job);

/* Readings move a point's own angle and diffuse share, too: what that does by the fitted form
 * counts against its ratio. In/out: u of job->moved, above 0 */
void modifier_weigh(const struct modifier_job *job, const struct modifier_state *state,
                    const struct fit_modifier_near *near);

/* Each adds a part of the covariance: readings of the curve's points; what the curve left out; the
 * registry's calibration and session rows. */
bool modifier_add_curve_readings(const struct modifier_job *job);
bool modifier_add_extras(const struct modifier_job *job);
bool modifier_add_sources(const struct modifier_job *job);

/* Finds the pairs before and after noon among the points in use. */
void modifier_pair_up(struct modifier *out, const struct point *points);

/* Fills what follows from fit and points: of the pairs, and of each point. */
void modifier_finish(struct modifier *out);

#endif
