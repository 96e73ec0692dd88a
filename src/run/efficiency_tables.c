/* Tables of an efficiency run: points, coefficients beside plain least squares, power, covariance.
 */
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define TEXT(name, head) {.id = name, .label = head, .unit = "", .kind = CELL_TEXT}
#define NUMBER(name, head, of, places)                                                             \
    {.id = name, .label = head, .unit = of, .kind = CELL_NUMBER, .digits = places}
#define LENGTH_OF(array) (sizeof(array) / sizeof(array)[0])

/* The diagnostics of point i; NULL if it was left out. */
static const struct fit_case *case_of(const struct efficiency_view *view, size_t i)
{
    for (size_t k = 0; k < view->e->n; k++)
        if (view->e->index[k] == i)
            return &view->e->cases[k];
    return NULL;
}

static bool point_row(const struct efficiency_view *view, size_t i, struct table *table,
                      struct faults *faults)
{
    const struct point *p = &view->points[i];
    const struct fit_case *c = case_of(view, i);
    double fitted = fit_form_value(view->e->form, view->e->curve.coef, &p->fit.at);
    char off[40];
    const char *reason = p->left_out && p->reason != NULL ? p->reason : "";
    if (p->oblique) {
        snprintf(off, sizeof off, "%.1f° off the normal", p->value.incidence_rad * 180 / M_PI);
        reason = off;
    }
    struct cell cells[] = {
        cell_text(p->means->name),
        cell_text(p->means->group),
        cell_number(p->value.x),
        cell_number(p->value.eta),
        cell_number(p->fit.u_eta),
        cell_number(p->fit.u_x),
        cell_number(p->fit.cov_eta_x),
        cell_number(p->value.heat_W),
        cell_number(p->value.stored_W),
        cell_number(p->value.g_W_m2),
        cell_number(p->value.difference_K),
        cell_number(p->value.mass_kg_s),
        cell_number(fitted),
        cell_number(p->value.eta - fitted),
        cell_number(c == NULL ? NAN : c->leverage),
        cell_number(c == NULL ? NAN : c->studentised),
        cell_number(c == NULL ? NAN : c->deleted),
        cell_number(c == NULL ? NAN : c->cook),
        cell_text(reason),
    };
    return table_row(table, cells, faults);
}

