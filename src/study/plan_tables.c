/* Tables and the figure of a plan. */
#include "study/plan_view.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define TEXT(ID, LABEL)                                                                            \
    {                                                                                              \
        .id = (ID), .label = (LABEL), .unit = "", .kind = CELL_TEXT                                \
    }
#define NUMBER(ID, LABEL, UNIT, DIGITS)                                                            \
    {                                                                                              \
        .id = (ID), .label = (LABEL), .unit = (UNIT), .kind = CELL_NUMBER, .digits = (DIGITS)      \
    }
#define LENGTH_OF(array) (sizeof(array) / sizeof(array)[0])

static const char *const kind_words[PLAN_KINDS] = {[PLAN_INLET] = "windows",
                                                   [PLAN_AGAIN] = "windows",
                                                   [PLAN_CHECK] = "check",
                                                   [PLAN_CURE] = "cure",
                                                   [PLAN_BETTER] = "instrument"};

static bool candidate_row(const struct plan_view *view, size_t i, struct table *table,
                          struct faults *faults)
{
    const struct plan_candidate *c = &view->plan->items[i];
    double scale = plan_scale(view);
    struct cell cells[] = {cell_number((double)(i + 1)),
                           cell_text(kind_words[c->kind]),
                           cell_text(c->what),
                           cell_number(scale * view->plan->with.half),
                           cell_number(scale * c->then.half),
                           cell_text(scale > 1 ? "%" : "W/(m2 K)"),
                           cell_number(100 * c->gain),
                           cell_number((double)c->windows),
                           cell_number(c->inlet_degC),
                           cell_text(c->then.form->name),
                           cell_text(c->assumed)};
    return table_row(table, cells, faults);
}

static bool full_table(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        NUMBER("rank", "", "", 0),
        TEXT("kind", "kind"),
        TEXT("what", "what"),
        NUMBER("pm now", "now", "", 3),
        NUMBER("pm then", "then", "", 3),
        TEXT("unit", "unit"),
        NUMBER("gain [%]", "gain", "%", 1),
        NUMBER("more windows", "more windows", "", 0),
        NUMBER("t_in [degC]", "inlet", "°C", 0),
        TEXT("form", "form"),
        TEXT("assumed", "assumed"),
    };
    struct table *table = document_table(doc, "additions", "All that was tried", "", columns,
                                         LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->file = true;
    table->place = TABLE_RESULT;
    for (size_t i = 0; i < view->plan->n; i++)
        if (!candidate_row(view, i, table, faults))
            return false;
    return true;
}

