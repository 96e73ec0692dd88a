#include "study/plan_typical.h"

#include "study/build.h"
#include "study/conditions.h"
#include "study/predict.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define USUAL_AMBIENT_degC 20.0
#define USUAL_WIND_m_s 3.0
#define LEAST_ETA 0.05 /* below it a window's heat drowns in its errors */
enum { HALVINGS = 80 };

static bool has_meter(const struct test_setup *setup, enum channel channel)
{
    return instrument_of_channel(setup->instruments, setup->n_instruments, channel) != NULL;
}

static void set(struct means *means, enum channel channel, double mean, double u)
{
    means->has[channel] = true;
    means->mean[channel] = mean;
    means->u[channel] = u;
}

static double or_else(const struct stated_number *stated, double taken)
{
    return stated->at.given ? stated->value : taken;
}

/* What the construction should give, as a curve of second order. Returns: false where it is not
 * whole or cannot be worked out: then it says nothing here. */
static bool built_curve(const struct reduction *r, const struct conditions *conditions,
                        enum plate_basis basis, double *coef, struct faults *own)
{
    struct build build;
    double value[ANSWERS];
    struct predict_wish wish = {.form = fit_form_find("second order"),
                                .range = {.x_low_m2K_W = 0.0,
                                          .x_high_m2K_W = 0.06,
                                          .wind_low_m_s = conditions->wind_low_m_s,
                                          .wind_high_m_s = conditions->wind_high_m_s,
                                          .wind_origin_m_s = USUAL_WIND_m_s},
                                .n_states = 1,
                                .point_g_W_m2 = conditions->weather.g_W_m2,
                                .point_ambient_degC = conditions->weather.ambient_degC,
                                .point_wind_m_s = conditions->weather.wind_m_s,
                                .point_inlet_degC = conditions->weather.ambient_degC + 30.0};
    wish.point_flow_W_K = conditions->mass_kg_s * fluid_cp(&r->setup.fluid, wish.point_inlet_degC);
    if (!construction_given(&r->setup.construction) ||
        !construction_whole(&r->setup.construction, r->setup.path, own) ||
        !build_make(&build, &r->setup.construction, &r->setup, conditions, basis, own) ||
        !predict_answers(&build, &wish, value, NULL, NULL, own))
        return false;
    memcpy(coef, &value[ANSWER_COEF], 3 * sizeof *coef);
    return true;
}

static bool set_prior(struct plan_typical *typical, const struct reduction *r,
                      enum plate_basis basis, const struct conditions *conditions,
                      struct faults *faults)
{
    struct faults *own = malloc(sizeof *own);
    if (own == NULL)
        return fault_memory(faults);
    faults_init(own);
    typical->form = fit_form_find("second order");
    typical->prior = PRIOR_BUILT;
    if (!built_curve(r, conditions, basis, typical->coef, own)) {
        typical->prior = PRIOR_USUAL;
        typical->coef[0] = PLAN_USUAL_ETA0;
        typical->coef[1] = PLAN_USUAL_A1;
        typical->coef[2] = PLAN_USUAL_A2;
    }
    bool good = own->worst != FAULT_MACHINE;
    free(own);
    return good || fault_memory(faults);
}

bool plan_typical_usual(struct plan_typical *typical, const struct reduction *r,
                        const struct point_setup *setup, struct faults *faults)
{
    const struct operating_keys *keys = &r->setup.construction.operating;
    enum plate_basis basis = setup->basis == BASIS_INLET ? PLATE_INLET : PLATE_MEAN;
    struct conditions conditions;
    conditions_of(r, basis, &conditions);
    memset(typical, 0, sizeof *typical);
    typical->g_W_m2 = or_else(&keys->g_W_m2, PLAN_USUAL_G_W_m2);
    typical->ambient_degC = or_else(&keys->ambient_degC, USUAL_AMBIENT_degC);
    struct means *means = &typical->means;
    set(means, CH_IRRADIANCE, typical->g_W_m2, PLAN_USUAL_SCATTER * typical->g_W_m2);
    set(means, CH_AMBIENT, typical->ambient_degC, PLAN_USUAL_SCATTER_K);
    set(means, CH_INLET, 0, PLAN_USUAL_SCATTER_K);
    set(means, CH_OUTLET, 0, PLAN_USUAL_SCATTER_K);
    double density = fluid_density(&r->setup.fluid, typical->ambient_degC);
    double flow = or_else(&keys->flow_m3_s, conditions.mass_kg_s / density);
    if (has_meter(&r->setup, CH_MASS_FLOW))
        set(means, CH_MASS_FLOW, flow * density, PLAN_USUAL_SCATTER * flow * density);
    else
        set(means, CH_FLOW, flow, PLAN_USUAL_SCATTER * flow);
    if (has_meter(&r->setup, CH_METERED))
        set(means, CH_METERED, 0,
            PLAN_USUAL_SCATTER * PLAN_USUAL_ETA0 * typical->g_W_m2 * setup->area_m2);
    if (has_meter(&r->setup, CH_WIND))
        set(means, CH_WIND, or_else(&r->setup.site.wind_m_s, USUAL_WIND_m_s), 0);
    means->readings = PLAN_USUAL_READINGS;
    means->drift_K_s = NAN;
    means->sun.diffuse_share = NAN;
    typical->scatter_taken = true;
    typical->optics = 1;
    return set_prior(typical, r, basis, &conditions, faults);
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, size_t n)
{
    qsort(values, n, sizeof *values, by_size);
    return 0.5 * (values[(n - 1) / 2] + values[n / 2]);
}

