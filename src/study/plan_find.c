#include "study/plan_find.h"

#include "run/efficiency_points.h"
#include "run/setup_point.h"
#include "study/plan_ask.h"
#include "study/plan_errors.h"
#include "study/plan_joint.h"
#include "study/plan_modifier.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Warmest inlet proposed. Above the air: what a laboratory's loop reaches, and less for a heated
 * bucket. Water near its boiling point needs pressure. All our own figures. */
#define TOP_STANDARD_K 70.0
#define TOP_HOMEMADE_K 40.0
#define TOP_degC 90.0
#define FIRST_TOP_K 60.0
#define USUAL_EACH 4
#define USUAL_LEVELS 4
enum { STEPS_MOST = 1000 }; /* windows: a figure is not worth minutes */
#define POINTS_END_GAIN 0.05
#define POINTS_END_LIMIT 0.9

/* The temperatures of the base without end: nothing of readings and days is left. */
static bool find_limit(struct plan *plan, struct faults *faults)
{
    struct error_registry errors;
    struct efficiency_held held = {1e-18, INFINITY, 0, INFINITY};
    struct plan_scene scene = plan_scene_of(plan, &plan->base, &errors);
    scene.request.held = scene.held_ratios = &held;
    bool good = plan_errors_many_days(&plan->reduction->setup, &errors, faults) &&
                plan_ask(&scene, &plan->wish, &plan->limit, faults);
    registry_free(&errors);
    return good;
}

static bool find_steps(struct plan *plan, struct faults *faults)
{
    struct means_list list;
    means_list_init(&list);
    bool good = plan_copy(&plan->base, &list, faults);
    for (size_t k = 0; good && k <= PLAN_REPEATS && (k < 2 || list.n <= STEPS_MOST); k++) {
        struct plan_said said;
        good = plan_try(plan, &list, &plan->reduction->setup.errors, NULL, &said, faults);
        if (good && said.given)
            plan->steps[plan->n_steps++] = (struct plan_step){list.n, said.half};
        good = good && plan_add_again(plan, k, &list, faults);
    }
    means_list_free(&list);
    return good;
}

/* The points that count: those that no run leaves out. */
static bool take_measured(struct plan *plan, struct faults *faults)
{
    const struct reduction *r = plan->reduction;
    struct point *points = calloc(r->means.n + 1, sizeof *points);
    if (points == NULL)
        return fault_memory(faults);
    bool good = efficiency_points(r, plan->run, &plan->setup, points, faults);
    for (size_t i = 0; good && i < r->means.n; i++)
        if ((!points[i].left_out || (points[i].oblique && plan->wish.about == PLAN_K)) &&
            (!plan->joint || plan_joint_counts(&points[i])))
            good = means_list_add(&plan->measured, &r->means.items[i], faults);
    free(points);
    return good;
}

/* The points near the normal set the conditions. */
static bool take_typical(struct plan *plan, struct faults *faults)
{
    struct means_list near;
    means_list_init(&near);
    bool good = true;
    for (size_t i = 0; good && i < plan->measured.n; i++)
        if (!plan_is_oblique(&plan->measured.items[i], plan->run))
            good = means_list_add(&near, &plan->measured.items[i], faults);
    if (good)
        plan_typical_points(&plan->typical, near.n > 0 ? &near : &plan->measured);
    if (good && plan->joint)
        plan_joint_typical(&plan->typical, &plan->measured, &plan->near_rad);
    means_list_free(&near);
    return good;
}

/* Of a modifier that the points do not hold, they may hold the curve beneath. */
static bool look_at_curve(struct plan *plan, struct faults *faults)
{
    struct plan_said curve;
    struct plan_wish wish = {PLAN_ETA0, 0, plan->wish.g_W_m2};
    struct plan_scene scene = plan_scene_of(plan, &plan->measured, &plan->reduction->setup.errors);
    if (plan->now.given || plan->wish.about != PLAN_K)
        return true;
    if (!plan_ask(&scene, &wish, &curve, faults))
        return false;
    plan->curve_known = curve.given;
    plan->now.equal_weights = curve.equal_weights;
    plan->now.seen = curve.seen;
    plan->now.form = curve.form;
    memcpy(plan->now.coef, curve.coef, sizeof plan->now.coef);
    return true;
}

