#include "fit/combine.h"

#include <math.h>

#include "fit/distributions.h"

void fit_cov_add_outer(double *cov, size_t p, const double *d)
{
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; j < p; j++)
            cov[i * p + j] += d[i] * d[j];
    }
}

void fit_cov_add(double *cov, size_t p, const double *other, double factor)
{
    for (size_t i = 0; i < p * p; i++)
        cov[i] += factor * other[i];
}

double fit_dot(const double *t, const double *b, size_t p)
{
    double sum = 0.0;
    for (size_t j = 0; j < p; j++)
        sum += t[j] * b[j];
    return sum;
}

double fit_variance(const double *t, const double *cov, size_t p)
{
    double sum = 0.0;
    for (size_t i = 0; i < p; i++)
        sum += t[i] * fit_dot(t, cov + i * p, p);
    return sum < 0.0 ? 0.0 : sum;
}

double fit_correlation(const double *cov, size_t p, size_t i, size_t j)
{
    double u_i = sqrt(cov[i * p + i]), u_j = sqrt(cov[j * p + j]);
    return u_i > 0.0 && u_j > 0.0 ? cov[i * p + j] / (u_i * u_j) : NAN;
}

/* Shares of the total are formed first, so that tiny variances do not underflow when squared. */
double fit_welch(const struct fit_part *parts, size_t n)
{
    double total = 0.0, sum = 0.0;
    for (size_t i = 0; i < n; i++)
        total += parts[i].variance;
    for (size_t i = 0; total > 0.0 && i < n; i++) {
        double share = parts[i].variance / total;
        if (share > 0.0)
            sum += share * share / parts[i].dof;
    }
    if (isnan(total) || isnan(sum))
        return NAN;
    return sum > 0.0 ? 1.0 / sum : INFINITY;
}

/* Below half a degree of freedom t is above 160 and gsl cannot say it. */
static const double fewest = 0.5;

void fit_sum_add(struct fit_sum *sum, double variance, double dof)
{
    sum->variance += variance;
    if (!(variance > 0.0) || isinf(dof))
        return;
    double excess = variance * (fit_coverage_95(fmax(fewest, dof)) - fit_coverage_95(INFINITY));
    sum->over_dof += variance * (variance / dof);
    sum->excess = fmax(sum->excess, excess);
    sum->least = sum->least > 0.0 ? fmin(sum->least, dof) : dof;
}

double fit_sum_freedom(const struct fit_sum *sum)
{
    if (isnan(sum->variance) || isnan(sum->over_dof))
        return NAN;
    if (!(sum->over_dof > 0.0))
        return INFINITY;
    double welch = sum->variance * (sum->variance / sum->over_dof);
    double times = fit_coverage_95(INFINITY) + sum->excess / sum->variance;
    return fmin(welch, fit_t_freedom(0.975, times, fmax(fewest, sum->least)));
}

/* Shares of the total, so that tiny variances do not underflow when squared. */
double fit_freedom(const struct fit_part *parts, size_t n)
{
    struct fit_sum sum = {0};
    double total = 0.0;
    for (size_t i = 0; i < n; i++)
        total += parts[i].variance;
    for (size_t i = 0; i < n; i++)
        fit_sum_add(&sum, total > 0.0 ? parts[i].variance / total : parts[i].variance,
                    parts[i].dof);
    return fit_sum_freedom(&sum);
}

double fit_coverage(double level, double dof)
{
    if (!(level > 0.0 && level < 1.0))
        return NAN;
    return fit_t_quantile(0.5 + level / 2.0, dof);
}

double fit_coverage_95(double dof)
{
    return fit_t_quantile(0.975, dof);
}
