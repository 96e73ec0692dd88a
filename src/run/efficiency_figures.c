/* Figures of an efficiency run: the curve with its bands, and the residuals. */
#include "run/efficiency_view.h"

#include "base/calendar.h"
#include "fit/combine.h"
#include "run/group_tints.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { CURVE_COLUMNS = 16, RESIDUAL_COLUMNS = 7, CURVE_ROWS = 101, SYMBOLS = 8 };

static struct table *figure_table(struct document *doc, const char *id, const char *const *ids,
                                  size_t n, size_t text_column, size_t text_too,
                                  struct faults *faults)
{
    struct column columns[CURVE_COLUMNS];
    for (size_t k = 0; k < n; k++)
        columns[k] = (struct column){
            .id = (char *)ids[k],
            .label = (char *)ids[k],
            .unit = "",
            .kind = k == 0 || k == text_column || k == text_too ? CELL_TEXT : CELL_NUMBER,
            .digits = 5};
    struct table *table = document_table(doc, id, "Drawn values", "", columns, n, faults);
    if (table != NULL)
        table->place = TABLE_FIT;
    return table;
}

/* A point measured at another irradiance is brought to the drawn one along the curve. */
static double brought(const struct efficiency_view *view, const struct point *point, double x)
{
    struct fit_condition there = {.x = x, .g = view->run->draw_at_W_m2, .wind = view->e->draw_wind};
    const double *coef = view->e->curve.coef;
    return fit_form_value(view->e->form, coef, &there) -
           fit_form_value(view->e->form, coef, &point->fit.at);
}

