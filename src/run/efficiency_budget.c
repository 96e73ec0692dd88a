/* The uncertainty budget of an efficiency run: every source's share of every coefficient. */
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BARS_MAX = 10, BUDGET_COLUMNS = 6 };
#define SHARE_LEAST 0.01 /* of the variance: smaller bars are drawn as one */

struct bar {
    int kind; /* plots/figure.h: 0 calibration, 1 session, 2 reading, 3 other */
    const char *label;
    const char *id;
    const char *cure;
    double u; /* signed where the source has a sign */
};

static int by_size(const void *a, const void *b)
{
    double x = fabs(((const struct bar *)a)->u);
    double y = fabs(((const struct bar *)b)->u);
    return (x < y) - (x > y);
}

static size_t collect(const struct efficiency *e, size_t j, struct bar *bars)
{
    size_t p = e->form->n_coef, n = 0;
    bars[n++] = (struct bar){2, "readings of the windows", "reading",
                             "more windows average it down", sqrt(e->reading[j * p + j])};
    for (size_t k = 0; k < e->n_shares; k++) {
        const struct error_source *row = e->shares[k].row;
        bars[n++] = (struct bar){row->kind == ERROR_SESSION ? 1 : 0, row->label, row->id, row->cure,
                                 e->shares[k].d[j]};
    }
    for (size_t k = 0; k < e->n_extras; k++)
        bars[n++] = (struct bar){e->extras[k].session ? 1 : 3, e->extras[k].label, e->extras[k].id,
                                 e->extras[k].cure, e->extras[k].d[j]};
    if (e->d_curvature[j] != 0)
        bars[n++] = (struct bar){3, "curvature left out", "curvature",
                                 "points at the coldest and warmest inlet", e->d_curvature[j]};
    qsort(bars, n, sizeof *bars, by_size);
    return n;
}