/* For people: fewer columns. */
static bool report_table(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    struct column columns[] = {NUMBER("rank", "", "", 0), TEXT("what", "addition"),
                               NUMBER("then", "± then", "", 2), NUMBER("gain", "gain", "%", 0)};
    char note[320], now[2 * WORDS_SIZE];
    snprintf(note, sizeof note,
             "Half of the 95 %% interval, in %s; %s %s. In brackets: what is taken of an addition. "
             "Those that give less are in additions.csv",
             plan_unit(view), view->plan->first ? "with the first plan" : "now",
             plan_half_words(view, view->plan->with.half, now, sizeof now));
    struct table *table = document_table(doc, "plan_report", "All that was tried", note, columns,
                                         LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->report = true;
    table->place = TABLE_RESULT;
    for (size_t i = 0; i < view->plan->n; i++) {
        const struct plan_candidate *c = &view->plan->items[i];
        char what[2 * PLAN_WHAT + 8];
        snprintf(what, sizeof what, "%s%s%s%s", c->what, c->assumed[0] == '\0' ? "" : " [",
                 c->assumed, c->assumed[0] == '\0' ? "" : "]");
        struct cell cells[] = {cell_number((double)(i + 1)), cell_text(what),
                               cell_number(plan_scale(view) * c->then.half),
                               cell_number(100 * c->gain)};
        if (c->gain >= PLAN_LISTED_GAIN && !table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool sources_table(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan_said *said = &view->plan->with;
    struct column columns[] = {TEXT("source", "source"), NUMBER("u", "standard uncertainty", "", 3),
                               TEXT("cure", "cheapest cure")};
    char note[120];
    snprintf(note, sizeof note, "Shift of the answer by one standard uncertainty, in %s",
             plan_unit(view));
    struct table *table = document_table(doc, "plan_sources", "What limits the answer most", note,
                                         columns, LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->report = true;
    table->place = TABLE_RESULT;
    for (size_t i = 0; i < said->n_top; i++) {
        struct cell cells[] = {cell_text(said->top[i].label),
                               cell_number(plan_scale(view) * said->top[i].u),
                               cell_text(said->top[i].cure)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

bool plan_tables(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    return full_table(view, doc, faults) && report_table(view, doc, faults) &&
           sources_table(view, doc, faults);
}

static bool figure_row(struct table *table, const char *part, size_t rank, double x, double y,
                       const char *label, struct faults *faults)
{
    struct cell cells[] = {cell_text(part), cell_number((double)rank), cell_number(x),
                           cell_number(y), cell_text(label)};
    return table_row(table, cells, faults);
}

static bool fill_figure(const struct plan_view *view, struct table *table, struct faults *faults)
{
    const struct plan *plan = view->plan;
    const struct plan_candidate *shown[PLAN_SHOWN];
    double scale = plan_scale(view);
    size_t n = plan_shown(view, shown);
    for (size_t k = 0; k < plan->n_steps; k++)
        if (!figure_row(table, "again", k, (double)plan->steps[k].windows,
                        scale * plan->steps[k].half, "", faults))
            return false;
    for (size_t i = 0; i < n; i++) {
        char label[PLAN_BRIEF + 24];
        snprintf(label, sizeof label, "%zu. %s", i + 1, shown[i]->brief);
        if (!figure_row(table, "addition", i + 1, (double)(plan->base.n + shown[i]->windows),
                        scale * shown[i]->then.half, label, faults))
            return false;
    }
    return true;
}

bool plan_figure(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    static const char *const ids[] = {"part", "rank", "windows", "half", "label"};
    struct column columns[LENGTH_OF(ids)];
    const struct plan *plan = view->plan;
    char title[300], best[2 * WORDS_SIZE], now[WORDS_SIZE];
    if (plan->n == 0)
        return true;
    for (size_t k = 0; k < LENGTH_OF(ids); k++)
        columns[k] = (struct column){.id = (char *)ids[k],
                                     .label = (char *)ids[k],
                                     .unit = "",
                                     .kind = k == 0 || k == 4 ? CELL_TEXT : CELL_NUMBER,
                                     .digits = 3};
    struct table *table =
        document_table(doc, "plan_figure", "Drawn values", "", columns, LENGTH_OF(ids), faults);
    if (table == NULL)
        return false;
    table->place = TABLE_ANSWER;
    snprintf(title, sizeof title, "The best addition brings ± %s down to %s",
             plan_bare_words(view, plan->with.half, now, sizeof now),
             plan_half_words(view, plan->items[0].then.half, best, sizeof best));
    if (!fill_figure(view, table, faults))
        return false;
    struct figure *figure = document_figure(
        doc, "plan", "plan", title,
        "Half of the 95 % interval against the number of windows, falling towards what calibration "
        "leaves; the additions that were tried as marks beside the line.",
        "plan_figure", faults);
    return figure != NULL &&
           figure_set_number(figure, "limit",
                             plan->limit.given ? plan_scale(view) * plan->limit.half : NAN,
                             faults) &&
           figure_set_text(figure, "y_label",
                           plan->wish.about == PLAN_A1
                               ? "half of the 95 % interval of a₁ (W/(m² K))"
                               : "half of the 95 % interval (percentage points)",
                           faults);
}
