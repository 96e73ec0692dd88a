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