static bool budget_rows(const struct efficiency_view *view, size_t j, const struct bar *bars,
                        size_t n, struct table *table, struct faults *faults)
{
    static const char *const kinds[] = {"calibration", "session", "reading", "form"};
    double u, dof;
    efficiency_combined(view->e, j, &u, &dof);
    for (size_t i = 0; i < n; i++) {
        struct cell cells[] = {cell_text(view->e->form->symbols[j]),
                               cell_text(bars[i].id),
                               cell_text(bars[i].label),
                               cell_text(kinds[bars[i].kind]),
                               cell_number(bars[i].u),
                               cell_number(100 * bars[i].u * bars[i].u / (u * u)),
                               cell_text(bars[i].cure)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

/* How many of the ranked bars are drawn on their own: those of at least 1 % of the variance, and room
 * is left for one that holds the others; a single other one may as well be drawn itself. */
static size_t drawn_alone(const struct bar *bars, size_t n)
{
    double sum = 0;
    size_t alone = 0;
    for (size_t i = 0; i < n; i++)
        sum += bars[i].u * bars[i].u;
    while (alone < n && bars[alone].u * bars[alone].u >= SHARE_LEAST * sum)
        alone++;
    if (alone > BARS_MAX || (alone == BARS_MAX && n > BARS_MAX))
        alone = BARS_MAX - 1;
    return n - alone == 1 ? n : alone;
}

static bool draw_bars(size_t j, const struct bar *bars, size_t n, struct table *table,
                      struct faults *faults)
{
    double rest = 0;
    size_t alone = drawn_alone(bars, n);
    for (size_t i = alone; i < n; i++)
        rest += bars[i].u * bars[i].u;
    for (size_t i = 0; i < alone + (rest > 0); i++) {
        bool last = i == alone;
        struct cell cells[BUDGET_COLUMNS] = {
            cell_text("bar"),
            cell_number((double)j),
            cell_number((double)i),
            cell_number(last ? 3 : bars[i].kind),
            cell_number(last ? sqrt(rest) : fabs(bars[i].u)),
            cell_text(last ? "all others together" : bars[i].label)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static struct table *file_table(const struct efficiency_view *view, struct document *doc,
                                struct faults *faults)
{
    struct column columns[] = {
        {.id = "coefficient", .label = "of", .unit = "", .kind = CELL_TEXT},
        {.id = "source", .label = "source", .unit = "", .kind = CELL_TEXT},
        {.id = "what", .label = "what", .unit = "", .kind = CELL_TEXT},
        {.id = "kind", .label = "kind", .unit = "", .kind = CELL_TEXT},
        {.id = "shift", .label = "shift", .unit = "", .kind = CELL_NUMBER, .digits = 5},
        {.id = "share [%]", .label = "share", .unit = "%", .kind = CELL_NUMBER, .digits = 1},
        {.id = "cure", .label = "cheapest cure", .unit = "", .kind = CELL_TEXT},
    };
    char id[96];
    snprintf(id, sizeof id, "%s_sources", view->id);
    struct table *table = document_table(
        doc, id, "Where the uncertainty comes from",
        "Shift of each coefficient when the source moves by one standard uncertainty, found by "
        "fitting again; share of the variance",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table != NULL)
        table->file = true;
    return table;
}

static struct table *drawn_table(const char *id, struct document *doc, struct faults *faults)
{
    static const char *const ids[BUDGET_COLUMNS] = {"part", "panel", "rank", "kind", "u", "label"};
    struct column columns[BUDGET_COLUMNS];
    for (size_t k = 0; k < BUDGET_COLUMNS; k++)
        columns[k] = (struct column){.id = (char *)ids[k],
                                     .label = (char *)ids[k],
                                     .unit = "",
                                     .kind = k == 0 || k == 5 ? CELL_TEXT : CELL_NUMBER,
                                     .digits = 5};
    struct table *table =
        document_table(doc, id, "Drawn values", "", columns, BUDGET_COLUMNS, faults);
    if (table != NULL)
        table->place = TABLE_FIT;
    return table;
}

static bool panel_settings(const struct efficiency_view *view, size_t j, struct figure *figure,
                           struct faults *faults)
{
    const char *symbol = view->e->form->symbols[j];
    char name[32], text[200], value[WORDS_SIZE];
    double u, dof;
    efficiency_combined(view->e, j, &u, &dof);
    words_pm(view->e->curve.coef[j], fit_coverage_95(dof) * u, view_unit_people(symbol), value,
             sizeof value);
    snprintf(name, sizeof name, "panel_%zu", j);
    snprintf(text, sizeof text, "%s = %s", view_coef_people(symbol), value);
    if (!figure_set_text(figure, name, text, faults))
        return false;
    snprintf(name, sizeof name, "axis_%zu", j);
    snprintf(text, sizeof text, "standard uncertainty of %s%s%s%s", view_coef_people(symbol),
             view_unit_people(symbol)[0] == '\0' ? "" : " (", view_unit_people(symbol),
             view_unit_people(symbol)[0] == '\0' ? "" : ")");
    if (!figure_set_text(figure, name, text, faults))
        return false;
    snprintf(name, sizeof name, "total_%zu", j);
    return figure_set_number(figure, name, u, faults);
}

static bool budget_figure(const struct efficiency_view *view, const char *id, const char *largest,
                          struct document *doc, struct faults *faults)
{
    char title[200], alt[300];
    snprintf(title, sizeof title, "What limits %s most: %s",
             view_coef_people(view->e->form->symbols[0]), largest);
    snprintf(alt, sizeof alt,
             "Bars of what each source of error gives to each coefficient, ranked; the largest for "
             "the first coefficient is %s.",
             largest);
    struct figure *figure = document_figure(doc, id, "budget", title, alt, id, faults);
    bool good = figure != NULL &&
                figure_set_number(figure, "panels", (double)view->e->form->n_coef, faults);
    for (size_t j = 0; j < view->e->form->n_coef && good; j++)
        good = panel_settings(view, j, figure, faults);
    return good;
}

bool view_budget(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    size_t p = view->e->form->n_coef, most = view->e->n_shares + 2 + EFFICIENCY_EXTRAS;
    struct bar *bars = calloc(p * most, sizeof *bars);
    size_t n[EFFICIENCY_COEFS];
    if (bars == NULL)
        return fault_memory(faults);
    for (size_t j = 0; j < p; j++)
        n[j] = collect(view->e, j, bars + j * most);
    char id[96];
    snprintf(id, sizeof id, "%s_budget", view->id);
    struct table *table = file_table(view, doc, faults);
    bool good = table != NULL;
    for (size_t j = 0; j < p && good; j++)
        good = budget_rows(view, j, bars + j * most, n[j], table, faults);
    table = good ? drawn_table(id, doc, faults) : NULL;
    good = table != NULL;
    for (size_t j = 0; j < p && good; j++)
        good = draw_bars(j, bars + j * most, n[j], table, faults);
    good = good && budget_figure(view, id, bars[0].label, doc, faults);
    free(bars);
    return good;
}
