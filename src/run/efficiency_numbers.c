/* Coefficients as numbers with their parts, and the curve as later programs read it back. */
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "result/curve.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Fills the parts of t . b (of a coefficient t is 1 in its place): reading, session, every
 * calibration source, what the form left out. Returns: how many. */
static size_t fill_parts(const struct efficiency *e, const double *t, struct part *parts)
{
    size_t p = e->form->n_coef, n = 0;
    double of_sessions = fit_variance(t, e->session, p), curvature = fit_dot(t, e->d_curvature, p);
    parts[n++] = (struct part){.id = "reading",
                               .label = "readings of the windows (noise, resolution)",
                               .u = sqrt(fit_variance(t, e->reading, p))};
    if (of_sessions > 0)
        parts[n++] = (struct part){.id = "session",
                                   .label = "what differs from day to day",
                                   .u = sqrt(of_sessions)};
    for (size_t k = 0; k < e->n_shares; k++)
        if (e->shares[k].row->kind == ERROR_CALIBRATION)
            parts[n++] = (struct part){.id = (char *)e->shares[k].row->id,
                                       .label = (char *)e->shares[k].row->label,
                                       .u = fit_dot(t, e->shares[k].d, p)};
    for (size_t k = 0; k < e->n_extras; k++)
        if (!e->extras[k].session)
            parts[n++] = (struct part){.id = (char *)e->extras[k].id,
                                       .label = (char *)e->extras[k].label,
                                       .u = fit_dot(t, e->extras[k].d, p)};
    if (curvature != 0)
        parts[n++] = (struct part){.id = "curvature",
                                   .label = "curvature left out",
                                   .u = curvature};
    return n;
}

static bool coefficient(const struct efficiency_view *view, size_t j, struct part *parts,
                        struct document *doc, struct faults *faults)
{
    const struct efficiency *e = view->e;
    const char *symbol = e->form->symbols[j];
    char id[160];
    double t[EFFICIENCY_COEFS] = {0};
    t[j] = 1;
    struct number number = {.id = id,
                            .label = (char *)view_coef_label(view, symbol),
                            .symbol = (char *)symbol,
                            .unit = (char *)view_coef_unit(symbol),
                            .value = e->curve.coef[j],
                            .parts = parts,
                            .n_parts = fill_parts(e, t, parts)};
    snprintf(id, sizeof id, "%s.%s", view->prefix, symbol);
    efficiency_combined(e, j, &number.u, &number.dof);
    double half = fit_coverage_95(number.dof) * number.u;
    const struct draws_interval *drawn = draws_preferred(view->draws, j);
    number.low = drawn != NULL ? drawn->low : number.value - half;
    number.high = drawn != NULL ? drawn->high : number.value + half;
    return document_number(doc, &number, faults);
}

/* The same coefficients for the other areas of the description: all scale by the ratio of areas. */
static bool other_area(const struct efficiency_view *view, size_t j, enum area_reference area,
                       struct document *doc, struct faults *faults)
{
    const struct efficiency *e = view->e;
    const struct collector *collector = &view->reduction->setup.collector;
    double ratio = collector->area_m2 / collector->area[area].value;
    const char *symbol = e->form->symbols[j];
    char id[160], label[160];
    snprintf(id, sizeof id, "%s.%s.%s", view->id, area_word(area), symbol);
    snprintf(label, sizeof label, "%s, %s area", view_coef_label(view, symbol), area_word(area));
    struct number number = {.id = id,
                            .label = label,
                            .symbol = (char *)symbol,
                            .unit = (char *)view_coef_unit(symbol),
                            .value = e->curve.coef[j] * ratio};
    efficiency_combined(e, j, &number.u, &number.dof);
    number.u *= ratio;
    double half = fit_coverage_95(number.dof) * number.u;
    const struct draws_interval *drawn = draws_preferred(view->draws, j);
    number.low = drawn != NULL ? ratio * drawn->low : number.value - half;
    number.high = drawn != NULL ? ratio * drawn->high : number.value + half;
    return document_number(doc, &number, faults);
}

static bool other_areas(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    const struct collector *collector = &view->reduction->setup.collector;
    for (int area = 0; area < AREA_COUNT; area++) {
        if (area == (int)collector->reference || !collector->area[area].at.given)
            continue;
        for (size_t j = 0; j < view->e->form->n_coef; j++)
            if (!other_area(view, j, (enum area_reference)area, doc, faults))
                return false;
    }
    return true;
}

