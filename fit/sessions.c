#include "fit/sessions.h"

#include <math.h>
#include <stdbool.h>

#include "fit/distributions.h"

struct labels {
    const double *residual, *w;
    const size_t *level;
    const int64_t *session;
    size_t n;
};

/* Sums over the windows of a level, or of one session at it. */
struct sums {
    double weight, weighted;
};

static double weight_of(const struct labels *l, size_t i)
{
    return l->w ? l->w[i] : 1.0;
}

static bool belongs(const struct labels *l, size_t i, size_t to, bool by_session)
{
    return l->level[i] == l->level[to] && (!by_session || l->session[i] == l->session[to]);
}

/* Whether window i is the first of its level (or of its session at the level). */
static bool is_first(const struct labels *l, size_t i, bool by_session)
{
    for (size_t k = 0; k < i; k++) {
        if (belongs(l, k, i, by_session))
            return false;
    }
    return true;
}

static struct sums sum_of(const struct labels *l, size_t first, bool by_session)
{
    struct sums sums = {0};
    for (size_t i = first; i < l->n; i++) {
        if (belongs(l, i, first, by_session)) {
            sums.weight += weight_of(l, i);
            sums.weighted += weight_of(l, i) * l->residual[i];
        }
    }
    return sums;
}

/* Scatter within a session at a level, about its mean. */
static double within(const struct labels *l, size_t first, double mean)
{
    double sum = 0.0;
    for (size_t i = first; i < l->n; i++) {
        double off = l->residual[i] - mean;
        if (belongs(l, i, first, true))
            sum += weight_of(l, i) * off * off;
    }
    return sum;
}

/* Scatter of the sessions of a level about its mean.
 * Returns: sum over them of squared weight over the level's weight, for n0 */
static double between(const struct labels *l, size_t first, struct fit_sessions *out)
{
    struct sums level = sum_of(l, first, false);
    double mean = level.weighted / level.weight, squares = 0.0;
    for (size_t i = first; i < l->n; i++) {
        if (!belongs(l, i, first, false) || !is_first(l, i, true))
            continue;
        struct sums cell = sum_of(l, i, true);
        double cell_mean = cell.weighted / cell.weight;
        out->cells++;
        out->between_ss += cell.weight * (cell_mean - mean) * (cell_mean - mean);
        out->within_ss += within(l, i, cell_mean);
        squares += cell.weight * cell.weight / level.weight;
    }
    return squares;
}

static void judge(struct fit_sessions *out)
{
    double ms_between = out->between_ss / out->between_dof;
    double ms_within = out->within_ss / out->within_dof;
    if (ms_within > 0.0)
        out->f = ms_between / ms_within;
    else
        out->f = ms_between > 0.0 ? INFINITY : NAN;
    out->p_value = fit_f_above(out->f, out->between_dof, out->within_dof);
    out->between_variance = fmax(0.0, ms_between - ms_within) / out->per_session;
}

static enum fit_status check_input(const struct labels *l)
{
    for (size_t i = 0; i < l->n; i++) {
        if (!isfinite(l->residual[i]) || !isfinite(weight_of(l, i)))
            return FIT_NOT_FINITE;
        if (!(weight_of(l, i) > 0.0))
            return FIT_RANGE;
    }
    return FIT_OK;
}

enum fit_status fit_sessions(const double *residual, const double *w, const size_t *level,
                             const int64_t *session, size_t n, struct fit_sessions *out)
{
    struct labels l = {residual, w, level, session, n};
    *out = (struct fit_sessions){.f = NAN, .p_value = NAN, .between_variance = NAN};
    enum fit_status status = check_input(&l);
    if (status != FIT_OK)
        return status;
    double weight = 0.0, squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        weight += weight_of(&l, i);
        if (!is_first(&l, i, false))
            continue;
        out->levels++;
        squares += between(&l, i, out);
    }
    if (out->cells == out->levels || out->cells == n)
        return FIT_TOO_FEW;
    out->between_dof = (double)(out->cells - out->levels);
    out->within_dof = (double)(n - out->cells);
    out->per_session = (weight - squares) / out->between_dof;
    judge(out);
    return FIT_OK;
}
