/* Measured beside predicted: the table, and what would explain a difference. */
#include "study/predict_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

double predict_measured_eta(const struct predict_view *view, size_t state, double *u)
{
    const struct measured *m = view->measured;
    const struct plate_weather *weather = &view->prediction->build.weather;
    struct fit_condition at = {.x = view->wish->x_m2K_W[state],
                               .g = weather->g_W_m2,
                               .wind = weather->wind_m_s - m->wind_origin_m_s};
    double terms[FIT_FORM_MAX_COEF];
    m->form->terms(&at, terms);
    if (u != NULL)
        *u = sqrt(fit_variance(terms, m->covariance, m->form->n_coef));
    return fit_dot(terms, m->coef, m->form->n_coef);
}

static const char *verdict(double difference, double u_measured, double u_predicted)
{
    return fabs(difference) > predict_half(hypot(u_measured, u_predicted)) ? "differ" : "agree";
}

static bool compare_row(const struct predict_view *view, struct table *table, const char *what,
                        const char *unit, size_t answer, double measured, double u_measured,
                        struct faults *faults)
{
    const struct prediction *p = view->prediction;
    bool given = view->measured->given;
    double predicted = p->value[answer], u = prediction_u(p, answer);
    double off = measured - predicted;
    struct cell cells[] = {
        cell_text(what),
        cell_text(unit),
        cell_number(predicted),
        cell_number(predict_half(u)),
        cell_number(given ? measured : NAN),
        cell_number(given ? predict_half(u_measured) : NAN),
        cell_number(given ? off : NAN),
        cell_number(given ? predict_half(hypot(u, u_measured)) : NAN),
        cell_text(given ? verdict(off, u_measured, u) : ""),
    };
    return table_row(table, cells, faults);
}

static bool compare_table(const struct predict_view *view, struct document *doc,
                          struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"what", "what", "", -1},
        {"unit", "unit", "", -1},
        {"predicted", "predicted", "", 4},
        {"predicted_pm", "±", "", 4},
        {"measured", "measured", "", 4},
        {"measured_pm", "±", "", 4},
        {"difference", "measured less predicted", "", 4},
        {"difference_pm", "±", "", 4},
        {"verdict", "", "", -1},
    };
    const struct measured *m = view->measured;
    const struct fit_form *form = view->wish->form;
    struct table *table = predict_table(
        doc, "comparison", "Predicted and measured",
        "± is half of a 95 % interval; 'differ' where they lie apart by more than both together.",
        columns, sizeof columns / sizeof columns[0], true, faults);
    bool good = table != NULL;
    for (size_t j = 0; j < form->n_coef && good; j++)
        good = compare_row(view, table, predict_symbol(form->symbols[j]),
                           predict_unit(form->symbols[j]), ANSWER_COEF + j, m->coef[j], m->u[j],
                           faults);
    for (size_t k = 0; k < view->wish->n_states && good; k++) {
        char what[80];
        double u = NAN, eta = m->given ? predict_measured_eta(view, k, &u) : NAN;
        snprintf(what, sizeof what, "efficiency at T* %.3f, %.0f W/m²", view->wish->x_m2K_W[k],
                 view->prediction->build.weather.g_W_m2);
        good = compare_row(view, table, what, "", ANSWER_ETA + k, eta, u, faults);
    }
    return good;
}

static const char *part_of(enum property property)
{
    switch (property) {
    case PROP_BOND:
        return "a bond conductance";
    case PROP_EMITTANCE:
        return "an emittance of the absorber";
    case PROP_TRANSMITTANCE:
        return "a transmittance of the cover";
    case PROP_ABSORPTANCE:
        return "an absorptance of the absorber";
    default:
        return "a conductivity of the insulation behind it";
    }
}

static const char *unit_of(enum property property)
{
    return property == PROP_BOND || property == PROP_BACK ? "W/(m·K)" : "";
}

/* "8 ± 3", "8 (5 to 14)" where the interval is lopsided, "above 60" at the end of the search. */
static void value_words(const struct cause *cause, char *out, size_t size)
{
    char value[32];
    double below = cause->value - cause->low, above = cause->high - cause->value;
    if (!isfinite(below) || !isfinite(above)) {
        snprintf(out, size, "about %.3g", cause->value);
        return;
    }
    if (above < 1.5 * below) {
        words_pm(cause->value, 0.5 * (above + below), unit_of(cause->property), out, size);
        return;
    }
    snprintf(value, sizeof value, "%.2g", cause->value);
    snprintf(out, size, "%s %s (%.2g to %.2g)", value, unit_of(cause->property), cause->low,
             cause->high);
}

/* "clipped", "of window glass": what it is typical of. */
static void kind_words(const struct cause *cause, char *out, size_t size)
{
    const char *kind = cause->kind;
    if (kind == NULL)
        snprintf(out, size, "of none of the usual kinds");
    else if (cause->property == PROP_BOND)
        snprintf(out, size, "typical of a tube that is %s", kind);
    else
        snprintf(out, size, "typical of %s", kind);
}

