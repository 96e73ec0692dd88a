#include "window/rules_table.h"

#include <math.h>

#define RAD_PER_DEG 0.017453292519943295
#define S_IN_MIN 60.0
#define SHARE_PER_PERCENT 0.01
#define K_S_PER_K_MIN (1.0 / 60.0)
#define M3_S_PER_L_MIN (1e-3 / 60.0)

/* clang-format off */
const struct rule_row rule_rows[RULE_COUNT] = {
    [RULE_IRRADIANCE_LEAST] =
        {RULE_IRRADIANCE_LEAST, "irradiance at least", "sunshine strong enough", CH_IRRADIANCE,
         RULE_MEAN, RULE_AT_LEAST, false, "W/m2", 1.0, DIM_IRRADIANCE, 0, 0.0, 1500.0},
    [RULE_IRRADIANCE_DEVIATION] =
        {RULE_IRRADIANCE_DEVIATION, "irradiance deviation", "sunshine steady", CH_IRRADIANCE,
         RULE_DEVIATION, RULE_AT_MOST, true, "W/m2", 1.0, DIM_IRRADIANCE, 1, 0.0, 1500.0},
    [RULE_AMBIENT_DEVIATION] =
        {RULE_AMBIENT_DEVIATION, "ambient deviation", "air temperature steady", CH_AMBIENT,
         RULE_DEVIATION, RULE_AT_MOST, true, "K", 1.0, DIM_TEMPERATURE, 2, 0.0, 50.0},
    [RULE_INLET_DEVIATION] =
        {RULE_INLET_DEVIATION, "inlet deviation", "inlet steady", CH_INLET,
         RULE_DEVIATION, RULE_AT_MOST, true, "K", 1.0, DIM_TEMPERATURE, 2, 0.0, 50.0},
    [RULE_OUTLET_DEVIATION] =
        {RULE_OUTLET_DEVIATION, "outlet deviation", "outlet steady", CH_OUTLET,
         RULE_DEVIATION, RULE_AT_MOST, false, "K", 1.0, DIM_TEMPERATURE, 2, 0.0, 50.0},
    [RULE_OUTLET_DRIFT] =
        {RULE_OUTLET_DRIFT, "outlet drift", "outlet not warming or cooling", CH_OUTLET,
         RULE_DRIFT, RULE_AT_MOST, false, "K/min", K_S_PER_K_MIN, DIM_RAMP, 3, 0.0, 10.0},
    [RULE_FLOW_DEVIATION] =
        {RULE_FLOW_DEVIATION, "flow deviation", "flow steady", CH_FLOW,
         RULE_DEVIATION_RELATIVE, RULE_AT_MOST, true, "%", SHARE_PER_PERCENT, DIM_NONE, 1, 0.0,
         100.0},
    [RULE_FLOW_WAVER] =
        {RULE_FLOW_WAVER, "flow waver", "flow steady, in volume", CH_FLOW,
         RULE_DEVIATION, RULE_AT_MOST, true, "L/min", M3_S_PER_L_MIN, DIM_VOLUME_FLOW, 3, 0.0,
         1000.0},
    [RULE_WIND] =
        {RULE_WIND, "wind", "wind over the collector", CH_WIND,
         RULE_MEAN, RULE_BETWEEN, false, "m/s", 1.0, DIM_SPEED, 1, 0.0, 50.0},
    [RULE_DIFFUSE_MOST] =
        {RULE_DIFFUSE_MOST, "diffuse share at most", "sunshine mostly direct", CH_DIFFUSE,
         RULE_SHARE, RULE_AT_MOST, false, "%", SHARE_PER_PERCENT, DIM_NONE, 1, 0.0, 100.0},
    [RULE_INCIDENCE_MOST] =
        {RULE_INCIDENCE_MOST, "incidence at most", "sun in front of the collector", CH_INCIDENCE,
         RULE_MEAN, RULE_AT_MOST, false, "deg", RAD_PER_DEG, DIM_ANGLE, 1, 0.0, 90.0},
    [RULE_RISE_LEAST] =
        {RULE_RISE_LEAST, "rise at least", "fluid warmed enough", CH_OUTLET,
         RULE_RISE, RULE_AT_LEAST, false, "K", 1.0, DIM_TEMPERATURE, 2, 0.0, 100.0},
    [RULE_WINDOW] =
        {RULE_WINDOW, "window", "length of a window", CH_COUNT,
         RULE_LENGTH, RULE_AT_MOST, false, "min", S_IN_MIN, DIM_TIME, 1, 0.5, 1440.0},
    [RULE_CONDITIONING] =
        {RULE_CONDITIONING, "conditioning", "steady time before a window", CH_COUNT,
         RULE_LENGTH, RULE_AT_MOST, false, "min", S_IN_MIN, DIM_TIME, 1, 0.0, 1440.0},
    [RULE_SLOT] =
        {RULE_SLOT, "slot", "readings averaged before they are judged", CH_COUNT,
         RULE_LENGTH, RULE_AT_MOST, false, "s", 1.0, DIM_TIME, 0, 0.1, 3600.0},
};
/* clang-format on */
