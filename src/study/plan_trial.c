#include "study/plan_trial.h"

#include "study/plan_ask.h"
#include "study/plan_modifier.h"

#include <math.h>

/* Planned days are told apart from measured ones by their number. */
#define PLANNED_DAY 1000000

bool plan_copy(const struct means_list *from, struct means_list *to, struct faults *faults)
{
    for (size_t i = 0; i < from->n; i++)
        if (!means_list_add(to, &from->items[i], faults))
            return false;
    return true;
}

bool plan_add_level(const struct plan *plan, double rise_K, int64_t session,
                    struct means_list *list, bool *can, struct faults *faults)
{
    struct means window;
    if (plan->joint)
        return plan_add_angle(plan, plan->near_rad, rise_K, session, list, can, faults);
    *can = plan_window(&plan->typical, &plan->setup, rise_K, PLANNED_DAY + session, &window);
    for (size_t i = 0; *can && i < plan->each; i++)
        if (!means_list_add(list, &window, faults))
            return false;
    return true;
}

bool plan_add_angle(const struct plan *plan, double theta_rad, double rise_K, int64_t session,
                    struct means_list *list, bool *can, struct faults *faults)
{
    struct means window;
    *can = plan_window_oblique(&plan->typical, &plan->setup, theta_rad, rise_K,
                               PLANNED_DAY + session, &window);
    for (size_t i = 0; *can && i < plan->each; i++)
        if (!means_list_add(list, &window, faults))
            return false;
    return true;
}

bool plan_add_again(const struct plan *plan, size_t time, struct means_list *list,
                    struct faults *faults)
{
    for (size_t i = 0; i < plan->base.n; i++) {
        struct means window = plan->base.items[i];
        window.session += (int64_t)(time + 2) * PLANNED_DAY;
        if (!means_list_add(list, &window, faults))
            return false;
    }
    return true;
}

size_t plan_count_oblique(const struct plan *plan, const struct means_list *list)
{
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++)
        n += plan_is_oblique(&list->items[i], plan->run);
    return n;
}

/* Scatter is what was seen; planned windows only make it better known.
 * In: seen  NULL where nothing was; more  planned windows; n  all */
static struct efficiency_held hold(const struct plan *plan, const struct efficiency_held *seen,
                                   size_t more, size_t n)
{
    struct efficiency_held held = {1, INFINITY, 0, INFINITY};
    if (seen != NULL) {
        held = *seen;
        held.scale_dof += (double)more;
    } else if (plan->request.scale == FIT_SCALE_ESTIMATED && n > 3)
        held.scale_dof = (double)(n - 3);
    return held;
}

struct plan_scene plan_scene_of(const struct plan *plan, const struct means_list *means,
                                const struct error_registry *errors)
{
    return (struct plan_scene){.setup = &plan->setup,
                               .errors = errors,
                               .means = means,
                               .request = plan->request,
                               .run = plan->run};
}

/* Of ratios to the curve nothing may have been seen yet: readings scatter as they do near the
 * normal. A variance of efficiencies is one of ratios over the square of the efficiency without
 * loss. */
static struct efficiency_held ratios_seen(const struct plan *plan)
{
    if (plan->now.given)
        return plan->now.seen_ratios;
    struct efficiency_held seen = plan->now.seen;
    if (plan->now.equal_weights)
        seen.scale_factor /= plan->now.coef[0] * plan->now.coef[0];
    return seen;
}

bool plan_try(const struct plan *plan, const struct means_list *means,
              const struct error_registry *errors, double *row_u, struct plan_said *said,
              struct faults *faults)
{
    size_t off = plan_count_oblique(plan, means),
           off_before = plan_count_oblique(plan, &plan->measured);
    size_t near = means->n - off, near_before = plan->measured.n - off_before;
    bool curve = plan->now.given || plan->curve_known;
    struct efficiency_held held =
        hold(plan, curve ? &plan->now.seen : NULL, near - near_before, near);
    struct efficiency_held seen = ratios_seen(plan);
    struct efficiency_held ratios = hold(plan, curve ? &seen : NULL, off - off_before, off);
    struct plan_scene scene = plan_scene_of(plan, means, errors);
    scene.request.held = &held;
    scene.held_ratios = &ratios;
    scene.row_u = row_u;
    return plan_ask(&scene, &plan->wish, said, faults);
}
