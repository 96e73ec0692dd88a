/* The five regressions of which R 4.2.2 printed bands, coefficients and diagnostics: cars (line,
 * square, through the origin, weighted by 1/speed) and Norris. */
#ifndef AID_REGRESSION_H
#define AID_REGRESSION_H

#include <stddef.h>

#include "fit/linear.h"

enum { AID_REGRESSION_ROWS = 64 };

struct aid_regression {
    size_t n, p;
    int lowest, weighted; /* lowest power of x; weights 1/x */
    double x[AID_REGRESSION_ROWS * 3], y[AID_REGRESSION_ROWS], w[AID_REGRESSION_ROWS];
    struct fit_linear fit;
};

/* In: id as in the column fit_id of the files. Fails the test for an unknown one. */
void aid_regression_fit(struct aid_regression *reg, const char *id);

/* The terms at x. */
void aid_regression_terms(const struct aid_regression *reg, double x, double *t);

#endif
