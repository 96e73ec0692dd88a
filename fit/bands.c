#include "fit/bands.h"

#include <math.h>
#include <stdbool.h>

#include "fit/combine.h"

static double part_variance(const struct fit_parts *parts, const double *cov, const double *t)
{
    return cov ? fit_variance(t, cov, parts->p) : 0.0;
}

static void band(const struct fit_parts *parts, const double *t, bool with_calibration,
                 const struct fit_new_window *window, struct fit_band *out)
{
    struct fit_part part[3] = {
        {part_variance(parts, parts->reading, t), parts->reading_dof},
        {part_variance(parts, parts->session, t), parts->session_dof},
        {0.0, parts->calibration_dof},
    };
    if (with_calibration)
        part[2].variance = part_variance(parts, parts->calibration, t);
    if (window) {
        part[0].variance += window->reading_variance;
        part[1].variance += window->session_variance;
    }
    out->value = fit_dot(t, parts->coef, parts->p);
    out->u = sqrt(part[0].variance + part[1].variance + part[2].variance);
    out->dof = fit_freedom(part, 3);
    out->half_95 = fit_band_half_width(out, 0.95);
}

void fit_band_curve(const struct fit_parts *parts, const double *t, struct fit_band *out)
{
    band(parts, t, true, NULL, out);
}

void fit_band_next_window(const struct fit_parts *parts, const double *t,
                          const struct fit_new_window *window, struct fit_band *out)
{
    band(parts, t, false, window, out);
}

void fit_band_elsewhere(const struct fit_parts *parts, const double *t,
                        const struct fit_new_window *window, struct fit_band *out)
{
    band(parts, t, true, window, out);
}

double fit_band_half_width(const struct fit_band *band_at, double level)
{
    return band_at->u * fit_coverage(level, band_at->dof);
}
