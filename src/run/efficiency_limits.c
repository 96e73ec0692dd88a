/* What limits the curve, in sentences for the first screen: the largest sources, each with its
 * cheapest cure. */
#include "run/efficiency_rank.h"
#include "run/efficiency_view.h"
#include "run/words.h"

#include <math.h>
#include <stdlib.h>

enum { STEPS = 4, SAID = 3 };

static size_t rank_at(const struct efficiency_view *view, double x, struct rank_source *sources)
{
    struct fit_condition at = {.x = x, .g = view->run->draw_at_W_m2, .wind = view->e->draw_wind};
    double t[EFFICIENCY_COEFS];
    view->e->form->terms(&at, t);
    return rank_sources(view->e, t, sources);
}

/* Each source where it gives most to the curve over the tested range. scratch: as large as list. */
static size_t rank_range(const struct efficiency_view *view, struct rank_source *list,
                         struct rank_source *scratch)
{
    double from, to;
    view_range(view, &from, &to);
    size_t n = rank_at(view, from, list);
    for (int k = 1; k <= STEPS; k++) {
        rank_at(view, from + (to - from) * k / STEPS, scratch);
        for (size_t i = 0; i < n; i++)
            if (fabs(scratch[i].u) > fabs(list[i].u))
                list[i].u = scratch[i].u;
    }
    return n;
}

static bool at_one_place(const struct efficiency_view *view)
{
    return view->run->budget_at.at.given && view->e->form->n_coef > 1;
}

/* A reduced temperature that the description asks for and the points cannot answer. */
static bool say_place(const struct efficiency_view *view, struct document *doc,
                      struct faults *faults)
{
    const struct design *d = &view->e->design;
    double x = view_budget_x(view);
    char place[WORDS_SIZE], from[WORDS_SIZE], to[WORDS_SIZE];
    if (!view->run->budget_at.at.given)
        return true;
    words_fixed(x, 3, place, sizeof place);
    words_fixed(d->least_x, 4, from, sizeof from);
    words_fixed(d->most_x, 4, to, sizeof to);
    if (view->e->form->n_coef == 1)
        return document_finding(
            doc, FINDING_UNCERTAINTY, true, faults,
            "At T* %s ('budget at') nothing can be said: a mean holds from T* %s "
            "to %s alone.",
            place, from, to);
    if (x >= d->least_x && x <= d->most_x)
        return true;
    return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                            "T* %s ('budget at') lies beyond the tested range, %s to %s: there the "
                            "interval holds only if the form does.",
                            place, from, to);
}

static bool say_source(const struct efficiency_view *view, const struct rank_source *source,
                       size_t rank, struct document *doc, struct faults *faults)
{
    char place[WORDS_SIZE];
    double u = fabs(source->u);
    bool one = at_one_place(view);
    return document_finding(doc, FINDING_UNCERTAINTY, false, faults,
                            "%zu. %s: ± %.*f percentage points at %s%s%s%s.", rank, source->label,
                            u < 0.001 ? 2 : 1, 200 * u, one ? "T* " : "most",
                            one ? words_fixed(view_budget_x(view), 3, place, sizeof place) : "",
                            source->cure[0] != '\0' ? "; " : "", source->cure);
}

bool view_limits(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    size_t most = rank_most(view->e);
    struct rank_source *list = calloc(2 * most, sizeof *list);
    if (list == NULL)
        return fault_memory(faults);
    size_t n = at_one_place(view) ? rank_at(view, view_budget_x(view), list)
                                  : rank_range(view, list, list + most);
    rank_sort(list, n);
    bool good = say_place(view, doc, faults);
    for (size_t i = 0; i < n && i < SAID && good && fabs(list[i].u) > 0; i++)
        good = say_source(view, &list[i], i + 1, doc, faults);
    free(list);
    return good;
}
