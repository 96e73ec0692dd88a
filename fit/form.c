#include "fit/form.h"

#include <string.h>

static void mean_terms(const struct fit_condition *at, double *t)
{
    (void)at;
    t[0] = 1.0;
}

static void mean_flat(const struct fit_condition *at, double *t)
{
    (void)at;
    t[0] = 0.0;
}

static void line_terms(const struct fit_condition *at, double *t)
{
    t[0] = 1.0;
    t[1] = -at->x;
}

static void line_slopes(const struct fit_condition *at, double *dt_dx)
{
    (void)at;
    dt_dx[0] = 0.0;
    dt_dx[1] = -1.0;
}

static void line_bends(const struct fit_condition *at, double *d2t_dx2)
{
    (void)at;
    d2t_dx2[0] = 0.0;
    d2t_dx2[1] = 0.0;
}

static void second_terms(const struct fit_condition *at, double *t)
{
    t[0] = 1.0;
    t[1] = -at->x;
    t[2] = -at->g * at->x * at->x;
}

static void second_slopes(const struct fit_condition *at, double *dt_dx)
{
    dt_dx[0] = 0.0;
    dt_dx[1] = -1.0;
    dt_dx[2] = -2.0 * at->g * at->x;
}

static void second_bends(const struct fit_condition *at, double *d2t_dx2)
{
    d2t_dx2[0] = 0.0;
    d2t_dx2[1] = 0.0;
    d2t_dx2[2] = -2.0 * at->g;
}

/* The term of the wind stands behind those of the form without it. */
static void line_wind_terms(const struct fit_condition *at, double *t)
{
    line_terms(at, t);
    t[2] = -at->wind * at->x;
}

static void line_wind_slopes(const struct fit_condition *at, double *dt_dx)
{
    line_slopes(at, dt_dx);
    dt_dx[2] = -at->wind;
}

static void line_wind_bends(const struct fit_condition *at, double *d2t_dx2)
{
    line_bends(at, d2t_dx2);
    d2t_dx2[2] = 0.0;
}

static void second_wind_terms(const struct fit_condition *at, double *t)
{
    second_terms(at, t);
    t[3] = -at->wind * at->x;
}

static void second_wind_slopes(const struct fit_condition *at, double *dt_dx)
{
    second_slopes(at, dt_dx);
    dt_dx[3] = -at->wind;
}

static void second_wind_bends(const struct fit_condition *at, double *d2t_dx2)
{
    second_bends(at, d2t_dx2);
    d2t_dx2[3] = 0.0;
}

static const struct fit_form forms[] = {
    {"mean", 1, {"eta"}, false, mean_terms, mean_flat, mean_flat},
    {"line", 2, {"eta0", "a1"}, false, line_terms, line_slopes, line_bends},
    {"second order", 3, {"eta0", "a1", "a2"}, false, second_terms, second_slopes, second_bends},
    {"line with wind", 3, {"eta0", "a1", "a3"}, true, line_wind_terms, line_wind_slopes,
     line_wind_bends},
    {"second order with wind", 4, {"eta0", "a1", "a2", "a3"}, true, second_wind_terms,
     second_wind_slopes, second_wind_bends},
};

const struct fit_form *fit_form_at(size_t i)
{
    return i < sizeof forms / sizeof forms[0] ? &forms[i] : NULL;
}

const struct fit_form *fit_form_find(const char *name)
{
    for (size_t i = 0; fit_form_at(i); i++) {
        if (strcmp(forms[i].name, name) == 0)
            return &forms[i];
    }
    return NULL;
}

static double dot(const double *t, const double *coef, size_t n)
{
    double sum = 0.0;
    for (size_t j = 0; j < n; j++)
        sum += t[j] * coef[j];
    return sum;
}

double fit_form_value(const struct fit_form *form, const double *coef,
                      const struct fit_condition *at)
{
    double t[FIT_FORM_MAX_COEF];
    form->terms(at, t);
    return dot(t, coef, form->n_coef);
}

double fit_form_slope(const struct fit_form *form, const double *coef,
                      const struct fit_condition *at)
{
    double dt[FIT_FORM_MAX_COEF];
    form->slopes(at, dt);
    return dot(dt, coef, form->n_coef);
}

double fit_form_wind_slope(const struct fit_form *form, const double *coef,
                           const struct fit_condition *at)
{
    return form->with_wind ? -coef[form->n_coef - 1] * at->x : 0.0;
}