static bool curve_points(const struct efficiency_view *view, struct table *table,
                         struct faults *faults)
{
    struct view_group_list groups;
    bool grouped = view_has_groups(view);
    view_find_groups(view, &groups);
    for (size_t i = 0; i < view->n; i++) {
        const struct point *p = &view->points[i];
        double eta = p->value.eta + brought(view, p, p->value.x);
        double dx = 1.96 * p->fit.u_x, dy = 1.96 * p->fit.u_eta;
        struct cell cells[CURVE_COLUMNS] = {cell_text(p->left_out ? "left out" : "point"),
                                            cell_number(p->value.x),
                                            cell_number(eta),
                                            cell_number(p->value.x - dx),
                                            cell_number(p->value.x + dx),
                                            cell_number(eta - dy),
                                            cell_number(eta + dy)};
        for (int k = 7; k < 13; k++)
            cells[k] = cell_number(NAN);
        cells[13] = cell_text(p->means->name);
        cells[14] = cell_text(grouped ? view_group_name(view, i) : "");
        cells[15] = cell_number(grouped ? (double)view_group_of(view, &groups, i) : NAN);
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool curve_rows(const struct efficiency_view *view, struct table *table,
                       struct faults *faults)
{
    double from, to;
    view_range(view, &from, &to);
    for (int i = 0; i < CURVE_ROWS; i++) {
        double x = from + (to - from) * i / (CURVE_ROWS - 1);
        struct view_bands b;
        view_bands_at(view, x, view->run->draw_at_W_m2, &b);
        struct cell cells[CURVE_COLUMNS] = {cell_text("curve"), cell_number(x),
                                            cell_number(b.curve.value)};
        for (int k = 3; k < 7; k++)
            cells[k] = cell_number(NAN);
        cells[7] = cell_number(b.curve.value - b.curve.half_95);
        cells[8] = cell_number(b.curve.value + b.curve.half_95);
        cells[9] = cell_number(b.next.value - b.next.half_95);
        cells[10] = cell_number(b.next.value + b.next.half_95);
        cells[11] = cell_number(b.bench.value - b.bench.half_95);
        cells[12] = cell_number(b.bench.value + b.bench.half_95);
        cells[13] = cells[14] = cell_text("");
        cells[15] = cell_number(NAN);
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

/* "η = 0.773 − 3.90 T* − 0.0120 G T*² − 0.21 (u − 3) T*" */
static bool formula(const struct efficiency_view *view, struct text *out, struct faults *faults)
{
    const struct fit_form *form = view->e->form;
    const double *c = view->e->curve.coef;
    text_addf(out, "η = %.3f", c[0]);
    for (size_t j = 1; j < form->n_coef; j++) {
        bool bend = text_same(form->symbols[j], "a2");
        text_addf(out, " %s %.*f", c[j] < 0 ? "+" : "−", bend ? 4 : 2, fabs(c[j]));
        if (text_same(form->symbols[j], "a3"))
            text_addf(out, " (u − %.3g)", view->setup->wind_origin_m_s);
        text_add(out, bend ? " G T*²" : " T*");
    }
    return text_ok(out, faults);
}

/* A symbol for each group, as many as can be told apart; any more share the last. */
static bool name_groups(const struct efficiency_view *view, struct figure *figure,
                        struct faults *faults)
{
    struct view_group_list groups;
    const char *names[SYMBOLS], *tints[SYMBOLS];
    bool good = true;
    view_find_groups(view, &groups);
    size_t n = !view_has_groups(view) ? 0 : groups.n < SYMBOLS ? groups.n : SYMBOLS;
    for (size_t g = 0; g < n; g++) {
        bool rest = g + 1 == SYMBOLS && groups.n > SYMBOLS;
        names[g] = rest ? "the other groups" : view_group_name(view, groups.first[g]);
    }
    group_tints(names, n, tints);
    for (size_t g = 0; g < n && good; g++) {
        char group[24], tint[24];
        snprintf(group, sizeof group, "group_%zu", g);
        snprintf(tint, sizeof tint, "tint_%zu", g);
        good = figure_set_text(figure, group, names[g], faults) &&
               figure_set_text(figure, tint, tints[g], faults);
    }
    return good && figure_set_number(figure, "groups", (double)n, faults);
}

static bool curve_figure(const struct efficiency_view *view, struct document *doc,
                         struct faults *faults)
{
    static const char *const ids[CURVE_COLUMNS] = {
        "part",       "T*",        "efficiency", "x_low",       "x_high",    "y_low",
        "y_high",     "curve_low", "curve_high", "next_low",    "next_high", "bench_low",
        "bench_high", "name",      "group",      "group_number"};
    char title[200], alt[440], eta[WORDS_SIZE], wind[WORDS_SIZE] = "";
    struct text equation = {0};
    double u, dof;
    efficiency_combined(view->e, 0, &u, &dof);
    words_percent(view->e->curve.coef[0], fit_coverage_95(dof) * u, eta, sizeof eta);
    bool mean = view->e->form->n_coef == 1;
    if (mean)
        snprintf(title, sizeof title, "%s: %s at the tested temperature", doc->title, eta);
    else
        snprintf(title, sizeof title, "%s: %s with %s as warm as the air", doc->title, eta,
                 view_fluid(view));
    if (view->e->form->with_wind)
        snprintf(wind, sizeof wind, " and %.1f m/s",
                 view->e->draw_wind + view->setup->wind_origin_m_s);
    bool good = formula(view, &equation, faults);
    snprintf(alt, sizeof alt,
             "Efficiency against reduced temperature difference: %zu points and the curve %s at "
             "%.0f W/m²%s, with three bands: where the curve lies, where one more window of this "
             "test would fall, and where another bench would find it.",
             view->e->n, text_string(&equation), view->run->draw_at_W_m2, wind);
    struct table *table =
        good ? figure_table(doc, view->id, ids, CURVE_COLUMNS, 13, 14, faults) : NULL;
    if (table != NULL)
        table->place = TABLE_ANSWER;
    good = table != NULL && curve_points(view, table, faults) && curve_rows(view, table, faults);
    struct figure *figure =
        good ? document_figure(doc, view->id, "curve", title, alt, view->id, faults) : NULL;
    good = figure != NULL && figure_set_number(figure, "g_W_m2", view->run->draw_at_W_m2, faults) &&
           figure_set_text(figure, "formula", text_string(&equation), faults) &&
           name_groups(view, figure, faults);
    text_free(&equation);
    return good;
}

static bool residual_rows(const struct efficiency_view *view, struct table *table,
                          struct faults *faults)
{
    const struct efficiency *e = view->e;
    for (size_t i = 0; i < view->n; i++) {
        const struct point *p = &view->points[i];
        double r = p->value.eta - fit_form_value(e->form, e->curve.coef, &p->fit.at);
        double u = sqrt(fit_curve_variance(e->form, e->curve.coef, &p->fit));
        struct cell cells[RESIDUAL_COLUMNS] = {cell_text(p->left_out ? "left out" : "point"),
                                               cell_number(p->value.x),
                                               cell_number(view_local_hour(view, p->means)),
                                               cell_number(r),
                                               cell_number(r - 2 * u),
                                               cell_number(r + 2 * u),
                                               cell_text(p->means->name)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool residual_figure(const struct efficiency_view *view, struct document *doc,
                            struct faults *faults)
{
    static const char *const ids[RESIDUAL_COLUMNS] = {"part", "T*",   "hour", "residual",
                                                      "low",  "high", "name"};
    char id[96], title[160], alt[240];
    snprintf(id, sizeof id, "%s_residuals", view->id);
    double largest = 0;
    for (size_t k = 0; k < view->e->n; k++)
        largest = fmax(largest, fabs(view->e->cases[k].residual));
    snprintf(title, sizeof title, "Measured minus curve: %.1f percentage points at most",
             100 * largest);
    snprintf(alt, sizeof alt,
             "Residuals of the %zu points against reduced temperature and time of day, with bars "
             "of two standard uncertainties; the largest is %.4f.",
             view->e->n, largest);
    struct table *table =
        figure_table(doc, id, ids, RESIDUAL_COLUMNS, RESIDUAL_COLUMNS - 1, 0, faults);
    if (table == NULL || !residual_rows(view, table, faults))
        return false;
    return document_figure(doc, id, "residuals", title, alt, id, faults) != NULL;
}

bool view_figures(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    return curve_figure(view, doc, faults) && view_power_figure(view, doc, faults) &&
           residual_figure(view, doc, faults);
}