static bool look_at_measured(struct plan *plan, struct faults *faults)
{
    struct plan_scene scene = plan_scene_of(plan, &plan->measured, &plan->reduction->setup.errors);
    if (plan->measured.n == 0)
        return true;
    if (!plan_ask(&scene, &plan->wish, &plan->now, faults) || !look_at_curve(plan, faults) ||
        !take_typical(plan, faults))
        return false;
    if (plan->now.given || plan->curve_known) {
        plan->typical.prior = PRIOR_MEASURED;
        plan->typical.form = plan->now.form;
        memcpy(plan->typical.coef, plan->now.coef, sizeof plan->typical.coef);
        plan->typical.share_mean = plan->now.share_mean;
    } else {
        plan->typical.share_mean = plan->typical.diffuse_share;
    }
    return true;
}

static double figure(const struct plan *plan, enum criterion_id id, double usual)
{
    const struct criterion *c = &plan->reduction->criteria.criterion[id];
    return c->on ? c->figure : usual;
}

/* Warmest inlet at which the collector still gives heat, in steps of 5 K; what was reached is in
 * reach. */
static void find_top(struct plan *plan)
{
    bool standard = rules_set_is_standard(plan->reduction->setup.rules);
    double top = standard ? TOP_STANDARD_K : TOP_HOMEMADE_K;
    for (size_t i = 0; i < plan->measured.n; i++) {
        const struct means *m = &plan->measured.items[i];
        double rise =
            m->reduced ? m->x * m->mean[CH_IRRADIANCE] : m->mean[CH_INLET] - m->mean[CH_AMBIENT];
        top = fmax(top, rise);
    }
    if (isfinite(plan->typical.ambient_degC))
        top = fmin(top, TOP_degC - plan->typical.ambient_degC);
    top = 5 * floor(top / 5);
    struct means window;
    while (top > 5 && !plan_window(&plan->typical, &plan->setup, top, 0, &window))
        top -= 5;
    plan->top_rise_K = top;
}

static bool has_level(const struct plan *plan, double rise_K)
{
    for (size_t i = 0; i < plan->measured.n; i++) {
        const struct means *m = &plan->measured.items[i];
        double rise =
            m->reduced ? m->x * m->mean[CH_IRRADIANCE] : m->mean[CH_INLET] - m->mean[CH_AMBIENT];
        if (fabs(rise - rise_K) <= DESIGN_LEVEL_WIDTH_K && !plan_is_oblique(m, plan->run))
            return true;
    }
    return false;
}

static bool add_first_angle(struct plan *plan, bool one_day, struct faults *faults)
{
    if (plan_count_oblique(plan, &plan->measured) > 0)
        return true;
    return plan_add_angle(plan, PLAN_K_RAD, 0, one_day ? 0 : PLAN_LEVELS_MOST, &plan->base,
                          &plan->first_angle, faults);
}

/* A laboratory takes a day for a temperature, to have points before and after noon; a bucket is
 * warmed on one. Evenly from the air to the top, as many temperatures and windows at each as the
 * rules ask for; those that were measured are not planned anew. */
static bool add_first(struct plan *plan, struct faults *faults)
{
    size_t levels = (size_t)figure(plan, CRITERION_LEVELS, USUAL_LEVELS);
    double top = fmin(plan->top_rise_K, FIRST_TOP_K);
    bool one_day = !rules_set_is_standard(plan->reduction->setup.rules);
    levels = levels < 3 ? 3 : levels > PLAN_LEVELS_MOST ? PLAN_LEVELS_MOST : levels;
    for (size_t k = 0; k < levels && !plan->curve_known; k++) {
        double rise = round(top * (double)k / (double)(levels - 1));
        bool can = false;
        int64_t day = one_day ? 0 : (int64_t)k;
        if (!plan->joint && has_level(plan, rise))
            continue;
        if (!plan_add_level(plan, rise, day, &plan->base, &can, faults))
            return false;
        if (can)
            plan->first_rise_K[plan->first_levels++] = rise;
        if (can && plan->joint &&
            !plan_add_angle(plan, PLAN_K_RAD, rise, day, &plan->base, &can, faults))
            return false;
    }
    plan->first = true;
    plan->one_day = one_day;
    plan->first_angle = plan->joint;
    return plan->joint || plan->wish.about != PLAN_K || add_first_angle(plan, one_day, faults);
}

/* Points without any stated error of reading have a scatter that only a fit tells. Before it can be
 * made they cannot stand beside planned ones. */
