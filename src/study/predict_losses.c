/* Figure: measured beside predicted, loss by loss. */
#include "study/predict_view.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* Kinds of bar beyond the losses: what a measurement can tell, and what falls beside the glass. */
enum { KIND_FRAME = LOSSES, KIND_LOST, KIND_NOT_CAUGHT };

enum { BAR_COLUMNS = 7, PREDICTED = 0, MEASURED = 1 };

struct bars {
    struct table *table;
    size_t state;
    int who;
    double top; /* of the stack so far, % */
};

static bool add_bar(struct bars *bars, int kind, double share, struct faults *faults)
{
    char label[32];
    double from = bars->top, to = from + 100.0 * share;
    snprintf(label, sizeof label, "%.1f", 100.0 * share);
    struct cell cells[BAR_COLUMNS] = {
        cell_text("bar"),       cell_number((double)bars->state),
        cell_number(bars->who), cell_number(from),
        cell_number(to),        cell_number(kind),
        cell_text(label),
    };
    bars->top = to;
    return table_row(bars->table, cells, faults);
}

static bool add_error(struct bars *bars, double eta, double half, struct faults *faults)
{
    struct cell cells[BAR_COLUMNS] = {
        cell_text("error"),
        cell_number((double)bars->state),
        cell_number(bars->who),
        cell_number(100.0 * (eta - half)),
        cell_number(100.0 * (eta + half)),
        cell_number(0),
        cell_text(""),
    };
    return table_row(bars->table, cells, faults);
}

static bool predicted_bars(const struct predict_view *view, struct bars *bars,
                           struct faults *faults)
{
    const struct prediction *p = view->prediction;
    double g = p->build.weather.g_W_m2, rest = 1.0;
    const double *loss = &p->value[ANSWER_LOSS + bars->state * LOSSES];
    bars->who = PREDICTED;
    bars->top = 0.0;
    bool good = true;
    for (int k = 0; k < LOSSES && good; k++) {
        good = add_bar(bars, k, loss[k] / g, faults);
        rest -= loss[k] / g;
    }
    return good && (rest < 0.002 || add_bar(bars, KIND_FRAME, rest, faults)) &&
           add_error(bars, p->value[ANSWER_ETA + bars->state],
                     predict_half(prediction_u(p, ANSWER_ETA + bars->state)), faults);
}

static bool measured_bars(const struct predict_view *view, struct bars *bars, struct faults *faults)
{
    double u, eta = predict_measured_eta(view, bars->state, &u);
    double cold = predict_measured_eta(view, 0, NULL);
    bars->who = MEASURED;
    bars->top = 0.0;
    return add_bar(bars, LOSS_USEFUL, eta, faults) &&
           add_bar(bars, KIND_LOST, fmax(cold - eta, 0.0), faults) &&
           add_bar(bars, KIND_NOT_CAUGHT, 1.0 - fmax(cold, eta), faults) &&
           add_error(bars, eta, predict_half(u), faults);
}

static struct table *bars_table(struct document *doc, const char *id, struct faults *faults)
{
    static const struct predict_column columns[BAR_COLUMNS] = {
        {"part", "part", "", -1},   {"state", "state", "", 0}, {"who", "who", "", 0},
        {"from", "from", "%", 2},   {"to", "to", "%", 2},      {"kind", "kind", "", 0},
        {"label", "label", "", -1},
    };
    return predict_table(doc, id, "Drawn values", "", columns, BAR_COLUMNS, false, faults);
}

static void losses_title(const struct predict_view *view, char *out, size_t size)
{
    if (view->explanation == NULL)
        snprintf(out, size, "What becomes of the sunshine, as built");
    else
        snprintf(out, size, "Measured beside predicted: they %s",
                 view->explanation->differ ? "differ by more than both uncertainties"
                                           : "agree within their uncertainties");
}

static bool losses_settings(const struct predict_view *view, struct figure *figure,
                            struct faults *faults)
{
    bool good = figure_set_number(figure, "states", (double)view->wish->n_states, faults) &&
                figure_set_number(figure, "measured", view->measured->given, faults);
    for (size_t k = 0; k < view->wish->n_states && good; k++) {
        char name[32], words[80];
        double g = view->prediction->build.weather.g_W_m2;
        snprintf(name, sizeof name, "state_%zu", k);
        snprintf(words, sizeof words, "T* %.3f (%.0f K)", view->wish->x_m2K_W[k],
                 view->wish->x_m2K_W[k] * g);
        good = figure_set_text(figure, name, words, faults);
    }
    return good;
}

bool predict_losses_figure(const struct predict_view *view, struct document *doc,
                           struct faults *faults)
{
    char title[160], alt[300];
    struct bars bars = {.table = bars_table(doc, "losses", faults)};
    bool good = bars.table != NULL;
    if (good && view->n_changes == 0) /* else the changes are the answer */
        bars.table->place = TABLE_ANSWER;
    for (bars.state = 0; bars.state < view->wish->n_states && good; bars.state++)
        good = predicted_bars(view, &bars, faults) &&
               (!view->measured->given || measured_bars(view, &bars, faults));
    losses_title(view, title, sizeof title);
    snprintf(
        alt, sizeof alt,
        "Stacked bars of where the sunshine goes at three temperatures: predicted loss by loss, "
        "and beside it what the measurement tells of useful heat, heat lost and sunshine not "
        "caught.");
    struct figure *figure =
        good ? document_figure(doc, "losses", "losses", title, alt, "losses", faults) : NULL;
    return figure != NULL && losses_settings(view, figure, faults);
}
