#include "fit/lack_of_fit.h"

#include <math.h>
#include <stdbool.h>

#include "fit/distributions.h"

/* Sums over one group; few points, so groups are found by looking again. */
struct group_sums {
    double weight, weighted, within;
};

static double weight_of(const double *w, size_t i)
{
    return w ? w[i] : 1.0;
}

static bool seen_before(const size_t *group, size_t i)
{
    for (size_t k = 0; k < i; k++) {
        if (group[k] == group[i])
            return true;
    }
    return false;
}

static struct group_sums sum_group(const double *residual, const double *w, const size_t *group,
                                   size_t n, size_t first)
{
    struct group_sums sums = {0};
    for (size_t i = first; i < n; i++) {
        if (group[i] == group[first]) {
            sums.weight += weight_of(w, i);
            sums.weighted += weight_of(w, i) * residual[i];
        }
    }
    double mean = sums.weighted / sums.weight;
    for (size_t i = first; i < n; i++) {
        if (group[i] == group[first])
            sums.within += weight_of(w, i) * (residual[i] - mean) * (residual[i] - mean);
    }
    return sums;
}

static enum fit_status check_input(const double *residual, const double *w, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(residual[i]) || !isfinite(weight_of(w, i)))
            return FIT_NOT_FINITE;
        if (!(weight_of(w, i) > 0.0))
            return FIT_RANGE;
    }
    return FIT_OK;
}

static void judge(struct fit_lack *out)
{
    double pure = out->pure_ss / out->pure_dof, lack = out->lack_ss / out->lack_dof;
    if (pure > 0.0)
        out->f = lack / pure;
    else
        out->f = lack > 0.0 ? INFINITY : NAN;
    out->p_value = fit_f_above(out->f, out->lack_dof, out->pure_dof);
}

enum fit_status fit_lack_of_fit(const double *residual, const double *w, const size_t *group,
                                size_t n, size_t p, struct fit_lack *out)
{
    *out = (struct fit_lack){.f = NAN, .p_value = NAN};
    enum fit_status status = check_input(residual, w, n);
    if (status != FIT_OK)
        return status;
    for (size_t i = 0; i < n; i++) {
        if (seen_before(group, i))
            continue;
        struct group_sums sums = sum_group(residual, w, group, n, i);
        out->groups++;
        out->pure_ss += sums.within;
        out->lack_ss += sums.weighted * sums.weighted / sums.weight;
    }
    if (out->groups <= p || out->groups >= n)
        return FIT_TOO_FEW;
    out->pure_dof = (double)(n - out->groups);
    out->lack_dof = (double)(out->groups - p);
    judge(out);
    return FIT_OK;
}