static bool points_file(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    struct column columns[] = {
        TEXT("point", "point"),
        TEXT("group", "group"),
        NUMBER("T* [m2 K/W]", "T*", "m2 K/W", 5),
        NUMBER("efficiency", "eta", "", 4),
        NUMBER("u efficiency", "u(eta)", "", 4),
        NUMBER("u T* [m2 K/W]", "u(T*)", "m2 K/W", 5),
        NUMBER("cov efficiency T* [m2 K/W]", "cov", "m2 K/W", 5),
        NUMBER("heat [W]", "heat", "W", 1),
        NUMBER("stored of it [W]", "stored", "W", 1),
        NUMBER("irradiance [W/m2]", "G", "W/m2", 1),
        NUMBER("difference to air [K]", "dT", "K", 2),
        NUMBER("mass flow [kg/s]", "flow", "kg/s", 5),
        NUMBER("fitted", "fitted", "", 4),
        NUMBER("residual", "residual", "", 4),
        NUMBER("leverage", "leverage", "", 3),
        NUMBER("studentised", "studentised", "", 2),
        NUMBER("studentised without itself", "deleted", "", 2),
        NUMBER("Cook's distance", "Cook", "", 3),
        TEXT("left out", "left out"),
    };
    char id[96];
    snprintf(id, sizeof id, "%s_points", view->id);
    struct table *table = document_table(doc, id, "Points of the curve", "", columns,
                                         LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->file = true;
    for (size_t i = 0; i < view->n; i++)
        if (!point_row(view, i, table, faults))
            return false;
    return true;
}

/* What fits on a page: each point with its residual in units of its uncertainty. */
static bool points_report(const struct efficiency_view *view, struct document *doc,
                          struct faults *faults)
{
    char above[24];
    snprintf(above, sizeof above, "%s − air", fluid_word(view->setup->fluid));
    bool grouped = view_has_groups(view);
    struct column columns[] = {TEXT("group", "group"),
                               TEXT("point", "point"),
                               NUMBER("g", "G", "W/m2", 0),
                               NUMBER("dt", above, "K", 1),
                               NUMBER("x", "T*", "m2 K/W", 4),
                               NUMBER("eta", "eta", "", 4),
                               NUMBER("pm", "+-", "", 4),
                               NUMBER("residual", "residual", "", 4),
                               TEXT("remark", "remark")};
    char id[96];
    snprintf(id, sizeof id, "%s_summary", view->id);
    struct table *table = document_table(
        doc, id, "Points of the curve",
        "±: half of a 95 % interval from reading and session errors alone",
        columns + !grouped, LENGTH_OF(columns) - !grouped, faults);
    if (table == NULL)
        return false;
    table->report = true;
    table->place = TABLE_POINTS;
    for (size_t i = 0; i < view->n; i++) {
        const struct point *p = &view->points[i];
        const struct fit_case *c = case_of(view, i);
        double fitted = fit_form_value(view->e->form, view->e->curve.coef, &p->fit.at);
        const char *remark = p->left_out                               ? "left out"
                             : c != NULL && fabs(c->deleted) > 3       ? "far off: look at it"
                             : c != NULL && isfinite(c->cook) && c->cook > 1 ? "pulls the curve"
                             : view_drifts(p) ? "outside the standard: drifts"
                                                                       : "";
        struct cell cells[] = {cell_text(p->means->group),
                               cell_text(p->means->name),
                               cell_number(p->value.g_W_m2),
                               cell_number(p->value.difference_K),
                               cell_number(p->value.x),
                               cell_number(p->value.eta),
                               cell_number(1.96 * p->fit.u_eta),
                               cell_number(p->value.eta - fitted),
                               cell_text(remark)};
        if (!table_row(table, cells + !grouped, faults))
            return false;
    }
    return true;
}

/* Our result beside what a spreadsheet's straight or square fit gives. */
static bool plain_table(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    struct column columns[] = {TEXT("coefficient", "coefficient"),
                               NUMBER("value", "here", "", 4),
                               NUMBER("u", "standard u", "", 4),
                               NUMBER("plain", "plain", "", 4),
                               NUMBER("plain_u", "its standard error", "", 4),
                               TEXT("unit", "unit")};
    char id[96];
    snprintf(id, sizeof id, "%s_plain", view->id);
    struct table *table = document_table(
        doc, id, "Beside plain least squares",
        "Plain: every point counts the same, errors of T* and calibration left out, as a "
        "spreadsheet does it",
        columns, LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_FIT;
    for (size_t j = 0; j < view->e->form->n_coef; j++) {
        double u, dof;
        efficiency_combined(view->e, j, &u, &dof);
        struct cell cells[] = {cell_text(view->e->form->symbols[j]),
                               cell_number(view->e->curve.coef[j]),
                               cell_number(u),
                               cell_number(view->e->plain.coef[j]),
                               cell_number(fit_linear_std_error(&view->e->plain, j)),
                               cell_text(view_coef_unit(view->e->form->symbols[j]))};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool power_row(const struct efficiency_view *view, double difference_K, struct table *table,
                      struct faults *faults)
{
    double g = view->run->draw_at_W_m2;
    double scale = view->setup->area_m2 * g;
    struct view_bands bands;
    view_bands_at(view, difference_K / g, g, &bands);
    struct cell cells[] = {
        cell_number(difference_K),           cell_number(bands.curve.value),
        cell_number(bands.curve.half_95),    cell_number(bands.curve.value * scale),
        cell_number(bands.curve.half_95 * scale)};
    return table_row(table, cells, faults);
}

static bool power_table(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    if (view->e->form->n_coef == 1)
        return true;
    char above[24];
    snprintf(above, sizeof above, "%s − air", fluid_word(view->setup->fluid));
    struct column columns[] = {NUMBER("difference [K]", above, "K", 0),
                               NUMBER("efficiency", "efficiency", "", 3),
                               NUMBER("pm efficiency", "+-", "", 3),
                               NUMBER("power [W]", "power", "W", 0),
                               NUMBER("pm power [W]", "+-", "W", 0)};
    char id[96], title[96];
    snprintf(id, sizeof id, "%s_power", view->id);
    snprintf(title, sizeof title, "Power of the collector at %.0f W/m²", view->run->draw_at_W_m2);
    struct table *table = document_table(doc, id, title,
                                         "±: half of a 95 % interval; within the tested range, and "
                                         "down to 0 K where the tests began near it",
                                         columns, LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_ANSWER;
    double from, to;
    view_range(view, &from, &to);
    for (double k = 10 * ceil(from * view->run->draw_at_W_m2 / 10 - 0.01);
         k <= to * view->run->draw_at_W_m2; k += 10)
        if (!power_row(view, k == 0 ? 0 : k, table, faults))
            return false;
    return true;
}

static bool covariance_table(const struct efficiency_view *view, struct document *doc,
                             struct faults *faults)
{
    const struct efficiency *e = view->e;
    size_t p = e->form->n_coef;
    struct column columns[1 + EFFICIENCY_COEFS] = {TEXT("coefficient", "")};
    for (size_t j = 0; j < p; j++)
        columns[1 + j] =
            (struct column)NUMBER((char *)e->form->symbols[j], (char *)e->form->symbols[j], "", 3);
    char id[96];
    snprintf(id, sizeof id, "%s_correlation", view->id);
    struct table *table = document_table(doc, id, "Correlation of the coefficients",
                                         "Use it with the standard uncertainties: the coefficients "
                                         "err together",
                                         columns, 1 + p, faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_FIT;
    for (size_t i = 0; i < p; i++) {
        struct cell cells[1 + EFFICIENCY_COEFS] = {cell_text(e->form->symbols[i])};
        for (size_t j = 0; j < p; j++)
            cells[1 + j] = cell_number(fit_correlation(e->total, p, i, j));
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

bool view_tables(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    return power_table(view, doc, faults) && points_report(view, doc, faults) &&
           points_file(view, doc, faults) && plain_table(view, doc, faults) &&
           covariance_table(view, doc, faults);
}
