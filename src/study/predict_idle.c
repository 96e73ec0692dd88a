/* How hot an idle plate gets, against what its materials stand. */
#include "study/predict_view.h"

#include "physics/stagnation.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define U_SEEN_K 3.0 /* our figure: a stated stagnation temperature without an error */

void predict_idle_of(const struct predict_view *view, const struct prediction *p,
                     struct predict_idle *out)
{
    const struct stagnation_keys *seen = &view->reduction->setup.construction.stagnation;
    const struct measured *m = view->measured;
    bool as_built = p == view->prediction;
    double air = STAGNATION_AMBIENT_DEGC;
    out->built_degC = p->value[ANSWER_IDLE_PLATE];
    out->built_u_K = prediction_u(p, ANSWER_IDLE_PLATE);
    out->built_safe_degC =
        stagnation_hot_spot_degC(out->built_degC + predict_half(out->built_u_K), air);
    out->cover_safe_degC =
        p->value[ANSWER_IDLE_COVER] + predict_half(prediction_u(p, ANSWER_IDLE_COVER));
    out->cover_safe_degC = stagnation_hot_spot_degC(out->cover_safe_degC, air);
    out->seen_degC = out->seen_safe_degC = NAN;
    if (as_built && seen->given) {
        double half = predict_half(seen->error.at.given ? seen->error.u : U_SEEN_K);
        double upper = stagnation_brought_degC(seen->plate_degC.value + half, seen->g_W_m2.value,
                                               seen->ambient_degC.value, STAGNATION_G_W_M2, air);
        out->seen_degC = stagnation_brought_degC(seen->plate_degC.value, seen->g_W_m2.value,
                                                 seen->ambient_degC.value, STAGNATION_G_W_M2, air);
        out->seen_safe_degC = stagnation_hot_spot_degC(upper, air);
    }
    out->worst_degC = out->built_safe_degC;
    if (as_built && m->idle)
        out->worst_degC = fmax(out->worst_degC, m->idle_safe_degC);
    if (isfinite(out->seen_safe_degC))
        out->worst_degC = fmax(out->worst_degC, out->seen_safe_degC);
}

static bool way_row(struct table *table, const char *way, double mean, double half, double safe,
                    struct faults *faults)
{
    struct cell cells[] = {cell_text(way), cell_number(mean), cell_number(half), cell_number(safe)};
    return table_row(table, cells, faults);
}

static bool ways_table(const struct predict_view *view, const struct predict_idle *idle,
                       struct document *doc, struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"way", "known from", "", -1},
        {"mean_degC", "absorber, mean", "degC", 0},
        {"pm_K", "±", "K", 0},
        {"hottest_degC", "hottest spot, upper end", "degC", 0},
    };
    const struct measured *m = view->measured;
    struct table *table = predict_table(
        doc, "idle", "How hot it gets when nobody draws heat",
        "1000 W/m², air and sky at 30 °C, no wind. Taken on the hot side: upper end of the 95 % "
        "interval, and 10 % of the rise more for the hottest spot.",
        columns, sizeof columns / sizeof columns[0], true, faults);
    if (table == NULL || !way_row(table, "the construction", idle->built_degC,
                                  predict_half(idle->built_u_K), idle->built_safe_degC, faults))
        return false;
    if (m->idle && !way_row(table, "the measured curve, carried on", m->idle_degC,
                            predict_half(m->idle_u_K), m->idle_safe_degC, faults))
        return false;
    return !isfinite(idle->seen_degC) ||
           way_row(table, "the temperature that was seen", idle->seen_degC, NAN,
                   idle->seen_safe_degC, faults);
}

static const char *limit_verdict(double margin_K)
{
    return !isfinite(margin_K) ? "no limit known"
           : margin_K < 0.0    ? "TOO HOT for it"
           : margin_K < 20.0   ? "hardly any margin"
                               : "stands it";
}

static double hot_degC(const struct build_limit *limit, const struct predict_idle *idle)
{
    return limit->at_cover ? idle->cover_safe_degC : idle->worst_degC;
}

static double likely_degC(const struct build_limit *limit, const struct predict_view *view,
                          const struct predict_idle *idle)
{
    double likely = idle->built_degC;
    if (limit->at_cover)
        return view->prediction->value[ANSWER_IDLE_COVER];
    if (view->measured->idle)
        likely = fmax(likely, view->measured->idle_degC);
    return isfinite(idle->seen_degC) ? fmax(likely, idle->seen_degC) : likely;
}

static bool limits_table(const struct predict_view *view, const struct predict_idle *idle,
                         struct document *doc, struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"part", "part", "", -1},
        {"material", "material", "", -1},
        {"limit_degC", "stands", "degC", 0},
        {"reached_degC", "up to", "degC", 0},
        {"margin_K", "margin", "K", 0},
        {"verdict", "", "", -1},
        {"source", "source of the limit", "", -1},
    };
    const struct build *b = &view->prediction->build;
    struct table *table = predict_table(
        doc, "limits", "What the materials stand",
        "The edge's insulation and the seals are taken to get as hot as the absorber. A data sheet "
        "has the last word: 'service limit' in [back] and [edge].",
        columns, sizeof columns / sizeof columns[0], true, faults);
    bool good = table != NULL;
    for (size_t i = 0; i < b->n_limits && good; i++) {
        const struct build_limit *limit = &b->limits[i];
        double hot = hot_degC(limit, idle), margin = limit->limit_degC - hot;
        struct cell cells[] = {
            cell_text(limit->part),   cell_text(limit->material), cell_number(limit->limit_degC),
            cell_number(hot),         cell_number(margin),        cell_text(limit_verdict(margin)),
            cell_text(limit->source),
        };
        good = table_row(table, cells, faults);
    }
    return good;
}

