/* What-if: each change beside the plate as it is. */
#include "study/predict_view.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

enum { CURVE_STEPS = 31, FIGURE_COLUMNS = 6 };

static const struct prediction *variant(const struct predict_view *view, size_t i)
{
    return i == 0 ? view->prediction : &view->changes[i - 1].prediction;
}

static const char *variant_name(const struct predict_view *view, size_t i)
{
    return i == 0 ? "as it is" : view->changes[i - 1].text;
}

static double coefficient(const struct prediction *p, const struct fit_form *form,
                          const char *symbol)
{
    for (size_t j = 0; j < form->n_coef; j++)
        if (text_same(form->symbols[j], symbol))
            return p->value[ANSWER_COEF + j];
    return NAN;
}

static bool change_row(const struct predict_view *view, size_t i, struct table *table,
                       struct faults *faults)
{
    enum { LAST = ANSWER_ETA + PREDICT_STATES - 1, HEAT = ANSWER_POINT_LOSS + LOSS_USEFUL };
    const struct prediction *one = variant(view, 0), *p = variant(view, i);
    const struct fit_form *form = view->wish->form;
    struct predict_idle idle;
    predict_idle_of(view, p, &idle);
    struct cell cells[] = {
        cell_text(variant_name(view, i)),
        cell_number(coefficient(p, form, form->n_coef == 1 ? "eta" : "eta0")),
        cell_number(coefficient(p, form, "a1")),
        cell_number(coefficient(p, form, "a2")),
        cell_number(i == 0 ? NAN : 100.0 * (p->value[ANSWER_ETA] - one->value[ANSWER_ETA])),
        cell_number(i == 0 ? NAN
                           : 100.0 * predict_half(prediction_u_difference(one, p, ANSWER_ETA))),
        cell_number(i == 0 ? NAN : 100.0 * (p->value[LAST] - one->value[LAST])),
        cell_number(i == 0 ? NAN : 100.0 * predict_half(prediction_u_difference(one, p, LAST))),
        cell_number(p->value[HEAT]),
        cell_number(i == 0 ? NAN : p->value[HEAT] - one->value[HEAT]),
        cell_number(i == 0 ? NAN : predict_half(prediction_u_difference(one, p, HEAT))),
        cell_number(idle.built_safe_degC),
    };
    return table_row(table, cells, faults);
}

static bool changes_table(const struct predict_view *view, struct document *doc,
                          struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"change", "change", "", -1},
        {"eta0", "η₀", "", 3},
        {"a1", "a₁", "W/(m2 K)", 2},
        {"a2", "a₂", "W/(m2 K2)", 4},
        {"cool", "coolest state", "points", 1},
        {"cool_pm", "±", "", 1},
        {"warm", "warmest state", "points", 1},
        {"warm_pm", "±", "", 1},
        {"heat_W", "heat", "W", 0},
        {"gain_W", "gain", "W", 0},
        {"gain_pm_W", "±", "W", 0},
        {"idle_degC", "idle, hottest spot", "degC", 0},
    };
    char note[300];
    snprintf(note, sizeof note,
             "Points: efficiency gained, in percentage points, at T* %.3f and %.3f. Heat at the "
             "operating point. What both builds share drops out of ±.",
             view->wish->x_m2K_W[0], view->wish->x_m2K_W[PREDICT_STATES - 1]);
    struct table *table = predict_table(doc, "changes", "What changes would do", note, columns,
                                        sizeof columns / sizeof columns[0], true, faults);
    bool good = table != NULL;
    for (size_t i = 0; i <= view->n_changes && good; i++)
        good = change_row(view, i, table, faults);
    return good;
}

static bool losses_table(const struct predict_view *view, struct document *doc,
                         struct faults *faults)
{
    struct predict_column columns[2 + LOSSES] = {{"change", "change", "", -1}};
    static const char *const ids[LOSSES] = {"useful_W", "front_W", "back_W",
                                            "edge_W",   "kept_W",  "reflected_W"};
    for (size_t k = 0; k < LOSSES; k++)
        columns[1 + k] = (struct predict_column){ids[k], loss_words[k], "W", 0};
    struct table *table =
        predict_table(doc, "change_losses", "The same, loss by loss", "At the operating point.",
                      columns, 1 + LOSSES, true, faults);
    bool good = table != NULL;
    for (size_t i = 0; i <= view->n_changes && good; i++) {
        struct cell cells[1 + LOSSES] = {cell_text(variant_name(view, i))};
        for (size_t k = 0; k < LOSSES; k++)
            cells[1 + k] = cell_number(variant(view, i)->value[ANSWER_POINT_LOSS + k]);
        good = table_row(table, cells, faults);
    }
    return good;
}

static bool draw(struct table *table, const char *part, size_t i, double a, double b, double kind,
                 const char *label, struct faults *faults)
{
    struct cell cells[FIGURE_COLUMNS] = {cell_text(part), cell_number((double)i), cell_number(a),
                                         cell_number(b),  cell_number(kind),      cell_text(label)};
    return table_row(table, cells, faults);
}

