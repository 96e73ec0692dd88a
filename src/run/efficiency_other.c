/* The other choice of form: a straight line beside second order and the other way about. Whoever
 * would have chosen otherwise sees by how much it matters. */
#include "run/efficiency_points.h"
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { OTHER_COLUMNS = 6, OTHER_STEPS = 40, OTHER_PLACES = 3 };

static const struct {
    const char *form, *other;
} pairs[] = {{"line", "second order"},
             {"second order", "line"},
             {"line with wind", "second order with wind"},
             {"second order with wind", "line with wind"}};

/* Returns: NULL where there is none that the points hold. */
static const char *other_form(const struct efficiency *e)
{
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        if (text_same(pairs[i].form, e->form->name))
            return design_holds(&e->design, pairs[i].other) ? pairs[i].other : NULL;
    return NULL;
}

static const char *form_words(const struct efficiency *e)
{
    return text_same(e->form->name, "line") || text_same(e->form->name, "line with wind")
               ? "a straight line"
               : "second order";
}

static double half_of(const struct efficiency *e, size_t j)
{
    double u, dof;
    efficiency_combined(e, j, &u, &dof);
    return fit_coverage_95(dof) * u;
}

/* Which coefficient of a form has a symbol; n_coef if none. */
static size_t coef_of(const struct efficiency *e, const char *symbol)
{
    size_t j = 0;
    while (j < e->form->n_coef && !text_same(e->form->symbols[j], symbol))
        j++;
    return j;
}

static bool add_row(struct table *table, const char *what, const double *chosen,
                    const double *other, const char *unit, struct faults *faults)
{
    struct cell cells[OTHER_COLUMNS] = {cell_text(what),        cell_number(chosen[0]),
                                        cell_number(chosen[1]), cell_number(other[0]),
                                        cell_number(other[1]),  cell_text(unit)};
    return table_row(table, cells, faults);
}

static bool coef_rows(const struct efficiency *e, const struct efficiency *other,
                      struct table *table, struct faults *faults)
{
    const struct efficiency *richer = e->form->n_coef > other->form->n_coef ? e : other;
    for (size_t k = 0; k < richer->form->n_coef; k++) {
        const char *symbol = richer->form->symbols[k];
        const struct efficiency *both[2] = {e, other};
        double values[2][2] = {{NAN, NAN}, {NAN, NAN}};
        for (int which = 0; which < 2; which++) {
            size_t j = coef_of(both[which], symbol);
            if (j == both[which]->form->n_coef)
                continue;
            values[which][0] = both[which]->curve.coef[j];
            values[which][1] = half_of(both[which], j);
        }
        if (!add_row(table, symbol, values[0], values[1], view_coef_unit(symbol), faults))
            return false;
    }
    return true;
}

static void curve_at(const struct efficiency_view *view, const struct efficiency *e, double x,
                     double out[2])
{
    struct efficiency_view seen = *view;
    struct view_bands bands;
    seen.e = e;
    view_bands_at(&seen, x, view->run->draw_at_W_m2, &bands);
    out[0] = bands.curve.value;
    out[1] = bands.curve.half_95;
}

static bool curve_rows(const struct efficiency_view *view, const struct efficiency *other,
                       struct table *table, struct faults *faults)
{
    double from, to, chosen[2], others[2];
    view_range(view, &from, &to);
    for (int i = 0; i < OTHER_PLACES; i++) {
        double x = from + (to - from) * i / (OTHER_PLACES - 1);
        char what[96], kelvin[WORDS_SIZE];
        words_fixed(x * view->run->draw_at_W_m2, 0, kelvin, sizeof kelvin);
        snprintf(what, sizeof what, "efficiency %.40s K above the air", kelvin);
        curve_at(view, view->e, x, chosen);
        curve_at(view, other, x, others);
        if (!add_row(table, what, chosen, others, "", faults))
            return false;
    }
    return true;
}

static struct table *other_table(const struct efficiency_view *view, const struct efficiency *other,
                                 struct document *doc, struct faults *faults)
{
    struct column columns[OTHER_COLUMNS] = {
        {.id = "coefficient", .label = "of", .unit = "", .kind = CELL_TEXT},
        {.id = "chosen", .label = "chosen", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "pm chosen", .label = "+-", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "other", .label = "other", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "pm other", .label = "+-", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "unit", .label = "unit", .unit = "", .kind = CELL_TEXT}};
    char id[96], note[320];
    snprintf(id, sizeof id, "%s_other", view->id);
    snprintf(note, sizeof note,
             "Chosen: %s; other: %s, fitted as if the description asked for it: what it leaves out "
             "is then "
             "not counted. a1 of the two are different things: the slope in the middle, and where "
             "the water "
             "is as warm as the air. ±: half of a 95 %% interval",
             form_words(view->e), form_words(other));
    struct table *table =
        document_table(doc, id, "The other choice of form", note, columns, OTHER_COLUMNS, faults);
    if (table != NULL) {
        table->file = table->report = true;
        table->place = TABLE_RESULT;
    }
    return table;
}

/* Where the two curves lie farthest apart within the tested range.
 * Out: apart  the other less the chosen; half: of the chosen one's interval there */
static double farthest_apart(const struct efficiency_view *view, const struct efficiency *other,
                             double *apart, double *half)
{
    double from, to, at = 0;
    view_range(view, &from, &to);
    *apart = *half = 0;
    for (int i = 0; i <= OTHER_STEPS; i++) {
        double x = from + (to - from) * i / OTHER_STEPS, chosen[2], others[2];
        curve_at(view, view->e, x, chosen);
        curve_at(view, other, x, others);
        if (i > 0 && fabs(others[0] - chosen[0]) <= fabs(*apart))
            continue;
        *apart = others[0] - chosen[0];
        *half = chosen[1];
        at = x;
    }
    return at;
}

static bool tell_other(const struct efficiency_view *view, const struct efficiency *other,
                       struct document *doc, struct faults *faults)
{
    double apart, half;
    double at = farthest_apart(view, other, &apart, &half);
    char kelvin[WORDS_SIZE], points[WORDS_SIZE];
    words_fixed(at * view->run->draw_at_W_m2, 0, kelvin, sizeof kelvin);
    words_fixed(fabs(100 * apart), 1, points, sizeof points);
    struct table *table = NULL;
    return document_finding(
               doc, FINDING_DETAIL, false, faults,
               "The other choice of form, %s, would lie up to %s percentage points %s the "
               "curve within the tested range (%s K above the air, where the curve is sure to "
               "± %.1f): %s.",
               form_words(other), points, apart < 0 ? "below" : "above", kelvin, 100 * half,
               fabs(apart) <= half ? "the choice matters less than what is uncertain anyway"
                                   : "the choice matters") &&
           (table = other_table(view, other, doc, faults)) != NULL &&
           coef_rows(view->e, other, table, faults) && curve_rows(view, other, table, faults);
}

/* What the other form's fit has to complain of is no matter of the run. */
bool view_other(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct efficiency_request request = efficiency_request(view->run);
    struct efficiency other;
    const char *form = other_form(view->e);
    if (form == NULL)
        return true;
    struct faults *own = malloc(sizeof *own);
    if (own == NULL)
        return fault_memory(faults);
    faults_init(own);
    request.form = form;
    bool good = true;
    if (efficiency_fit(&other, view->points, view->n, view->setup, &view->reduction->setup.errors,
                       &request, own)) {
        good = tell_other(view, &other, doc, faults);
        efficiency_free(&other);
    } else if (own->worst == FAULT_MACHINE) {
        good = fault_memory(faults);
    }
    free(own);
    return good;
}
