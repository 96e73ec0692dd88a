#include "run/advice.h"

static const struct {
    const char *of_log, *typed;
} words[ADVICE_COUNT] = {
    [ADVICE_UNFORMED] = {"check the instrument's column, unit, gain and add in the description",
                         "look at the row in the points table: its numbers, and the units in the "
                         "heads"},
    [ADVICE_BEYOND_SUN] =
        {"look at the units, the gains and the columns of inlet, outlet and flow, "
         "and at the area",
         "look at the units in the heads of sunshine, inlet, outlet and flow, and "
         "at the area"},
    [ADVICE_LOSS] = {"look at the units and columns of inlet, outlet and ambient",
                     "look whether the columns of inlet, outlet and ambient stand under their own "
                     "heads"},
    [ADVICE_POOR] =
        {"look at the unit of the flow, the area and the gain of the sun sensor before "
         "believing it",
         "look at the units of flow and sunshine, and at the area, before believing it"},
    [ADVICE_BENT] =
        {"look for a window that is not like the others, a unit, or a day that differed",
         "look for a mistyped point, a unit, or a day that differed"},
    [ADVICE_POINT] = {"look at the log there: a cloud or a shadow, air in the pipe, not yet steady",
                      "look at its row: mistyped, a cloud, not yet steady"},
    [ADVICE_POINTS_FIRST] =
        {"mend first what is said of the windows themselves; no form of the curve does that",
         "mend first what is said of the points themselves; no form of the curve does that"},
};

const char *advice_words(enum advice advice, bool from_log)
{
    return from_log ? words[advice].of_log : words[advice].typed;
}
