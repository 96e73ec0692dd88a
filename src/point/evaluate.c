#include "point/point.h"

#include <math.h>
#include <string.h>

/* The shifted reading of a channel. */
static double shifted(const struct means *means, const struct shifts *shifts, enum channel ch)
{
    if (shifts == NULL)
        return means->mean[ch];
    return means->mean[ch] * (1.0 + shifts->gain[ch]) + shifts->offset[ch];
}

/* In the plane of the collector. */
static double sunshine(const struct means *means, const struct shifts *shifts)
{
    double g_W_m2 = shifted(means, shifts, CH_IRRADIANCE);
    return shifts == NULL ? g_W_m2 : g_W_m2 + point_direction(means, shifts->direction_W_m2);
}

/* Temperatures at the collector's ports; t_meter is the fluid's in the meter. */
struct state {
    double g, t_a, t_in, t_out, t_meter, flow;
    double mass; /* of a meter that weighs; NaN otherwise */
    double metered; /* W, by a heat meter; NaN where the heat is made of the flow */
};

/* As the instruments read. */
static void read_state(struct state *s, const struct means *means, const struct point_setup *setup,
                       const struct shifts *shifts)
{
    s->g = sunshine(means, shifts);
    s->t_a = shifted(means, shifts, CH_AMBIENT);
    s->t_in = shifted(means, shifts, CH_INLET);
    s->t_out = shifted(means, shifts, CH_OUTLET);
    s->t_meter = setup->meter_at_outlet ? s->t_out : s->t_in;
    s->flow = means->has[CH_FLOW] ? shifted(means, shifts, CH_FLOW) : NAN;
    s->metered = setup->heat_by_meter ? shifted(means, shifts, CH_METERED) : NAN;
    s->mass = means->has[CH_MASS_FLOW] ? shifted(means, shifts, CH_MASS_FLOW) : NAN;
}

static enum point_status judge(const struct means *means, const struct point_setup *setup,
                               const struct state *s)
{
    static const enum channel needed[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET};
    bool weighed = means->has[CH_MASS_FLOW];
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
        if (!means->has[needed[i]])
            return POINT_MISSING;
    if (setup->heat_by_meter ? !means->has[CH_METERED] : !weighed && !means->has[CH_FLOW])
        return POINT_MISSING;
    if (!(s->g > 0))
        return POINT_NO_SUN;
    if (!setup->heat_by_meter && !((weighed ? s->mass : s->flow) > 0))
        return POINT_NO_FLOW;
    return fluid_covers(setup->fluid, s->t_in) && fluid_covers(setup->fluid, s->t_out)
               ? POINT_OK
               : POINT_OFF_TABLE;
}

static double mass_flow(const struct point_setup *setup, const struct state *s)
{
    return isnan(s->mass) ? fluid_density(setup->fluid, s->t_meter) * s->flow : s->mass;
}

/* By which a thermometer reads low; 0 where it is not strapped on. */
static double share_of(const struct point_setup *setup, const struct shifts *shifts,
                       enum channel ch)
{
    double share = setup->mounting[ch];
    return !(share > 0) ? 0 : shifts == NULL ? share : share + shifts->mounting[ch];
}

static double unstrapped(const struct point_setup *setup, const struct shifts *shifts,
                         enum channel ch, double t, double t_a)
{
    if (!(setup->mounting[ch] > 0))
        return t;
    return t_a + (t - t_a) / (1 - share_of(setup, shifts, ch));
}

/* Heat loss of a pipe over what the flow carries for each kelvin; 0 where there is none to
 * correct. */
static double part_of(const struct point_setup *setup, const struct shifts *shifts, enum channel ch,
                      const struct state *s, double t)
{
    double loss_W_K = setup->pipe_W_K[ch];
    if (!(loss_W_K > 0) || !fluid_covers(setup->fluid, t))
        return 0;
    loss_W_K += shifts == NULL ? 0 : shifts->pipe_W_K[ch];
    return loss_W_K / (mass_flow(setup, s) * fluid_cp(setup->fluid, t));
}

