#include "run/design.h"

#include "base/text.h"
#include "sky/sun.h"

#include <math.h>
#include <string.h>

/* Three points for a line and four for a second order leave one degree of freedom to see scatter
 * by. The spreads: below 10 K a pair of 0.1 K thermometers leaves a slope uncertain by more than a
 * few percent of itself, and curvature needs twice the reach of slope. Wind: a metre a second moves
 * the loss by a twentieth; less than that drowns in what else differs. */
static const struct design_need needs[] = {
    {"mean", 1, 1, 0, 0},
    {"line", 3, 2, 10, 0},
    {"second order", 4, 3, 20, 0},
    {"line with wind", 4, 2, 10, 1},
    {"second order with wind", 5, 3, 20, 1},
};
enum { N_NEEDS = sizeof needs / sizeof needs[0] };

const struct design_need *design_need(const char *form)
{
    for (size_t i = 0; i < N_NEEDS; i++)
        if (text_same(needs[i].form, form))
            return &needs[i];
    return NULL;
}

/* What drives the loss: the water's temperature (on the basis of the run) above the air. */
static double rise(const struct point *point)
{
    return point->value.difference_K;
}

double design_fluid_K(const struct point *point)
{
    const struct means *means = point->means;
    return means->reduced ? point->value.difference_K
                          : point->value.t_mean_degC - means->mean[CH_AMBIENT];
}

/* Index of the smallest rise above `floor` among the points kept; n if none is left. */
static size_t next_above(const struct point *points, size_t n, double floor)
{
    size_t best = n;
    for (size_t i = 0; i < n; i++) {
        if (points[i].left_out || !(rise(&points[i]) > floor))
            continue;
        if (best == n || rise(&points[i]) < rise(&points[best]))
            best = i;
    }
    return best;
}

/* Apparent solar time at the middle of the point. */
static bool before_noon(const struct means *means, struct sun *sun)
{
    int64_t half_us = (means->end_us - means->start_us) / 2;
    return sun_hour_angle_rad(sun, means->start_us + half_us) < 0;
}

static void count_level(struct design_level *level, const struct point *points, size_t n,
                        double from, double to, struct sun *sun)
{
    double sum = 0, fluid = 0;
    for (size_t i = 0; i < n; i++) {
        if (points[i].left_out || rise(&points[i]) < from || rise(&points[i]) > to)
            continue;
        sum += rise(&points[i]);
        fluid += design_fluid_K(&points[i]);
        level->points++;
        if (!points[i].means->timed || sun == NULL)
            continue;
        if (before_noon(points[i].means, sun))
            level->before_noon++;
        else
            level->after_noon++;
    }
    level->rise_K = sum / (double)level->points;
    level->fluid_K = fluid / (double)level->points;
}

/* Levels from the coldest up: a new one starts where a point lies further than the width above the
 * level's coldest point. Slowly rising baths so give as many levels as their reach holds. */
static void find_levels(struct design *design, const struct point *points, size_t n,
                        struct sun *sun)
{
    double floor = -INFINITY;
    while (design->n_levels < DESIGN_LEVELS_MAX) {
        size_t first = next_above(points, n, floor);
        if (first == n)
            return;
        double from = rise(&points[first]);
        floor = from + DESIGN_LEVEL_WIDTH_K;
        struct design_level *level = &design->levels[design->n_levels++];
        count_level(level, points, n, from, floor, sun);
    }
}

static void widen(double value, double *least, double *most)
{
    *least = fmin(*least, value);
    *most = fmax(*most, value);
}

static size_t count_sessions(const struct point *points, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        bool seen = points[i].left_out;
        for (size_t j = 0; j < i && !seen; j++)
            seen = !points[j].left_out && points[j].means->session == points[i].means->session;
        count += !seen;
    }
    return count;
}

/* Wind and sky of one point. */
static void audit_surroundings(struct design *design, const struct point_value *value)
{
    if (isfinite(value->wind_m_s)) {
        design->wind_points++;
        design->mean_wind_m_s += value->wind_m_s;
        widen(value->wind_m_s, &design->least_wind_m_s, &design->most_wind_m_s);
    }
    if (isfinite(value->sky_K)) {
        design->sky_points++;
        design->mean_sky_K += value->sky_K;
    }
}

