#include "point/points_slips.h"

#include "base/numbers.h"
#include "point/points_mean.h"
#include "point/points_reduced.h"

#include <math.h>
#include <stdlib.h>

enum { SUNNY_W_M2 = 300, ROWS_LEAST = 5 };

/* Rounding of typed temperatures: two at 0.1 K, one worked out from them. */
#define SUM_K 0.2
#define SUM_SHARE 0.02
#define COLDER_K 0.2
/* Two sensors, each with its error; the sun's half breadth, and a reading of an angle. */
#define PART_SHARE 0.05
#define PART_W_M2 5.0
#define DEG (180 / M_PI)
#define BEHIND_RAD (91 / DEG)

static struct fault *blame(struct points_rows *rows, size_t row, struct faults *faults)
{
    return points_rows_blame(rows, row, true, faults);
}

/* Cells that changed places are likelier than a collector that cools in the sun. Sunshine of a lamp
 * or a low sun below SUNNY_W_M2 may do it. */
static bool judge_colder(struct points_rows *rows, size_t row, struct faults *faults)
{
    const struct means *m = &rows->means->items[row];
    if (m->reduced || !m->has[CH_INLET] || !m->has[CH_OUTLET] || !m->has[CH_IRRADIANCE] ||
        m->mean[CH_OUTLET] >= m->mean[CH_INLET] - COLDER_K || m->mean[CH_IRRADIANCE] < SUNNY_W_M2)
        return true;
    struct fault *fault = blame(rows, row, faults);
    if (fault == NULL)
        return false;
    fault_found(fault, "the outlet (%.2f degC) is colder than the inlet (%.2f degC)",
                m->mean[CH_OUTLET], m->mean[CH_INLET]);
    fault_expected(fault,
                   "an outlet warmer than the inlet in %.0f W/m2 of sunshine: were the two cells "
                   "exchanged?",
                   m->mean[CH_IRRADIANCE]);
    return true;
}

static bool judge_sum(struct points_rows *rows, size_t row, const char *what,
                      const struct points_compared *compared, double worked, double rise_K,
                      struct faults *faults)
{
    char typed[64], other[64];
    if (points_compared_agrees(compared, worked, SUM_K + SUM_SHARE * fabs(rise_K)))
        return true;
    struct fault *fault = blame(rows, row, faults);
    if (fault == NULL)
        return false;
    fault_found(fault, "the %s is typed as %s, but inlet and outlet give %s", what,
                points_compared_typed(compared, typed, sizeof typed),
                points_compared_worked(compared, worked, other, sizeof other));
    fault_expected(fault,
                   "numbers that agree to %.1f K, %.0f %% of the rise and half of the last digit",
                   SUM_K, 100 * SUM_SHARE);
    return true;
}

static bool judge_sums(struct points_rows *rows, size_t row, struct faults *faults)
{
    const struct means *m = &rows->means->items[row];
    const struct points_origin *origin = &rows->origins[row];
    if (!m->has[CH_INLET] || !m->has[CH_OUTLET])
        return true;
    double rise_K = m->mean[CH_OUTLET] - m->mean[CH_INLET];
    double t_mean_degC = m->mean[CH_INLET] + rise_K / 2;
    return judge_sum(rows, row, "rise", &origin->rise, rise_K, rise_K, faults) &&
           judge_sum(rows, row, "mean", &origin->t_mean, t_mean_degC, rise_K, faults);
}

/* Where the diffuse is of the same sunshine, it is a part of it. */
static bool judge_diffuse(struct points_rows *rows, size_t row, struct faults *faults)
{
    const struct means *m = &rows->means->items[row];
    double most = (1 + PART_SHARE) * m->mean[CH_IRRADIANCE] + PART_W_M2;
    if (!m->has[CH_DIFFUSE] || !m->has[CH_IRRADIANCE] || m->mean[CH_DIFFUSE] <= most)
        return true;
    struct fault *fault = blame(rows, row, faults);
    if (fault == NULL)
        return false;
    fault_found(fault, "the diffuse sunshine (%.0f W/m2) is above all sunshine (%.0f W/m2)",
                m->mean[CH_DIFFUSE], m->mean[CH_IRRADIANCE]);
    fault_expected(fault, "a part of it, both in the collector's plane");
    return true;
}

