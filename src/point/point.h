/* Points: means of a steady window -> efficiency and reduced temperature. The only way from means
 * to a number: the estimate, the refits for each error source, and every study that comes later use
 * point_evaluate.
 */
#ifndef POINT_POINT_H
#define POINT_POINT_H

#include "base/faults.h"
#include "domain/error_source.h"
#include "domain/fluid.h"
#include "domain/means.h"
#include "domain/surroundings.h"
#include "fit/curve.h"

#include <stdbool.h>
#include <stddef.h>

enum temperature_basis { BASIS_MEAN, BASIS_INLET }; /* t_m = (t_in + t_out)/2, or t_in */

struct point_setup {
    const struct fluid *fluid; /* borrowed */
    double area_m2;            /* reference area, > 0 */
    bool heat_by_meter;        /* the heat is what a heat meter shows, not made of flow and rise */
    bool meter_at_outlet;      /* where the volume flow's density is taken */
    enum temperature_basis basis;
    double longitude_rad; /* of the site, east positive; NaN if not stated */
    double mounting[CH_COUNT]; /* inlet, outlet: reads low by this share of t - t_ambient */
    double pipe_W_K[CH_COUNT]; /* inlet, outlet: heat loss between thermometer and collector */
    double capacity_J_m2K; /* heat capacity per reference area; 0: storage is not corrected */
    struct exposure exposure; /* to wind and sky */
    double wind_origin_m_s; /* from which the wind is counted in forms that have it */
    bool
        tubes_level; /* of a modifier of two planes: its first plane lies level, not up the slope */
};

struct point_value {
    double eta;       /* useful heat / (area * irradiance) */
    double x;         /* reduced temperature, m2 K/W: (t_m or t_in - t_ambient) / irradiance */
    double difference_K; /* t_m or t_in - t_ambient */
    double heat_W;   /* useful heat: carried away by the fluid, and stored */
    double stored_W; /* what the collector itself takes up as it warms; 0 where not corrected */
    double mass_kg_s;   /* NaN for a reduced point, and where no flow is measured */
    double t_in_degC;   /* at the collector's ports; NaN for a reduced point */
    double t_out_degC;
    double t_mean_degC; /* NaN for a reduced point */
    double g_W_m2;
    double wind_m_s; /* NaN if not measured */
    double sky_K;    /* sky less air temperature, mostly below 0; NaN if not measured */
    double incidence_rad; /* of the beam; NaN if not known */
    double diffuse_share; /* of the sunshine in the plane, 0 to 1; NaN if not known */
    double slope_rad;  /* the angle's projections up the collector's slope and across it, each of */
    double
        across_rad; /* either sign (sky/incidence.h); NaN unless the sun's place gave the angle */
};

/* Why a point could not be formed. */
enum point_status {
    POINT_OK,
    POINT_MISSING,   /* a needed channel is not among the means */
    POINT_NO_SUN,    /* irradiance is not above zero */
    POINT_NO_FLOW,   /* flow is not above zero */
    POINT_OFF_TABLE  /* a temperature outside the fluid's table */
};

/* Evaluates means under shifts of any error targets; pure.
 * In:      means   with irradiance, ambient, inlet, outlet, flow or mass flow (which counts), or
 * metered heat with setup->heat_by_meter (then the flow does not count, and pipes are not corrected
 * where there is none); or a
 * reduced point with irradiance,
 *                  whose temperature difference moves with the level of the thermometers but whose
 *                  rise is not known (an error of the pair leaves it unmoved: said by the run)
 *          shifts  NULL for the measured state
 * Out:     value   untouched unless POINT_OK
 * Corrections: a thermometer strapped onto a pipe, t = t_a + (reading - t_a)/(1 - share); a pipe
 * between
 *          thermometer and collector, from which the flow carries the temperature on as
 *          t_a + (t - t_a) exp(-+ loss/(m c_p)), the sign by the way that the fluid goes.
 * Storage: a window whose mean fluid temperature drifts stores capacity * area * drift, which a
 * steady
 *          window would have given to the fluid; it is added to the heat where
 *          setup->capacity_J_m2K and the drift are known. The capacity is per m2: an error of the
 *          area does not move its share of the efficiency.
 * Loss:    SHIFT_LOSS and SHIFT_LOSS_SLOPE are heat that the collector would have lost more, per m2
 *          of the reference area, under the wind and sky that the result is for.
 * Source:  docs/methods.md, "From means to a point". Where the means carry the heat formed reading
 * by
 *          reading, the shifts move it by the change of the heat formed from the means. */
