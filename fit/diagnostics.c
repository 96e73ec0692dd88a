#include "fit/diagnostics.h"

#include <math.h>
#include <stdlib.h>

#include "fit/combine.h"
#include "fit/influence.h"

/* A leverage this close to 1 leaves no residual to judge; our choice, about rounding times n. */
static const double no_freedom = 1e-10;

static void diagnose_one(const double *row, double y, double w, const struct fit_linear *fit,
                         struct fit_case *out)
{
    double p = (double)fit->p, dof = (double)fit->dof;
    out->fitted = fit_dot(row, fit->coef, fit->p);
    out->residual = y - out->fitted;
    out->leverage = w * fit_variance(row, fit->cov_unit, fit->p);
    out->studentised = out->deleted = out->cook = out->dffits = NAN;
    double free_part = 1.0 - out->leverage;
    if (!(free_part > no_freedom) || !(fit->s > 0.0))
        return;
    double z = sqrt(w) * out->residual / (fit->s * sqrt(free_part));
    out->studentised = z;
    out->cook = z * z * out->leverage / (free_part * p);
    if (fit->dof > 1 && dof > z * z) {
        out->deleted = z * sqrt((dof - 1.0) / (dof - z * z));
        out->dffits = out->deleted * sqrt(out->leverage / free_part);
    }
}

void fit_diagnose(const double *x, const double *y, const double *w, const struct fit_linear *fit,
                  struct fit_case *cases)
{
    for (size_t i = 0; i < fit->n; i++)
        diagnose_one(x + i * fit->p, y[i], w ? w[i] : 1.0, fit, &cases[i]);
}

/* The last step of the minimisation as a linear problem, as in curve.c: at the minimum its
 * solution is no step at all, so that its residuals are r/sqrt(v) exactly. */
static void fill(const struct fit_curve *curve, const struct fit_point *points, double *x,
                 double *y)
{
    for (size_t i = 0; i < curve->n; i++) {
        struct fit_local at;
        fit_local_at(curve->form, curve->coef, &points[i], curve->equal_weights, &at);
        y[i] = fit_local_step(&at, curve->p, x + i * curve->p);
    }
}

enum fit_status fit_curve_diagnose(const struct fit_curve *curve, const struct fit_point *points,
                                   struct fit_case *cases)
{
    size_t n = curve->n, p = curve->p;
    double *x = calloc(n, (p + 1) * sizeof *x);
    if (!x)
        return FIT_NO_MEMORY;
    double *y = x + n * p;
    struct fit_linear linear;
    fill(curve, points, x, y);
    enum fit_status status = fit_linear(x, y, NULL, n, p, &linear);
    if (status == FIT_OK)
        fit_diagnose(x, y, NULL, &linear, cases);
    for (size_t i = 0; status == FIT_OK && i < n; i++) {
        cases[i].fitted = fit_form_value(curve->form, curve->coef, &points[i].at);
        cases[i].residual = points[i].eta - cases[i].fitted;
    }
    free(x);
    return status;
}