/* What the loss of a pipe does to the fluid's temperature above the air: downstream of the inlet's
 * thermometer it is nearer to the air, upstream of the outlet's further from it. */
static double piped(const struct point_setup *setup, const struct shifts *shifts, enum channel ch,
                    const struct state *s, double t)
{
    double part = part_of(setup, shifts, ch, s, t);
    if (part == 0)
        return t;
    return s->t_a + (t - s->t_a) * exp(ch == CH_INLET ? -part : part);
}

/* From the thermometers to the ports. */
static void correct(struct state *s, const struct point_setup *setup, const struct shifts *shifts)
{
    s->t_in = unstrapped(setup, shifts, CH_INLET, s->t_in, s->t_a);
    s->t_out = unstrapped(setup, shifts, CH_OUTLET, s->t_out, s->t_a);
    s->t_meter = setup->meter_at_outlet ? s->t_out : s->t_in;
    bool pipes = setup->pipe_W_K[CH_INLET] > 0 || setup->pipe_W_K[CH_OUTLET] > 0;
    if (!pipes || !fluid_covers(setup->fluid, s->t_meter) || !(mass_flow(setup, s) > 0))
        return;
    s->t_in = piped(setup, shifts, CH_INLET, s, s->t_in);
    s->t_out = piped(setup, shifts, CH_OUTLET, s, s->t_out);
}

/* Density at the meter and specific heat over the rise (taken at its middle) under shifts of their
 * own and of the mixture's fraction, relative to the measured state. */
struct fluid_factors {
    double density, cp;
};

static struct fluid_factors factors_at(const struct fluid *fluid, const struct shifts *shifts,
                                       double t_meter_degC, double t_middle_degC)
{
    struct fluid_factors factors = {1.0, 1.0};
    if (shifts == NULL)
        return factors;
    factors.density += shifts->density;
    factors.cp += shifts->cp;
    if (shifts->fraction != 0.0) {
        factors.density *=
            1.0 + shifts->fraction * fluid_density_by_fraction(fluid, t_meter_degC);
        factors.cp *= 1.0 + shifts->fraction * fluid_cp_by_fraction(fluid, t_middle_degC);
    }
    return factors;
}

static double heat(const struct point_setup *setup, const struct state *s)
{
    return mass_flow(setup, s) * fluid_enthalpy_rise(setup->fluid, s->t_in, s->t_out);
}

/* What the fluid carries away; a heat meter has density and specific heat of its own. */
static double carried_W(const struct point_setup *setup, const struct state *s, double more_W,
                        const struct fluid_factors *factors)
{
    return setup->heat_by_meter ? s->metered
                                : (heat(setup, s) + more_W) * (factors->cp * factors->density);
}

/* Means of products differ from products of means: that difference as measured. The heat of the
 * readings knows no corrections: they are part of the change. */
static double heat_of_readings(const struct means *means, const struct point_setup *setup)
{
    struct state measured;
    if (!means->has[CH_HEAT] || setup->heat_by_meter)
        return 0;
    read_state(&measured, means, setup, NULL);
    return means->mean[CH_HEAT] - heat(setup, &measured);
}

/* The level of a reduced point is not known. What a wrong fraction does to cp and density changes
 * by a tenth of itself over 20 K, so that any level of a test serves. */
static const double reduced_degC = 40.0;

/* Heat that the collector takes up per m2 and second. */
static double stored_W_m2(const struct means *means, const struct point_setup *setup,
                          const struct shifts *shifts)
{
    if (!(setup->capacity_J_m2K > 0) || !isfinite(means->drift_K_s))
        return 0;
    if (shifts == NULL)
        return setup->capacity_J_m2K * means->drift_K_s;
    return (setup->capacity_J_m2K + shifts->capacity_J_m2K) *
           (means->drift_K_s + shifts->drift_K_s);
}

