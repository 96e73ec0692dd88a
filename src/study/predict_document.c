/* A prediction in numbers and sentences. */
#include "study/predict_view.h"

#include "fit/combine.h"
#include "physics/stagnation.h"
#include "run/efficiency_view.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

double predict_half(double u)
{
    return fit_coverage_95(INFINITY) * u;
}

const char *predict_symbol(const char *symbol)
{
    return view_coef_people(symbol);
}

const char *predict_unit(const char *symbol)
{
    return view_unit_people(symbol);
}

struct table *predict_table(struct document *doc, const char *id, const char *title,
                            const char *note, const struct predict_column *given, size_t n,
                            bool report, struct faults *faults)
{
    enum { MOST = 16 };
    struct column columns[MOST];
    for (size_t k = 0; k < n && k < MOST; k++)
        columns[k] = (struct column){.id = (char *)given[k].id,
                                     .label = (char *)given[k].label,
                                     .unit = (char *)given[k].unit,
                                     .kind = given[k].digits < 0 ? CELL_TEXT : CELL_NUMBER,
                                     .digits = given[k].digits < 0 ? 0 : given[k].digits};
    struct table *table = document_table(doc, id, title, note, columns, n, faults);
    if (table == NULL)
        return NULL;
    table->place = TABLE_RESULT;
    table->report = report;
    table->file = report;
    return table;
}

/* A number whose parts are the rows of the registry. */
static bool add_number(const struct predict_view *view, const char *id, const char *label,
                       const char *symbol, const char *unit, size_t answer, struct document *doc,
                       struct faults *faults)
{
    const struct prediction *p = view->prediction;
    struct part parts[PROPERTIES];
    for (size_t i = 0; i < p->rows.n; i++)
        parts[i] = (struct part){
            .id = p->rows.rows[i].id, .label = p->rows.rows[i].label, .u = p->d[i][answer]};
    double u = prediction_u(p, answer), half = predict_half(u);
    struct number number = {.id = (char *)id,
                            .label = (char *)label,
                            .symbol = (char *)symbol,
                            .unit = (char *)unit,
                            .value = p->value[answer],
                            .u = u,
                            .low = p->value[answer] - half,
                            .high = p->value[answer] + half,
                            .dof = INFINITY,
                            .parts = parts,
                            .n_parts = p->rows.n};
    return !isfinite(number.value) || document_number(doc, &number, faults);
}

static bool coefficients(const struct predict_view *view, struct document *doc,
                         struct faults *faults)
{
    for (size_t j = 0; j < view->wish->form->n_coef; j++) {
        char id[64], label[120];
        const char *symbol = view->wish->form->symbols[j];
        snprintf(id, sizeof id, "predicted.%s", symbol);
        snprintf(label, sizeof label, "%s, predicted", predict_symbol(symbol));
        if (!add_number(view, id, label, symbol, view_coef_unit(symbol), ANSWER_COEF + j, doc,
                        faults))
            return false;
    }
    return true;
}

static bool measured_numbers(const struct predict_view *view, struct document *doc,
                             struct faults *faults)
{
    const struct measured *m = view->measured;
    for (size_t j = 0; m->given && j < m->form->n_coef; j++) {
        char id[64], label[120];
        const char *symbol = m->form->symbols[j];
        double half = fit_coverage_95(m->dof) * m->u[j];
        snprintf(id, sizeof id, "measured.%s", symbol);
        snprintf(label, sizeof label, "%s, measured", predict_symbol(symbol));
        struct number number = {.id = id,
                                .label = label,
                                .symbol = (char *)symbol,
                                .unit = (char *)view_coef_unit(symbol),
                                .value = m->coef[j],
                                .u = m->u[j],
                                .low = m->coef[j] - half,
                                .high = m->coef[j] + half,
                                .dof = m->dof};
        if (!document_number(doc, &number, faults))
            return false;
    }
    return true;
}

bool predict_numbers(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    return coefficients(view, doc, faults) && measured_numbers(view, doc, faults) &&
           add_number(view, "point.useful", "useful heat at the operating point", "Q", "W",
                      ANSWER_POINT_LOSS + LOSS_USEFUL, doc, faults) &&
           add_number(view, "point.outlet", "outlet at the operating point", "t_out", "degC",
                      ANSWER_OUTLET, doc, faults) &&
           add_number(view, "point.absorber", "absorber at the operating point, mean", "t_p",
                      "degC", ANSWER_PLATE, doc, faults) &&
           add_number(view, "point.cover", "cover at the operating point", "t_c", "degC",
                      ANSWER_COVER, doc, faults) &&
           add_number(view, "idle.built", "idle absorber, mean, by the construction", "t_idle",
                      "degC", ANSWER_IDLE_PLATE, doc, faults);
}

static const char *basis_word(const struct predict_view *view)
{
    return view->measured->basis == PLATE_INLET ? "inlet" : "mean";
}

static bool say_curve(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    const struct fit_form *form = view->wish->form;
    struct text text = {0};
    for (size_t j = 0; j < form->n_coef; j++) {
        char value[WORDS_SIZE];
        words_pm(view->prediction->value[ANSWER_COEF + j],
                 predict_half(prediction_u(view->prediction, ANSWER_COEF + j)),
                 predict_unit(form->symbols[j]), value, sizeof value);
        text_addf(&text, "%s%s = %s", j > 0 ? ", " : "", predict_symbol(form->symbols[j]), value);
    }
    bool good =
        text_ok(&text, faults) &&
        document_finding(doc, FINDING_ANSWER, false, faults,
                         "As built it should have %s for the %s temperature and the %s area "
                         "(± from the spread of what is stated).",
                         text_string(&text), basis_word(view),
                         area_word(view->reduction->setup.collector.reference));
    text_free(&text);
    return good;
}

