/* The job of fitting an efficiency curve, shared by its files: the fit itself (efficiency.c), what
 * the error sources do to it (efficiency_sources.c), how the scatter is judged
 * (efficiency_scatter.c).
 */
#ifndef RUN_EFFICIENCY_JOB_H
#define RUN_EFFICIENCY_JOB_H

#include "run/efficiency.h"

/* Everything that stays the same from refit to refit. */
struct job {
    const struct point *points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    const struct fit_form *form;
    struct efficiency *out;
    struct fit_point *moved; /* out->n points, scratch */
    const struct efficiency_held *held; /* NULL: scatter is seen in the points */
    double wind_loss;        /* a3 by which reading errors of the wind weigh; 0 without a term */
    struct faults *faults;
};

/* Adds the fault that a fit's status deserves. Returns: false. */
bool job_refused(enum fit_status status, const char *form, struct faults *faults);

/* Fits the scratch points with the form chosen; the coefficients alone. */
bool job_refit(struct job *job, double *coef);

/* Fills the scratch points: those of one session (or all, where session is NULL) formed anew under
 * a shifted source, the others as measured. Weights stay: only the data move. */
bool job_move_points(struct job *job, const struct error_source *row, double value,
                     const int64_t *session);

/* Whether fitted point i is the first of its session. */
bool job_session_is_new(const struct job *job, size_t i);

/* A fitted point with the errors that are its own: readings, no session. */
struct fit_point job_own_errors(const struct job *job, size_t i);

/* Adds the shares of the sources of one kind, session or calibration, and their covariance: one
 * refit pair a source (and session). */
bool job_add_shares(struct job *job, enum error_kind kind);

/* Fills the reading covariance: reading errors alone through the estimator (the weights may hold
 * session errors too), scale factor applied. */
void job_add_reading(struct job *job);

/* Weights of the fitted points: their own errors and those of the wind as far as the form knows it.
 */
void job_weigh(struct job *job);

/* The wind term of the form within the days, each with a level of its own, into out->wind.in_days...
 * False there where there is one day only, or the days do not tell. (efficiency_surroundings.c) */
bool job_find_wind_in_days(struct job *job);

/* Chooses the form and fits it. (efficiency_terms.c) */
bool job_fit_form(struct job *job, const char *name);
bool job_choose_form(struct job *job, const struct efficiency_request *request);

/* Carries what wind and sky that differed from point to point did to a form that does not know
 * them. (efficiency_surroundings.c) */
bool job_carry_surroundings(struct job *job);

/* Adds to out->session what days differ by on top of what is claimed. (efficiency_scatter.c) */
void job_add_days(struct job *job);

/* Scatter against claim into out->curve (chi2, birge), with session errors as what they are: shared
 * by a session's points. The sum of variances that weights the points would take them as fresh for
 * each and look too good. */
bool job_judge_scatter(struct job *job);

#endif
