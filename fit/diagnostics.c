#include "fit/diagnostics.h"

#include <math.h>
#include <stdlib.h>

#include "fit/combine.h"

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

/* Terms, observations and weights of the curve as one linear problem. */
static void fill(const struct fit_curve *curve, const struct fit_point *points, double *x,
                 double *y, double *w)
{
    for (size_t i = 0; i < curve->n; i++) {
        curve->form->terms(&points[i].at, x + i * curve->p);
        y[i] = points[i].eta;
        w[i] = 1.0;
        if (!curve->equal_weights)
            w[i] = 1.0 / fit_curve_variance(curve->form, curve->coef, &points[i]);
    }
}

enum fit_status fit_curve_diagnose(const struct fit_curve *curve, const struct fit_point *points,
                                   struct fit_case *cases)
{
    size_t n = curve->n, p = curve->p;
    double *x = malloc(n * (p + 2) * sizeof *x);
    if (!x)
        return FIT_NO_MEMORY;
    double *y = x + n * p, *w = y + n;
    struct fit_linear linear;
    fill(curve, points, x, y, w);
    enum fit_status status = fit_linear(x, y, w, n, p, &linear);
    if (status == FIT_OK) {
        /* Residuals are those of the curve itself, which the frozen weights only come near to. */
        for (size_t j = 0; j < p; j++)
            linear.coef[j] = curve->coef[j];
        linear.rss = curve->chi2;
        linear.s = curve->dof > 0 ? sqrt(curve->chi2 / (double)curve->dof) : NAN;
        fit_diagnose(x, y, w, &linear, cases);
    }
    free(x);
    return status;
}
