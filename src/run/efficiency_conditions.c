/* What an efficiency run says of the wind, the sky and the days of its points. */
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool say_origin(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults)
{
    const struct efficiency *e = view->e;
    double origin = view->setup->wind_origin_m_s;
    double other = origin > 0 ? 0.0 : 3.0;
    double a3 = e->curve.coef[e->form->n_coef - 1];
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "a₁ holds in a wind of %.3g m/s. Counted from %.3g m/s the same curve has "
        "a₁ = %.3f W/(m² K): editions of the standard differ in this, so compare "
        "only numbers of one origin.",
        origin, other, e->curve.coef[1] + a3 * (other - origin));
}

static bool say_wind_of_days(const struct efficiency_view *view, struct document *doc,
                             struct faults *faults)
{
    const struct efficiency_term *wind = &view->e->wind;
    char value[WORDS_SIZE];
    return document_finding(
        doc, FINDING_UNCERTAINTY, true, faults,
        "From day to day the loss goes with the wind (a₃ = %.3g J/(m³ K)), but within the days it does "
        "not (%s): something else differed between the days%s. Look at each day's sun sensor and flow.",
        wind->value,
        words_pm(wind->in_days_value, 2 * wind->in_days_u, "J/(m³ K)", value, sizeof value),
        view->e->form->with_wind ? ", and the wind term that was asked for hides it"
                                 : ", and no wind term is given");
}

bool view_wind_term(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    const struct efficiency_term *wind = &view->e->wind;
    char value[WORDS_SIZE];
    bool good = true;
    if (wind->verdict == TERM_KEPT || wind->verdict == TERM_INDICATED)
        good = document_finding(
            doc, FINDING_DETAIL, false, faults,
            "%s: a₃ is %.1f times its uncertainty from readings%s.",
            wind->verdict == TERM_KEPT ? "The loss grows with the wind"
                                       : "That the loss grows with the wind is indicated only",
            wind->ratio, wind->verdict == TERM_KEPT ? "" : " (3 would be clear)");
    else if (efficiency_wind_is_of_days(wind))
        good = say_wind_of_days(view, doc, faults);
    else if (wind->verdict == TERM_NEGATIVE || wind->verdict == TERM_WEAK)
        good = document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Whether the loss grows with the wind cannot be told (a₃ = %s): no wind term is given, "
            "and what the wind could hide is counted. Warm points on calm and on windy days would "
            "tell.",
            words_pm(wind->value, 2 * wind->u, "J/(m³ K)", value, sizeof value));
    return good && (!view->e->form->with_wind || say_origin(view, doc, faults));
}

/* The share of a source of the registry by its id; NULL if there is none. */
static const struct efficiency_share *share_of(const struct efficiency *e, const char *id)
{
    for (size_t k = 0; k < e->n_shares; k++)
        if (strcmp(e->shares[k].row->id, id) == 0)
            return &e->shares[k];
    return NULL;
}

static bool say_wind(const struct efficiency_view *view, struct document *doc,
                     struct faults *faults)
{
    const struct efficiency_share *share = share_of(view->e, "surroundings.wind");
    const struct stated_number *stated = &view->reduction->setup.site.wind_m_s;
    char widened[64] = "the result is widened";
    if (share == NULL)
        return true;
    if (view->e->form->n_coef > 1)
        snprintf(widened, sizeof widened, "a₁ is widened by ± %.2f W/(m² K)",
                 1.96 * fabs(share->d[1]));
    if (stated->at.given)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "The wind was not measured but stated, %.3g m/s: %s for how well it "
            "is known.",
            stated->value, widened);
    return document_finding(
        doc, FINDING_UNCERTAINTY, false, faults,
        "Wind unknown: %s, as much as the loss differs between 3 m/s and "
        "anything from 1 to 5 m/s (our own figure). An anemometer, or 'wind' in "
        "[site], would narrow it.",
        widened);
}

static const char *sky_source(const struct test_setup *setup)
{
    return !setup->site.sky.at.given || setup->site.sky.index == SKY_UNKNOWN ? "Sky unknown"
           : setup->site.sky.index == SKY_INDOORS                            ? "Test in a room"
                                                  : "Sky by Swinbank's formula";
}

