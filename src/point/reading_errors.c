#include "point/reading_errors.h"

#include <math.h>
#include <string.h>

enum { NOISES = CH_LOGGED + 1 }; /* one a channel, and the drift */

size_t reading_errors_count(const struct error_registry *registry)
{
    return NOISES + registry->n;
}

static bool noise(const struct means *means, size_t k, struct error_source *row)
{
    memset(row, 0, sizeof *row);
    row->kind = ERROR_READING;
    row->dof = INFINITY;
    row->n_targets = 1;
    if (k == CH_LOGGED) {
        row->targets[0] = (struct error_target){.what = SHIFT_DRIFT, .weight = 1};
        row->u = means->u_drift_K_s;
        return row->u > 0;
    }
    row->targets[0] =
        (struct error_target){.what = SHIFT_OFFSET, .channel = (enum channel)k, .weight = 1};
    row->u = means->u[k];
    return means->has[k] && row->u > 0;
}

/* What a row gives to the mean of these readings. A count that is not known counts as one, on the
 * cautious side. Where a log's own noise was measured, it holds that error already: only what the
 * stated figure has more of is added. */
static double u_of_mean(const struct error_source *row, const struct means *means)
{
    if (!row->per_sample)
        return row->u;
    double n = means->readings > 0 ? (double)means->readings : 1.0;
    enum channel channel = row->targets[0].channel;
    double unit = row->targets[0].what == SHIFT_GAIN ? fabs(means->mean[channel]) : 1.0;
    double measured = unit > 0 && means->has[channel] ? means->u[channel] / unit : 0;
    return sqrt(fmax(0, row->u * row->u / n - measured * measured));
}

bool reading_error(const struct means *means, const struct error_registry *registry, size_t k,
                   struct error_source *row)
{
    if (k < NOISES)
        return noise(means, k, row);
    *row = registry->rows[k - NOISES];
    if (row->kind != ERROR_READING)
        return false;
    row->u = u_of_mean(row, means);
    row->rectangular = row->rectangular && !row->per_sample;
    return row->u > 0;
}
