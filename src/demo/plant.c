#include "demo/plant.h"

#include <math.h>

/* Temperature at which the heat capacity of the fluid inside is taken: it only times the answer,
 * the steady state does not know it. */
#define CONTENT_DEGC 40.0
#define WIND_ORIGIN_M_S 3.0

double plant_modifier(const struct plant *plant, double incidence_rad)
{
    double k = 1.0 - plant->b0 * (1.0 / cos(incidence_rad) - 1.0);
    return k > 0.0 ? k : 0.0;
}

void plant_rest(struct plant_state *state, double t_degC)
{
    for (size_t i = 0; i < PLANT_CELLS; i++) {
        state->plate_degC[i] = t_degC;
        state->fluid_degC[i] = t_degC;
    }
}

static double cell_m2(const struct plant *plant)
{
    return plant->aperture_m2 / PLANT_CELLS;
}

static double plate_J_K(const struct plant *plant)
{
    return plant->plate_J_m2K * cell_m2(plant);
}

static double fluid_J_K(const struct plant *plant, const struct fluid *fluid)
{
    return plant->content_kg / PLANT_CELLS * fluid_cp(fluid, CONTENT_DEGC);
}

double plant_stored(const struct plant *plant, const struct fluid *fluid,
                    const struct plant_state *state)
{
    double plate = plate_J_K(plant);
    double content = fluid_J_K(plant, fluid);
    double stored = 0.0;
    for (size_t i = 0; i < PLANT_CELLS; i++)
        stored += plate * state->plate_degC[i] + content * state->fluid_degC[i];
    return stored;
}

static double absorbed_W_m2(const struct plant *plant, const struct plant_conditions *c)
{
    return plant_modifier(plant, c->incidence_rad) * plant->tau_alpha * c->g_W_m2;
}

static double loss_coefficient(const struct plant *plant, const struct plant_conditions *c,
                               double above_K)
{
    return plant->loss_W_m2K + plant->loss_rise_W_m2K2 * above_K +
           plant->loss_wind_J_m3K * (c->wind_m_s - WIND_ORIGIN_M_S);
}

static double loss_W_m2(const struct plant *plant, const struct plant_conditions *c,
                        double plate_degC)
{
    double above_K = plate_degC - c->t_ambient_degC;
    return loss_coefficient(plant, c, above_K) * above_K;
}

/* What changes in a second. */
struct rates {
    struct plant_state K_s;
    struct plant_energy W;
};

static void rates_of(const struct plant *plant, const struct fluid *fluid,
                     const struct plant_conditions *c, const struct plant_state *state,
                     struct rates *out)
{
    double a = cell_m2(plant);
    double plate = plate_J_K(plant);
    double content = fluid_J_K(plant, fluid);
    double gain = a * absorbed_W_m2(plant, c);
    double before_degC = c->t_in_degC;
    out->W = (struct plant_energy){.absorbed_J = gain * PLANT_CELLS};
    for (size_t i = 0; i < PLANT_CELLS; i++) {
        double t_plate = state->plate_degC[i];
        double t_fluid = state->fluid_degC[i];
        double lost = a * loss_W_m2(plant, c, t_plate);
        double passed = a * plant->bond_W_m2K * (t_plate - t_fluid);
        double carried = c->flow_kg_s * fluid_enthalpy_rise(fluid, before_degC, t_fluid);
        out->K_s.plate_degC[i] = (gain - lost - passed) / plate;
        out->K_s.fluid_degC[i] = (passed - carried) / content;
        out->W.lost_J += lost;
        out->W.carried_J += carried;
        before_degC = t_fluid;
    }
}

/* to = from + dt * rates */
static void moved(const struct plant_state *from, const struct rates *rates, double dt_s,
                  struct plant_state *to)
{
    for (size_t i = 0; i < PLANT_CELLS; i++) {
        to->plate_degC[i] = from->plate_degC[i] + dt_s * rates->K_s.plate_degC[i];
        to->fluid_degC[i] = from->fluid_degC[i] + dt_s * rates->K_s.fluid_degC[i];
    }
}

static void rates_add(struct rates *sum, const struct rates *other, double weight)
{
    for (size_t i = 0; i < PLANT_CELLS; i++) {
        sum->K_s.plate_degC[i] += weight * other->K_s.plate_degC[i];
        sum->K_s.fluid_degC[i] += weight * other->K_s.fluid_degC[i];
    }
    sum->W.absorbed_J += weight * other->W.absorbed_J;
    sum->W.lost_J += weight * other->W.lost_J;
    sum->W.carried_J += weight * other->W.carried_J;
}

double plant_longest_step(const struct plant *plant, const struct fluid *fluid, double flow_kg_s)
{
    /* Gershgorin: no eigenvalue is larger than the largest row sum of absolute values. Loss
     * coefficients stay under 20 W/(m2 K) in all the constructions here, cp under 4300 J/(kg K). */
    double a = cell_m2(plant);
    double plate = a * (2.0 * plant->bond_W_m2K + 20.0) / plate_J_K(plant);
    double content =
        (2.0 * a * plant->bond_W_m2K + 2.0 * flow_kg_s * 4300.0) / fluid_J_K(plant, fluid);
    return 2.0 / fmax(plate, content);
}

