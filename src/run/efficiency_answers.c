/* The answer of an efficiency run in sentences. */
#include "run/reduction_document.h"
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "run/advice.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *water(const struct efficiency_view *view)
{
    return view_fluid(view);
}

/* Efficiency and watts at a temperature difference and irradiance. */
static void state_at(const struct efficiency_view *view, double difference_K, double g_W_m2,
                     char *share, char *watts)
{
    struct view_bands bands;
    double area = view->setup->area_m2;
    view_bands_at(view, difference_K / g_W_m2, g_W_m2, &bands);
    words_percent(bands.curve.value, bands.curve.half_95, share, WORDS_SIZE);
    words_pm(bands.curve.value * area * g_W_m2, bands.curve.half_95 * area * g_W_m2, "W", watts,
             WORDS_SIZE);
}

/* "5.6" where both ends print alike, else "3.5 to 4.8". */
static const char *span(double from, double to, int places, char *out, size_t size)
{
    char low[WORDS_SIZE], high[WORDS_SIZE];
    words_fixed(from, places, low, sizeof low);
    words_fixed(to, places, high, sizeof high);
    bool alike = text_same(low, high);
    snprintf(out, size, "%.40s%s%.40s", low, alike ? "" : " to ", alike ? "" : high);
    return out;
}

static bool answer_mean(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    const struct design *d = &view->e->design;
    char share[WORDS_SIZE], watts[WORDS_SIZE], rise[WORDS_SIZE], reduced[WORDS_SIZE];
    double g = 0.5 * (d->least_g + d->most_g);
    double k = 0.5 * (d->least_K + d->most_K);
    state_at(view, k, g, share, watts);
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "With %s %s K warmer than the air (T* %s) it turns "
                            "%s of the sunshine on its %s area (%.4g m²) into heat: %s at "
                            "%.0f W/m².",
                            water(view), span(d->least_K, d->most_K, 1, rise, sizeof rise),
                            span(d->least_x, d->most_x, 4, reduced, sizeof reduced), share,
                            area_word(view->reduction->setup.collector.reference),
                            view->setup->area_m2, watts, g);
}

static bool answer_cold(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    char share[WORDS_SIZE], watts[WORDS_SIZE];
    double g = view->run->draw_at_W_m2;
    state_at(view, 0, g, share, watts);
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "With %s as warm as the air it turns %s of the sunshine on its %s area "
                            "(%.4g m²) into heat: %s at %.0f W/m².",
                            water(view), share,
                            area_word(view->reduction->setup.collector.reference),
                            view->setup->area_m2, watts, g);
}

/* At the warmest round difference that was tested. */
static bool answer_warm(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    double g = view->run->draw_at_W_m2;
    double k = 10 * floor(view->e->design.most_x * g / 10);
    if (k < 10)
        return true;
    char share[WORDS_SIZE], watts[WORDS_SIZE], wind[WORDS_SIZE] = "";
    state_at(view, k, g, share, watts);
    if (view->e->form->with_wind)
        snprintf(wind, sizeof wind, " and a wind of %.1f m/s",
                 view->e->draw_wind + view->setup->wind_origin_m_s);
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "With %s %.0f K warmer than the air: %s, %s at %.0f W/m²%s.",
                            water(view), k, share, watts, g, wind);
}

static bool answer_curve(const struct efficiency_view *view, struct document *doc,
                         struct faults *faults)
{
    const struct efficiency *e = view->e;
    struct text text = {0};
    char from[WORDS_SIZE], to[WORDS_SIZE], wind[WORDS_SIZE] = "";
    if (e->form->with_wind)
        snprintf(wind, sizeof wind, ", wind counted from %.3g m/s", view->setup->wind_origin_m_s);
    for (size_t j = 0; j < e->form->n_coef; j++) {
        double u, dof;
        char value[WORDS_SIZE];
        efficiency_combined(e, j, &u, &dof);
        words_pm(e->curve.coef[j], fit_coverage_95(dof) * u, view_unit_people(e->form->symbols[j]),
                 value, sizeof value);
        text_addf(&text, "%s%s = %s", j > 0 ? ", " : "", view_coef_people(e->form->symbols[j]),
                  value);
    }
    bool good =
        text_ok(&text, faults) &&
        document_finding(doc, FINDING_ANSWER, false, faults,
                         "%s for the %s temperature and the %s area%s; tested from T* %s to %s "
                         "m² K/W.",
                         text_string(&text), view->setup->basis == BASIS_INLET ? "inlet" : "mean",
                         area_word(view->reduction->setup.collector.reference), wind,
                         words_fixed(e->design.least_x, 4, from, sizeof from),
                         words_fixed(e->design.most_x, 4, to, sizeof to));
    text_free(&text);
    return good;
}

