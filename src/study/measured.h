/* Measured: what a test found, as far as a prediction is laid beside it.
 */
#ifndef STUDY_MEASURED_H
#define STUDY_MEASURED_H

#include "fit/form.h"
#include "physics/plate.h"
#include "run/reduction.h"

#include <stdbool.h>

enum { MEASURED_COV = FIT_FORM_MAX_COEF * FIT_FORM_MAX_COEF };

struct measured {
    bool given;                  /* the test gave a curve */
    char why_not[400];           /* else: what it lacked, in words */
    const struct fit_form *form; /* without a curve: second order */
    enum plate_basis basis;
    double coef[FIT_FORM_MAX_COEF];
    double covariance[MEASURED_COV]; /* n*n, total */
    double u[FIT_FORM_MAX_COEF];
    double dof;
    double wind_origin_m_s;
    bool idle;                                  /* the curve bounds an idle plate's temperature */
    double idle_degC, idle_u_K, idle_safe_degC; /* mean of the plate; upper end with hot spot */
};

/* Performs the first efficiency run of the description and keeps its curve.
 * Returns: false only when memory is short; no curve is no fault here */
bool measured_of(const struct reduction *reduction, struct measured *out, struct faults *faults);

#endif
