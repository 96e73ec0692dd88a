#include "run/efficiency_points.h"

#include "run/advice.h"
#include "run/modifier.h"
#include "run/stated_stamp.h"

#include <stdio.h>
#include <string.h>

/* By its name, or a window by its start as a stamp. */
static bool is_named(const struct reduction *r, const struct point *point, const char *name)
{
    int64_t start_us;
    return text_same(point->means->name, name) ||
           (point->means->timed && stated_stamp_try(name, log_zone(&r->setup.log), &start_us) &&
            point->means->start_us == start_us);
}

/* Marks the points that the description leaves out by name. */
static bool leave_out(const struct reduction *r, const struct run_section *run,
                      struct point *points, struct faults *faults)
{
    size_t n = r->means.n;
    bool good = true;
    for (size_t k = 0; k < run->n_left_out; k++) {
        bool found = false;
        for (size_t i = 0; i < n; i++)
            if (is_named(r, &points[i], run->left_out[k].point)) {
                points[i].left_out = found = true;
                points[i].reason = run->left_out[k].reason;
            }
        if (found)
            continue;
        struct place at = run->left_out[k].at;
        at.file = r->setup.path;
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "there is no point named '%s' to leave out", run->left_out[k].point);
        fault_hint(fault, r->from_log
                              ? "windows are named by their start, in UTC or by the log's "
                                "clock: points.csv of the result has them"
                              : "points are called by their names, or 'row' and their line: "
                                "points.csv of the result has them");
        good = false;
    }
    return good;
}

/* A modifier's own run says which points are for it; otherwise the first such run does. One that
 * fits the curve together with its modifier takes them all. */
static void keep_for_modifier(const struct reduction *r, const struct run_section *run,
                              struct point *points)
{
    bool together = run->kind == RUN_MODIFIER && run->curve == CURVE_TOGETHER;
    for (size_t i = 0; i < r->setup.n_runs && run->kind != RUN_MODIFIER; i++)
        if (r->setup.runs[i].kind == RUN_MODIFIER)
            run = &r->setup.runs[i];
    if (run->kind == RUN_MODIFIER && !together)
        modifier_keep_apart(points, r->means.n, run->near_normal_rad);
}

/* The cause is mostly one sensor or one unit. */
static bool make_one(const struct reduction *r, size_t i, const struct point_setup *setup,
                     struct point *point, struct faults *faults)
{
    size_t before = faults->n;
    if (point_make(point, &r->means.items[i], setup, &r->setup.errors, faults))
        return true;
    if (faults->n > before)
        fault_hint(&faults->items[before], "%s",
                   advice_words(ADVICE_UNFORMED, r->from_log));
    return false;
}

bool efficiency_points(const struct reduction *r, const struct run_section *run,
                       const struct point_setup *setup, struct point *points,
                       struct faults *faults)
{
    for (size_t i = 0; i < r->means.n; i++)
        if (!make_one(r, i, setup, &points[i], faults))
            return false;
    if (!leave_out(r, run, points, faults))
        return false;
    keep_for_modifier(r, run, points);
    return true;
}

struct efficiency_request efficiency_request(const struct run_section *run)
{
    static const enum fit_scale scales[] = {[SCALE_AT_LEAST_STATED] = FIT_SCALE_AT_LEAST,
                                            [SCALE_STATED] = FIT_SCALE_STATED,
                                            [SCALE_ESTIMATED] = FIT_SCALE_ESTIMATED};
    return (struct efficiency_request){.form = run_form_word(run->form),
                                       .scale = scales[run->scale],
                                       .drop_below = run->drop_below};
}