static bool say_point(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    const struct prediction *p = view->prediction;
    const struct predict_wish *w = view->wish;
    char heat[WORDS_SIZE], outlet[WORDS_SIZE], plate[WORDS_SIZE], cover[WORDS_SIZE];
    char glass[WORDS_SIZE + 32] = "";
    words_pm(p->value[ANSWER_POINT_LOSS + LOSS_USEFUL],
             predict_half(prediction_u(p, ANSWER_POINT_LOSS + LOSS_USEFUL)), "W", heat,
             sizeof heat);
    words_fixed(p->value[ANSWER_OUTLET], 1, outlet, sizeof outlet);
    words_fixed(p->value[ANSWER_PLATE], 0, plate, sizeof plate);
    if (isfinite(p->value[ANSWER_COVER])) {
        words_fixed(p->value[ANSWER_COVER], 0, cover, sizeof cover);
        snprintf(glass, sizeof glass, ", the outer cover %s °C", cover);
    }
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "At %.0f W/m², air at %.0f °C and %.0f °C entering: %s, %s °C leaving; "
                            "the absorber has %s °C%s.",
                            w->point_g_W_m2, w->point_ambient_degC, w->point_inlet_degC, heat,
                            outlet, plate, glass);
}

/* The rows that move the compared efficiencies most. */
static size_t rank(const struct prediction *p, size_t *order, double *pull)
{
    for (size_t i = 0; i < p->rows.n; i++) {
        size_t at = i;
        pull[i] = 0.0;
        for (size_t k = 0; k < PREDICT_STATES; k++)
            pull[i] = fmax(pull[i], fabs(p->d[i][ANSWER_ETA + k]));
        while (at > 0 && pull[order[at - 1]] < pull[i]) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = i;
    }
    return p->rows.n;
}

static bool say_spread(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    const struct prediction *p = view->prediction;
    size_t order[PROPERTIES] = {0};
    double pull[PROPERTIES] = {0};
    size_t n = rank(p, order, pull);
    struct text text = {0};
    for (size_t i = 0; i < n && i < 3; i++) {
        const struct error_source *row = &p->rows.rows[order[i]];
        text_addf(&text, "%s%s (%.1f points%s%s)", i > 0 ? "; " : "", row->label,
                  100.0 * pull[order[i]], row->cure[0] != '\0' ? ": " : "", row->cure);
    }
    bool good = text_ok(&text, faults) &&
                document_finding(doc, FINDING_UNCERTAINTY, false, faults,
                                 "The prediction is uncertain by, most first: %s. Points are "
                                 "percentage points of efficiency for one standard uncertainty.",
                                 text_string(&text));
    text_free(&text);
    return good;
}

static bool say_not_stated(const struct predict_view *view, struct document *doc,
                           struct faults *faults)
{
    const struct build *b = &view->prediction->build;
    const struct conditions *c = view->conditions;
    struct text text = {0};
    if (b->area_assumed)
        text_add(&text, "; the absorber's area (the aperture's is taken, or the gross)");
    if (!view->reduction->setup.construction.edge.given)
        text_add(&text, "; the [edge] (no loss is counted for it)");
    else if (b->perimeter_assumed)
        text_add(&text, "; the box's perimeter (that of a rectangle twice as long as wide)");
    if (!c->wind_measured)
        text_addf(&text, "; the wind (%.3g m/s)", c->weather.wind_m_s);
    if (!c->sky_measured)
        text_addf(&text, "; the sky (%.0f K below the air)",
                  c->weather.ambient_degC - c->weather.sky_degC);
    if (!c->diffuse_measured)
        text_addf(&text, "; the diffuse share (%.0f %%)", 100.0 * c->weather.diffuse_share);
    if (!c->tested)
        text_add(&text, "; the test (no steady point: 1000 W/m², 20 °C, 0.02 kg/s a m²)");
    bool good = text_ok(&text, faults);
    if (good && text.length > 0)
        good = document_finding(doc, FINDING_NOT_STATED, false, faults,
                                "Taken because it is not stated or measured: %s.",
                                text_string(&text) + 2);
    text_free(&text);
    return good;
}

/* Tubes that do not fill the absorber are a slip of the description more often than of the
 * workshop. */
static bool say_tubes(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    const struct build *b = &view->prediction->build;
    double ratio = b->tubes_area_m2 / b->plate.absorber_m2;
    if (!isfinite(ratio) || (ratio > 0.85 && ratio < 1.15))
        return true;
    return document_finding(
        doc, FINDING_NOT_STATED, true, faults,
        "Number, spacing and length of the tubes make %.2f m², the absorber has "
        "%.2f m²: one of them is wrong.",
        b->tubes_area_m2, b->plate.absorber_m2);
}

static bool say_small(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    double area = view->prediction->build.reference_m2;
    if (area >= 1.0)
        return true;
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "A panel of %.2f m² loses much through its edge: it hides part of what "
                            "another surface would do on a large one.",
                            area);
}

bool predict_answers_text(const struct predict_view *view, struct document *doc,
                          struct faults *faults)
{
    return say_curve(view, doc, faults) && say_point(view, doc, faults) &&
           say_spread(view, doc, faults) && say_not_stated(view, doc, faults) &&
           say_tubes(view, doc, faults) && say_small(view, doc, faults);
}
