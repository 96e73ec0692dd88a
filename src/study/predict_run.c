#include "study/predict_run.h"

#include "run/reduction_document.h"
#include "study/predict_view.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define INLET_ABOVE_K 30.0

/* Everything that a prediction is made of; large, so it lives on the heap. */
struct work {
    const struct reduction *reduction;
    struct conditions conditions;
    struct measured measured;
    struct predict_wish wish;
    struct prediction prediction;
    struct explanation explanation;
    struct predict_change changes[PREDICT_CHANGES_MOST];
    size_t n_changes;
};

static void wish_range(struct work *w)
{
    const struct conditions *c = &w->conditions;
    struct predict_wish *wish = &w->wish;
    wish->form = w->measured.form;
    wish->range = (struct predict_range){.x_low_m2K_W = c->x_low_m2K_W,
                                         .x_high_m2K_W = c->x_high_m2K_W,
                                         .wind_low_m_s = c->wind_low_m_s,
                                         .wind_high_m_s = c->wind_high_m_s,
                                         .wind_origin_m_s = w->measured.wind_origin_m_s};
    /* A curve over next to no range would be fitted to rounding. */
    if (!w->measured.given && c->x_high_m2K_W - c->x_low_m2K_W < 0.02) {
        wish->range.x_low_m2K_W = fmin(c->x_low_m2K_W, 0.0);
        wish->range.x_high_m2K_W = wish->range.x_low_m2K_W + 0.06;
    }
    /* Compared from where the fluid is as warm as the air, unless the form knows one temperature.
     */
    bool one = wish->form->n_coef == 1;
    wish->n_states = one ? 1 : PREDICT_STATES;
    double from = one ? c->x_mean_m2K_W : 0.0;
    double to = one ? from : wish->range.x_high_m2K_W;
    for (size_t k = 0; k < PREDICT_STATES; k++)
        wish->x_m2K_W[k] = from + (to - from) * (double)k / (PREDICT_STATES - 1);
}

/* Returns: false with a fault where the fluid's table does not reach. */
static bool wish_point(struct work *w, struct faults *faults)
{
    const struct operating_keys *keys = &w->reduction->setup.construction.operating;
    const struct conditions *c = &w->conditions;
    const struct fluid *fluid = &w->reduction->setup.fluid;
    struct predict_wish *wish = &w->wish;
    wish->point_g_W_m2 = keys->g_W_m2.at.given ? keys->g_W_m2.value : c->weather.g_W_m2;
    wish->point_ambient_degC =
        keys->ambient_degC.at.given ? keys->ambient_degC.value : c->weather.ambient_degC;
    wish->point_wind_m_s = keys->wind_m_s.at.given ? keys->wind_m_s.value : c->weather.wind_m_s;
    wish->point_inlet_degC = keys->inlet_degC.at.given ? keys->inlet_degC.value
                                                       : wish->point_ambient_degC + INLET_ABOVE_K;
    double t = wish->point_inlet_degC;
    if (!fluid_covers(fluid, t)) {
        struct place at = fault_at(w->reduction->setup.path, keys->inlet_degC.at.line,
                                   keys->inlet_degC.at.column);
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "the operating point's inlet, %.4g degC, lies outside the table of %s",
                    t, fluid->name);
        fault_expected(fault, "%.4g to %.4g degC", fluid->least_degC, fluid->most_degC);
        return false;
    }
    double mass =
        keys->flow_m3_s.at.given ? keys->flow_m3_s.value * fluid_density(fluid, t) : c->mass_kg_s;
    wish->point_flow_W_K = mass * fluid_cp(fluid, t);
    return true;
}

static bool predict_one(struct work *w, const struct construction *construction,
                        struct prediction *out, struct faults *faults)
{
    struct build build;
    return build_make(&build, construction, &w->reduction->setup, &w->conditions, w->measured.basis,
                      faults) &&
           prediction_make(out, &build, &w->wish, faults);
}

static bool change_all(struct work *w, const char *const *changes, size_t n, struct faults *faults)
{
    const struct test_setup *setup = &w->reduction->setup;
    for (size_t i = 0; i < n; i++) {
        struct construction changed = setup->construction;
        w->changes[i].text = changes[i];
        w->n_changes = i + 1;
        if (!construction_change(&changed, &setup->collector, changes[i], faults) ||
            !predict_one(w, &changed, &w->changes[i].prediction, faults))
            return false;
    }
    return true;
}

static bool too_many(size_t n, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "%zu changes are more than a figure can show", n);
    fault_expected(fault, "at most %d --change options; ';' joins several changes into one",
                   PREDICT_CHANGES_MOST);
    return false;
}

static bool work_out(struct work *w, const char *const *changes, size_t n, struct faults *faults)
{
    const struct test_setup *setup = &w->reduction->setup;
    if (!construction_whole(&setup->construction, setup->path, faults))
        return false;
    if (n > PREDICT_CHANGES_MOST)
        return too_many(n, faults);
    if (!measured_of(w->reduction, &w->measured, faults))
        return false;
    conditions_of(w->reduction, w->measured.basis, &w->conditions);
    wish_range(w);
    return wish_point(w, faults) && predict_one(w, &setup->construction, &w->prediction, faults) &&
           change_all(w, changes, n, faults) &&
           (!w->measured.given ||
            explain(&w->prediction, &w->wish, &w->measured, &w->explanation, faults));
}

static bool tell(const struct work *w, struct document *doc, struct faults *faults)
{
    struct predict_view view = {.reduction = w->reduction,
                                .conditions = &w->conditions,
                                .wish = &w->wish,
                                .measured = &w->measured,
                                .prediction = &w->prediction,
                                .explanation = w->measured.given ? &w->explanation : NULL,
                                .changes = w->changes,
                                .n_changes = w->n_changes};
    return reduction_facts(w->reduction, doc, faults) &&
           reduction_bad_rows(w->reduction, doc, faults) && predict_numbers(&view, doc, faults) &&
           predict_changes_text(&view, doc, faults) && predict_answers_text(&view, doc, faults) &&
           predict_compare(&view, doc, faults) &&
           predict_limits(&view, doc, faults) && predict_losses_figure(&view, doc, faults) &&
           predict_changes(&view, doc, faults) && predict_tables(&view, doc, faults);
}

bool predict_run(const struct reduction *reduction, const char *const *changes, size_t n,
                 struct document *doc, struct faults *faults)
{
    struct work *w = calloc(1, sizeof *w);
    if (w == NULL)
        return fault_memory(faults);
    w->reduction = reduction;
    prediction_init(&w->prediction);
    for (size_t i = 0; i < PREDICT_CHANGES_MOST; i++)
        prediction_init(&w->changes[i].prediction);
    bool good = work_out(w, changes, n, faults) && tell(w, doc, faults);
    prediction_free(&w->prediction);
    for (size_t i = 0; i < PREDICT_CHANGES_MOST; i++)
        prediction_free(&w->changes[i].prediction);
    free(w);
    return good;
}
