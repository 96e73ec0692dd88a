#include "run/efficiency_view.h"

#include "base/text.h"
#include "run/efficiency_doubts.h"

#include <math.h>

static const struct {
    const char *symbol, *label, *unit, *people, *unit_people;
} words[] = {
    {"eta", "efficiency at the conditions of the test", "", "η", ""},
    {"eta0", "efficiency with water as warm as the air", "", "η₀", ""},
    {"a1", "heat loss per degree", "W/(m2 K)", "a₁", "W/(m² K)"},
    {"a2", "growth of the heat loss with temperature", "W/(m2 K2)", "a₂", "W/(m² K²)"},
    {"a3", "growth of the heat loss with wind", "J/(m3 K)", "a₃", "J/(m³ K)"},
};

static size_t find(const char *symbol)
{
    size_t i = 0;
    while (i + 1 < sizeof words / sizeof words[0] && !text_same(words[i].symbol, symbol))
        i++;
    return i;
}

double view_local_hour(const struct efficiency_view *view, const struct means *means)
{
    const double hour_us = 3.6e9;
    if (!means->timed)
        return NAN;
    double middle_us = 0.5 * ((double)means->start_us + (double)means->end_us);
    int64_t offset_s = zone_offset_s(log_set_zone(&view->reduction->logs), means->start_us);
    return (middle_us + 1e6 * (double)offset_s) / hour_us - 24.0 * (double)means->session;
}

const char *view_fluid(const struct efficiency_view *view)
{
    bool water = view->setup->fluid->kind == FLUID_WATER;
    if (view->setup->basis == BASIS_INLET)
        return water ? "the water entering" : "the fluid entering";
    return water ? "water" : "the fluid";
}

const char *view_coef_label(const struct efficiency_view *view, const char *symbol)
{
    bool water = view->setup->fluid->kind == FLUID_WATER;
    if (text_same(symbol, "eta0") && view->setup->basis == BASIS_INLET)
        return water ? "efficiency with the water entering as warm as the air"
                     : "efficiency with the fluid entering as warm as the air";
    if (text_same(symbol, "eta0") && !water)
        return "efficiency with the fluid as warm as the air";
    return words[find(symbol)].label;
}

const char *view_coef_unit(const char *symbol)
{
    return words[find(symbol)].unit;
}

const char *view_coef_people(const char *symbol)
{
    return words[find(symbol)].people;
}

const char *view_unit_people(const char *symbol)
{
    return words[find(symbol)].unit_people;
}

void view_bands_at(const struct efficiency_view *view, double x, double g_W_m2,
                   struct view_bands *bands)
{
    struct fit_condition at = {.x = x, .g = g_W_m2, .wind = view->e->draw_wind};
    double terms[EFFICIENCY_COEFS];
    struct fit_parts parts = efficiency_parts(view->e);
    view->e->form->terms(&at, terms);
    fit_band_curve(&parts, terms, &bands->curve);
    fit_band_next_window(&parts, terms, &view->e->new_window, &bands->next);
    fit_band_elsewhere(&parts, terms, &view->e->new_window, &bands->bench);
}

void view_range(const struct efficiency_view *view, double *from, double *to)
{
    const struct design *design = &view->e->design;
    *from = design->least_x;
    *to = design->most_x;
    /* Down to water as warm as the air where that is near: a quarter of the tested reach. */
    if (view->e->form->n_coef > 1 && *from > 0 && *from < 0.25 * (*to - *from))
        *from = 0;
    if (view->e->form->n_coef == 1) { /* a mean is drawn as a short stretch about its points */
        double reach = fmax(0.002, 0.1 * (*to - *from));
        *from -= reach;
        *to += reach;
    }
}

double view_budget_x(const struct efficiency_view *view)
{
    const struct design *design = &view->e->design;
    const struct stated_number *stated = &view->run->budget_at;
    return stated->at.given ? stated->value : 0.5 * (design->least_x + design->most_x);
}

bool view_doubts(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct doubted of = {.reduction = view->reduction,
                         .run = view->run,
                         .e = view->e,
                         .points = view->points,
                         .n = view->n};
    return efficiency_doubts(&of, doc, faults);
}
