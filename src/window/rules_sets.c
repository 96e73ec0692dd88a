/* The figures of each set of rules. */
#include "window/rules_table.h"

#include <math.h>

#define AT_LEAST(figure) true, (figure), INFINITY
#define AT_MOST(figure) true, -INFINITY, (figure)
#define BETWEEN(low, high) true, (low), (high)
#define LENGTH(figure) true, -INFINITY, (figure)
#define NONE false, -INFINITY, INFINITY

/* No copy of a standard was at hand. The 1994 figures were read in a textbook's account, those of
 * 2017 are as remembered, and where the textbook has the same figure it is remembered to have
 * stayed. Kalogirou 2009 is "Solar Energy Engineering", 1st edition, section on collector tests and
 * its table 4.1. Of ASHRAE 93 one page was read, clause 8.3.3 of an edition that it does not name.
 */
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
         [RULE_FLOW_WAVER] = {NONE, RULE_MEMORY, "the standard limits the share instead"},
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
    {"ISO 9806-1:1994",
     true,
     {
         [RULE_IRRADIANCE_LEAST] = {AT_LEAST(800.0), RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [RULE_IRRADIANCE_DEVIATION] = {AT_MOST(50.0), RULE_READ,
                                        "ISO 9806-1:1994, Kalogirou 2009, table 4.1"},
         [RULE_AMBIENT_DEVIATION] = {AT_MOST(1.0), RULE_READ,
                                     "ISO 9806-1:1994, Kalogirou 2009, table 4.1"},
         [RULE_INLET_DEVIATION] = {AT_MOST(0.1), RULE_READ,
                                   "ISO 9806-1:1994, Kalogirou 2009, table 4.1"},
         [RULE_OUTLET_DEVIATION] = {NONE, RULE_READ, "not listed in Kalogirou 2009, table 4.1"},
         [RULE_OUTLET_DRIFT] = {NONE, RULE_READ, "not listed in Kalogirou 2009, table 4.1"},
         [RULE_FLOW_DEVIATION] = {AT_MOST(1.0), RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [RULE_FLOW_WAVER] = {NONE, RULE_READ, "the share is limited instead, Kalogirou 2009"},
         [RULE_WIND] = {BETWEEN(2.0, 4.0), RULE_READ,
                        "ISO 9806-1:1994, Kalogirou 2009 (a fan below 2)"},
         [RULE_DIFFUSE_MOST] = {AT_MOST(20.0), RULE_MEMORY, "ISO 9806-1:1994"},
         [RULE_INCIDENCE_MOST] = {AT_MOST(20.0), RULE_MEMORY,
                                  "stands for: modifier within 2 % of normal, single glazing"},
         [RULE_RISE_LEAST] = {AT_LEAST(1.5), RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [RULE_WINDOW] = {LENGTH(15.0), RULE_READ,
                          "Kalogirou 2009; and at least 4 transit times of the fluid"},
         [RULE_CONDITIONING] = {LENGTH(15.0), RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [RULE_SLOT] = {LENGTH(30.0), RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
     }},
    {"ASHRAE 93",
     true,
     {
         [RULE_IRRADIANCE_LEAST] = {AT_LEAST(790.0), RULE_MEMORY, "ASHRAE 93, edition not known"},
         [RULE_IRRADIANCE_DEVIATION] = {AT_MOST(32.0), RULE_MEMORY, "ASHRAE 93, edition not known"},
         [RULE_AMBIENT_DEVIATION] = {AT_MOST(1.5), RULE_READ,
                                     "clause 8.3.3, in the 15 min before data are taken"},
         [RULE_INLET_DEVIATION] = {AT_MOST(1.0), RULE_READ,
                                   "clause 8.3.3: 2 % or 1.0 K, the greater; here the 1.0 K"},
         [RULE_OUTLET_DEVIATION] = {NONE, RULE_MEMORY, "no such limit remembered"},
         [RULE_OUTLET_DRIFT] = {NONE, RULE_READ,
                                "clause 8.3.3: 0.05 K/min under lamps only; state it there"},
         [RULE_FLOW_DEVIATION] = {NONE, RULE_READ, "the volume is limited instead, clause 8.3.3"},
         [RULE_FLOW_WAVER] = {AT_MOST(0.0189), RULE_READ,
                              "clause 8.3.3: 0.000315 L/s (0.005 gallons a minute)"},
         [RULE_WIND] = {BETWEEN(2.2, 4.5), RULE_MEMORY, "ASHRAE 93, edition not known"},
         [RULE_DIFFUSE_MOST] = {AT_MOST(20.0), RULE_MEMORY, "ASHRAE 93, edition not known"},
         [RULE_INCIDENCE_MOST] = {AT_MOST(30.0), RULE_MEMORY,
                                  "stands for: modifier within 2 % of normal, single glazing"},
         [RULE_RISE_LEAST] = {NONE, RULE_MEMORY, "no such limit remembered"},
         [RULE_WINDOW] = {LENGTH(10.0), RULE_MEMORY,
                          "later editions; earlier 5; and at least 2 time constants"},
         [RULE_CONDITIONING] = {LENGTH(15.0), RULE_READ, "clause 8.3.3"},
         [RULE_SLOT] = {LENGTH(30.0), RULE_OWN, "none remembered; as in ISO 9806"},
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
         [RULE_FLOW_WAVER] = {NONE, RULE_OWN, "the share is limited instead"},
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