void design_audit(struct design *design, const struct point *points, size_t n,
                  double longitude_rad)
{
    memset(design, 0, sizeof *design);
    design->least_K = design->least_x = design->least_g = design->least_flow_kg_s =
        design->least_wind_m_s = INFINITY;
    design->most_K = design->most_x = design->most_g = design->most_flow_kg_s =
        design->most_wind_m_s = -INFINITY;
    bool timed = isfinite(longitude_rad);
    for (size_t i = 0; i < n; i++) {
        const struct point *point = &points[i];
        if (point->left_out)
            continue;
        design->points++;
        timed &= point->means->timed && sun_covers(point->means->start_us);
        widen(rise(point), &design->least_K, &design->most_K);
        widen(point->value.x, &design->least_x, &design->most_x);
        widen(point->value.g_W_m2, &design->least_g, &design->most_g);
        widen(point->value.mass_kg_s, &design->least_flow_kg_s, &design->most_flow_kg_s);
        audit_surroundings(design, &point->value);
    }
    design->mean_wind_m_s /= (double)design->wind_points;
    design->mean_sky_K /= (double)design->sky_points;
    design->noon_known = timed && design->points > 0;
    design->sessions = count_sessions(points, n);
    struct sun sun;
    if (design->noon_known)
        sun_init(&sun, 0.0, longitude_rad, 0.0);
    find_levels(design, points, n, design->noon_known ? &sun : NULL);
}

bool design_has_wind(const struct design *design)
{
    return design->points > 0 && design->wind_points == design->points;
}

size_t design_level_of(const struct design *design, double rise_K)
{
    size_t best = 0;
    for (size_t i = 1; i < design->n_levels; i++)
        if (fabs(design->levels[i].rise_K - rise_K) < fabs(design->levels[best].rise_K - rise_K))
            best = i;
    return best;
}

static bool holds_wind(const struct design *design, const struct design_need *need)
{
    return !(need->wind_m_s > 0) ||
           (design_has_wind(design) &&
            design->most_wind_m_s - design->least_wind_m_s >= need->wind_m_s);
}

bool design_holds(const struct design *design, const char *form)
{
    const struct design_need *need = design_need(form);
    return need != NULL && design->points >= need->points && design->n_levels >= need->levels &&
           (design->points < 2 || design->most_K - design->least_K >= need->spread_K) &&
           holds_wind(design, need);
}

const char *design_best_form(const struct design *design)
{
    static const char *const richest_first[] = {"second order", "line", "mean"};
    for (size_t i = 0; i < 3; i++)
        if (design_holds(design, richest_first[i]))
            return richest_first[i];
    return NULL;
}

/* The points would do, the wind does not. */
static bool refuse_wind(const struct design *design, const char *form,
                        const struct design_need *need, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    if (design_has_wind(design))
        fault_found(fault,
                    "the data cannot hold the form '%s': the wind lies between %.1f and %.1f m/s",
                    form, design->least_wind_m_s, design->most_wind_m_s);
    else
        fault_found(fault,
                    "the data cannot hold the form '%s': the wind was measured at %zu of %zu "
                    "points",
                    form, design->wind_points, design->points);
    fault_expected(fault, "the wind at every point, %.0f m/s or more between the calmest and the "
                          "windiest",
                   need->wind_m_s);
    fault_hint(fault, "log the wind, on calm days and windy ones (or with a fan); 'form = "
                      "automatic' takes the richest form that the data hold");
    return false;
}

bool design_require(const struct design *design, const char *form, struct faults *faults)
{
    if (design_holds(design, form))
        return true;
    const struct design_need *need = design_need(form);
    if (!holds_wind(design, need) && design->points >= need->points &&
        design->n_levels >= need->levels && design->most_K - design->least_K >= need->spread_K)
        return refuse_wind(design, form, need, faults);
    double spread = design->points > 0 ? design->most_K - design->least_K : 0;
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault,
                "the data cannot hold the form '%s': %zu point%s at %zu temperature%s, "
                "%.1f K apart at most",
                form, design->points, design->points == 1 ? "" : "s", design->n_levels,
                design->n_levels == 1 ? "" : "s", spread);
    fault_expected(fault,
                   "at least %zu points at %zu temperatures (mean water - air, 3 K apart or more) "
                   "that span %.0f K",
                   need->points, need->levels, need->spread_K);
    fault_hint(fault, "measure at further inlet temperatures; what these points do hold is in the "
                      "report ('form = automatic' takes the richest form they hold)");
    return false;
}
