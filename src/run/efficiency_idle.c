/* How hot the plate gets when nobody draws heat, from the measured curve: an extrapolation far
 * beyond what was tested, so on the hot side throughout (physics/stagnation.h). */
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "physics/stagnation.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* Beyond this a curve bounds nothing. */
#define MOST_K 400.0

/* Taken where the wind of the test is not known: what unknown winds are taken to be. */
#define WIND_UNKNOWN_M_S 3.0

struct idle {
    const struct efficiency_view *view;
    double coverage;    /* 0: the curve itself */
    double still_W_m2K; /* what the loss is smaller by in still air */
};

static double mean_wind_m_s(const struct efficiency_view *view)
{
    const struct site *site = &view->reduction->setup.site;
    double sum = 0.0;
    for (size_t i = 0; i < view->n; i++)
        sum += view->points[i].value.wind_m_s;
    double mean = sum / (double)view->n;
    if (isfinite(mean))
        return mean;
    return site->wind_m_s.at.given ? site->wind_m_s.value : WIND_UNKNOWN_M_S;
}

static double efficiency_at(double difference_K, void *state)
{
    const struct idle *idle = state;
    const struct efficiency *e = idle->view->e;
    double terms[EFFICIENCY_COEFS];
    struct fit_condition at = {.x = difference_K / STAGNATION_G_W_M2,
                               .g = STAGNATION_G_W_M2,
                               .wind = -idle->view->setup->wind_origin_m_s};
    e->form->terms(&at, terms);
    return fit_dot(terms, e->curve.coef, e->form->n_coef) + idle->still_W_m2K * at.x +
           idle->coverage * sqrt(fit_variance(terms, e->total, e->form->n_coef));
}

static double least_coverage(const struct efficiency_view *view)
{
    double least = INFINITY;
    for (size_t j = 0; j < view->e->form->n_coef; j++) {
        double u, dof;
        efficiency_combined(view->e, j, &u, &dof);
        least = fmin(least, dof);
    }
    return fit_coverage_95(least);
}

static bool add_number(const char *id, const char *label, double value, double u, double low,
                       double high, struct document *doc, struct faults *faults)
{
    struct number number = {.id = (char *)id,
                            .label = (char *)label,
                            .symbol = "t_idle",
                            .unit = "degC",
                            .value = value,
                            .u = u,
                            .low = low,
                            .high = high,
                            .dof = INFINITY};
    return document_number(doc, &number, faults);
}

static bool say_unbounded(struct document *doc, struct faults *faults)
{
    return document_finding(doc, FINDING_CANNOT, true, faults,
                            "How hot the idle absorber gets cannot be bounded from these points: "
                            "the heat loss is too uncertain. Count on more than 200 °C.");
}

static bool say_hot(const struct efficiency_view *view, double mean_degC, double safe_degC,
                    struct document *doc, struct faults *faults)
{
    return document_finding(
               doc, FINDING_ANSWER, false, faults,
               "Idle in full sun (%.0f W/m², air at %.0f °C, no wind) the absorber gets to "
               "some %.0f °C if the curve goes on as tested; %.0f °C at its hottest spot "
               "cannot be ruled out: burns, steam, softened foam.",
               STAGNATION_G_W_M2, STAGNATION_AMBIENT_DEGC, stagnation_told_degC(mean_degC),
               stagnation_told_degC(safe_degC)) &&
           document_finding(
               doc, FINDING_DETAIL, false, faults,
               "The hotter of the two is the upper end of the curve's 95 %% interval, carried "
               "on to where no heat is gained, with the loss of still air, and %.0f %% "
               "of the rise more for the hottest spot. It was not measured: tested up "
               "to %.0f K above the air.",
               100.0 * STAGNATION_HOT_SPOT, view->e->design.most_x * view->e->design.most_g);
}

bool view_idle(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct idle idle = {.view = view};
    if (view->e->form->n_coef == 1 || view->run != &view->reduction->setup.runs[0])
        return true;
    if (!view->e->form->with_wind)
        idle.still_W_m2K = view->setup->exposure.wind_J_m3K * mean_wind_m_s(view);
    double middle = stagnation_difference_K(efficiency_at, &idle, MOST_K);
    idle.coverage = least_coverage(view);
    double upper = stagnation_difference_K(efficiency_at, &idle, MOST_K);
    if (!isfinite(upper) || !(middle > 0.0))
        return say_unbounded(doc, faults);
    double mean_degC = STAGNATION_AMBIENT_DEGC + middle;
    double upper_degC = STAGNATION_AMBIENT_DEGC + upper;
    double hot = stagnation_hot_spot_degC(upper_degC, STAGNATION_AMBIENT_DEGC);
    double u = (upper - middle) / idle.coverage;
    return add_number("idle.curve", "idle absorber, mean, if the curve goes on", mean_degC, u,
                      mean_degC - idle.coverage * u, upper_degC, doc, faults) &&
           add_number("idle.curve.hot", "idle absorber, hottest spot, upper end", hot, NAN, NAN,
                      NAN, doc, faults) &&
           say_hot(view, mean_degC, hot, doc, faults);
}