/* A little of it is chance; beyond that something is wrong with some of the points. */
static bool say_bent_back(const struct efficiency_view *view, const char *value,
                          struct document *doc, struct faults *faults)
{
    bool surely = view->e->term.ratio < -3;
    return document_finding(
        doc, FINDING_CANNOT, surely, faults,
        "Whether the loss grows with temperature cannot be told: the points bend the other way (a₂ = "
        "%s), which no collector does. A straight line is given, and what a usual bend could hide is "
        "counted. %s%s.",
        value, surely ? "What to do: " : "",
        surely ? advice_words(ADVICE_BENT, view->reduction->from_log)
               : "More points at the coldest and the warmest inlet would tell");
}

static bool say_term(const struct efficiency_view *view, struct document *doc,
                     struct faults *faults)
{
    const struct efficiency_term *term = &view->e->term;
    char value[WORDS_SIZE];
    words_pm(term->value, 2 * term->u, "W/(m² K²)", value, sizeof value);
    switch (term->verdict) {
    case TERM_NOT_TRIED:
        return true;
    case TERM_UNSEEN:
        return document_finding(
            doc, FINDING_CANNOT, false, faults,
            "These points cannot show whether the loss grows with temperature; "
            "what a usual bend (a₂ up to %.2g W/(m² K²)) could hide is counted. "
            "A third temperature and a span of %.0f K would tell.",
            term->upper, design_need("second order")->spread_K);
    case TERM_KEPT:
        return document_finding(doc, FINDING_DETAIL, false, faults,
                                "The loss grows with temperature: a₂ is %.1f times its "
                                "uncertainty from readings.",
                                term->ratio);
    case TERM_INDICATED:
        return document_finding(doc, FINDING_DETAIL, false, faults,
                                "That the loss grows with temperature is indicated only: a₂ is "
                                "%.1f times its uncertainty from readings (3 would be clear).",
                                term->ratio);
    case TERM_TOO_BENT:
        return document_finding(
            doc, FINDING_CANNOT, true, faults,
            "The points bend more than any collector does (a₂ = %.3g W/(m² K²); at most %.2g by "
            "our "
            "own figure): a straight line is given, and what a bend could hide is counted. What "
            "to do: %s.",
            term->value, EFFICIENCY_MOST_A2, advice_words(ADVICE_BENT, view->reduction->from_log));
    default:
        if (term->value < 0.0)
            return say_bent_back(view, value, doc, faults);
        return document_finding(
            doc, FINDING_CANNOT, false, faults,
            "Whether the loss grows with temperature cannot be told (a₂ = %s, %.2f times its "
            "standard uncertainty; %.3g needed): a straight line is given, and what "
            "such a bend could hide is counted. More points at the coldest and the warmest inlet "
            "would tell.",
            value, term->ratio, view->run->drop_below);
    }
}

static bool say_scale(const struct efficiency_view *view, struct document *doc,
                      struct faults *faults)
{
    const struct efficiency *e = view->e;
    if (e->curve.equal_weights && e->curve.dof == 0)
        return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                                "One point without a stated reading error: how far such a reading "
                                "scatters is not known and not counted. Repeat it, or state the "
                                "instruments' errors.");
    if (e->curve.equal_weights)
        return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                                "No reading error is stated: every point counts the same, and the "
                                "scatter alone says how sure a reading is.");
    if (!isfinite(e->curve.birge))
        return true;
    const char *what = e->curve.birge > 1.5   ? "the points scatter more than their stated errors "
                                                "explain: something varied that is not listed"
                       : e->curve.birge > 1.15 ? "the points scatter a little more than claimed"
                       : e->curve.birge < 0.5  ? "the points scatter less than claimed: reading "
                                                 "errors may be stated too large"
                                               : "the claimed reading errors explain the scatter";
    const char *used = e->scale_factor > 1     ? "; intervals were widened by it"
                       : isfinite(e->scale_dof) ? "; so few points cannot rule out more than "
                                                  "stated, and the intervals allow for it"
                                                : "";
    return document_finding(doc, FINDING_DETAIL, e->curve.birge > 1.5, faults,
                            "Scatter seen ÷ claimed (Birge ratio) is %.2f: %s%s.", e->curve.birge,
                            what, used);
}

/* Whether an error moves the readings of a channel. */
static bool moves(const struct error_source *row, enum channel channel)
{
    for (size_t k = 0; k < row->n_targets; k++)
        if (row->targets[k].channel == channel &&
            (row->targets[k].what == SHIFT_GAIN || row->targets[k].what == SHIFT_OFFSET))
            return true;
    return false;
}

/* Whether any error row stands for an instrument: its rows are named "NAME.slot"; a check's reference
 * is that of all whom it checked. */
static bool has_errors(const struct error_registry *registry, const struct instrument *instrument)
{
    size_t n = strlen(instrument->name);
    for (size_t i = 0; i < registry->n; i++) {
        const char *id = registry->rows[i].id;
        if ((strncmp(id, instrument->name, n) == 0 && id[n] == '.') ||
            moves(&registry->rows[i], instrument->channel))
            return true;
    }
    return false;
}

