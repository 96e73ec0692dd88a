/* Plant: the invented collectors of the demo as an energy balance that is integrated in time.
 *
 * A collector is a row of cells along the flow. Each cell has a piece of plate that absorbs
 * sunshine and loses heat to the air, and the fluid under it, well mixed, that carries heat on to
 * the next:
 *
 *     plate   C_p dT_p/dt = a [ K(theta) (tau alpha) G - L(T_p - T_a, w) - h (T_p - T_f) ]
 *     fluid   C_f dT_f/dt = a h (T_p - T_f) - m [ h(T_f) - h(T_f of the cell before) ]
 *     loss    L(d, w)     = [ u0 + u1 d + uw (w - 3 m/s) ] d
 *
 * with a the cell's share of the aperture. The noise-free answer of a test is the root of these
 * very equations (plant_steady), so that nothing about the curve is put in by hand.
 *
 * Left out, because a demo does not need it: radiation to a cold sky as a term of its own, the heat
 * held by glass and insulation, pipes.
 */
#ifndef DEMO_PLANT_H
#define DEMO_PLANT_H

#include "base/faults.h"
#include "domain/fluid.h"

#include <stdbool.h>
#include <stddef.h>

enum { PLANT_CELLS = 20 };

/* The construction. All "m2" are aperture. */
struct plant {
    double aperture_m2;
    double tau_alpha;        /* share of normal sunshine that ends in the plate, 0 to 1 */
    double b0;               /* K = 1 - b0 (1/cos(theta) - 1), never below 0 */
    double loss_W_m2K;       /* u0, at 3 m/s */
    double loss_rise_W_m2K2; /* u1 */
    double loss_wind_J_m3K;  /* uw */
    double bond_W_m2K;       /* h, plate to fluid */
    double plate_J_m2K;      /* heat capacity of the plate */
    double content_kg;       /* fluid inside */
};

/* What the collector stands in. */
struct plant_conditions {
    double g_W_m2;
    double incidence_rad; /* 0 up to, not including, pi/2 */
    double t_ambient_degC;
    double t_in_degC;
    double flow_kg_s; /* > 0 */
    double wind_m_s;
};

struct plant_state {
    double plate_degC[PLANT_CELLS];
    double fluid_degC[PLANT_CELLS]; /* the last one is the outlet */
};

/* Heat since plant_rest, J: absorbed - lost - carried = stored, up to rounding. */
struct plant_energy {
    double absorbed_J;
    double lost_J;
    double carried_J;
};

struct plant_result {
    double t_out_degC;
    double heat_W;        /* carried away by the fluid */
    double t_mean_degC;   /* half of inlet plus outlet, as a test takes it */
    double reduced_m2K_W; /* (t_mean - t_ambient)/G */
};

/* K(theta) of the plant. */
double plant_modifier(const struct plant *plant, double incidence_rad);

/* Sets every cell to one temperature. */
void plant_rest(struct plant_state *state, double t_degC);

/* Heat held above that of a plant at 0 degC, J. */
double plant_stored(const struct plant *plant, const struct fluid *fluid,
                    const struct plant_state *state);

/* The longest step (s) that is allowed at this flow: 2.0 divided by a bound on the fastest rate of
 * the equations (the largest row sum of their matrix). The classical fourth-order Runge-Kutta step
 * is stable up to 2.785 on the real axis (Hairer and Wanner, Solving Ordinary Differential
 * Equations II, IV.2). */
double plant_longest_step(const struct plant *plant, const struct fluid *fluid, double flow_kg_s);

/* Moves the state on by dt_s under constant conditions, by one classical fourth-order Runge-Kutta
 * step; the heats are integrated with the same weights, so that the balance closes to rounding.
 * In/Out:  state, energy   untouched on failure
 * Returns: false with a fault if dt_s is longer than plant_longest_step, or the temperatures leave
 *          the range of the fluid (a stopped flow boils). */
bool plant_step(const struct plant *plant, const struct fluid *fluid,
                const struct plant_conditions *conditions, double dt_s, struct plant_state *state,
                struct plant_energy *energy, struct faults *faults);

/* The state at which all rates are zero, cell by cell by Newton's method.
 * Out:     result, state   state may be NULL; both untouched on failure
 * Returns: false with a fault if there is none inside the fluid's range. */
bool plant_steady(const struct plant *plant, const struct fluid *fluid,
                  const struct plant_conditions *conditions, struct plant_result *result,
                  struct plant_state *state, struct faults *faults);

#endif
