/* The run `kind = modifier` with `curve = together`: its points, the fit, its document. */
#include "run/joint_view.h"

#include "run/draws_document.h"
#include "run/efficiency_points.h"
#include "run/joint_curve.h"
#include "run/joint_draws.h"
#include "run/run_id.h"
#include "run/setup_point.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DEG (180 / M_PI)

static void name_view(struct joint_view *view, const struct reduction *r,
                      const struct run_section *run, const struct document *doc)
{
    char plain[40];
    bool first = run == &r->setup.runs[0];
    words_id(run->name, plain, sizeof plain);
    snprintf(view->curve.id, sizeof view->curve.id, "%s", plain);
    for (unsigned i = 2;
         run_id_taken(doc, view->curve.id) || (!first && text_same(view->curve.id, "curve")); i++)
        snprintf(view->curve.id, sizeof view->curve.id, "%s_%u", plain, i % 100000);
    const char *prefix = first ? "curve" : view->curve.id;
    memcpy(view->curve.prefix, prefix, strlen(prefix) + 1);
    snprintf(view->modifier.id, sizeof view->modifier.id, "%s", view->curve.id);
    snprintf(view->modifier.figure, sizeof view->modifier.figure, "%.40s_angles", view->curve.id);
}

/* The intervals a second way, unless the description does without. */
static bool draw(struct joint_view *view, const struct point *points, struct draws *draws,
                 struct faults *faults)
{
    const struct run_section *run = view->curve.run;
    const struct reduction *r = view->curve.reduction;
    struct draws_request request = draws_asked(r, run);
    if (!draws_wanted(run))
        return true;
    view->curve.draws = view->modifier.draws = draws;
    view->modifier.draws_from = view->joint->fit.p;
    return joint_draw(view->joint, points, view->curve.setup, &r->setup.errors, &request,
                      run->draw_at_W_m2, draws, faults);
}

static bool fit_and_tell(struct joint_view *view, const struct run_section *run,
                         struct document *doc, struct faults *faults)
{
    struct joint *joint = calloc(1, sizeof *joint);
    struct draws draws;
    struct efficiency_request request = efficiency_request(run);
    const struct point *points = view->curve.points;
    if (joint == NULL)
        return fault_memory(faults);
    bool good = joint_fit(joint, points, view->curve.n, view->curve.setup,
                          &view->curve.reduction->setup.errors, &request, run->shape, faults);
    if (good) {
        view->joint = joint;
        view->curve.points = joint->brought;
        view->curve.e = view->modifier.e = &joint->e;
        view->modifier.m = &joint->m;
        view->modifier.told_deg = fmin(50, floor(joint->spread.most_rad * DEG + 1e-6));
        good = draw(view, points, &draws, faults) && joint_tell(view, doc, faults);
    } else if (faults->worst <= FAULT_DATA) {
        joint_tell_rest(view, &joint->spread, doc, faults);
    }
    joint_free(joint);
    free(joint);
    return good;
}

bool run_joint(const struct reduction *r, const struct run_section *run, struct document *doc,
               struct faults *faults)
{
    struct point_setup setup =
        setup_point(&r->setup, run->temperature == TEMPERATURE_INLET ? BASIS_INLET : BASIS_MEAN);
    setup.wind_origin_m_s = run->wind_origin_m_s;
    setup.tubes_level = run->tubes_level;
    struct point *points = calloc(r->means.n + 1, sizeof *points);
    if (points == NULL)
        return fault_memory(faults);
    struct joint_view view = {
        .curve = {.reduction = r, .run = run, .points = points, .setup = &setup},
        .modifier = {.reduction = r, .run = run, .points = points, .together = true}};
    name_view(&view, r, run, doc);
    bool good =
        joint_points(r, run, &setup, points, &view.curve.n, &view.beyond, &view.without, faults) &&
        fit_and_tell(&view, run, doc, faults);
    free(points);
    return good;
}