static bool draw_curve(const struct predict_view *view, size_t i, struct table *table,
                       struct faults *faults)
{
    const struct fit_form *form = view->wish->form;
    double from = view->wish->x_m2K_W[0], to = view->wish->x_m2K_W[PREDICT_STATES - 1];
    const struct plate_weather *weather = &view->prediction->build.weather;
    for (int k = 0; k < CURVE_STEPS; k++) {
        struct fit_condition at = {.x = from + (to - from) * k / (CURVE_STEPS - 1),
                                   .g = weather->g_W_m2,
                                   .wind = weather->wind_m_s - view->measured->wind_origin_m_s};
        double eta = fit_form_value(form, &variant(view, i)->value[ANSWER_COEF], &at);
        if (!draw(table, "curve", i, at.x, eta, 0, variant_name(view, i), faults))
            return false;
    }
    return true;
}

static bool draw_bars(const struct predict_view *view, size_t i, struct table *table,
                      struct faults *faults)
{
    const struct prediction *p = variant(view, i);
    struct predict_idle idle;
    double top = 0.0;
    char label[48];
    for (int k = 0; k < LOSSES; k++) {
        double share = 100.0 * p->value[ANSWER_POINT_LOSS + k] / p->point.sun_W;
        snprintf(label, sizeof label, "%.0f", share);
        if (!draw(table, "bar", i, top, top + share, k, label, faults))
            return false;
        top += share;
    }
    predict_idle_of(view, p, &idle);
    snprintf(label, sizeof label, "%.0f °C", idle.built_safe_degC);
    return draw(table, "idle", i, idle.built_safe_degC, 0, 0, label, faults);
}

/* What a single change does stands in the title. */
static void change_title(const struct predict_view *view, char *out, size_t size)
{
    enum { HEAT = ANSWER_POINT_LOSS + LOSS_USEFUL };
    const struct prediction *p = variant(view, 1);
    struct predict_idle idle;
    double more = p->value[HEAT] - view->prediction->value[HEAT];
    predict_idle_of(view, p, &idle);
    if (view->n_changes > 1)
        snprintf(out, size, "What %zu changes would do", view->n_changes);
    else
        snprintf(out, size, "%.80s: %.0f W %s heat, idle up to %.0f °C", variant_name(view, 1),
                 fabs(more), more < 0.0 ? "less" : "more", idle.built_safe_degC);
}

static bool changes_figure(const struct predict_view *view, struct document *doc,
                           struct faults *faults)
{
    static const struct predict_column columns[FIGURE_COLUMNS] = {
        {"part", "part", "", -1}, {"variant", "variant", "", 0}, {"a", "a", "", 4},
        {"b", "b", "", 4},        {"kind", "kind", "", 0},       {"label", "label", "", -1},
    };
    char point[160], title[200];
    change_title(view, title, sizeof title);
    struct table *table =
        predict_table(doc, "change", "Drawn values", "", columns, FIGURE_COLUMNS, false, faults);
    bool good = table != NULL;
    if (good)
        table->place = TABLE_ANSWER; /* what was asked: on the first screen, and for a class */
    for (size_t i = 0; i <= view->n_changes && good; i++)
        good = draw_curve(view, i, table, faults) && draw_bars(view, i, table, faults);
    struct figure *figure =
        good
            ? document_figure(doc, "change", "change", title,
                              "Predicted efficiency curves of the plate as it is and with each "
                              "change; beside them where the sunshine goes at the operating point, "
                              "and the temperature of the idle absorber.",
                              "change", faults)
            : NULL;
    snprintf(point, sizeof point, "at %.0f W/m², %.0f °C entering, air at %.0f °C",
             view->wish->point_g_W_m2, view->wish->point_inlet_degC,
             view->wish->point_ambient_degC);
    return figure != NULL &&
           figure_set_number(figure, "variants", (double)(view->n_changes + 1), faults) &&
           figure_set_text(figure, "where_at", point, faults);
}

static bool say_change(const struct predict_view *view, size_t i, struct document *doc,
                       struct faults *faults)
{
    const struct prediction *one = variant(view, 0), *p = variant(view, i);
    struct predict_idle now, then;
    char gain[WORDS_SIZE], told[WORDS_SIZE + 64];
    size_t heat = ANSWER_POINT_LOSS + LOSS_USEFUL;
    predict_idle_of(view, one, &now);
    predict_idle_of(view, p, &then);
    double more = p->value[heat] - one->value[heat];
    double half = predict_half(prediction_u_difference(one, p, heat));
    bool telling = fabs(more) > half;
    words_pm(telling ? fabs(more) : more, half, "W", gain, sizeof gain);
    if (telling)
        snprintf(told, sizeof told, "%s %s useful heat", gain, more < 0.0 ? "less" : "more");
    else
        snprintf(told, sizeof told, "no difference in useful heat that could be told (%s)", gain);
    return document_finding(
        doc, FINDING_ANSWER, false, faults,
        "With '%s': %s at the operating point (%.0f W now); idle "
        "%.0f °C instead of %.0f °C at the hottest spot (burns, steam).",
        variant_name(view, i), told, one->value[heat],
        then.built_safe_degC, now.built_safe_degC);
}

bool predict_changes_text(const struct predict_view *view, struct document *doc,
                          struct faults *faults)
{
    for (size_t i = 1; i <= view->n_changes; i++)
        if (!say_change(view, i, doc, faults))
            return false;
    return true;
}

bool predict_changes(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    return view->n_changes == 0 ||
           (changes_table(view, doc, faults) && losses_table(view, doc, faults) &&
            changes_figure(view, doc, faults));
}