/* Sun, wind and sky as measured, sky radiation as a black body's temperature. */
static void surroundings(const struct means *means, const struct shifts *shifts, double t_a_degC,
                         struct point_value *value)
{
    point_angles(means, shifts, value);
    value->wind_m_s = means->has[CH_WIND] ? shifted(means, shifts, CH_WIND) : NAN;
    value->sky_K = NAN;
    if (means->has[CH_SKY])
        value->sky_K = shifted(means, shifts, CH_SKY) - t_a_degC;
    else if (means->has[CH_LONGWAVE])
        value->sky_K =
            sky_degC_of_longwave(fmax(0, shifted(means, shifts, CH_LONGWAVE))) - t_a_degC;
}

/* Efficiency lost to what is lost more. */
static double loss_share(const struct shifts *shifts, const struct point_value *value)
{
    return shifts == NULL ? 0
                          : shifts->loss_W_m2 / value->g_W_m2 + shifts->loss_W_m2K * value->x;
}

/* A reduced point: only ratios to the irradiance, and shifts of level, can be followed. */
static enum point_status evaluate_reduced(const struct means *means,
                                          const struct point_setup *setup,
                                          const struct shifts *shifts, struct point_value *value)
{
    static const struct shifts none;
    const struct shifts *by = shifts == NULL ? &none : shifts;
    double g0 = means->mean[CH_IRRADIANCE];
    double g = sunshine(means, shifts);
    if (!(g0 > 0) || !(g > 0))
        return POINT_NO_SUN;
    double level = setup->basis == BASIS_INLET
                       ? by->offset[CH_INLET]
                       : 0.5 * (by->offset[CH_INLET] + by->offset[CH_OUTLET]);
    struct fluid_factors factors = factors_at(setup->fluid, by, reduced_degC, reduced_degC);
    double flow_gain = (1 + by->gain[CH_FLOW]) * (1 + by->gain[CH_MASS_FLOW]);
    double heat_gain = factors.cp * factors.density * flow_gain;
    value->g_W_m2 = g;
    value->stored_W = 0;
    value->heat_W = means->eta * setup->area_m2 * g0 * heat_gain;
    value->mass_kg_s = NAN;
    value->t_mean_degC = value->t_in_degC = value->t_out_degC = NAN;
    value->eta = value->heat_W / (setup->area_m2 * (1 + by->area) * g);
    value->difference_K = means->x * g0 + level - by->offset[CH_AMBIENT];
    value->x = value->difference_K / g;
    surroundings(means, shifts, NAN, value);
    value->eta -= loss_share(shifts, value);
    return POINT_OK;
}

/* The steps of one thermometer; s is the state at the ports, from which the flow's mass comes. */
static void fill_port(struct point_steps *steps, const struct point_setup *setup,
                      const struct shifts *shifts, const struct state *s, enum channel ch)
{
    steps->share[ch] = share_of(setup, shifts, ch);
    steps->fluid_degC[ch] = unstrapped(setup, shifts, ch, steps->read_degC[ch], s->t_a);
    steps->part[ch] = part_of(setup, shifts, ch, s, steps->fluid_degC[ch]);
    steps->port_degC[ch] = ch == CH_INLET ? s->t_in : s->t_out;
}

