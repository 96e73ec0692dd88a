/* What the points say about the curve: scatter, the farthest point, who holds and who pulls the
 * curve, lack of fit, trends, points left out. A number and one sentence each. */
#include "run/efficiency_trends.h"
#include "run/efficiency_view.h"

#include "fit/distributions.h"
#include "fit/lack_of_fit.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { SAYS_COLUMNS = 3, SAYS_FOUND = 96, SAYS_TEXT = 900 };

/* Below it a probability is no chance: the usual 5 %. */
#define SAYS_CHANCE 0.05

/* From here on a point's own value is nearly all that the curve goes by there; our own figure. */
#define SAYS_HOLDS 0.8

/* From here on a point pulls the curve. Source: as in efficiency_outlier.c. */
#define SAYS_PULLS 1.0

struct says {
    const struct efficiency_view *view;
    struct table *table;
    struct faults *faults;
};

static bool say(const struct says *says, const char *what, const char *found, const char *meaning)
{
    struct cell cells[SAYS_COLUMNS] = {cell_text(what), cell_text(found), cell_text(meaning)};
    return table_row(says->table, cells, says->faults);
}

static const char *name_of(const struct says *says, size_t k)
{
    return says->view->points[says->view->e->index[k]].means->name;
}

static const char *scatter_meaning(const struct efficiency *e)
{
    double above = fit_chi2_above(e->curve.chi2, (double)e->curve.dof);
    bool by_scatter = e->scale == FIT_SCALE_ESTIMATED;
    if (above < SAYS_CHANCE)
        return e->scale == FIT_SCALE_STATED
                   ? "The points scatter more than their stated errors allow; 'scale = stated' "
                     "keeps the "
                     "intervals as they are: an error is missing or too small."
                   : "The points scatter more than their stated errors allow: an error is missing "
                     "or too "
                     "small. The intervals are widened by what is seen.";
    if (above > 1 - SAYS_CHANCE)
        return by_scatter
                   ? "The points scatter less than stated, and 'scale = estimated' narrows the "
                     "intervals by it."
                   : "The points scatter less than stated: stated errors of readings or days may "
                     "be too large. The intervals are not narrowed.";
    return "The points scatter as their stated errors let expect.";
}

static bool say_scatter(const struct says *says)
{
    const struct efficiency *e = says->view->e;
    char found[SAYS_FOUND];
    if (e->curve.equal_weights)
        return say(says, "scatter / stated", "not stated",
                   "No reading error is stated: how sure a point is, its scatter says.");
    if (!isfinite(e->curve.birge))
        return say(says, "scatter / stated", "none",
                   "As many points as coefficients: nothing is left to scatter.");
    snprintf(found, sizeof found, "%.2f", e->curve.birge);
    return say(says, "scatter / stated", found, scatter_meaning(e));
}

static bool say_farthest(const struct says *says)
{
    const struct efficiency *e = says->view->e;
    size_t most = e->n;
    char found[SAYS_FOUND], text[SAYS_TEXT], chance[32];
    for (size_t k = 0; k < e->n; k++)
        if (isfinite(e->cases[k].deleted) &&
            (most == e->n || fabs(e->cases[k].deleted) > fabs(e->cases[most].deleted)))
            most = k;
    if (most == e->n)
        return say(says, "farthest point", "not told",
                   "Too few points to tell one from the others.");
    double share = view_chance_of(e, most);
    words_fixed(e->cases[most].deleted, 1, found, sizeof found);
    snprintf(text, sizeof text,
             "'%s', in its own standard deviations; chance puts some point as far off in %s "
             "such tests%s",
             name_of(says, most), words_chance(share, chance, sizeof chance),
             share < SAYS_CHANCE ? ": look at it." : ": none stands out.");
    return say(says, "farthest point", found, text);
}

/* The case with the largest value of a member; e->n if none has one. */
static size_t largest(const struct efficiency *e, double (*of)(const struct fit_case *one))
{
    size_t most = e->n;
    for (size_t k = 0; k < e->n; k++)
        if (isfinite(of(&e->cases[k])) && (most == e->n || of(&e->cases[k]) > of(&e->cases[most])))
            most = k;
    return most;
}

static double leverage_of(const struct fit_case *one)
{
    return one->leverage;
}

static double cook_of(const struct fit_case *one)
{
    return one->cook;
}

static bool say_leverage(const struct says *says)
{
    const struct efficiency *e = says->view->e;
    size_t k = largest(e, leverage_of);
    char found[SAYS_FOUND], text[SAYS_TEXT];
    if (k == e->n)
        return true;
    snprintf(found, sizeof found, "%.2f", e->cases[k].leverage);
    if (e->cases[k].leverage >= SAYS_HOLDS)
        snprintf(text, sizeof text,
                 "'%s' holds the curve there nearly alone: no other point checks it. One "
                 "more at its temperature would.",
                 name_of(says, k));
    else
        snprintf(text, sizeof text,
                 "'%s' holds the curve most (%.2f on average; 1: alone). Others check "
                 "every point.",
                 name_of(says, k), (double)e->form->n_coef / (double)e->n);
    return say(says, "leverage, largest", found, text);
}