/* Mean air temperature of the points; NaN for reduced ones. */
static double mean_air_degC(const struct efficiency_view *view)
{
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < view->n; i++) {
        if (view->points[i].left_out || !view->points[i].means->has[CH_AMBIENT])
            continue;
        sum += view->points[i].means->mean[CH_AMBIENT];
        n++;
    }
    return n > 0 ? sum / (double)n : NAN;
}

static bool say_formula_sky(const struct efficiency_view *view, struct document *doc,
                            struct faults *faults)
{
    const struct stated_choice *sky = &view->reduction->setup.site.sky;
    double air_degC = mean_air_degC(view);
    if (!sky->at.given || sky->index != SKY_SWINBANK || !isfinite(air_degC))
        return true;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "By Swinbank's formula (1963, from memory) a clear sky was %.0f K colder "
        "than the air: the result is for such a sky.",
        air_degC - sky_swinbank_degC(air_degC));
}

static bool say_sky(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = view->e;
    const struct exposure *exposure = &view->setup->exposure;
    const struct efficiency_share *share = share_of(e, "surroundings.sky");
    if (e->design.sky_points == e->design.points && e->design.points > 0)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "The sky was on average %.1f K %s than the air, and the result is for "
            "such a sky: under one as warm as the air this collector would give "
            "%.0f W/m² %s (%.3g W/m² a kelvin, %s).",
            fabs(e->design.mean_sky_K), e->design.mean_sky_K < 0 ? "colder" : "warmer",
            exposure->sky_W_m2K * fabs(e->design.mean_sky_K),
            e->design.mean_sky_K < 0 ? "more" : "less", exposure->sky_W_m2K, exposure->origin);
    if (share == NULL)
        return true;
    return document_finding(
               doc, FINDING_DETAIL, false, faults,
               "%s: the sky counts as ± %.1f percentage points of the efficiency for the "
               "whole test, and less from day to day (%.3g W/m² for each kelvin by which "
               "it is colder, %s).",
               sky_source(&view->reduction->setup), 196 * fabs(share->d[0]), exposure->sky_W_m2K,
               exposure->origin) &&
           say_formula_sky(view, doc, faults);
}

bool view_surroundings(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults)
{
    return say_wind(view, doc, faults) && say_sky(view, doc, faults);
}

bool view_days(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = view->e;
    const struct efficiency_days *days = &e->days;
    const char *what = days->seen.p_value < EFFICIENCY_DAYS_CHANCE
                           ? "the days differ, but by no more than is claimed for a day"
                           : "the days do not differ by more than chance would make";
    char chance[32];
    if (e->design.sessions < 2)
        return true;
    if (!days->told)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "No temperature was measured on two days with a repeat: whether days "
            "differ by more than is claimed cannot be told.");
    if (days->extra > 0)
        return document_finding(
            doc, FINDING_UNCERTAINTY, true, faults,
            "The days differ: scatter between days ÷ within them F = %.1f "
            "(probability %.2g by chance). So %zu days count as so many units and "
            "not %zu windows: ± %.1f percentage points a day are added.",
            days->seen.f, days->seen.p_value, e->design.sessions, e->n, 196 * sqrt(days->extra));
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "Scatter between days ÷ within them at the same temperature: F = %.2f "
                            "(by chance as much in %s such tests): %s.",
                            days->seen.f,
                            words_chance(days->seen.p_value, chance, sizeof chance), what);
}

bool view_conditions(const struct efficiency_view *view, struct document *doc,
                     struct faults *faults)
{
    const struct design *d = &view->e->design;
    char wind[96] = "whatever wind there was";
    if (d->least_flow_kg_s > d->most_flow_kg_s)
        return true;
    if (design_has_wind(d))
        snprintf(wind, sizeof wind, "wind (%.1f to %.1f m/s, %.1f on average)", d->least_wind_m_s,
                 d->most_wind_m_s, d->mean_wind_m_s);
    else if (d->wind_points > 0)
        snprintf(wind, sizeof wind, "wind (measured at %zu of %zu points)", d->wind_points,
                 d->points);
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "The result holds for the tested flow (%.4f to %.4f kg/s), irradiance "
                            "(%.0f to %.0f W/m²), tilt and %s.",
                            d->least_flow_kg_s, d->most_flow_kg_s, d->least_g, d->most_g, wind);
}
