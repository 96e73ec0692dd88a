/* The Monte Carlo beside the linear result: a table, and a sentence on which of both counts. */
#include "run/efficiency_view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define TEXT(ID, LABEL) {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_TEXT}
#define NUMBER(ID, LABEL, DIGITS) \
    {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_NUMBER, .digits = (DIGITS)}

const struct draws_interval *view_preferred(const struct efficiency_view *view, size_t j)
{
    const struct draws *draws = view->draws;
    if (draws == NULL || draws->n == 0 || !draws->usable || !draws->coef[j].differs)
        return NULL;
    return &draws->coef[j];
}

static bool row(struct table *table, const char *what, const char *unit,
                const struct draws_interval *i, struct faults *faults)
{
    struct cell cells[] = {cell_text(what),           cell_number(i->low_linear),
                           cell_number(i->high_linear), cell_number(i->low),
                           cell_number(i->high),      cell_number(i->doubt),
                           cell_text(unit),           cell_text(i->differs ? "differs" : "agrees")};
    return table_row(table, cells, faults);
}

static struct table *draws_table(const struct efficiency_view *view, struct document *doc,
                                 struct faults *faults)
{
    struct column columns[] = {TEXT("of", "of"),
                               NUMBER("low_linear", "linear, from", 4),
                               NUMBER("high_linear", "to", 4),
                               NUMBER("low", "drawn, from", 4),
                               NUMBER("high", "to", 4),
                               NUMBER("doubt", "ends to", 4),
                               TEXT("unit", "unit"),
                               TEXT("verdict", "both")};
    char id[96], note[200];
    snprintf(id, sizeof id, "%s_draws", view->id);
    snprintf(note, sizeof note,
             "95 %% intervals: by linear propagation, and from %zu draws of every error (seed "
             "%.0f); 'ends to': twice the standard deviation of a drawn end",
             view->draws->n, view->run->seed);
    struct table *table = document_table(doc, id, "Intervals found a second way", note, columns,
                                         sizeof columns / sizeof columns[0], faults);
    if (table != NULL) {
        table->report = table->file = true;
        table->place = TABLE_FIT;
    }
    return table;
}

static bool fill(const struct efficiency_view *view, struct table *table, struct faults *faults)
{
    const struct draws *draws = view->draws;
    const struct fit_form *form = view->e->form;
    for (size_t j = 0; j < form->n_coef; j++)
        if (!row(table, form->symbols[j], view_coef_unit(form->symbols[j]), &draws->coef[j],
                 faults))
            return false;
    for (size_t k = 0; k < DRAWS_PLACES; k++) {
        char what[64];
        snprintf(what, sizeof what, "efficiency %.0f K above the air",
                 draws->x[k] * draws->g_W_m2);
        if (!row(table, what, "", &draws->at[k], faults))
            return false;
    }
    return true;
}

static size_t differing(const struct efficiency_view *view)
{
    size_t n = 0;
    for (size_t j = 0; j < view->e->form->n_coef; j++)
        n += view->draws->coef[j].differs;
    for (size_t k = 0; k < DRAWS_PLACES; k++)
        n += view->draws->at[k].differs;
    return n;
}

static bool say_preferred(const struct efficiency_view *view, struct document *doc,
                          struct faults *faults)
{
    char names[64] = "";
    for (size_t j = 0; j < view->e->form->n_coef; j++)
        if (view_preferred(view, j) != NULL)
            snprintf(names + strlen(names), sizeof names - strlen(names), "%s%s",
                     names[0] == '\0' ? "" : ", ", view_coef_people(view->e->form->symbols[j]));
    if (names[0] == '\0')
        return document_finding(doc, FINDING_DETAIL, true, faults,
                                "Monte Carlo: the band of the curve differs from what drawing every "
                                "error gives, though no coefficient does: the table of intervals "
                                "has both.");
    return document_finding(
        doc, FINDING_DETAIL, true, faults,
        "Monte Carlo: drawing every error gives other 95 %% ends of %s than linear propagation. The "
        "coefficients' intervals are the drawn ones, since they also hold what is not straight or "
        "not normal: errors that are limits, errors of T*, few readings. The band of the curve, and "
        "what is read from it, is linear.",
        names);
}

static bool say(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    const struct draws *draws = view->draws;
    if (!draws->usable)
        return document_finding(doc, FINDING_DETAIL, true, faults,
                                "Monte Carlo: %zu of %zu draws gave no curve, too many to go by the "
                                "others. An error is stated so large that some points cannot be "
                                "formed or the form not be held.",
                                draws->refused, draws->n);
    if (differing(view) > 0)
        return say_preferred(view, doc, faults);
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "Monte Carlo: %zu draws of every error agree with the linear intervals "
                            "within %s.",
                            draws->n,
                            draws->settled ? "the first digit of each standard uncertainty"
                                           : "what so few draws can tell");
}

bool view_draws(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    if (view->draws == NULL)
        return true;
    if (view->draws->n == 0)
        return document_finding(doc, FINDING_DETAIL, false, faults,
                                "Monte Carlo: left out with %zu points, where it takes long; 'draws "
                                "= 100000' in the run asks for it.",
                                view->e->n);
    if (view->draws->usable) {
        struct table *table = draws_table(view, doc, faults);
        if (table == NULL || !fill(view, table, faults))
            return false;
    }
    return say(view, doc, faults);
}