static bool say_cook(const struct says *says)
{
    const struct efficiency *e = says->view->e;
    size_t k = largest(e, cook_of);
    char found[SAYS_FOUND], text[SAYS_TEXT];
    if (k == e->n)
        return say(says, "Cook's distance", "not told",
                   "Nothing scatters, or a point stands alone: how far one pulls cannot be told.");
    snprintf(found, sizeof found, "%.2f", e->cases[k].cook);
    snprintf(
        text, sizeof text, "'%s' %s", name_of(says, k),
        e->cases[k].cook > SAYS_PULLS
            ? "pulls the curve: without it the coefficients would be quite others."
            : "pulls most; without it the curve would be nearly the same (over 1 it would not).");
    return say(says, "Cook's distance", found, text);
}

/* Level of each fitted point, for repeats. */
static void set_groups(const struct efficiency_view *view, size_t *group)
{
    for (size_t k = 0; k < view->e->n; k++) {
        double rise = view->points[view->e->index[k]].value.difference_K;
        group[k] = design_level_of(&view->e->design, rise);
    }
}

static void set_residuals(const struct efficiency *e, double *residual, double *weight)
{
    for (size_t k = 0; k < e->n; k++) {
        residual[k] = e->cases[k].residual;
        weight[k] = e->curve.equal_weights
                        ? 1
                        : 1 / fit_curve_variance(e->form, e->curve.coef, &e->used[k]);
    }
}

static bool say_lack(const struct says *says, struct document *doc)
{
    const struct efficiency *e = says->view->e;
    char found[SAYS_FOUND], text[SAYS_TEXT], chance[32];
    struct fit_lack lack;
    size_t *group = calloc(e->n + 1, sizeof *group);
    double *numbers = calloc(2 * e->n + 1, sizeof *numbers);
    bool good = group != NULL && numbers != NULL;
    enum fit_status status = FIT_NO_MEMORY;
    if (good) {
        set_residuals(e, numbers, numbers + e->n);
        set_groups(says->view, group);
        status = fit_lack_of_fit(numbers, numbers + e->n, group, e->n, e->form->n_coef, &lack);
    }
    free(group);
    free(numbers);
    if (!good)
        return fault_memory(says->faults);
    if (status != FIT_OK)
        return say(says, "lack of fit", "not told",
                   "Too few temperatures, or none repeated: whether the "
                   "form suits cannot be told.");
    snprintf(found, sizeof found, "F = %.2f", lack.f);
    snprintf(text, sizeof text,
             "Temperatures differ from the curve %s than repeats of one (by chance in %s "
             "such tests): %s.",
             lack.f > 1 ? "more" : "no more", words_chance(lack.p_value, chance, sizeof chance),
             lack.p_value < SAYS_CHANCE ? "the form does not follow the points well"
                                        : "nothing speaks against the form");
    return say(says, "lack of fit", found, text) &&
           (lack.p_value >= SAYS_CHANCE ||
            document_finding(doc, FINDING_DETAIL, true, says->faults, "Lack of fit, F = %.2f: %s",
                             lack.f, text));
}

static const char *why_not_told(const struct trend *trend)
{
    if (trend->of_mean)
        return "What a mean leaves over is heat loss, and goes with whatever the temperature goes "
               "with: cannot be told.";
    return trend->known
               ? "It hardly varied within a day beyond the curve's own terms, or too few points: "
                 "cannot be told."
               : "Not known of the points.";
}

/* 100 times the change of the condition over which a trend is told. */
static double reach_of(const struct trend *trend)
{
    const struct fit_trend *found = &trend->found;
    return 100 * (trend->daily ? found->reach : found->most - found->least);
}

/* "+0.4 ± 0.9 percentage points from 2.1 to 3.4 m/s", "... over the 12 points of a day" */
static void words_change(const struct trend *trend, char *out, size_t size)
{
    const struct fit_trend *found = &trend->found;
    double reach = reach_of(trend);
    char change[WORDS_SIZE], from[WORDS_SIZE], to[WORDS_SIZE];
    words_pm(reach * found->slope, reach * fit_t_quantile(0.975, found->dof) * found->u, "", change,
             sizeof change);
    if (trend->daily && found->reach < found->most - found->least) {
        snprintf(out, size, "%s percentage points over the %.0f points of a day", change,
                 found->reach + 1);
        return;
    }
    words_fixed(found->least, trend->places, from, sizeof from);
    words_fixed(found->most, trend->places, to, sizeof to);
    snprintf(out, size, "%s percentage points from %s to %s%s%s", change, from, to,
             trend->unit[0] == '\0' ? "" : " ", trend->unit);
}