static bool scatter_number(const struct efficiency_view *view, struct document *doc,
                           struct faults *faults)
{
    const struct efficiency *e = view->e;
    if (!isfinite(e->curve.birge))
        return true;
    char id[160];
    snprintf(id, sizeof id, "%s.birge", view->id);
    struct number number = {.id = id,
                            .label = "scatter seen ÷ scatter claimed (Birge ratio): near 1 if the "
                                     "stated errors of readings are right",
                            .symbol = "Birge",
                            .unit = "",
                            .value = e->curve.birge,
                            .u = NAN,
                            .low = NAN,
                            .high = NAN,
                            .dof = (double)e->curve.dof};
    return document_number(doc, &number, faults);
}

/* The curve where its budget is asked for; a mean is its own curve. */
static bool curve_number(const struct efficiency_view *view, struct part *parts,
                         struct document *doc, struct faults *faults)
{
    const struct efficiency *e = view->e;
    double x = view_budget_x(view), g_W_m2 = view->run->draw_at_W_m2, t[EFFICIENCY_COEFS];
    struct fit_condition at = {.x = x, .g = g_W_m2, .wind = e->draw_wind};
    struct view_bands bands;
    char id[160], label[160], place[WORDS_SIZE];
    if (e->form->n_coef == 1)
        return true;
    e->form->terms(&at, t);
    view_bands_at(view, x, g_W_m2, &bands);
    snprintf(id, sizeof id, "%s.at", view->prefix);
    snprintf(label, sizeof label, "efficiency at T* %s m² K/W and %.0f W/m²",
             words_fixed(x, 3, place, sizeof place), g_W_m2);
    struct number number = {.id = id,
                            .label = label,
                            .symbol = "eta",
                            .unit = "",
                            .value = bands.curve.value,
                            .u = bands.curve.u,
                            .low = bands.curve.value - bands.curve.half_95,
                            .high = bands.curve.value + bands.curve.half_95,
                            .dof = bands.curve.dof,
                            .parts = parts,
                            .n_parts = fill_parts(e, t, parts)};
    return document_number(doc, &number, faults);
}

/* What result/curve.h needs to read the curve back; only the first run's. */
static bool state_curve(const struct efficiency_view *view, struct document *doc,
                        struct faults *faults)
{
    const struct efficiency *e = view->e;
    const struct collector *collector = &view->reduction->setup.collector;
    struct curve curve;
    curve_init(&curve);
    snprintf(curve.form, sizeof curve.form, "%s", e->form->name);
    snprintf(curve.area_basis, sizeof curve.area_basis, "%s", area_word(collector->reference));
    snprintf(curve.temperature, sizeof curve.temperature, "%s",
             view->setup->basis == BASIS_INLET ? "inlet" : "mean");
    curve.area_m2 = collector->area_m2;
    curve.x_low = e->design.least_x;
    curve.x_high = e->design.most_x;
    curve.g_low_W_m2 = e->design.least_g;
    curve.g_high_W_m2 = e->design.most_g;
    curve.with_wind = e->form->with_wind;
    curve.wind_origin_m_s = view->setup->wind_origin_m_s;
    curve.wind_low_m_s = e->design.least_wind_m_s;
    curve.wind_high_m_s = e->design.most_wind_m_s;
    bool good = document_covariance(doc, e->total, e->form->n_coef, faults) &&
                curve_state(&curve, doc, faults);
    curve_free(&curve);
    return good;
}

bool view_numbers(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct part *parts = calloc(view->e->n_shares + 3 + EFFICIENCY_EXTRAS, sizeof *parts);
    if (parts == NULL)
        return fault_memory(faults);
    bool good = true;
    for (size_t j = 0; j < view->e->form->n_coef && good; j++)
        good = coefficient(view, j, parts, doc, faults);
    good = good && other_areas(view, doc, faults) && scatter_number(view, doc, faults) &&
           curve_number(view, parts, doc, faults);
    free(parts);
    if (!good)
        return false;
    bool first = strcmp(view->prefix, "curve") == 0;
    return !first || state_curve(view, doc, faults);
}
