/* Do days differ by more than the windows of one day? Repeats of one temperature level, taken on
 * several days (sessions): scatter between the sessions of a level against scatter within.
 *
 * Nested analysis of variance on the residuals of a curve: levels, sessions within levels, windows
 * within sessions. What the curve does not follow stays between the levels and does not count here.
 * With weights w = 1/v an observation's variance is within * v + between, and between is found by
 * the method of moments (unbiased; for equal numbers that of restricted maximum likelihood).
 *
 * Source: H. Scheffe, The Analysis of Variance (1959), ch. 5 and 7 (from memory). Checked against R
 *         4.2.2, anova(lm(r ~ level / session, weights = w)). */
#ifndef FIT_SESSIONS_H
#define FIT_SESSIONS_H

#include <stddef.h>
#include <stdint.h>

#include "fit/status.h"

struct fit_sessions {
    size_t levels, cells;           /* a cell: the windows of one session at one level */
    double between_ss, within_ss;   /* weighted */
    double between_dof, within_dof; /* cells - levels, n - cells */
    double f;                       /* ratio of mean squares; INFINITY if a day's repeats agree */
    double p_value;                 /* probability of a larger f if the days do not differ */
    double per_session;             /* windows that a session counts for, summed weight: n0 */
    double between_variance;        /* of a session's own error, >= 0, unit of residual squared */
};

/* In:      residual  n residuals of the fit
 *          w         n weights > 0 (1/variance as claimed), or NULL for all one
 *          level     n labels of the level, any values
 *          session   n labels of the session, any values
 * Out:     out       filled unless the status is not FIT_OK
 * Returns: FIT_OK, FIT_TOO_FEW if no level was measured in two sessions or no session holds a
 *          repeat, FIT_NOT_FINITE, FIT_RANGE (a weight not > 0) */
enum fit_status fit_sessions(const double *residual, const double *w, const size_t *level,
                             const int64_t *session, size_t n, struct fit_sessions *out);

#endif
