/* Tables of a prediction: the breakdown at the operating point, the modifier, the properties. */
#include "study/predict_view.h"

#include <math.h>
#include <stdio.h>

#define RAD_PER_DEG (3.14159265358979323846 / 180.0)

static bool breakdown(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"part", "where the sunshine goes", "", -1},
        {"heat_W", "heat", "W", 0},
        {"pm_W", "±", "W", 0},
        {"share", "of the sunshine", "%", 1},
    };
    const struct prediction *p = view->prediction;
    char note[200];
    snprintf(note, sizeof note, "%.0f W/m², air at %.1f °C, %.1f °C entering, wind %.1f m/s.",
             view->wish->point_g_W_m2, view->wish->point_ambient_degC, view->wish->point_inlet_degC,
             view->wish->point_wind_m_s);
    struct table *table = predict_table(doc, "breakdown", "Losses at the operating point", note,
                                        columns, sizeof columns / sizeof columns[0], true, faults);
    bool good = table != NULL;
    for (size_t k = 0; k < LOSSES && good; k++) {
        size_t answer = ANSWER_POINT_LOSS + k;
        struct cell cells[] = {
            cell_text(loss_words[k]),
            cell_number(p->value[answer]),
            cell_number(predict_half(prediction_u(p, answer))),
            cell_number(100.0 * p->value[answer] / p->point.sun_W),
        };
        good = table_row(table, cells, faults);
    }
    return good;
}

static bool temperatures(const struct predict_view *view, struct document *doc,
                         struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"what", "temperature of", "", -1}, {"t_degC", "", "degC", 1}, {"pm_K", "±", "K", 1}};
    static const struct {
        const char *what;
        size_t answer;
    } rows[] = {{"the fluid leaving", ANSWER_OUTLET},
                {"the absorber, mean", ANSWER_PLATE},
                {"the outermost cover", ANSWER_COVER}};
    const struct prediction *p = view->prediction;
    struct table *table = predict_table(doc, "temperatures", "Temperatures at the operating point",
                                        "", columns, 3, true, faults);
    bool good = table != NULL;
    for (size_t k = 0; k < sizeof rows / sizeof rows[0] && good; k++) {
        struct cell cells[] = {cell_text(rows[k].what), cell_number(p->value[rows[k].answer]),
                               cell_number(predict_half(prediction_u(p, rows[k].answer)))};
        good = !isfinite(p->value[rows[k].answer]) || table_row(table, cells, faults);
    }
    return good;
}

static bool modifier(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"incidence_deg", "angle of incidence", "deg", 0}, {"K", "K predicted", "", 3}};
    const struct plate *plate = &view->prediction->build.plate;
    char note[300];
    snprintf(
        note, sizeof note,
        "For the beam. K of diffuse light from everywhere: %.3f. In the form 1 − b₀ (1/cos θ − "
        "1) through the angles up to 60°: b₀ = %.3f, up to 50°: %.3f.",
        predict_modifier_diffuse(plate), predict_b0(plate, 60.0), predict_b0(plate, 50.0));
    struct table *table =
        predict_table(doc, "modifier", "Incidence angle modifier", note, columns, 2, true, faults);
    bool good = table != NULL;
    for (int deg = 0; deg <= 90 && good; deg += 10) {
        struct cell cells[] = {cell_number(deg),
                               cell_number(predict_modifier(plate, deg * RAD_PER_DEG))};
        good = table_row(table, cells, faults);
    }
    return good;
}

static bool properties(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"id", "source", "", -1},
        {"what", "property", "", -1},
        {"value", "value", "", 4},
        {"u", "standard u", "", 4},
        {"unit", "unit", "", -1},
        {"cold", "moves η, coolest", "points", 2},
        {"warm", "moves η, warmest", "points", 2},
        {"origin", "origin", "", -1},
    };
    const struct prediction *p = view->prediction;
    struct table *table = predict_table(
        doc, "properties", "What the prediction rests on",
        "A standard uncertainty in the unit of the value; 'of it' where it is a share of the "
        "value. "
        "What it moves: efficiency at the coolest and the warmest compared state, in percentage "
        "points.",
        columns, sizeof columns / sizeof columns[0], true, faults);
    bool good = table != NULL;
    for (size_t i = 0; i < p->rows.n && good; i++) {
        const struct error_source *row = &p->rows.rows[i];
        enum property property = (enum property)row->property;
        const struct property_row *of = property_row(property);
        char unit[40];
        snprintf(unit, sizeof unit, "%s%s%s", of->unit,
                 of->is_log ? (of->unit[0] ? "; u: " : "u: ") : "", of->is_log ? "of it" : "");
        struct cell cells[] = {
            cell_text(row->id),
            cell_text(row->label),
            cell_number(build_value(&p->build, property)),
            cell_number(row->u),
            cell_text(unit),
            cell_number(100.0 * p->d[i][ANSWER_ETA]),
            cell_number(100.0 * p->d[i][ANSWER_ETA + PREDICT_STATES - 1]),
            cell_text(row->origin),
        };
        good = table_row(table, cells, faults);
    }
    return good;
}

bool predict_tables(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    return breakdown(view, doc, faults) && temperatures(view, doc, faults) &&
           modifier(view, doc, faults) && properties(view, doc, faults);
}
