/* The run `kind = modifier` with `curve = together`: its points, the fit, its document. */
#include "run/joint_view.h"

#include "run/efficiency_points.h"
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

/* Points whose angle is not known, or beyond what any use is made of, are no part of the run. */
static size_t keep_usable(struct point *points, size_t n, struct joint_view *view)
{
    size_t kept = 0;
    bool planes = view->curve.run->shape == FIT_MODIFIER_TWO_PLANES;
    for (size_t i = 0; i < n; i++) {
        double theta = points[i].value.incidence_rad;
        if (planes && !isfinite(points[i].value.slope_rad))
            theta = NAN;
        view->without += isfinite(theta) ? 0 : 1;
        view->beyond += theta > MODIFIER_MOST_RAD;
        if (theta <= MODIFIER_MOST_RAD)
            points[kept++] = points[i];
    }
    return kept;
}

static bool none_left(const struct reduction *r, const struct run_section *run,
                      struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(r->setup.path, run->head.line, 0));
    fault_found(fault,
                "no point is left: all are left out by name, at no known angle, or beyond %.0f "
                "deg off the normal",
                MODIFIER_MOST_RAD * DEG);
    bool planes = run->shape == FIT_MODIFIER_TWO_PLANES;
    fault_expected(fault, planes
                              ? "a [site] with latitude, longitude, tilt and azimuth, and points "
                                "with times"
                              : "points from the normal to about 60 deg, with cool and with hot "
                                "water");
    return false;
}

static bool fit_and_tell(struct joint_view *view, const struct run_section *run,
                         struct document *doc, struct faults *faults)
{
    struct joint *joint = calloc(1, sizeof *joint);
    struct efficiency_request request = efficiency_request(run);
    if (joint == NULL)
        return fault_memory(faults);
    bool good = joint_fit(joint, view->curve.points, view->curve.n, view->curve.setup,
                          &view->curve.reduction->setup.errors, &request, run->shape, faults);
    if (good) {
        view->joint = joint;
        view->curve.points = joint->brought;
        view->curve.e = view->modifier.e = &joint->e;
        view->modifier.m = &joint->m;
        view->modifier.told_deg = fmin(50, floor(joint->spread.most_rad * DEG + 1e-6));
        good = joint_tell(view, doc, faults);
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
    bool good = efficiency_points(r, run, &setup, points, faults) &&
                modifier_has_angles(r, run, points, faults);
    if (good) {
        size_t used = 0;
        view.curve.n = keep_usable(points, r->means.n, &view);
        for (size_t i = 0; i < view.curve.n; i++)
            used += points[i].left_out ? 0 : 1;
        good = used > 0 ? fit_and_tell(&view, run, doc, faults) : none_left(r, run, faults);
    }
    free(points);
    return good;
}