static bool finite_state(const struct plant_state *state)
{
    for (size_t i = 0; i < PLANT_CELLS; i++)
        if (!isfinite(state->plate_degC[i]) || !isfinite(state->fluid_degC[i]))
            return false;
    return true;
}

static bool no_answer(const struct plant_conditions *c, const struct fluid *fluid,
                      struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the invented collector leaves the range of '%s' at %.1f W/m2, %.1f degC in",
                fluid->name, c->g_W_m2, c->t_in_degC);
    fault_expected(fault, "%.0f to %.0f degC", fluid->least_degC, fluid->most_degC);
    return false;
}

bool plant_step(const struct plant *plant, const struct fluid *fluid,
                const struct plant_conditions *conditions, double dt_s, struct plant_state *state,
                struct plant_energy *energy, struct faults *faults)
{
    double longest_s = plant_longest_step(plant, fluid, conditions->flow_kg_s);
    if (!(dt_s > 0.0 && dt_s <= longest_s)) {
        struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
        fault_found(fault, "a step of %.3f s is not stable for this collector", dt_s);
        fault_expected(fault, "above 0 and up to %.3f s", longest_s);
        return false;
    }
    struct rates first, second, third, fourth;
    struct plant_state next;
    rates_of(plant, fluid, conditions, state, &first);
    moved(state, &first, 0.5 * dt_s, &next);
    rates_of(plant, fluid, conditions, &next, &second);
    moved(state, &second, 0.5 * dt_s, &next);
    rates_of(plant, fluid, conditions, &next, &third);
    moved(state, &third, dt_s, &next);
    rates_of(plant, fluid, conditions, &next, &fourth);
    rates_add(&first, &second, 2.0);
    rates_add(&first, &third, 2.0);
    rates_add(&first, &fourth, 1.0);
    moved(state, &first, dt_s / 6.0, &next);
    if (!finite_state(&next))
        return no_answer(conditions, fluid, faults);
    *state = next;
    energy->absorbed_J += first.W.absorbed_J * dt_s / 6.0;
    energy->lost_J += first.W.lost_J * dt_s / 6.0;
    energy->carried_J += first.W.carried_J * dt_s / 6.0;
    return true;
}

/* One cell at rest: the plate's balance gives the fluid's temperature from the plate's,
 *     T_f = T_p - (S - L(T_p))/h,
 * and Newton's method finds the T_p at which the fluid carries away just what is not lost. */
static bool cell_steady(const struct plant *plant, const struct fluid *fluid,
                        const struct plant_conditions *c, double before_degC, double *plate_degC,
                        double *fluid_degC)
{
    double a = cell_m2(plant);
    double h = plant->bond_W_m2K;
    double s = absorbed_W_m2(plant, c);
    double t = before_degC + (s - loss_W_m2(plant, c, before_degC)) / h;
    for (int i = 0; i < 50; i++) {
        double above_K = t - c->t_ambient_degC;
        double useful = s - loss_W_m2(plant, c, t);
        double slope = loss_coefficient(plant, c, above_K) + plant->loss_rise_W_m2K2 * above_K;
        double t_fluid = t - useful / h;
        double miss = a * useful - c->flow_kg_s * fluid_enthalpy_rise(fluid, before_degC, t_fluid);
        double turn = -a * slope - c->flow_kg_s * fluid_cp(fluid, t_fluid) * (1.0 + slope / h);
        double move = miss / turn;
        if (!isfinite(move))
            return false;
        t -= move;
        if (fabs(move) < 1e-13 * (100.0 + fabs(t))) {
            *plate_degC = t;
            *fluid_degC = t - (s - loss_W_m2(plant, c, t)) / h;
            return fluid_covers(fluid, *fluid_degC);
        }
    }
    return false;
}

bool plant_steady(const struct plant *plant, const struct fluid *fluid,
                  const struct plant_conditions *conditions, struct plant_result *result,
                  struct plant_state *state, struct faults *faults)
{
    struct plant_state at;
    double before_degC = conditions->t_in_degC;
    for (size_t i = 0; i < PLANT_CELLS; i++) {
        if (!cell_steady(plant, fluid, conditions, before_degC, &at.plate_degC[i],
                         &at.fluid_degC[i]))
            return no_answer(conditions, fluid, faults);
        before_degC = at.fluid_degC[i];
    }
    result->t_out_degC = before_degC;
    result->heat_W =
        conditions->flow_kg_s * fluid_enthalpy_rise(fluid, conditions->t_in_degC, before_degC);
    result->t_mean_degC = 0.5 * (conditions->t_in_degC + before_degC);
    result->reduced_m2K_W = (result->t_mean_degC - conditions->t_ambient_degC) / conditions->g_W_m2;
    if (state != NULL)
        *state = at;
    return true;
}
