#include "physics/plate.h"

#include "physics/air.h"
#include "physics/root.h"

#include <math.h>
#include <string.h>

/* Step of the slope of the losses, K: small against the temperatures at which they bend, large
 * against rounding. */
#define SLOPE_STEP_K 0.05

/* No plate under the sun passes this, and no property of air is asked for above it. */
#define HOTTEST_DEGC 1000.0
#define COLDEST_DEGC (-150.0)

#define CLOSED 1e-9

struct solve {
    const struct plate *plate;
    const struct plate_weather *weather;
    const struct cover_absorbed *optics;
    const struct plate_flow *flow;
    int most_steps;
    double absorbed_W_m2; /* per absorber area */
    struct top_in top;
    struct top_out top_out;
    struct faults *faults;
    bool failed; /* an inner balance did not close: its fault is in the list */
};

void plate_optics(const struct plate *plate, const struct plate_weather *weather,
                  struct cover_absorbed *out)
{
    struct cover_absorbed beam, diffuse;
    double ratio = plate->absorptance_falls ? cover_black_ratio(weather->incidence_rad) : 1.0;
    double f = weather->diffuse_share;
    cover_absorbed(plate->sheet, plate->n_covers, plate->absorptance * ratio,
                   weather->incidence_rad, &beam);
    cover_absorbed_diffuse(plate->sheet, plate->n_covers, plate->absorptance,
                           plate->absorptance_falls, &diffuse);
    memset(out, 0, sizeof *out);
    out->plate = (1.0 - f) * beam.plate + f * diffuse.plate;
    for (size_t i = 0; i < plate->n_covers; i++)
        out->sheet[i] = (1.0 - f) * beam.sheet[i] + f * diffuse.sheet[i];
}

/* W per m2 of absorber through a layer from the plate to the air outside. */
static double through(const struct plate_insulation *layer, double plate_degC, double ambient_degC)
{
    if (!(layer->area_share > 0.0))
        return 0.0;
    double k = layer->at_10_W_mK + layer->rise_W_mK2 * (0.5 * (plate_degC + ambient_degC) - 10.0);
    /* Extrapolated downwards a rise would end below any insulation. */
    k = fmax(k, 0.2 * layer->at_10_W_mK);
    double resistance = layer->thickness_m / k + 1.0 / layer->outside_W_m2K;
    return layer->area_share * (plate_degC - ambient_degC) / resistance;
}

static double losses_W_m2(struct solve *s, double plate_degC)
{
    s->top.plate_degC = plate_degC;
    if (!s->failed && !top_loss(&s->top, &s->top_out, s->faults))
        s->failed = true;
    double ambient = s->weather->ambient_degC;
    return s->top_out.plate_W_m2 + through(&s->plate->back, plate_degC, ambient) +
           through(&s->plate->edge, plate_degC, ambient);
}

static double slope_W_m2K(struct solve *s, double plate_degC)
{
    double slope =
        (losses_W_m2(s, plate_degC + SLOPE_STEP_K) - losses_W_m2(s, plate_degC - SLOPE_STEP_K)) /
        (2.0 * SLOPE_STEP_K);
    return fmax(slope, 0.0);
}

/* Resistance from the mean plate to the fluid temperature that is given, m2 K/W of absorber. */
static double resistance(const struct solve *s, double loss_W_m2K)
{
    const struct fin *fin = &s->plate->fin;
    double flow_W_m2K = s->flow->flow_W_K / s->plate->absorber_m2;
    double efficiency = fin_collector_efficiency(fin, loss_W_m2K);
    double mean =
        fin_resistance_m2K_W(fin, loss_W_m2K) + fin_curve_m2K_W(efficiency, loss_W_m2K, flow_W_m2K);
    return s->flow->basis == PLATE_MEAN ? mean : mean + 0.5 / flow_W_m2K;
}

static double useful_W_m2(struct solve *s, double plate_degC)
{
    return s->absorbed_W_m2 - losses_W_m2(s, plate_degC);
}

/* Rises with the plate's temperature: what it stands above the fluid less what the heat that it has
 * over would lift it. */
static double missing_K(double plate_degC, void *state)
{
    struct solve *s = state;
    double slope = slope_W_m2K(s, plate_degC);
    double useful = useful_W_m2(s, plate_degC);
    if (s->failed)
        return NAN;
    return plate_degC - s->flow->t_degC - useful * resistance(s, slope);
}

static double missing_W_m2(double plate_degC, void *state)
{
    struct solve *s = state;
    double useful = useful_W_m2(s, plate_degC);
    return s->failed ? NAN : -useful;
}

