#include "run/efficiency_doubts.h"

#include "fit/combine.h"
#include "run/advice.h"
#include "run/doubt_parts.h"
#include "run/doubt_say.h"

#include <stdio.h>

/* More heat than sunshine, with a margin for errors of the area and of the pyranometer. */
#define ETA_IMPOSSIBLE 1.05

/* The point with the highest efficiency beyond it, or NULL; *n counts all such points. Heat below
 * zero is no such thing: hot water under a weak sun loses more than it gains. */
static const struct point *worst_point(const struct doubted *of, size_t *n)
{
    const struct point *worst = NULL;
    *n = 0;
    for (size_t i = 0; i < of->n; i++) {
        const struct point *point = &of->points[i];
        if (point->left_out || !(point->value.eta > ETA_IMPOSSIBLE))
            continue;
        ++*n;
        if (worst == NULL || point->value.eta > worst->value.eta)
            worst = point;
    }
    return worst;
}

static bool doubt(const struct doubted *of, const char *found, enum advice advice,
                  struct document *doc, struct faults *faults)
{
    return doubt_say(of, "This cannot be true as it stands: ", found,
                     advice_words(advice, of->reduction->from_log), doc, faults);
}

static bool doubt_points(const struct doubted *of, struct document *doc, struct faults *faults)
{
    size_t n;
    const struct point *point = worst_point(of, &n);
    if (point == NULL)
        return true;
    char found[200];
    snprintf(found, sizeof found,
             "%zu of %zu points give%s more heat than there was sunshine; "
             "point '%.60s' %.0f %%",
             n, of->n, n == 1 ? "s" : "", point->means->name, 100 * point->value.eta);
    return doubt(of, found, ADVICE_BEYOND_SUN, doc, faults);
}

/* A loss that is surely negative: the warmer the water, the more heat. Coefficient 1 is a1 in every
 * form that has one. */
static bool doubt_loss(const struct doubted *of, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = of->e;
    double u, dof;
    if (e->form->n_coef < 2)
        return true;
    efficiency_combined(e, 1, &u, &dof);
    if (!(e->curve.coef[1] + 3 * u < 0))
        return true;
    return doubt(of, "the warmer the water, the more heat it gains (a1 is below zero)", ADVICE_LOSS,
                 doc, faults);
}

/* Less than a quarter of the sunshine with water as warm as the air: hardly any collector, often
 * a unit of the flow or an area. Our own figure. */
#define ETA_POOR 0.25

static bool doubt_poor(const struct doubted *of, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = of->e;
    char name[DOUBTED_NAME_SIZE];
    if (e->form->n_coef < 2 || !(e->curve.coef[0] < ETA_POOR))
        return true;
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "%sHardly any collector is as poor as this (under %.0f %% with water as "
        "warm as the air): %s.",
        doubt_who(of, name, sizeof name), 100 * ETA_POOR,
        advice_words(ADVICE_POOR, of->reduction->from_log));
}

/* Shares of the sunshine that no flat plate makes into heat, with water as warm as the air. A clear
 * pane lets 91 % through, one against reflection 96 %; a black coat takes in 96 %; the tubes get 98
 * % of that. Common practice, no source; the limits are our own. */
#define ETA_GOOD 0.95
#define ETA_GOOD_GLAZED 0.90

/* As much as that, all its errors counted; more than the sunshine is said elsewhere. */
static bool doubt_good(const struct doubted *of, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = of->e;
    const bool glazed = of->reduction->setup.construction.cover.given;
    const double most = glazed ? ETA_GOOD_GLAZED : ETA_GOOD;
    char name[DOUBTED_NAME_SIZE];
    double u, dof;
    size_t n;
    if (e->form->n_coef < 2 || worst_point(of, &n) != NULL)
        return true;
    efficiency_combined(e, 0, &u, &dof);
    if (!(e->curve.coef[0] - 2 * u > most))
        return true;
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "%sNo collector %sis as good as this (over %.0f %% with water as warm as "
        "the air, its errors counted): %s.",
        doubt_who(of, name, sizeof name), glazed ? "behind a pane " : "", 100 * most,
        advice_words(ADVICE_POOR, of->reduction->from_log));
}

