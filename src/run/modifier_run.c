/* The run `kind = modifier`: a curve of the points near the normal, the modifier of the others, and
 * its document. */
#include "run/run.h"

#include "run/draws_document.h"
#include "run/efficiency_points.h"
#include "run/joint_view.h"
#include "run/modifier_angles.h"
#include "run/modifier_draws.h"
#include "run/modifier_view.h"
#include "run/run_id.h"
#include "run/setup_point.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define DEG (180 / M_PI)

/* Without a curve to compare with there is nothing to be said. */
static bool can_begin(const struct reduction *r, const struct run_section *run,
                      const struct point *points, struct faults *faults)
{
    double least = INFINITY;
    if (!modifier_has_angles(r, run, points, faults))
        return false;
    for (size_t i = 0; i < r->means.n; i++) {
        if (isfinite(points[i].value.incidence_rad) && !points[i].left_out)
            return true;
        least = fmin(least, points[i].value.incidence_rad);
    }
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(r->setup.path, run->head.line, 0));
    fault_found(fault, "no point is near the normal: the nearest is %.1f deg off it", least * DEG);
    fault_expected(fault,
                   "points within %.3g deg, which make the curve that the others are "
                   "compared with",
                   run->near_normal_rad * DEG);
    fault_hint(fault,
               "turn the collector to the sun for some points, widen 'near normal' (to 45 deg "
               "at most), or say 'curve = together' in this run: curve and modifier are then "
               "fitted together from points at any angle");
    return false;
}

static void name_view(struct modifier_view *view, const struct document *doc)
{
    char plain[NAME_SIZE];
    words_id(view->run->name, plain, sizeof plain);
    snprintf(view->id, sizeof view->id, "%s", plain);
    for (unsigned i = 2; run_id_taken(doc, view->id); i++)
        snprintf(view->id, sizeof view->id, "%s_%u", plain, i % 100000);
    snprintf(view->figure, sizeof view->figure, "%s", view->id);
}

static bool tell(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    return modifier_numbers(view, doc, faults) && modifier_sentences(view, doc, faults) &&
           modifier_tables(view, doc, faults) &&
           draws_tell(view->draws, view->id, view->run, view->e->n + view->m->n,
                      "The band of K", doc, faults) &&
           modifier_budget(view, NULL, doc, faults);
}

/* The intervals a second way, unless the description does without. */
static bool draw(struct modifier_view *view, const struct point_setup *setup, struct draws *draws,
                 struct faults *faults)
{
    struct draws_request request = draws_asked(view->reduction, view->run);
    if (!draws_wanted(view->run))
        return true;
    view->draws = draws;
    return modifier_draw(view->m, view->e, view->points, setup, &view->reduction->setup.errors,
                         &request, draws, faults);
}

static bool fit_and_tell(struct modifier_view *view, const struct point_setup *setup,
                         struct document *doc, struct faults *faults)
{
    struct efficiency e;
    struct modifier m;
    struct draws draws;
    struct efficiency_request request = efficiency_request(view->run);
    const struct error_registry *errors = &view->reduction->setup.errors;
    size_t n = view->reduction->means.n;
    if (!efficiency_fit(&e, view->points, n, setup, errors, &request, faults))
        return false;
    bool good = modifier_fit(&m, &e, view->points, n, setup, errors, view->run->shape,
                             request.scale, faults);
    if (good) {
        view->e = &e;
        view->m = &m;
        view->told_deg = fmin(50, floor(m.fit.most_rad * DEG + 1e-6));
        good = draw(view, setup, &draws, faults) && tell(view, doc, faults);
        modifier_free(&m);
    }
    efficiency_free(&e);
    return good;
}

bool run_modifier(const struct reduction *r, const struct run_section *run, struct document *doc,
                  struct faults *faults)
{
    if (run->curve == CURVE_TOGETHER)
        return run_joint(r, run, doc, faults);
    struct point_setup setup =
        setup_point(&r->setup, run->temperature == TEMPERATURE_INLET ? BASIS_INLET : BASIS_MEAN);
    setup.wind_origin_m_s = run->wind_origin_m_s;
    setup.tubes_level = run->tubes_level;
    struct point *points = calloc(r->means.n + 1, sizeof *points);
    if (points == NULL)
        return fault_memory(faults);
    struct modifier_view view = {.reduction = r, .run = run, .points = points};
    name_view(&view, doc);
    bool good = efficiency_points(r, run, &setup, points, faults) &&
                can_begin(r, run, points, faults) && fit_and_tell(&view, &setup, doc, faults);
    free(points);
    return good;
}
