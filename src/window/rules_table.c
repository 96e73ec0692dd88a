#include "window/rules_table.h"

#include <math.h>

#define RAD_PER_DEG 0.017453292519943295
#define S_IN_MIN 60.0
#define SHARE_PER_PERCENT 0.01
#define K_S_PER_K_MIN (1.0 / 60.0)

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

#define AT_LEAST(figure) true, (figure), INFINITY
#define AT_MOST(figure) true, -INFINITY, (figure)
#define BETWEEN(low, high) true, (low), (high)
#define LENGTH(figure) true, -INFINITY, (figure)
#define NONE false, -INFINITY, INFINITY

/* No copy of the standard was at hand: figures are as remembered, except where a textbook's account
 * of ISO 9806-1:1994 was read, and then they are remembered to have stayed. Kalogirou 2009 is
 * "Solar Energy Engineering", 1st edition, section on collector tests and its table 4.1. */
/* clang-format off */
static const struct rule_set sets[] = {
    {"ISO 9806:2017",
     true,
     {
         [RULE_IRRADIANCE_LEAST] = {AT_LEAST(700.0), RULE_MEMORY,
                                    "ISO 9806:2017 (the 1994 edition: 800, Kalogirou 2009)"},
         [RULE_IRRADIANCE_DEVIATION] = {AT_MOST(50.0), RULE_MEMORY,
                                        "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [RULE_AMBIENT_DEVIATION] = {AT_MOST(1.5), RULE_MEMORY,
                                     "ISO 9806:2017, outdoors (in 1994: 1, Kalogirou 2009)"},
         [RULE_INLET_DEVIATION] = {AT_MOST(0.1), RULE_MEMORY,
                                   "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [RULE_OUTLET_DEVIATION] = {AT_MOST(0.5), RULE_MEMORY,
                                    "ISO 9806:2017; value unsure, 0.4 or 0.5; not in 1994"},
         [RULE_OUTLET_DRIFT] = {NONE, RULE_MEMORY,
                                "no such limit remembered; the outlet deviation does its work"},
         [RULE_FLOW_DEVIATION] = {AT_MOST(1.0), RULE_MEMORY,
                                  "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [RULE_WIND] = {BETWEEN(2.0, 4.0), RULE_MEMORY,
                        "ISO 9806:2017, 3 +- 1 (same in 1994, read in Kalogirou 2009)"},
         [RULE_DIFFUSE_MOST] = {AT_MOST(30.0), RULE_MEMORY,
                                "ISO 9806:2013 and 2017 (ISO 9806-1:1994: 20, from memory too)"},
         [RULE_INCIDENCE_MOST] = {AT_MOST(20.0), RULE_MEMORY,
                                  "stands for: modifier within 2 % of normal, single glazing"},
         [RULE_RISE_LEAST] = {AT_LEAST(1.0), RULE_MEMORY,
                              "ISO 9806:2017 (the 1994 edition: 1.5, Kalogirou 2009)"},
         [RULE_WINDOW] = {LENGTH(10.0), RULE_MEMORY,
                          "ISO 9806:2017, time constant unknown (1994: 15; Kalogirou)"},
         [RULE_CONDITIONING] = {LENGTH(15.0), RULE_MEMORY,
                                "ISO 9806:2017, time constant unknown (same in 1994, read)"},
         [RULE_SLOT] = {LENGTH(30.0), RULE_MEMORY,
                        "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
     }},
    {"homemade rig",
     false,
     {
         [RULE_IRRADIANCE_LEAST] = {AT_LEAST(500.0), RULE_OWN,
                                    "below it the rise is too small for cheap thermometers"},
         [RULE_IRRADIANCE_DEVIATION] = {AT_MOST(50.0), RULE_OWN,
                                        "a cloud is a cloud on any rig; as in the standard"},
         [RULE_AMBIENT_DEVIATION] = {AT_MOST(1.5), RULE_OWN,
                                     "costs 1 % of the heat at a loss of 6 W/(m2 K)"},
         [RULE_INLET_DEVIATION] = {AT_MOST(1.0), RULE_OWN,
                                   "a tank that warms by 1.5 K an hour, and noise of 0.1 K"},
         [RULE_OUTLET_DEVIATION] = {AT_MOST(1.0), RULE_OWN,
                                    "noise of 0.2 K a reading reaches 0.6 K; the rest for drift"},
         [RULE_OUTLET_DRIFT] = {AT_MOST(0.05), RULE_OWN,
                                "stores 7 W/m2 at 8 kJ/(m2 K), which is corrected for"},
         [RULE_FLOW_DEVIATION] = {AT_MOST(6.0), RULE_OWN,
                                  "readings waver by 2 %, small pumps wander; heat follows flow"},
         [RULE_WIND] = {BETWEEN(0.0, 5.0), RULE_OWN,
                        "no fan is asked for; above 5 m/s losses are not those of other days"},
         [RULE_DIFFUSE_MOST] = {AT_MOST(40.0), RULE_OWN,
                                "hazy days may be all there is; more is another kind of light"},
         [RULE_INCIDENCE_MOST] = {AT_MOST(30.0), RULE_OWN,
                                  "single glass loses about 2 % more there than in front"},
         [RULE_RISE_LEAST] = {AT_LEAST(2.0), RULE_OWN,
                              "two thermometers apart by 0.2 K are then 10 % of the heat"},
         [RULE_WINDOW] = {LENGTH(10.0), RULE_OWN, "five time constants of a small flat plate"},
         [RULE_CONDITIONING] = {LENGTH(10.0), RULE_OWN,
                                "five time constants of a small flat plate (about 2 min)"},
         [RULE_SLOT] = {LENGTH(60.0), RULE_OWN,
                        "many loggers write once a minute; halves the noise of faster ones"},
     }},
};
/* clang-format on */

const struct rule_set *rule_sets(size_t *n)
{
    *n = sizeof sets / sizeof sets[0];
    return sets;
}