/* A form that the description asks for is given as asked, impossible or not. */
static bool doubt_bend(const struct doubted *of, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = of->e;
    for (size_t j = 0; j < e->form->n_coef; j++) {
        if (!text_same(e->form->symbols[j], "a2") || !(e->curve.coef[j] > EFFICIENCY_MOST_A2))
            continue;
        char found[160];
        snprintf(found, sizeof found,
                 "the curve bends more than any collector's (a2 = %.3g W/(m2 K2); at most %.2g)",
                 e->curve.coef[j], EFFICIENCY_MOST_A2);
        return doubt(of, found, ADVICE_BENT, doc, faults);
    }
    return true;
}

/* Less than none of the sunshine, or half as much again as all of it: no area, no pane and no error
 * of an instrument makes that of a collector. Our own figure for the second. */
#define ETA0_LEAST 0.0
#define ETA0_MOST 1.5
/* An interval of half this width in the middle of what was tested says nothing there either. */
#define HALF_MOST 0.5

/* Half of the curve's 95 % interval in the middle of the tested range. */
static double half_in_the_middle(const struct efficiency *e)
{
    struct fit_condition at = {
        .x = 0.5 * (e->design.least_x + e->design.most_x), .g = 1000, .wind = e->draw_wind};
    double terms[EFFICIENCY_COEFS];
    struct fit_parts parts = efficiency_parts(e);
    struct fit_band band;
    e->form->terms(&at, terms);
    fit_band_curve(&parts, terms, &band);
    return band.half_95;
}

bool efficiency_says_nothing(const struct efficiency *e, double *low, double *high)
{
    double u, dof;
    if (e->form->n_coef < 2)
        return false;
    efficiency_combined(e, 0, &u, &dof);
    double half = fit_coverage_95(dof) * u;
    *low = e->curve.coef[0] - half;
    *high = e->curve.coef[0] + half;
    return *high < ETA0_LEAST || *low > ETA0_MOST ||
           (*low < 0 && *high > 1 && half_in_the_middle(e) > HALF_MOST);
}

bool efficiency_refuse_nothing(const struct efficiency *e, bool from_log, struct faults *faults)
{
    double low, high;
    if (!efficiency_says_nothing(e, &low, &high))
        return true;
    enum advice advice = low > ETA0_MOST     ? ADVICE_BEYOND_SUN
                         : high < ETA0_LEAST ? ADVICE_LOSS
                                             : ADVICE_BENT;
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "%s: by it eta0 lies between %.4g and %.4g",
                advice == ADVICE_BENT ? "the curve says nothing" : "the curve is no collector's",
                low, high);
    fault_expected(fault, "an eta0 between 0 and 1, as all collectors have");
    fault_hint(fault, "%s", advice_words(advice, from_log));
    return false;
}

bool efficiency_doubts(const struct doubted *of, struct document *doc, struct faults *faults)
{
    bool unit_changed = false;
    double low, high;
    if (!doubt_factor(of, &unit_changed, doc, faults) || !doubt_points(of, doc, faults) ||
        !doubt_bright(of, doc, faults))
        return false;
    if (of->e == NULL)
        return true;
    /* Of a unit that changed the points scatter anyhow, and a curve that says nothing has no band.
     */
    bool scatter = !unit_changed && !efficiency_says_nothing(of->e, &low, &high);
    return doubt_loss(of, doc, faults) && doubt_poor(of, doc, faults) &&
           doubt_good(of, doc, faults) && doubt_bend(of, doc, faults) &&
           (!scatter || doubt_scatter(of, doc, faults));
}