static void fill_steps(struct point_steps *steps, const struct means *means,
                       const struct point_setup *setup, const struct shifts *shifts,
                       const struct state *s, const struct fluid_factors *factors)
{
    double rise_K = s->t_out - s->t_in;
    double cp = rise_K != 0 ? fluid_enthalpy_rise(setup->fluid, s->t_in, s->t_out) / rise_K
                            : fluid_cp(setup->fluid, s->t_in);
    memset(steps, 0, sizeof *steps);
    steps->g_W_m2 = s->g;
    steps->t_a_degC = s->t_a;
    steps->read_degC[CH_INLET] = shifted(means, shifts, CH_INLET);
    steps->read_degC[CH_OUTLET] = shifted(means, shifts, CH_OUTLET);
    fill_port(steps, setup, shifts, s, CH_INLET);
    fill_port(steps, setup, shifts, s, CH_OUTLET);
    bool weighed = means->has[CH_MASS_FLOW];
    steps->metered_W = s->metered;
    steps->flow_m3_s = weighed ? NAN : s->flow;
    steps->density_kg_m3 =
        weighed ? NAN : fluid_density(setup->fluid, s->t_meter) * factors->density;
    steps->mass_kg_s = mass_flow(setup, s) * factors->density;
    steps->cp_J_kgK = cp * factors->cp;
    steps->area_m2 = setup->area_m2 * (shifts == NULL ? 1 : 1 + shifts->area);
    steps->loss_W_m2 = shifts == NULL ? 0 : shifts->loss_W_m2;
    steps->loss_W_m2K = shifts == NULL ? 0 : shifts->loss_W_m2K;
    if (!(setup->capacity_J_m2K > 0) || !isfinite(means->drift_K_s))
        return;
    steps->capacity_J_m2K = setup->capacity_J_m2K + (shifts == NULL ? 0 : shifts->capacity_J_m2K);
    steps->drift_K_s = means->drift_K_s + (shifts == NULL ? 0 : shifts->drift_K_s);
}

enum point_status point_evaluate(const struct means *means, const struct point_setup *setup,
                                 const struct shifts *shifts, struct point_value *value)
{
    return point_steps(means, setup, shifts, value, NULL);
}

enum point_status point_steps(const struct means *means, const struct point_setup *setup,
                              const struct shifts *shifts, struct point_value *value,
                              struct point_steps *steps)
{
    if (means->reduced && steps != NULL)
        memset(steps, 0, sizeof *steps);
    if (means->reduced)
        return evaluate_reduced(means, setup, shifts, value);
    struct state s;
    read_state(&s, means, setup, shifts);
    correct(&s, setup, shifts);
    enum point_status status = judge(means, setup, &s);
    if (status != POINT_OK)
        return status;
    struct fluid_factors factors =
        factors_at(setup->fluid, shifts, s.t_meter, 0.5 * (s.t_in + s.t_out));
    if (means->has[CH_MASS_FLOW])
        factors.density = 1.0; /* weighed: no density comes in */
    double area = shifts == NULL ? 1.0 : 1.0 + shifts->area;
    double more = heat_of_readings(means, setup);
    double mass = mass_flow(setup, &s);
    double q = carried_W(setup, &s, more, &factors);
    double stored = stored_W_m2(means, setup, shifts);
    value->g_W_m2 = s.g;
    value->stored_W = stored * setup->area_m2;
    value->heat_W = q + value->stored_W;
    value->mass_kg_s = mass * factors.density;
    value->t_in_degC = s.t_in;
    value->t_out_degC = s.t_out;
    value->t_mean_degC = 0.5 * (s.t_in + s.t_out);
    value->eta = (q / (setup->area_m2 * area) + stored) / s.g;
    value->difference_K =
        (setup->basis == BASIS_INLET ? s.t_in : value->t_mean_degC) - s.t_a;
    value->x = value->difference_K / s.g;
    surroundings(means, shifts, s.t_a, value);
    value->eta -= loss_share(shifts, value);
    if (steps != NULL) {
        fill_steps(steps, means, setup, shifts, &s, &factors);
        steps->more_W = more * (factors.cp * factors.density);
    }
    return POINT_OK;
}

const char *point_status_text(enum point_status status)
{
    static const char *const texts[] = {
        [POINT_OK] = "formed",
        [POINT_MISSING] = "a needed mean is missing",
        [POINT_NO_SUN] = "the irradiance is not above zero",
        [POINT_NO_FLOW] = "the flow is not above zero",
        [POINT_OFF_TABLE] = "a temperature lies outside the fluid's table",
    };
    return texts[status];
}
