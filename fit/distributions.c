#include "fit/distributions.h"

#include <gsl/gsl_cdf.h>
#include <float.h>
#include <math.h>
#include <stdbool.h>

static bool is_share(double p)
{
    return p > 0.0 && p < 1.0;
}

double fit_normal_quantile(double p)
{
    return is_share(p) ? gsl_cdf_ugaussian_Pinv(p) : NAN;
}

/* Above this Student's t is the normal to better than 1e-12 for any level in use. */
static const double normal_dof = 1e13;

double fit_t_quantile(double p, double dof)
{
    if (!is_share(p) || !(dof > 0.0))
        return NAN;
    return dof > normal_dof ? gsl_cdf_ugaussian_Pinv(p) : gsl_cdf_tdist_Pinv(p, dof);
}

/* Sought in 1/dof, along which the share below t falls steadily and nearly straight: by false
 * position, in which an end that stays twice counts half (Illinois; Dowell and Jarratt 1971, from
 * memory). */
double fit_t_freedom(double p, double t, double least)
{
    if (!(p > 0.5 && p < 1.0) || !(t >= 0.0) || !(least > 0.0))
        return NAN;
    double low = 0.0, high = 1.0 / least;
    double over = gsl_cdf_ugaussian_P(t) - p, under = gsl_cdf_tdist_P(t, least) - p;
    if (!(over > 0.0))
        return INFINITY;
    if (under >= 0.0)
        return least;
    for (int side = 0; high - low > 1e-12 * high && high > 1.0 / normal_dof;) {
        double middle = low + (high - low) * (over / (over - under));
        double found = gsl_cdf_tdist_P(t, 1.0 / middle) - p;
        if (!(middle > low && middle < high) || fabs(found) <= DBL_EPSILON * p)
            return 1.0 / middle;
        if (found > 0.0) {
            low = middle;
            over = found;
            under *= side == 1 ? 0.5 : 1.0;
            side = 1;
        } else {
            high = middle;
            under = found;
            over *= side == -1 ? 0.5 : 1.0;
            side = -1;
        }
    }
    return 1.0 / high;
}

double fit_t_beyond(double t, double dof)
{
    if (isnan(t) || !(dof > 0.0))
        return NAN;
    double size = fabs(t);
    return 2.0 * (dof > normal_dof ? gsl_cdf_ugaussian_Q(size) : gsl_cdf_tdist_Q(size, dof));
}

double fit_chi2_quantile(double p, double dof)
{
    if (!is_share(p) || !(dof > 0.0) || isinf(dof))
        return NAN;
    return gsl_cdf_chisq_Pinv(p, dof);
}

double fit_chi2_above(double chi2, double dof)
{
    if (!(chi2 >= 0.0) || !(dof > 0.0) || isinf(dof))
        return NAN;
    return gsl_cdf_chisq_Q(chi2, dof);
}

double fit_f_quantile(double p, double dof1, double dof2)
{
    if (!is_share(p) || !(dof1 > 0.0) || !(dof2 > 0.0) || isinf(dof1))
        return NAN;
    if (dof2 > normal_dof)
        return gsl_cdf_chisq_Pinv(p, dof1) / dof1;
    return gsl_cdf_fdist_Pinv(p, dof1, dof2);
}

double fit_f_above(double f, double dof1, double dof2)
{
    if (!(f >= 0.0) || !(dof1 > 0.0) || !(dof2 > 0.0) || isinf(dof1))
        return NAN;
    if (isinf(f))
        return 0.0;
    if (dof2 > normal_dof)
        return gsl_cdf_chisq_Q(f * dof1, dof1);
    return gsl_cdf_fdist_Q(f, dof1, dof2);
}