/* Of a number that stands `offset` bytes into each; long tests are thinned out. */
static double median_at(const struct means_list *list, size_t offset)
{
    enum { MOST = 999 };
    double values[MOST];
    size_t n = list->n < MOST ? list->n : MOST;
    for (size_t k = 0; k < n; k++)
        values[k] = *(const double *)((const char *)&list->items[k * list->n / n] + offset);
    return median(values, n);
}

void plan_typical_points(struct plan_typical *typical, const struct means_list *list)
{
    struct means *means = &typical->means;
    const struct means usual = *means;
    *means = list->items[list->n / 2];
    for (size_t ch = 0; ch < CH_COUNT; ch++) {
        for (size_t i = 0; i < list->n; i++)
            means->has[ch] &= list->items[i].has[ch];
        means->mean[ch] = median_at(list, offsetof(struct means, mean) + ch * sizeof(double));
        means->u[ch] = median_at(list, offsetof(struct means, u) + ch * sizeof(double));
    }
    means->has[CH_HEAT] = false; /* formed from the means */
    if (means->has[CH_METERED] && !means->has[CH_FLOW] && !means->has[CH_MASS_FLOW])
        set(means, CH_FLOW, usual.mean[CH_FLOW], usual.u[CH_FLOW]); /* only for the outlet */
    means->drift_K_s = median_at(list, offsetof(struct means, drift_K_s));
    means->u_drift_K_s = median_at(list, offsetof(struct means, u_drift_K_s));
    means->u_eta = median_at(list, offsetof(struct means, u_eta));
    means->u_x = median_at(list, offsetof(struct means, u_x));
    if (!isfinite(means->drift_K_s))
        means->drift_K_s = NAN;
    memset(&means->sun, 0, sizeof means->sun);
    means->sun.diffuse_share = NAN;
    means->timed = false;
    typical->of_points = true;
    typical->g_W_m2 = means->mean[CH_IRRADIANCE];
    typical->ambient_degC = means->reduced ? NAN : means->mean[CH_AMBIENT];
    typical->scatter_taken = false;
}

static double curve_at(const struct plan_typical *typical, const struct point_setup *setup,
                       double x)
{
    struct fit_condition at = {.x = x, .g = typical->g_W_m2}, head_on = {.g = typical->g_W_m2};
    if (typical->form->with_wind)
        at.wind = typical->means.mean[CH_WIND] - setup->wind_origin_m_s;
    double lost = (1 - typical->optics) * fit_form_value(typical->form, typical->coef, &head_on);
    return fit_form_value(typical->form, typical->coef, &at) - lost;
}

/* The outlet at which the window gives what the curve says: more heat the warmer it is, while the
 * curve falls. */
static bool find_outlet(const struct plan_typical *typical, const struct point_setup *by,
                        struct means *out)
{
    struct point_setup flow = *by;
    const struct point_setup *setup = &flow;
    flow.heat_by_meter = false;
    double low = fmax(setup->fluid->least_degC, out->mean[CH_INLET] - 20.0);
    double high = fmin(setup->fluid->most_degC, out->mean[CH_INLET] + 80.0);
    double eta = NAN;
    for (int i = 0; i < HALVINGS; i++) {
        struct point_value value;
        out->mean[CH_OUTLET] = 0.5 * (low + high);
        if (point_evaluate(out, setup, NULL, &value) != POINT_OK)
            return false;
        eta = value.eta;
        if (eta < curve_at(typical, setup, value.x))
            low = out->mean[CH_OUTLET];
        else
            high = out->mean[CH_OUTLET];
    }
    struct point_value value;
    bool found = point_evaluate(out, setup, NULL, &value) == POINT_OK && eta > LEAST_ETA &&
                 fabs(value.eta - curve_at(typical, setup, value.x)) < 1e-6;
    if (found && out->has[CH_METERED])
        out->mean[CH_METERED] = value.heat_W - value.stored_W;
    out->metered_s = 0;
    return found;
}

bool plan_window(const struct plan_typical *typical, const struct point_setup *setup, double rise_K,
                 int64_t session, struct means *out)
{
    *out = typical->means;
    out->session = session;
    snprintf(out->name, sizeof out->name, "planned, %.0f K", rise_K);
    if (out->reduced) {
        out->x = rise_K / typical->g_W_m2;
        out->eta = curve_at(typical, setup, out->x);
        return out->eta > LEAST_ETA;
    }
    out->mean[CH_INLET] = typical->ambient_degC + rise_K;
    return fluid_covers(setup->fluid, out->mean[CH_INLET]) && find_outlet(typical, setup, out);
}