static void verdict_words(const struct cause *cause, char *out, size_t size)
{
    char kind[100];
    kind_words(cause, kind, sizeof kind);
    switch (cause->verdict) {
    case CAUSE_STATED:
        snprintf(out, size, "within what is stated");
        return;
    case CAUSE_POSSIBLE:
        snprintf(out, size, "possible: %s", kind);
        return;
    case CAUSE_IMPOSSIBLE:
        snprintf(out, size, "not possible: there is no such value");
        return;
    case CAUSE_NOT_ENOUGH:
        snprintf(out, size, "does not explain it alone");
        return;
    }
}

static bool cause_rows(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    static const struct predict_column columns[] = {
        {"cause", "single cause", "", -1},
        {"stated", "predicted with", "", 4},
        {"needed", "needed", "", 4},
        {"low", "from", "", 4},
        {"high", "to", "", 4},
        {"unit", "unit", "", -1},
        {"left", "misfit left", "", 2},
        {"verdict", "possible?", "", -1},
    };
    const struct explanation *e = view->explanation;
    char note[300];
    snprintf(
        note, sizeof note,
        "One cause at a time, all else as stated; the interval is 95 %%. Misfit: weighed sum of "
        "squares, %.1f as predicted; up to %.1f counts as explained.",
        e->apart, e->left_bound);
    struct table *table = predict_table(doc, "causes", "What would explain the difference", note,
                                        columns, sizeof columns / sizeof columns[0], true, faults);
    bool good = table != NULL;
    for (size_t i = 0; i < e->n && good; i++) {
        const struct cause *c = &e->causes[i];
        char words[200];
        verdict_words(c, words, sizeof words);
        struct cell cells[] = {
            cell_text(property_row(c->property)->label),
            cell_number(c->stated),
            cell_number(c->value),
            cell_number(c->low),
            cell_number(c->high),
            cell_text(unit_of(c->property)),
            cell_number(c->left),
            cell_text(words),
        };
        good = table_row(table, cells, faults);
    }
    return good;
}

static bool say_cause(const struct cause *cause, struct document *doc, struct faults *faults)
{
    char value[WORDS_SIZE], words[200];
    value_words(cause, value, sizeof value);
    verdict_words(cause, words, sizeof words);
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "The measurement needs %s of %s (%s).", part_of(cause->property), value,
                            words);
}

static bool say_causes(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    const struct explanation *e = view->explanation;
    size_t said = 0;
    for (size_t i = 0; i < e->n && said < 3; i++) {
        if (e->causes[i].verdict == CAUSE_NOT_ENOUGH || e->causes[i].verdict == CAUSE_IMPOSSIBLE)
            continue;
        if (!say_cause(&e->causes[i], doc, faults))
            return false;
        said++;
    }
    if (said > 0)
        return true;
    return document_finding(doc, FINDING_CANNOT, true, faults,
                            "No single property explains the difference: several are other than "
                            "stated, or the test errs by more than it claims.");
}

/* Whether they differ is told of the whole curve: at one of its ends they may still agree. */
static bool say_differ(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    struct text text = {0};
    for (size_t k = 0; k < view->wish->n_states; k += PREDICT_STATES - 1) {
        double u, eta = predict_measured_eta(view, k, &u);
        double predicted = view->prediction->value[ANSWER_ETA + k];
        char measured[WORDS_SIZE], expected[WORDS_SIZE];
        words_percent(eta, predict_half(u), measured, sizeof measured);
        words_percent(predicted, predict_half(prediction_u(view->prediction, ANSWER_ETA + k)),
                      expected, sizeof expected);
        text_addf(&text, "%s%s measured and %s predicted at T* %.3f", k > 0 ? "; " : "", measured,
                  expected, view->wish->x_m2K_W[k]);
    }
    bool good =
        text_ok(&text, faults) &&
        document_finding(doc, FINDING_ANSWER, false, faults,
                         "Measured and predicted, the whole curve taken together, %s. At its ends: "
                         "%s.",
                         view->explanation->differ ? "differ by more than both uncertainties"
                                                   : "agree within their uncertainties",
                         text_string(&text));
    text_free(&text);
    return good;
}

bool predict_compare(const struct predict_view *view, struct document *doc, struct faults *faults)
{
    if (!compare_table(view, doc, faults))
        return false;
    if (!view->measured->given)
        return document_finding(doc, FINDING_CANNOT, false, faults,
                                "There is no measured curve to lay beside it: %s.",
                                view->measured->why_not);
    if (!say_differ(view, doc, faults))
        return false;
    return !view->explanation->differ ||
           (cause_rows(view, doc, faults) && say_causes(view, doc, faults));
}
