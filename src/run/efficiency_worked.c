/* One point of an efficiency run worked through with a pocket calculator's numbers, beside the same
 * point with its largest source of calibration error moved. */
#include "run/efficiency_view.h"

#include "base/numbers.h"
#include "point/worked.h"
#include "result/typography.h"
#include "run/reduction_document.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { NOTE_SIZE = 700 };

/* The point nearest to the middle of the tested range; NULL where efficiencies were given. */
static const struct point *middle(const struct efficiency_view *view)
{
    const struct point *best = NULL;
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < view->n; i++) {
        if (view->points[i].left_out)
            continue;
        low = fmin(low, view->points[i].value.x);
        high = fmax(high, view->points[i].value.x);
    }
    for (size_t i = 0; i < view->n; i++) {
        const struct point *p = &view->points[i];
        if (p->left_out || p->means->reduced)
            continue;
        double off = fabs(p->value.x - 0.5 * (low + high));
        if (best == NULL || off < fabs(best->value.x - 0.5 * (low + high)))
            best = p;
    }
    return best;
}

/* Half of what the efficiency changes by between minus and plus one standard uncertainty; 0 where
 * the point cannot be formed so. */
static double effect(const struct efficiency_view *view, const struct point *point,
                     const struct error_source *row)
{
    double eta[2];
    if (!error_source_acts(row, point->means))
        return 0;
    for (int k = 0; k < 2; k++) {
        struct shifts shifts;
        struct point_value value;
        memset(&shifts, 0, sizeof shifts);
        shifts_add(&shifts, row, k == 0 ? -row->u : row->u);
        if (point_evaluate(point->means, view->setup, &shifts, &value) != POINT_OK)
            return 0;
        eta[k] = value.eta;
    }
    return 0.5 * (eta[1] - eta[0]);
}

/* The calibration row that moves the point's efficiency most; NULL if none does. */
static const struct error_source *largest(const struct efficiency_view *view,
                                          const struct point *point)
{
    const struct error_registry *errors = &view->reduction->setup.errors;
    const struct error_source *best = NULL;
    double most = 0;
    for (size_t i = 0; i < errors->n; i++) {
        const struct error_source *row = &errors->rows[i];
        double by = row->kind == ERROR_CALIBRATION ? fabs(effect(view, point, row)) : 0;
        if (by > most) {
            most = by;
            best = row;
        }
    }
    return best;
}

static void write_note(const struct efficiency_view *view, const struct worked *worked,
                       const struct error_source *row, char *note)
{
    char what[80], amount[32], people[TYPO_SIZE], unit[TYPO_SIZE];
    int n =
        snprintf(note, NOTE_SIZE,
                 "For a pocket calculator: each formula, fed with the printed numbers above "
                 "it, gives the printed digits%s. So many digits are not known; they are there so "
                 "that the arithmetic closes.",
                 worked->closes ? ", and the end agrees with the program's own" : "");
    if (row == NULL || n < 0 || n >= NOTE_SIZE)
        return;
    bool share = text_same(reduction_target_unit(&row->targets[0]), "1");
    number_significant(share ? 100 * row->u : row->u, 3, amount, sizeof amount);
    snprintf(note + n, NOTE_SIZE - (size_t)n,
             " Moved: the same with one source of error one standard uncertainty higher: %s (%s, "
             "%s%s%s). Doing so with all points and fitting again gives what the source does to "
             "each coefficient (%s_sources.csv).",
             row->label, reduction_target(&row->targets[0], what, sizeof what),
             typo_number(amount, people, sizeof people), share ? " %" : " ",
             share ? "" : typo_unit(reduction_target_unit(&row->targets[0]), unit, sizeof unit),
             view->id);
}

static bool add_row(const struct worked_row *row, struct table *table, struct faults *faults)
{
    char ascii[32], value[TYPO_SIZE], moved[TYPO_SIZE];
    typo_number(worked_number(row, row->value, ascii, sizeof ascii), value, sizeof value);
    typo_number(worked_number(row, row->moved, ascii, sizeof ascii), moved, sizeof moved);
    struct cell cells[] = {cell_text(row->name), cell_text(row->how), cell_text(value),
                           cell_text(row->unit), cell_text(moved)};
    return table_row(table, cells, faults);
}

/* What the moved column says in one number. */
static bool add_shift(const struct worked *worked, struct table *table, struct faults *faults)
{
    struct worked_row row = {.name = "shift of η",
                             .how = "moved − not moved",
                             .unit = "",
                             .value = NAN,
                             .moved = worked->eta_moved - worked->eta,
                             .places = WORKED_PLACES};
    return !worked->moved || add_row(&row, table, faults);
}

static struct table *make_table(const struct efficiency_view *view, const struct point *point,
                                const struct worked *worked, const struct error_source *row,
                                struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "quantity", .label = "quantity", .unit = "", .kind = CELL_TEXT},
        {.id = "how", .label = "how", .unit = "", .kind = CELL_TEXT},
        {.id = "value", .label = "value", .unit = "", .kind = CELL_TEXT},
        {.id = "unit", .label = "unit", .unit = "", .kind = CELL_TEXT},
        {.id = "moved", .label = "moved", .unit = "", .kind = CELL_TEXT},
    };
    char id[96], title[120], note[NOTE_SIZE];
    snprintf(id, sizeof id, "%s_worked", view->id);
    snprintf(title, sizeof title, "One point worked through: %s", point->means->name);
    write_note(view, worked, row, note);
    struct table *table =
        document_table(doc, id, title, note, columns, worked->moved ? 5 : 4, faults);
    if (table == NULL)
        return NULL;
    table->report = true;
    table->place = TABLE_WORKED;
    return table;
}

bool view_worked(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    const struct point *point = middle(view);
    if (point == NULL)
        return true;
    const struct error_source *row = largest(view, point);
    struct shifts shifts;
    struct worked worked;
    memset(&shifts, 0, sizeof shifts);
    if (row != NULL)
        shifts_add(&shifts, row, row->u);
    if (worked_point(point->means, view->setup, view->reduction->from_log ? "mean" : "typed",
                     row == NULL ? NULL : &shifts, &worked) != POINT_OK)
        return true;
    struct table *table = make_table(view, point, &worked, row, doc, faults);
    if (table == NULL)
        return false;
    for (size_t i = 0; i < worked.n; i++)
        if (!add_row(&worked.rows[i], table, faults))
            return false;
    return add_shift(&worked, table, faults);
}
