#include "window/criteria_table.h"

#include <math.h>

#define SHARE_PER_PERCENT 0.01
#define COUNT false, true, false, DIM_NONE, "", 1.0, 0
#define COUNT_AT_MOST true, true, false, DIM_NONE, "", 1.0, 0

/* clang-format off */
const struct criterion_row criterion_rows[CRITERION_COUNT] = {
    [CRITERION_LEVELS] =
        {CRITERION_LEVELS, "temperatures", "temperatures of the water", COUNT, 1.0, 64.0},
    [CRITERION_EACH] =
        {CRITERION_EACH, "points at each", "points at each temperature", COUNT, 1.0, 1000.0},
    [CRITERION_POINTS] =
        {CRITERION_POINTS, "points in all", "points in all", COUNT, 1.0, 10000.0},
    [CRITERION_NEAR_AIR] =
        {CRITERION_NEAR_AIR, "near air", "one temperature near that of the air", true, false, true,
         DIM_TEMPERATURE, "K", 1.0, 1, 0.0, 100.0},
    [CRITERION_REACH] =
        {CRITERION_REACH, "reach at least", "warmest water above the air", false, false, true,
         DIM_TEMPERATURE, "K", 1.0, 1, 0.0, 300.0},
    [CRITERION_WARMEST] =
        {CRITERION_WARMEST, "warmest at least", "warmest water", false, false, false,
         DIM_TEMPERATURE, "degC", 1.0, 1, 0.0, 300.0},
    [CRITERION_GAP] =
        {CRITERION_GAP, "gap at most", "largest gap, of the whole reach", true, false,
         false, DIM_NONE, "%", SHARE_PER_PERCENT, 0, 0.0, 1.0},
    [CRITERION_NOON] =
        {CRITERION_NOON, "noon difference", "points more on one side of noon", COUNT_AT_MOST,
         0.0, 1000.0},
    [CRITERION_FLOW] =
        {CRITERION_FLOW, "flow between points", "flow of any point off the mean of all", true, false,
         false, DIM_NONE, "%", SHARE_PER_PERCENT, 1, 0.0, 1.0},
    [CRITERION_AIR] =
        {CRITERION_AIR, "air at most", "warmest air", true, false, false, DIM_TEMPERATURE, "degC",
         1.0, 1, -50.0, 100.0},
};
/* clang-format on */

#define OFF NAN

/* As in rules_sets.c: no copy of a standard was at hand. EuroSun 2008 is a paper on tests by
 * EN 12975-2 of that conference's proceedings, which states points and the 3 K about the air. */
/* clang-format off */
static const struct criteria_set sets[] = {
    {"ISO 9806:2017",
     {
         [CRITERION_LEVELS] = {4, RULE_MEMORY,
                               "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [CRITERION_EACH] = {4, RULE_MEMORY,
                             "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [CRITERION_POINTS] = {16, RULE_MEMORY,
                               "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [CRITERION_NEAR_AIR] = {3, RULE_MEMORY,
                                 "ISO 9806:2017 (same for EN 12975-2, read in EuroSun 2008)"},
         [CRITERION_REACH] = {40, RULE_MEMORY,
                              "ISO 9806:2017, unsure; 80 degC would do, which reaches as far"},
         [CRITERION_WARMEST] = {OFF, RULE_MEMORY, "see 'reach at least'"},
         [CRITERION_GAP] = {50, RULE_OWN, "evenly spread, as in 1994 (read); the figure is ours"},
         [CRITERION_NOON] = {0, RULE_MEMORY,
                             "ISO 9806:2017, rack not tracking (same in 1994, read)"},
         [CRITERION_FLOW] = {10, RULE_MEMORY,
                             "ISO 9806:2017 (same in 1994, read in Kalogirou 2009)"},
         [CRITERION_AIR] = {OFF, RULE_MEMORY, "no such limit remembered"},
     }},
    {"ISO 9806-1:1994",
     {
         [CRITERION_LEVELS] = {4, RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [CRITERION_EACH] = {4, RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [CRITERION_POINTS] = {16, RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [CRITERION_NEAR_AIR] = {3, RULE_READ,
                                 "Kalogirou 2009; that the mean counts: EuroSun 2008"},
         [CRITERION_REACH] = {OFF, RULE_READ, "the warmest water is limited instead"},
         [CRITERION_WARMEST] = {70, RULE_READ,
                                "the maker's highest; with water 70 mostly does, Kalogirou 2009"},
         [CRITERION_GAP] = {50, RULE_OWN,
                            "evenly spread (read, Kalogirou 2009); the figure is ours"},
         [CRITERION_NOON] = {0, RULE_READ, "rack not tracking, Kalogirou 2009"},
         [CRITERION_FLOW] = {10, RULE_READ, "ISO 9806-1:1994, Kalogirou 2009"},
         [CRITERION_AIR] = {OFF, RULE_READ, "not listed in Kalogirou 2009"},
     }},
    {"ASHRAE 93",
     {
         [CRITERION_LEVELS] = {4, RULE_MEMORY, "inlet at about 0, 30, 60, 90 % of the span"},
         [CRITERION_EACH] = {4, RULE_MEMORY, "ASHRAE 93, edition not known"},
         [CRITERION_POINTS] = {16, RULE_MEMORY, "ASHRAE 93, edition not known"},
         [CRITERION_NEAR_AIR] = {3, RULE_OWN,
                                 "0 % of the span is the air (from memory); the 3 K are ISO's"},
         [CRITERION_REACH] = {OFF, RULE_MEMORY, "90 % of the span that the maker states"},
         [CRITERION_WARMEST] = {OFF, RULE_MEMORY, "90 % of the span that the maker states"},
         [CRITERION_GAP] = {50, RULE_OWN,
                            "0, 30, 60, 90 % of the span (from memory); the figure is ours"},
         [CRITERION_NOON] = {0, RULE_MEMORY, "ASHRAE 93: two before and two after noon"},
         [CRITERION_FLOW] = {OFF, RULE_MEMORY, "no such limit remembered"},
         [CRITERION_AIR] = {30, RULE_MEMORY, "ASHRAE 93, edition not known"},
     }},
    {"homemade rig",
     {
         [CRITERION_LEVELS] = {3, RULE_OWN, "two give a slope, the third shows if it is straight"},
         [CRITERION_EACH] = {2, RULE_OWN, "repeats show the scatter"},
         [CRITERION_POINTS] = {6, RULE_OWN, "two at each of three temperatures"},
         [CRITERION_NEAR_AIR] = {5, RULE_OWN,
                                 "farther off, the efficiency without loss hangs on the slope"},
         [CRITERION_REACH] = {20, RULE_OWN,
                              "the loss over 20 K is about 120 W/m2: scatter of 5 is 4 % of it"},
         [CRITERION_WARMEST] = {OFF, RULE_OWN, "the reach above the air is judged instead"},
         [CRITERION_GAP] = {OFF, RULE_OWN, "a bucket is as warm as it is"},
         [CRITERION_NOON] = {OFF, RULE_OWN, "one afternoon may be all there is"},
         [CRITERION_FLOW] = {20, RULE_OWN,
                             "half the flow costs a flat plate about 3 % of its heat"},
         [CRITERION_AIR] = {OFF, RULE_OWN, "the loss counts from whatever the air is"},
     }},
};
/* clang-format on */

const struct criteria_set *criteria_sets(size_t *n)
{
    *n = sizeof sets / sizeof sets[0];
    return sets;
}