enum point_status point_evaluate(const struct means *means, const struct point_setup *setup,
                                 const struct shifts *shifts, struct point_value *value);

/* The angle of incidence with its projections, and the diffuse share, under shifts of tilt,
 * azimuth, clock and sensors; fills these of a value. A measured angle moves with its instrument's
 * offset alone. A clock that is ahead had the sun looked up too late. */
void point_angles(const struct means *means, const struct shifts *shifts,
                  struct point_value *value);

/* W/m2 by which the sun sensor in the plane reads high under SHIFT_DIRECTION: the shift times sin(angle
 * of the beam), and of a beam weaker than 1000 W/m2 that share of it; the whole shift where the angle is
 * not known. Where the diffuse share is not known all sunshine counts as beam.
 * Source:  ISO 9060:2018 bounds it for a beam of 1000 W/m2 from any direction and takes it as 0 at the
 *          normal [memory]; the sine between is our own (docs/methods.md, "Pyranometers"). */
double point_direction(const struct means *means, double shift_W_m2);

/* What point_evaluate has in hand on its way, for who wants to show it. */
struct point_steps {
    double g_W_m2, t_a_degC;
    double read_degC[CH_COUNT];  /* inlet, outlet: as the thermometers read */
    double share[CH_COUNT];      /* by which a strapped-on one reads low; 0: not corrected */
    double fluid_degC[CH_COUNT]; /* where the thermometers are */
    double part[CH_COUNT];       /* heat loss of the pipe / (m c_p); 0: not corrected */
    double port_degC[CH_COUNT];  /* at the collector */
    double metered_W;            /* by the heat meter; NaN where the heat is made of the flow */
    double flow_m3_s;            /* NaN if weighed */
    double density_kg_m3;        /* at the meter; NaN if weighed */
    double mass_kg_s;
    double cp_J_kgK;  /* mean over the rise */
    double more_W;    /* heat of the readings less that of their means; 0 where not known */
    double capacity_J_m2K; /* 0: storage is not corrected */
    double drift_K_s;
    double area_m2;
    double loss_W_m2, loss_W_m2K; /* lost more than as measured */
};

/* point_evaluate with its steps. Out: steps, only with POINT_OK. A reduced point has none: they are
 * all zero. */
enum point_status point_steps(const struct means *means, const struct point_setup *setup,
                              const struct shifts *shifts, struct point_value *value,
                              struct point_steps *steps);

const char *point_status_text(enum point_status status);

/* A point as the fit takes it, with its name and what it came from. */
struct point {
    const struct means *means; /* borrowed */
    struct point_value value;
    struct fit_point fit; /* u from reading and session errors: the weights */
    double u_eta_reading; /* from reading errors alone */
    double u_x_reading;
    double cov_reading;
    double u_wind_reading; /* of the mean wind, m/s: counts where the form has a wind term */
    bool left_out; /* named in the description; shown, not fitted */
    bool oblique;  /* with left_out: kept out of the curve for its angle, by a modifier's run */
    const char *reason; /* why, by the description, borrowed; NULL if it is its angle */
};

/* Makes the point: value, and its uncertainties from the means' own reading errors, the registry's
 * reading rows (fresh for every window) and session rows (fresh for every session).
 * Returns: false with a data fault naming the point if it cannot be formed. */
bool point_make(struct point *point, const struct means *means, const struct point_setup *setup,
                const struct error_registry *registry, struct faults *faults);

#endif
