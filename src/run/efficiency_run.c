/* The run `kind = efficiency`: points out of means, the curve, and its document. */
#include "run/run.h"

#include "run/advice.h"
#include "run/draws_document.h"
#include "run/efficiency_doubts.h"
#include "run/efficiency_draws.h"
#include "run/efficiency_points.h"
#include "run/efficiency_view.h"
#include "run/run_id.h"
#include "run/setup_point.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool no_points(const struct reduction *r, const struct run_section *run,
                      struct document *doc, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(r->setup.path, run->head.line, 0));
    fault_found(fault, "there is no steady window to work with");
    fault_hint(fault, "the report says which limits refused and, where a change of them would have "
                      "helped, gives the line to paste");
    return document_finding(doc, FINDING_CANNOT, true, faults,
                            "No efficiency can be given: no steady window was found.") &&
           false;
}

static bool tell_draws(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults)
{
    return draws_tell(view->draws, view->id, view->run, view->e->n, "The band of the curve", doc,
                      faults);
}

/* The document of a curve. The other form is fitted before the large tables are there: with
 * thousands of windows both at once would be the most memory of all. */
static bool tell(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    return view_numbers(view, doc, faults) && view_doubts(view, doc, faults) &&
           view_outlier(view, doc, faults) && view_answers(view, doc, faults) &&
           view_idle(view, doc, faults) && view_corrections(view, doc, faults) &&
           view_storage(view, doc, faults) && view_other(view, doc, faults) &&
           view_tables(view, doc, faults) &&
           view_says(view, doc, faults) && view_groups(view, doc, faults) &&
           view_worked(view, doc, faults) && view_figures(view, doc, faults) &&
           tell_draws(view, doc, faults) && view_budget(view, doc, faults);
}

/* When the form asked for does not fit: what the data hold all the same. */
static bool fall_back(struct efficiency *e, const struct efficiency_view *view,
                      struct efficiency_request *request, struct document *doc,
                      struct faults *faults)
{
    char wanted[64];
    snprintf(wanted, sizeof wanted, "%s", request->form);
    const char *best = design_best_form(&e->design);
    if (best == NULL || text_same(best, wanted) || text_same("automatic", wanted))
        return false;
    request->form = "automatic";
    if (!efficiency_fit(e, view->points, view->n, view->setup, &view->reduction->setup.errors,
                        request, faults))
        return false;
    return document_finding(doc, FINDING_CANNOT, true, faults,
                            "The form '%s' cannot be given; instead, what the data do hold: '%s'.",
                            wanted, e->form->name);
}

/* The interval a second way, unless the description does without. */
static bool draw(struct efficiency_view *view, struct draws *draws, struct faults *faults)
{
    struct draws_request request = draws_asked(view->reduction, view->run);
    if (!draws_wanted(view->run))
        return true;
    view->draws = draws;
    return efficiency_draw(view->e, view->points, view->setup, &view->reduction->setup.errors,
                           &request, view->run->draw_at_W_m2, draws, faults);
}

/* Perhaps the points say why there is no curve. Then they come first: another form would not mend them.
 * In: from   faults from there on are of the fit */
static void say_why(const struct efficiency_view *view, size_t from, struct document *doc,
                    struct faults *faults)
{
    size_t to = faults->n, findings = doc->n_findings;
    view_doubts(view, doc, faults);
    for (size_t i = from; i < to && doc->n_findings > findings; i++)
        if (faults->items[i].kind == FAULT_DATA)
            fault_hint(&faults->items[i], "%s",
                       advice_words(ADVICE_POINTS_FIRST, view->reduction->from_log));
}

static bool fit_and_tell(struct efficiency_view *view, struct document *doc,
                         struct faults *faults)
{
    struct efficiency e;
    struct efficiency_request request = efficiency_request(view->run);
    size_t from = faults->n;
    view->e = &e;
    bool asked = efficiency_fit(&e, view->points, view->n, view->setup,
                                &view->reduction->setup.errors, &request, faults);
    bool have = asked || fall_back(&e, view, &request, doc, faults);
    bool says = have && efficiency_refuse_nothing(&e, view->reduction->from_log, faults);
    if (!have)
        view->e = NULL;
    if (!says)
        say_why(view, from, doc, faults);
    struct draws draws;
    bool told = says && draw(view, &draws, faults) && tell(view, doc, faults);
    view->draws = NULL;
    if (have)
        efficiency_free(&e);
    return asked && told;
}

/* The first efficiency run owns the names "curve.*", which result/curve.h reads back. A run whose
 * name would give a table or number a second time ("points", or "a b" beside "a+b") gets a count
 * behind it. */
static void name_view(struct efficiency_view *view, const struct document *doc)
{
    char plain[sizeof view->id - 8];
    bool first = view->run == &view->reduction->setup.runs[0];
    words_id(view->run->name, plain, sizeof plain);
    snprintf(view->id, sizeof view->id, "%s", plain);
    for (unsigned i = 2; run_id_taken(doc, view->id) || (!first && text_same(view->id, "curve"));
         i++)
        snprintf(view->id, sizeof view->id, "%s_%u", plain, i % 100000);
    snprintf(view->prefix, sizeof view->prefix, "%s", first ? "curve" : view->id);
}

/* Nothing is left to fit: said at the run, in the user's words. */
static bool all_left_out(const struct reduction *r, const struct run_section *run,
                         const struct point *points, struct faults *faults)
{
    bool oblique = false;
    for (size_t i = 0; i < r->means.n; i++) {
        oblique = oblique || points[i].oblique;
        if (!points[i].left_out)
            return false;
    }
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(r->setup.path, run->head.line, 0));
    if (oblique) {
        fault_found(fault, "every point is left out, by name or as too far off the normal for a "
                           "curve");
        fault_hint(fault,
                   "measure some with the sun near the normal, or raise 'near normal' of the "
                   "modifier's run; 'curve = together' there gives a curve from points at "
                   "any angle");
        return true;
    }
    fault_found(fault, "every point is left out by name, none remains");
    fault_hint(fault, "take some of the run's 'leave out' lines away");
    return true;
}

bool run_efficiency(const struct reduction *r, const struct run_section *run, struct document *doc,
                    struct faults *faults)
{
    if (r->means.n == 0)
        return no_points(r, run, doc, faults);
    struct point_setup setup = setup_point(
        &r->setup, run->temperature == TEMPERATURE_INLET ? BASIS_INLET : BASIS_MEAN);
    setup.wind_origin_m_s = run->wind_origin_m_s;
    struct point *points = calloc(r->means.n, sizeof *points);
    if (points == NULL)
        return fault_memory(faults);
    struct efficiency_view view = {
        .reduction = r, .run = run, .points = points, .n = r->means.n, .setup = &setup};
    name_view(&view, doc);
    bool good = efficiency_points(r, run, &setup, points, faults) &&
                !all_left_out(r, run, points, faults) && fit_and_tell(&view, doc, faults);
    free(points);
    return good;
}
