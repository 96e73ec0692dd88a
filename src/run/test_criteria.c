#include "run/test_criteria.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

const char *criterion_word(enum criterion_state state)
{
    static const char *const words[] = {"met", "not met", "not judged", "off"};
    return words[state];
}

/* What the points hold, and why not where they do not. */
struct held {
    double found[CRITERION_COUNT];
    const char *why[CRITERION_COUNT];
};

static int falling(const void *a, const void *b)
{
    size_t x = *(const size_t *)a, y = *(const size_t *)b;
    return (x < y) - (x > y);
}

/* Points in the k-th fullest level, k as asked for but no more than there are. */
static double points_at_each(const struct criteria *criteria, const struct design *design)
{
    size_t counts[DESIGN_LEVELS_MAX];
    for (size_t i = 0; i < design->n_levels; i++)
        counts[i] = design->levels[i].points;
    qsort(counts, design->n_levels, sizeof counts[0], falling);
    const struct criterion *levels = &criteria->criterion[CRITERION_LEVELS];
    size_t k = design->n_levels;
    if (levels->on && levels->figure < (double)k)
        k = (size_t)levels->figure;
    return k > 0 ? (double)counts[k - 1] : 0.0;
}

static void hold_levels(const struct design *design, struct held *held)
{
    double near = NAN, gap = NAN, noon = NAN;
    const struct design_level *levels = design->levels;
    for (size_t i = 0; i < design->n_levels; i++) {
        double before = (double)levels[i].before_noon, after = (double)levels[i].after_noon;
        near = fmin(near, fabs(levels[i].fluid_K)); /* fmin passes a NaN over */
        noon = fmax(noon, fabs(before - after));
        if (i > 0)
            gap = fmax(gap, levels[i].rise_K - levels[i - 1].rise_K);
    }
    if (design->n_levels > 1)
        gap /= levels[design->n_levels - 1].rise_K - levels[0].rise_K;
    held->found[CRITERION_NEAR_AIR] = near;
    held->found[CRITERION_GAP] = gap;
    held->why[CRITERION_GAP] = "fewer than two temperatures";
    held->found[CRITERION_NOON] = design->noon_known ? noon : NAN;
    held->why[CRITERION_NOON] = "longitude or times not stated";
}

static void hold_points(const struct point *points, size_t n, struct held *held)
{
    double reach = NAN, warmest = NAN, air = NAN;
    bool reduced = false;
    for (size_t i = 0; i < n; i++) {
        const struct means *means = points[i].means;
        if (points[i].left_out)
            continue;
        reduced |= means->reduced;
        reach = fmax(reach, design_fluid_K(&points[i]));
        warmest = fmax(warmest, points[i].value.t_mean_degC);
        if (means->has[CH_AMBIENT])
            air = fmax(air, means->mean[CH_AMBIENT]);
    }
    held->found[CRITERION_REACH] = reach;
    held->found[CRITERION_WARMEST] = reduced ? NAN : warmest;
    held->found[CRITERION_AIR] = reduced ? NAN : air;
    held->why[CRITERION_WARMEST] = held->why[CRITERION_AIR] = "reduced points have no temperatures";
}

static double flow_spread(const struct point *points, size_t n)
{
    double sum = 0, count = 0, worst = 0;
    for (size_t i = 0; i < n; i++)
        if (!points[i].left_out) {
            sum += points[i].value.mass_kg_s;
            count++;
        }
    double mean = sum / count;
    for (size_t i = 0; i < n; i++)
        if (!points[i].left_out)
            worst = fmax(worst, fabs(points[i].value.mass_kg_s / mean - 1));
    return isfinite(mean) ? worst : NAN;
}

void test_criteria_judge(const struct criteria *criteria, const struct design *design,
                         const struct point *points, size_t n, struct criterion_verdict *verdict)
{
    struct held held;
    for (int id = 0; id < CRITERION_COUNT; id++)
        held.why[id] = "no points";
    hold_levels(design, &held);
    hold_points(points, n, &held);
    held.found[CRITERION_LEVELS] = (double)design->n_levels;
    held.found[CRITERION_EACH] = points_at_each(criteria, design);
    held.found[CRITERION_POINTS] = (double)design->points;
    held.found[CRITERION_FLOW] = flow_spread(points, n);
    held.why[CRITERION_FLOW] =
        n > 0 && points[0].means->reduced ? "reduced points have no flow" : "no flow is measured";
    for (int id = 0; id < CRITERION_COUNT; id++) {
        const struct criterion *criterion = &criteria->criterion[id];
        double found = held.found[id];
        verdict[id].found = found;
        verdict[id].why = "";
        if (!criterion->on)
            verdict[id].state = CRITERION_OFF;
        else if (isnan(found)) {
            verdict[id].state = CRITERION_NOT_JUDGED;
            verdict[id].why = held.why[id];
        } else
            verdict[id].state = criterion_meets((enum criterion_id)id, criterion->figure, found)
                                    ? CRITERION_MET
                                    : CRITERION_NOT_MET;
    }
}