/* Whether the same is to be said of both: insulations of one material behind and at the edge. */
static bool same_limit(const struct build_limit *a, const struct build_limit *b)
{
    return text_same(a->material, b->material) && a->at_cover == b->at_cover &&
           a->limit_degC == b->limit_degC && a->conducts == b->conducts;
}

/* "insulation behind the absorber and the insulation of the edge". Returns: how many. */
static size_t join_parts(const struct build *b, size_t i, struct text *out)
{
    size_t n = 0;
    for (size_t k = i; k < b->n_limits; k++)
        if (same_limit(&b->limits[i], &b->limits[k]))
            text_addf(out, "%s%s", n++ > 0 ? " and the " : "", b->limits[k].part);
    return n;
}

static bool is_told(const struct build *b, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (same_limit(&b->limits[k], &b->limits[i]))
            return true;
    return false;
}

static bool say_limit(const struct predict_view *view, const struct predict_idle *idle, size_t i,
                      struct document *doc, struct faults *faults)
{
    const struct build_limit *limit = &view->prediction->build.limits[i];
    struct text parts = {0};
    bool one = join_parts(&view->prediction->build, i, &parts) == 1;
    double hot = hot_degC(limit, idle);
    bool too_hot = limit->limit_degC < hot;
    bool good = text_ok(&parts, faults) &&
                document_finding(
                    doc, FINDING_ANSWER, true, faults,
                    "The %s (%s) stand%s %.0f °C, and idle %s to some %.0f °C; %.0f °C cannot "
                    "be ruled out: %s%s.",
                    text_string(&parts), limit->material, one ? "s" : "", limit->limit_degC,
                    one ? "it gets" : "they get",
                    stagnation_told_degC(likely_degC(limit, view, idle)), stagnation_told_degC(hot),
                    !too_hot ? "hardly any margin"
                    : one    ? "too hot for it; another material, or the collector must never "
                               "stand idle in the sun"
                             : "too hot for them; another material, or the collector must "
                               "never stand idle in the sun",
                    too_hot && limit->conducts
                        ? "; the conductivity there is carried on along a straight line beyond "
                          "what is known"
                        : "");
    text_free(&parts);
    return good;
}

static bool say_limits(const struct predict_view *view, const struct predict_idle *idle,
                       struct document *doc, struct faults *faults)
{
    const struct build *b = &view->prediction->build;
    for (size_t i = 0; i < b->n_limits; i++)
        if (b->limits[i].limit_degC - hot_degC(&b->limits[i], idle) < 20.0 && !is_told(b, i) &&
            !say_limit(view, idle, i, doc, faults))
            return false;
    return true;
}

/* Klein's formula beside the balance, at the operating point. */
static bool say_klein(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    const struct prediction *p = view->prediction;
    const struct predict_wish *w = view->wish;
    const struct build *b = &p->build;
    double wind = b->plate.wind_factor * (2.8 + 3.0 * w->point_wind_m_s);
    double above_K = p->point.plate_degC - w->point_ambient_degC;
    double klein =
        top_loss_klein(b->plate.n_covers, b->plate.emittance, b->plate.cover_emittance[0],
                       p->point.plate_degC, w->point_ambient_degC, wind, b->weather.tilt_rad);
    if (!isfinite(klein) || above_K < 5.0)
        return true;
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "Through the front the absorber loses %.2f W/(m² K) at the operating "
                            "point by the balance (with its sky and the sunshine that the cover "
                            "keeps); the handbook formula (Klein 1979), which knows neither, says "
                            "%.2f.",
                            p->point.top_W / b->plate.absorber_m2 / above_K, klein);
}

bool predict_limits(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    struct predict_idle idle;
    predict_idle_of(view, view->prediction, &idle);
    struct number hot = {.id = "idle.built.hot",
                         .label = "idle absorber, hottest spot, upper end, by the construction",
                         .symbol = "t_idle",
                         .unit = "degC",
                         .value = idle.built_safe_degC,
                         .u = NAN,
                         .low = NAN,
                         .high = NAN,
                         .dof = INFINITY};
    char curve[120] = "";
    if (view->measured->idle)
        snprintf(curve, sizeof curve, " (by the measured curve some %.0f and %.0f °C)",
                 stagnation_told_degC(view->measured->idle_degC),
                 stagnation_told_degC(view->measured->idle_safe_degC));
    return document_number(doc, &hot, faults) &&
           document_finding(doc, FINDING_ANSWER, false, faults,
                            "Idle in full sun (1000 W/m², air at 30 °C, no wind) the absorber gets "
                            "to some %.0f °C by the construction; %.0f °C at its hottest spot "
                            "cannot be ruled out%s: burns, steam, softened foam.",
                            stagnation_told_degC(idle.built_degC),
                            stagnation_told_degC(idle.built_safe_degC), curve) &&
           say_limits(view, &idle, doc, faults) && ways_table(view, &idle, doc, faults) &&
           limits_table(view, &idle, doc, faults) && say_klein(view, doc, faults) &&
           document_caution(doc,
                            "A stagnation temperature printed here is computed, not measured, and "
                            "holds for one plate, one sun and one air. Before a plate stands idle: "
                            "a relief valve piped to a safe place, nothing that softens, chars or "
                            "fumes near the absorber, the glass covered for work on it.",
                            faults);
}