static bool drop_measured(struct plan *plan, struct faults *faults)
{
    bool any = false;
    for (size_t ch = 0; ch < CH_COUNT; ch++)
        any |= plan->typical.means.has[ch] && plan->typical.means.u[ch] > 0;
    any |= plan->typical.means.reduced && plan->typical.means.u_eta > 0;
    for (size_t i = 0; i < plan->reduction->setup.errors.n; i++)
        any |= plan->reduction->setup.errors.rows[i].kind == ERROR_READING;
    if (any)
        return true;
    plan->dropped = true;
    means_list_free(&plan->measured);
    return plan_typical_usual(&plan->typical, plan->reduction, &plan->setup, faults);
}

/* The wind of a plan is the same everywhere, which tells no term of it: planned without. */
static void go_calm(struct plan *plan)
{
    const struct fit_form *form = fit_form_find(plan->request.form);
    plan->calm = form != NULL && form->with_wind;
    if (plan->calm)
        plan->request.form = text_starts(form->name, "line") ? "line" : "second order";
}

static bool set_base(struct plan *plan, struct faults *faults)
{
    if (!plan->now.given && !plan->curve_known && plan->measured.n > 0 &&
        !drop_measured(plan, faults))
        return false;
    find_top(plan);
    if (plan->wish.about == PLAN_K || plan->joint)
        plan_typical_angles(&plan->typical, plan->reduction,
                            plan->now.given ? &plan->now.modifier : NULL);
    if (!plan->now.given)
        go_calm(plan);
    if (!plan_copy(&plan->measured, &plan->base, faults))
        return false;
    return plan->now.given || add_first(plan, faults);
}

static bool refuse(const struct plan *plan, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA,
                                    fault_at(plan->reduction->setup.path, plan->run->head.line, 0));
    fault_found(fault, "not even a full first plan would give the answer: %s", plan->with.why_not);
    fault_hint(fault, "plan with 'form = automatic' in [run %s], or ask for another '--answer'",
               plan->run->name);
    return false;
}

bool plan_find(struct plan *plan, const struct reduction *r, const struct run_section *run,
               bool before, const struct plan_wish *wish, struct faults *faults)
{
    memset(plan, 0, sizeof *plan);
    plan->reduction = r;
    plan->run = run;
    plan->wish = *wish;
    plan->joint = plan_is_joint(run);
    plan->near_rad = PLAN_NEAR_RAD;
    plan->setup =
        setup_point(&r->setup, run->temperature == TEMPERATURE_INLET ? BASIS_INLET : BASIS_MEAN);
    plan->setup.wind_origin_m_s = run->wind_origin_m_s;
    plan->request = efficiency_request(run);
    means_list_init(&plan->measured);
    means_list_init(&plan->base);
    plan->row_u = calloc(r->setup.errors.n + 1, sizeof *plan->row_u);
    if (plan->row_u == NULL)
        return fault_memory(faults);
    double each = figure(plan, CRITERION_EACH, USUAL_EACH);
    plan->each = each >= 1 ? (size_t)each : 1;
    if (!plan_typical_usual(&plan->typical, r, &plan->setup, faults) ||
        (!before && !take_measured(plan, faults)) || !look_at_measured(plan, faults) ||
        !set_base(plan, faults) ||
        !plan_try(plan, &plan->base, &r->setup.errors, plan->row_u, &plan->with, faults))
        return false;
    if (!plan->with.given)
        return refuse(plan, faults);
    return find_limit(plan, faults) && find_steps(plan, faults) && plan_try_all(plan, faults);
}

void plan_free(struct plan *plan)
{
    means_list_free(&plan->measured);
    means_list_free(&plan->base);
    free(plan->items);
    free(plan->row_u);
    plan->row_u = NULL;
    plan->items = NULL;
    plan->n = plan->capacity = 0;
}

const struct plan_candidate *plan_best_points(const struct plan *plan)
{
    for (size_t i = 0; i < plan->n; i++)
        if (plan->items[i].kind == PLAN_INLET || plan->items[i].kind == PLAN_AGAIN ||
            plan->items[i].kind == PLAN_ANGLE)
            return &plan->items[i];
    return NULL;
}

bool plan_points_end(const struct plan *plan)
{
    const struct plan_candidate *best = plan_best_points(plan);
    return plan->limit.given && plan->limit.half > POINTS_END_LIMIT * plan->with.half &&
           (best == NULL || best->gain < POINTS_END_GAIN);
}