/* From behind no beam arrives. */
static bool judge_incidence(struct points_rows *rows, size_t row, struct faults *faults)
{
    const struct means *m = &rows->means->items[row];
    if (!m->has[CH_INCIDENCE] || m->mean[CH_INCIDENCE] <= BEHIND_RAD)
        return true;
    struct fault *fault = blame(rows, row, faults);
    if (fault == NULL)
        return false;
    fault_found(fault, "an incidence of %.4g deg puts the sun behind the collector",
                m->mean[CH_INCIDENCE] * DEG);
    fault_expected(fault, "the angle from the collector's normal: 0 deg with the sun straight on "
                          "it, at most 90 deg");
    return true;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* A column's numbers in SI, rising. */
struct column_view {
    double *values;
    size_t n;
};

static void look_at_column(const struct points_rows *rows, enum channel channel,
                           struct column_view *view)
{
    view->n = 0;
    for (size_t i = 0; i < rows->n; i++)
        if (rows->means->items[i].has[channel])
            view->values[view->n++] = rows->means->items[i].mean[channel];
    qsort(view->values, view->n, sizeof *view->values, by_value);
}

/* Where a column lies: the least and most of its numbers within three spreads of the quartiles
 * (Tukey's far fence, from memory), so that a second slip of the column hides none. A column of
 * nearly equal numbers has a spread of 5 %. */
struct fence {
    double least, most; /* of the numbers inside */
    double low, high;   /* the fence */
};

static struct fence fence_of(const struct column_view *view)
{
    double q1 = view->values[view->n / 4], q3 = view->values[view->n - 1 - view->n / 4];
    double spread = fmax(q3 - q1, 0.05 * fmax(fabs(q1), fabs(q3)));
    struct fence fence = {.low = q1 - 3 * spread, .high = q3 + 3 * spread};
    size_t i = 0, k = view->n - 1;
    while (i < k && view->values[i] < fence.low)
        i++;
    while (k > i && view->values[k] > fence.high)
        k--;
    fence.least = view->values[i];
    fence.most = view->values[k];
    return fence;
}

/* The number with its decimal point elsewhere, if it then lies among those inside; NaN if nowhere.
 */
static double moved_point(double typed, const struct unit *unit, const struct fence *fence)
{
    static const double factors[] = {0.1, 10, 0.01, 100};
    double margin = fmax(0.25 * (fence->most - fence->least), 0.05 * fabs(fence->most));
    for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
        double si = unit_absolute(unit, typed * factors[i]);
        if (si >= fence->least - margin && si <= fence->most + margin)
            return typed * factors[i];
    }
    return NAN;
}

static double in_unit(double si, const struct unit *unit)
{
    return (si - unit->offset) / unit->scale;
}

static bool judge_cell(struct points_rows *rows, size_t row, enum channel channel,
                       const struct fence *fence, struct faults *faults)
{
    const struct points_origin *origin = &rows->origins[row];
    const struct unit *unit = origin->unit[channel];
    if (origin->faulty || unit == NULL || !rows->means->items[row].has[channel])
        return true;
    double si = rows->means->items[row].mean[channel];
    double fits = moved_point(origin->typed[channel], unit, fence);
    if ((si >= fence->low && si <= fence->high) || isnan(fits))
        return true;
    struct fault *fault = blame(rows, row, faults);
    if (fault == NULL)
        return false;
    char typed[32], low[32], high[32];
    number_exact(origin->typed[channel], typed, sizeof typed);
    fault_found(fault, "%s is %s %s, far from the other points' %s to %s %s",
                channel_row(channel)->word, typed, unit->name,
                number_significant(in_unit(fence->least, unit), 4, low, sizeof low),
                number_significant(in_unit(fence->most, unit), 4, high, sizeof high), unit->name);
    fault_expected(fault, "%.6g %s, if the decimal point slipped", fits, unit->name);
    return true;
}

static bool judge_column(struct points_rows *rows, enum channel channel, struct column_view *view,
                         struct faults *faults)
{
    look_at_column(rows, channel, view);
    if (view->n < ROWS_LEAST)
        return true;
    struct fence fence = fence_of(view);
    bool good = true;
    for (size_t row = 0; row < rows->n && good; row++)
        good = judge_cell(rows, row, channel, &fence, faults);
    return good;
}

bool points_slips_find(struct points_rows *rows, struct faults *faults)
{
    static const enum channel columns[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,
                                           CH_OUTLET,     CH_FLOW,    CH_MASS_FLOW};
    struct column_view view = {.values = calloc(rows->n + 1, sizeof *view.values)};
    if (view.values == NULL)
        return fault_memory(faults);
    bool good = true;
    for (size_t k = 0; k < sizeof columns / sizeof columns[0] && good; k++)
        good = judge_column(rows, columns[k], &view, faults);
    for (size_t row = 0; row < rows->n && good; row++)
        if (!rows->origins[row].faulty)
            good = judge_colder(rows, row, faults) && judge_sums(rows, row, faults) &&
                   judge_diffuse(rows, row, faults) && judge_incidence(rows, row, faults);
    free(view.values);
    return good && points_reduced_find(rows, faults) && points_mean_find(rows, faults);
}