static bool say_trend(const struct says *says, const struct trends *trends,
                      const struct trend *trend)
{
    char what[48], found[SAYS_FOUND], text[SAYS_TEXT], change[SAYS_TEXT / 2];
    snprintf(what, sizeof what, "by %s", trend->word);
    if (!trend->told)
        return say(says, what, "not told", why_not_told(trend));
    words_fixed(trend->found.t, 1, found, sizeof found);
    words_change(trend, change, sizeof change);
    if (trends_chance(trends, trend) < TREND_CHANCE)
        snprintf(text, sizeof text, "A trend: %s. Mostly %s.", change, trend->likely);
    else
        snprintf(text, sizeof text, "No trend: %s.", change);
    char t[SAYS_FOUND + 8];
    snprintf(t, sizeof t, "t = %s", found);
    return say(says, what, t, text);
}

/* Whether a trend is large enough beside the curve's own interval to be acted on. */
static bool is_large(const struct efficiency_view *view, const struct trend *trend)
{
    struct view_bands bands;
    view_bands_at(view, view_budget_x(view), view->run->draw_at_W_m2, &bands);
    return fabs(reach_of(trend) * trend->found.slope) >
           100 * TREND_LEAST_SHARE * bands.curve.half_95;
}

/* A trend that is hardly chance, and large, also stands on the first screen. */
static bool warn_trend(const struct efficiency_view *view, const struct trends *trends,
                       const struct trend *trend, struct document *doc, struct faults *faults)
{
    char change[SAYS_TEXT / 2], chance[32];
    double share = trends_chance(trends, trend);
    if (!trend->told || !(share < TREND_CHANCE_MARKED) || !is_large(view, trend))
        return true;
    words_change(trend, change, sizeof change);
    return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                            "What the curve leaves over goes with the %s: %s (by chance in %s such "
                            "tests). Mostly %s. No interval holds it.",
                            trend->word, change, words_chance(share, chance, sizeof chance),
                            trend->likely);
}

static bool say_left_out(const struct says *says)
{
    const struct efficiency_view *view = says->view;
    char found[SAYS_FOUND], text[SAYS_TEXT];
    bool good = true;
    size_t n = 0;
    for (size_t i = 0; i < view->n && good; i++) {
        if (!view->points[i].left_out || view->points[i].oblique)
            continue;
        n++;
        words_fixed(
            100 * (view->points[i].value.eta -
                   fit_form_value(view->e->form, view->e->curve.coef, &view->points[i].fit.at)),
            1, found, sizeof found);
        snprintf(text, sizeof text,
                 "'%s', by the description: %s. It lies %s percentage points off the "
                 "curve of the others.",
                 view->points[i].means->name, view->points[i].reason, found);
        good = say(says, "left out", view->points[i].means->name, text);
    }
    return good && (n > 0 || say(says, "left out", "no point", "Every point counts."));
}

static struct table *says_table(const struct efficiency_view *view, struct document *doc,
                                struct faults *faults)
{
    struct column columns[SAYS_COLUMNS] = {
        {.id = "asked", .label = "asked", .unit = "", .kind = CELL_TEXT},
        {.id = "found", .label = "found", .unit = "", .kind = CELL_TEXT},
        {.id = "meaning", .label = "what it says", .unit = "", .kind = CELL_TEXT}};
    char id[96], note[240];
    snprintf(id, sizeof id, "%s_says", view->id);
    snprintf(
        note, sizeof note,
        "A trend counts as one if chance makes any as strong, all conditions together, in fewer "
        "than 1 of %.0f tests; only what differs within a day counts%s",
        1 / TREND_CHANCE, view->e->design.sessions > 1 ? "" : " (here there is one)");
    struct table *table = document_table(doc, id, "What the points say about the curve", note,
                                         columns, SAYS_COLUMNS, faults);
    if (table != NULL) {
        table->file = table->report = true;
        table->place = TABLE_POINTS;
    }
    return table;
}

bool view_says(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct trends trends;
    struct says says = {.view = view, .faults = faults};
    says.table = says_table(view, doc, faults);
    bool good = says.table != NULL && trends_find(view, &trends, faults) && say_scatter(&says) &&
                say_farthest(&says) && say_leverage(&says) && say_cook(&says) &&
                say_lack(&says, doc);
    for (size_t c = 0; c < TRENDS && good; c++)
        good = say_trend(&says, &trends, &trends.of[c]) &&
               warn_trend(view, &trends, &trends.of[c], doc, faults);
    return good && say_left_out(&says);
}
