/* How a numerical routine of this folder ended. The folder knows nothing of logs, collectors or
 * users: callers turn a status into a message with the names that the user knows. */
#ifndef FIT_STATUS_H
#define FIT_STATUS_H

enum fit_status {
    FIT_OK,
    FIT_NO_MEMORY,     /* an allocation failed */
    FIT_NOT_FINITE,    /* a NaN or an infinity among the inputs, or an overflow on the way */
    FIT_TOO_FEW,       /* fewer points than coefficients */
    FIT_RANK,          /* the points cannot tell two coefficients apart */
    FIT_NOT_CONVERGED, /* the iteration stopped short of a minimum */
    FIT_RANGE          /* an input outside the range that the header states */
};

/* A status in words: lower case, no full stop, for use inside a message.
 * In:      status  any value; an unknown one is named as such
 * Returns: a constant string, never NULL */
const char *fit_status_text(enum fit_status status);

#endif
