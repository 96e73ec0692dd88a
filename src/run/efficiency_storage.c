/* What an efficiency run says of heat stored in windows that drift. */
#include "run/efficiency_view.h"

#include "domain/storage.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* Of a point's heat; our figure. */
#define STORAGE_SAID 0.02

static double share(const struct point *point)
{
    return point->value.heat_W > 0 || point->value.heat_W < 0
               ? fabs(point->value.stored_W / point->value.heat_W)
               : 0;
}

bool view_drifts(const struct point *point)
{
    return share(point) > STORAGE_SAID;
}

/* What is counted over the points that were fitted. */
struct storage_tally {
    size_t n;
    size_t drifting;
    size_t unknown; /* drift not known */
    const struct point *most;
};

static struct storage_tally tally_of(const struct efficiency_view *view)
{
    struct storage_tally tally = {0};
    for (size_t i = 0; i < view->n; i++) {
        const struct point *point = &view->points[i];
        if (point->left_out || point->means->reduced)
            continue;
        tally.n++;
        tally.drifting += view_drifts(point) ? 1U : 0U;
        tally.unknown += isfinite(point->means->drift_K_s) ? 0U : 1U;
        if (tally.most == NULL || share(point) > share(tally.most))
            tally.most = point;
    }
    return tally;
}

static bool say_corrected(const struct efficiency_view *view, const struct storage_tally *tally,
                          struct document *doc, struct faults *faults)
{
    const struct collector *c = &view->reduction->setup.collector;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "Heat stored while the water warms is added: %.3g ± %.2g kJ/(m² K) (one standard "
        "uncertainty; %s%s), times the area, times the slope of the mean of inlet and outlet "
        "temperature. At most it is %.1f %% of the heat (point %s). %s",
        1e-3 * c->capacity_J_m2K, 1e-3 * c->u_capacity_J_m2K, c->capacity_origin,
        c->capacity_assumed ? "; neither 'heat capacity' nor 'construction' is stated" : "",
        100 * share(tally->most), tally->most->means->name,
        c->capacity_dry ? "The inlet is delayed by the transit time; the capacity is that of the "
                          "construction without its fluid."
                        : "The fluid inside counts in the capacity; the inlet is not delayed.");
}

static bool say_drifting(const struct storage_tally *tally, struct document *doc,
                         struct faults *faults)
{
    if (tally->drifting == 0)
        return true;
    return document_finding(doc, FINDING_CRITERIA, true, faults,
                            "In %zu of %zu points the stored heat passes 2 %% of the heat: such "
                            "windows are outside the standard's rule of a steady inlet, and lean "
                            "on the heat capacity.",
                            tally->drifting, tally->n);
}

static bool say_unknown(const struct storage_tally *tally, struct document *doc,
                        struct faults *faults)
{
    if (tally->unknown == 0)
        return true;
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "For %zu of %zu points the drift is not known ('drift' in the points "
                            "table): nothing is added to their heat.",
                            tally->unknown, tally->n);
}

/* Without a capacity: whether it would have mattered, by what a homemade plate holds. */
static bool say_missing(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    const struct storage_row *row = &storage_rows[0];
    double most = 0, K_min = 0;
    for (size_t i = 0; i < view->n; i++) {
        const struct point *point = &view->points[i];
        double drift = point->means->drift_K_s;
        if (point->left_out || point->means->reduced || !isfinite(drift))
            continue;
        double part = fabs(row->filled_J_m2K * drift * view->setup->area_m2 / point->value.heat_W);
        if (part > most) {
            most = part;
            K_min = fabs(60 * drift);
        }
    }
    if (!(most > STORAGE_SAID))
        return true;
    return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                            "The water drifts by up to %.2f K/min and no heat capacity is stated: "
                            "a %s would store %.0f %% of the heat, which is not corrected. State "
                            "'heat capacity' or 'construction' in [collector].",
                            K_min, row->name, 100 * most);
}

bool view_storage(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    if (!(view->setup->capacity_J_m2K > 0))
        return say_missing(view, doc, faults);
    struct storage_tally tally = tally_of(view);
    bool assumed = view->reduction->setup.collector.capacity_assumed;
    if (tally.n == 0 || (tally.unknown == tally.n && assumed))
        return true;
    return say_corrected(view, &tally, doc, faults) && say_drifting(&tally, doc, faults) &&
           say_unknown(&tally, doc, faults);
}
