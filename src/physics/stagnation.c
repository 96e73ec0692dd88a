#include "physics/stagnation.h"

#include "physics/root.h"

#include <math.h>
#include <stddef.h>

double stagnation_difference_K(stagnation_curve *curve, void *state, double most_K)
{
    struct root root;
    if (!(curve(0.0, state) > 0.0))
        return 0.0;
    /* In steps: an upper band may turn up again far out, and the first zero is the one meant. */
    for (double from = 0.0; from < most_K; from += 10.0)
        if (curve(from + 10.0, state) <= 0.0)
            return root_find(curve, state, from, from + 10.0, ROOT_STEPS, &root) ? root.x
                                                                                 : INFINITY;
    return INFINITY;
}

double stagnation_hot_spot_degC(double plate_degC, double ambient_degC)
{
    return plate_degC + STAGNATION_HOT_SPOT * fmax(plate_degC - ambient_degC, 0.0);
}

double stagnation_brought_degC(double measured_degC, double g_measured_W_m2,
                               double ambient_measured_degC, double g_W_m2, double ambient_degC)
{
    return ambient_degC + g_W_m2 / g_measured_W_m2 * (measured_degC - ambient_measured_degC);
}

double stagnation_told_degC(double degC)
{
    return 10.0 * ceil(degC / 10.0);
}