static void set_top(struct solve *s)
{
    const struct plate *plate = s->plate;
    struct top_in *top = &s->top;
    double lit_g = s->weather->g_W_m2 * plate->lit_m2 / plate->absorber_m2;
    top->n = plate->n_covers;
    for (size_t i = 0; i < plate->n_covers; i++)
        top->cover[i] = (struct top_cover){.emittance = plate->cover_emittance[i],
                                           .gap_m = plate->gap_m[i],
                                           .sun_W_m2 = s->optics->sheet[i] * lit_g};
    top->plate_emittance = plate->emittance;
    top->ambient_degC = s->weather->ambient_degC;
    top->sky_degC = s->weather->sky_degC;
    top->wind_W_m2K = plate->wind_factor * air_wind_W_m2K(s->weather->wind_m_s);
    top->tilt_rad = s->weather->tilt_rad;
    top->gap_factor = plate->gap_factor;
    top->most_steps = s->most_steps;
    s->absorbed_W_m2 = s->optics->plate * lit_g;
}

static bool refuse(const struct solve *s, const struct root *root, struct faults *faults)
{
    if (s->failed)
        return false;
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    bool idle = !(s->flow->flow_W_K > 0.0);
    fault_found(fault, "the balance of %s does not close: %.3g %s are left at %.1f degC",
                idle ? "sunshine and losses of the idle plate" : "plate and fluid", root->residual,
                idle ? "W/m2" : "K", root->x);
    fault_expected(fault, "a plate temperature between %.0f and %.0f degC; %d steps were tried",
                   root->low, root->high, root->steps);
    fault_hint(fault,
               "look at the insulation and the emittances: a plate that loses next to nothing "
               "has no bound");
    return false;
}

static void fluid_temperatures(const struct plate_flow *flow, struct plate_state *out)
{
    double rise_K = out->useful_W / flow->flow_W_K;
    out->t_in_degC = flow->basis == PLATE_INLET ? flow->t_degC : flow->t_degC - 0.5 * rise_K;
    out->t_out_degC = out->t_in_degC + rise_K;
    out->t_mean_degC = out->t_in_degC + 0.5 * rise_K;
}

static void describe(struct solve *s, double plate_degC, struct plate_state *out)
{
    const struct plate *plate = s->plate;
    double area = plate->absorber_m2, ambient = s->weather->ambient_degC;
    bool idle = !(s->flow->flow_W_K > 0.0);
    out->plate_degC = plate_degC;
    out->loss_W_m2K = slope_W_m2K(s, plate_degC);
    double useful = useful_W_m2(s, plate_degC);
    out->sun_W = s->weather->g_W_m2 * plate->lit_m2;
    out->absorbed_W = s->absorbed_W_m2 * area;
    for (size_t i = 0; i < plate->n_covers; i++) {
        out->cover_sun_W += s->top.cover[i].sun_W_m2 * area;
        out->cover_degC[i] = s->top_out.cover_degC[i];
    }
    out->top_W = s->top_out.plate_W_m2 * area;
    out->convection_W = s->top_out.wind_W_m2 * area;
    out->radiation_W = s->top_out.sky_W_m2 * area;
    out->back_W = through(&plate->back, plate_degC, ambient) * area;
    out->edge_W = through(&plate->edge, plate_degC, ambient) * area;
    out->fin = fin_efficiency(&plate->fin, out->loss_W_m2K);
    out->collector_efficiency = fin_collector_efficiency(&plate->fin, out->loss_W_m2K);
    out->removal =
        fin_removal(out->collector_efficiency, out->loss_W_m2K, s->flow->flow_W_K / area);
    out->t_in_degC = out->t_out_degC = out->t_mean_degC = NAN;
    if (idle)
        return;
    out->useful_W = useful * area;
    fluid_temperatures(s->flow, out);
}

/* What must be zero, whatever the roots say of themselves. */
static bool closed(struct plate_state *out)
{
    double sun_W = out->absorbed_W + out->cover_sun_W;
    out->unclosed_W =
        sun_W - out->useful_W - out->back_W - out->edge_W - out->convection_W - out->radiation_W;
    double flows = fmax(fabs(out->convection_W) + fabs(out->radiation_W), fabs(out->useful_W));
    return fabs(out->unclosed_W) <= CLOSED * (sun_W > 0.0 ? sun_W : fmax(flows, 1.0));
}

bool plate_solve(const struct plate *plate, const struct plate_weather *weather,
                 const struct cover_absorbed *optics, const struct plate_flow *flow, int most_steps,
                 struct plate_state *out, struct faults *faults)
{
    struct solve s = {.plate = plate,
                      .weather = weather,
                      .optics = optics,
                      .flow = flow,
                      .most_steps = most_steps,
                      .faults = faults};
    struct root root;
    memset(out, 0, sizeof *out);
    set_top(&s);
    bool idle = !(flow->flow_W_K > 0.0);
    bool found = root_find(idle ? missing_W_m2 : missing_K, &s, COLDEST_DEGC, HOTTEST_DEGC,
                           most_steps > 0 ? most_steps : ROOT_STEPS, &root);
    if (!found || s.failed)
        return refuse(&s, &root, faults);
    describe(&s, root.x, out);
    out->steps = root.steps;
    return !s.failed && (closed(out) || refuse(&s, &root, faults));
}
