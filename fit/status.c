#include "fit/status.h"

const char *fit_status_text(enum fit_status status)
{
    switch (status) {
    case FIT_OK:
        return "fitted";
    case FIT_NO_MEMORY:
        return "out of memory";
    case FIT_NOT_FINITE:
        return "a value is not a finite number";
    case FIT_TOO_FEW:
        return "fewer points than coefficients";
    case FIT_RANK:
        return "the points cannot tell the coefficients apart";
    case FIT_NOT_CONVERGED:
        return "the fit did not converge";
    case FIT_RANGE:
        return "a value is outside its permitted range";
    }
    return "unknown status of a fit";
}
