/* What is planned on stands on the points so far: where they cannot be true, that is said first. */
#include "study/plan_view.h"

#include "run/efficiency_doubts.h"
#include "run/efficiency_points.h"

#include <stdlib.h>

/* The warnings of the points are said by `reduce`; here they would stand a second time. */
static bool doubt(const struct plan_view *view, struct point *points, struct faults *aside,
                  struct document *doc, struct faults *faults)
{
    const struct plan *plan = view->plan;
    struct efficiency e;
    bool good = efficiency_points(view->reduction, plan->run, &plan->setup, points, aside) &&
                efficiency_fit(&e, points, view->reduction->means.n, &plan->setup,
                               &view->reduction->setup.errors, &plan->request, aside);
    if (!good)
        return true;
    struct doubted of = {.reduction = view->reduction,
                         .run = plan->run,
                         .e = &e,
                         .points = points,
                         .n = view->reduction->means.n};
    good = efficiency_doubts(&of, doc, faults);
    efficiency_free(&e);
    return good;
}

bool plan_doubts(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    size_t n = view->reduction->means.n;
    if (view->before || n == 0 || view->plan->run->kind != RUN_EFFICIENCY)
        return true;
    struct point *points = calloc(n, sizeof *points);
    struct faults *aside = malloc(sizeof *aside);
    bool good = (points != NULL && aside != NULL) || fault_memory(faults);
    if (good) {
        faults_init(aside);
        good = doubt(view, points, aside, doc, faults);
    }
    free(points);
    free(aside);
    return good;
}
