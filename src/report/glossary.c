#include "report/glossary.h"

static const struct glossary_row rows[] = {
    {"efficiency η", "Heat carried off by the fluid ÷ sunshine on the stated area."},
    {"η₀", "The efficiency with the fluid as warm as the air: what glass and plate let pass."},
    {"a₁, a₂", "The heat loss for each degree above the air, and how it grows with that degree."},
    {"reduced temperature T*",
     "(Fluid − air) ÷ sunshine: how hard the test is on the collector, in m² K/W."},
    {"gross, aperture area",
     "The outside of the frame; the opening through which sunshine enters. An efficiency means "
     "nothing without the area that it is for."},
    {"window", "A stretch of the log in which nothing changed by more than the rules allow; its "
               "means are a point of the curve."},
    {"standard uncertainty u", "The size of an error as one standard deviation."},
    {"95 % interval, ±",
     "Holds the truth in 19 of 20 such tests, if what was stated of the instruments is right; ± is "
     "half of its width."},
    {"calibration, session, reading",
     "Errors that stay the same in the whole test; that change from day to day; that are new in "
     "each window. Only the last two shrink with more windows."},
    {"degrees of freedom", "How well an uncertainty itself is known: below ten it is a rough one."},
    {"residual", "What was measured minus the curve."},
    {"Birge ratio", "Scatter seen ÷ scatter claimed: near 1 if the claims are right."},
    {"stagnation", "Sunshine without flow: the plate becomes as hot as it can."},
};

const struct glossary_row *glossary(size_t *n)
{
    *n = sizeof rows / sizeof rows[0];
    return rows;
}
