/* A flat plate collector under the sun: what it is made of, what it is exposed to, and the state in
 * which all its balances close.
 *
 * One plate temperature (the mean over the absorber) stands for the losses; the sheet between the
 * tubes, the bond, the film and the fluid's warming along its way are the resistances between it
 * and the fluid. The losses around that temperature are taken with their slope there, so that the
 * fin is Hottel and Whillier's and the heat balance is exact.
 */
#ifndef PHYSICS_PLATE_H
#define PHYSICS_PLATE_H

#include "base/faults.h"
#include "physics/cover.h"
#include "physics/fin.h"
#include "physics/top_loss.h"

#include <stdbool.h>
#include <stddef.h>

/* A layer of insulation between the absorber and the air outside. */
struct plate_insulation {
    double thickness_m;   /* 0 with area 0: none */
    double at_10_W_mK;    /* conductivity with the layer's mean at 10 degC, > 0 */
    double rise_W_mK2;    /* and what it grows by a kelvin */
    double outside_W_m2K; /* off its outer face, > 0 */
    double area_share;    /* its area over the absorber's; 0: no such layer */
};

struct plate {
    size_t n_covers; /* outermost first */
    struct cover_sheet sheet[COVER_MOST];
    double cover_emittance[COVER_MOST];
    double gap_m[COVER_MOST]; /* behind each cover */

    double absorptance;     /* at normal incidence */
    bool absorptance_falls; /* with the angle, as flat black does (cover_black_ratio) */
    double emittance;
    struct fin fin;

    struct plate_insulation back, edge;

    double absorber_m2; /* the area that loses heat, > 0 */
    double lit_m2;      /* the area that the sun reaches */

    double wind_factor; /* on the wind's coefficient: 1, or what its formula may be off by */
    double gap_factor;  /* on the convection in the gaps, likewise */
};

struct plate_weather {
    double g_W_m2;        /* in the plane, >= 0 */
    double diffuse_share; /* 0 to 1 */
    double incidence_rad; /* of the beam */
    double ambient_degC;
    double sky_degC;
    double wind_m_s;
    double tilt_rad;
};

/* Sunshine taken up, per unit of irradiance on the lit area. Depends on the weather's angle and
 * diffuse share alone. */
void plate_optics(const struct plate *plate, const struct plate_weather *weather,
                  struct cover_absorbed *out);

/* Which temperature of the fluid is given. */
enum plate_basis { PLATE_MEAN, PLATE_INLET };

struct plate_flow {
    enum plate_basis basis;
    double t_degC;
    double
        flow_W_K; /* mass flow times specific heat, >= 0; 0: stagnation, t_degC is not looked at */
};

/* All heat flows in W. */
struct plate_state {
    double sun_W;       /* on the lit area */
    double absorbed_W;  /* by the plate */
    double cover_sun_W; /* kept by the covers */
    double useful_W;
    double top_W, back_W, edge_W;     /* leave the plate */
    double convection_W, radiation_W; /* leave the outermost surface to wind and sky */
    double plate_degC, t_in_degC, t_out_degC, t_mean_degC; /* fluid: NaN at stagnation */
    double cover_degC[COVER_MOST];
    double loss_W_m2K; /* slope of the losses against the plate's temperature, per absorber area */
    double fin, collector_efficiency, removal; /* F, F', F_R */
    int steps;                                 /* of the outermost root */
    double unclosed_W;                         /* what the balances of plate and covers leave */
};

/* The steady state.
 * In:      optics   of plate_optics
 *          most_steps of each root; 0: ROOT_STEPS
 * Returns: false with a data fault naming the balance that does not close; out is then not to be
 * used Closes:  absorbed_W + cover_sun_W = useful_W + back_W + edge_W + convection_W + radiation_W
 * within 1e-9 of absorbed_W + cover_sun_W (or of the largest flow, in the dark) */
bool plate_solve(const struct plate *plate, const struct plate_weather *weather,
                 const struct cover_absorbed *optics, const struct plate_flow *flow, int most_steps,
                 struct plate_state *out, struct faults *faults);

#endif