/* What the points rest on without any instrument being named for it: typed points alone can. A flow
 * that is formed from the mass flow has the errors of that. */
static void add_unnamed(const struct efficiency_view *view, struct text *names)
{
    static const enum channel needed[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,
                                          CH_OUTLET,     CH_FLOW,    CH_MASS_FLOW};
    const struct test_setup *setup = &view->reduction->setup;
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
        if (view->n > 0 && view->points[0].means->has[needed[i]] &&
            !(needed[i] == CH_FLOW && view->points[0].means->has[CH_MASS_FLOW]) &&
            instrument_of_channel(setup->instruments, setup->n_instruments, needed[i]) == NULL)
            text_addf(names, "%sthe %s", names->length > 0 ? ", " : "",
                      channel_row(needed[i])->word);
}

static bool say_exact(const struct efficiency_view *view, struct document *doc,
                      struct faults *faults)
{
    const struct test_setup *setup = &view->reduction->setup;
    struct text names = {0};
    add_unnamed(view, &names);
    for (size_t i = 0; i < setup->n_instruments; i++)
        if (!has_errors(&setup->errors, &setup->instruments[i]))
            text_addf(&names, "%s'%s'", names.length > 0 ? ", " : "", setup->instruments[i].name);
    bool good = text_ok(&names, faults);
    if (good && names.length > 0)
        good =
            document_finding(doc, FINDING_ANSWER, true, faults,
                             "The interval is too narrow: no error is stated for %s, taken as "
                             "exact. State a 'kind' or a 'calibration' for each, in an "
                             "[instrument NAME].",
                             text_string(&names));
    text_free(&names);
    return good;
}

static bool say_left_out(const struct efficiency_view *view, struct document *doc,
                         struct faults *faults)
{
    struct text names = {0};
    size_t n = 0, oblique = 0;
    for (size_t i = 0; i < view->n; i++)
        if (view->points[i].oblique) {
            oblique++;
        } else if (view->points[i].left_out) {
            text_addf(&names, "%s%s (%s)", n > 0 ? "; " : "", view->points[i].means->name,
                      view->points[i].reason);
            n++;
        }
    bool good = text_ok(&names, faults) &&
                (n == 0 || document_finding(doc, FINDING_WINDOWS, true, faults,
                                            "Left out by the description, %zu of %zu points: %s.",
                                            n, view->n, text_string(&names)));
    text_free(&names);
    /* Of a log the windows' own sentence says so. */
    return good && (oblique == 0 || view->reduction->from_log ||
                    document_finding(doc, FINDING_WINDOWS, false, faults,
                                     "Of %zu points %zu are too far off the normal for the curve; "
                                     "they make the modifier.", view->n, oblique));
}

static bool say_reduced(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    if (view->n == 0 || !view->points[0].means->reduced)
        return true;
    return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                            "Reduced points do not tell the temperature rise: an error of the "
                            "thermometer pair is not counted.");
}

static bool say_no_slope(const struct efficiency_view *view, struct document *doc,
                         struct faults *faults)
{
    if (design_holds(&view->e->design, "line"))
        return document_finding(doc, FINDING_CANNOT, false, faults,
                                "The form 'mean' says nothing of the heat loss, although these "
                                "points would hold a straight line ('form = automatic').");
    return document_finding(doc, FINDING_CANNOT, false, faults,
                            "The heat loss cannot be said: the points lie at %zu temperature%s, "
                            "%.1f K apart at most. A straight line needs %zu points at %zu "
                            "temperatures that span %.0f K.",
                            view->e->design.n_levels, view->e->design.n_levels == 1 ? "" : "s",
                            view->e->design.most_K - view->e->design.least_K,
                            design_need("line")->points, design_need("line")->levels,
                            design_need("line")->spread_K);
}

bool view_answers(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    bool mean = view->e->form->n_coef == 1;
    bool good = mean ? answer_mean(view, doc, faults)
                     : answer_cold(view, doc, faults) && answer_warm(view, doc, faults) &&
                           answer_curve(view, doc, faults);
    if (mean && good)
        good = say_no_slope(view, doc, faults);
    return good &&
           document_finding(doc, FINDING_ANSWER, false, faults,
                            "Counted in the intervals: readings, what differs from day to day, and "
                            "calibration.") &&
           say_term(view, doc, faults) && view_wind_term(view, doc, faults) &&
           say_scale(view, doc, faults) &&
           reduction_clocks(view->reduction,
                            view->e->curve.equal_weights ? NAN : view->e->curve.birge, doc,
                            faults) &&
           say_exact(view, doc, faults) && view_surroundings(view, doc, faults) &&
           view_days(view, doc, faults) && view_limits(view, doc, faults) &&
           say_reduced(view, doc, faults) && view_criteria(view, doc, faults) &&
           say_left_out(view, doc, faults) && view_conditions(view, doc, faults);
}
