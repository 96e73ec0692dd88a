/* The uncertainty budget of an efficiency run: every source's share of every coefficient, and of
 * the curve at one reduced temperature. */
#include "run/efficiency_view.h"
#include "run/rank_tables.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BARS_MAX = 10, BUDGET_COLUMNS = 6, PANELS = EFFICIENCY_COEFS + 1 };

static void rank_coef(const struct efficiency_view *view, size_t j, struct ranked *out)
{
    const char *symbol = view->e->form->symbols[j];
    double t[EFFICIENCY_COEFS] = {0}, dof;
    t[j] = 1;
    out->word = symbol;
    snprintf(out->people, sizeof out->people, "%s", view_coef_people(symbol));
    out->unit = view_unit_people(symbol);
    out->value = view->e->curve.coef[j];
    efficiency_combined(view->e, j, &out->u, &dof);
    out->half_95 = fit_coverage_95(dof) * out->u;
    out->n = rank_sources(view->e, t, out->sources);
    rank_sort(out->sources, out->n);
}

static void rank_curve(const struct efficiency_view *view, struct ranked *out)
{
    double x = view_budget_x(view), t[EFFICIENCY_COEFS];
    char place[WORDS_SIZE];
    struct view_bands bands;
    struct fit_condition at = {.x = x, .g = view->run->draw_at_W_m2, .wind = view->e->draw_wind};
    view->e->form->terms(&at, t);
    view_bands_at(view, x, view->run->draw_at_W_m2, &bands);
    out->word = "curve";
    snprintf(out->people, sizeof out->people, "η at T* %s m² K/W",
             words_fixed(x, 3, place, sizeof place));
    out->unit = "";
    out->value = bands.curve.value;
    out->u = bands.curve.u;
    out->half_95 = bands.curve.half_95;
    out->n = rank_sources(view->e, t, out->sources);
    rank_sort(out->sources, out->n);
}

/* How many of the ranked bars are drawn on their own: those of at least 1 % of the variance, and
 * room is left for one that holds the others; a single other one may as well be drawn itself. */
static size_t drawn_alone(const struct ranked *ranked)
{
    double sum = 0;
    size_t alone = 0, n = ranked->n;
    const struct rank_source *sources = ranked->sources;
    for (size_t i = 0; i < n; i++)
        sum += sources[i].u * sources[i].u;
    while (alone < n && sources[alone].u * sources[alone].u >= RANK_SHARE_LEAST * sum)
        alone++;
    if (alone > BARS_MAX || (alone == BARS_MAX && n > BARS_MAX))
        alone = BARS_MAX - 1;
    return n - alone == 1 ? n : alone;
}

static bool draw_bars(size_t panel, const struct ranked *ranked, struct table *table,
                      struct faults *faults)
{
    double rest = 0;
    size_t alone = drawn_alone(ranked);
    for (size_t i = alone; i < ranked->n; i++)
        rest += ranked->sources[i].u * ranked->sources[i].u;
    for (size_t i = 0; i < alone + (rest > 0); i++) {
        bool last = i == alone;
        struct cell cells[BUDGET_COLUMNS] = {
            cell_text("bar"),
            cell_number((double)panel),
            cell_number((double)i),
            cell_number(last ? RANK_FORM : ranked->sources[i].kind),
            cell_number(last ? sqrt(rest) : fabs(ranked->sources[i].u)),
            cell_text(last ? "all others together" : ranked->sources[i].label)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
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

static bool tell_tables(const struct efficiency_view *view, const struct ranked *ranked, size_t n,
                        struct document *doc, struct faults *faults)
{
    char id[96], note[200], curve[80] = "";
    snprintf(id, sizeof id, "%s_sources", view->id);
    if (!ranked_file(id,
                     "Shift of each coefficient when the source moves by one standard uncertainty, "
                     "found by fitting again; share of the variance",
                     ranked, n, doc, faults))
        return false;
    snprintf(id, sizeof id, "%s_limits", view->id);
    if (n > view->e->form->n_coef)
        snprintf(curve, sizeof curve, "; of the curve at %.0f W/m²", view->run->draw_at_W_m2);
    snprintf(note, sizeof note, "share of the square of the standard uncertainty%s", curve);
    return ranked_named(id, "What limits each number most, and the cheapest cure", note, TABLE_FIT,
                        ranked, n, doc, faults);
}

static bool panel_settings(size_t panel, const struct ranked *ranked, struct figure *figure,
                           struct faults *faults)
{
    char name[32], text[400], value[WORDS_SIZE];
    words_pm(ranked->value, ranked->half_95, ranked->unit, value, sizeof value);
    snprintf(name, sizeof name, "panel_%zu", panel);
    snprintf(text, sizeof text, "%s = %s", ranked->people, value);
    if (!figure_set_text(figure, name, text, faults))
        return false;
    snprintf(name, sizeof name, "axis_%zu", panel);
    snprintf(text, sizeof text, "standard uncertainty of %s%s%s%s", ranked->people,
             ranked->unit[0] == '\0' ? "" : " (", ranked->unit,
             ranked->unit[0] == '\0' ? "" : ")");
    if (!figure_set_text(figure, name, text, faults))
        return false;
    snprintf(name, sizeof name, "total_%zu", panel);
    return figure_set_number(figure, name, ranked->u, faults);
}

static bool budget_figure(const struct efficiency_view *view, const char *id,
                          const struct ranked *ranked, size_t n, struct document *doc,
                          struct faults *faults)
{
    char title[200], alt[300];
    const char *largest = ranked[0].sources[0].label;
    snprintf(title, sizeof title, "What limits %s most: %s",
             view_coef_people(view->e->form->symbols[0]), largest);
    snprintf(alt, sizeof alt,
             "Bars of what each source of error gives to each coefficient%s, ranked; the largest "
             "for the first coefficient is %s.",
             n > view->e->form->n_coef ? " and to the curve" : "", largest);
    struct figure *figure = document_figure(doc, id, "budget", title, alt, id, faults);
    bool good = figure != NULL && figure_set_number(figure, "panels", (double)n, faults);
    for (size_t k = 0; k < n && good; k++)
        good = panel_settings(k, &ranked[k], figure, faults);
    return good;
}

static bool tell(const struct efficiency_view *view, const struct ranked *ranked, size_t n,
                 struct document *doc, struct faults *faults)
{
    char id[96];
    snprintf(id, sizeof id, "%s_budget", view->id);
    bool good = tell_tables(view, ranked, n, doc, faults);
    struct table *table = good ? drawn_table(id, doc, faults) : NULL;
    good = table != NULL;
    for (size_t k = 0; k < n && good; k++)
        good = draw_bars(k, &ranked[k], table, faults);
    return good && budget_figure(view, id, ranked, n, doc, faults);
}

/* Of a mean there is no curve: its only coefficient says it. */
bool view_budget(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    size_t p = view->e->form->n_coef, most = rank_most(view->e), n = p;
    struct ranked ranked[PANELS];
    struct rank_source *room = calloc((p + 1) * most, sizeof *room);
    if (room == NULL)
        return fault_memory(faults);
    for (size_t k = 0; k <= p; k++)
        ranked[k].sources = room + k * most;
    for (size_t j = 0; j < p; j++)
        rank_coef(view, j, &ranked[j]);
    if (p > 1)
        rank_curve(view, &ranked[n++]);
    bool good = tell(view, ranked, n, doc, faults);
    free(room);
    return good;
}
