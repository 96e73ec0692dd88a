#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>

#include "aid_near.h"

void aid_near(const char *name, double got, double want, double absolute)
{
    if (got == want || fabs(got - want) <= absolute)
        return;
    fail_msg("%s: got %.15g, want %.15g, off by %.3g, allowed %.3g", name, got, want, got - want,
             absolute);
}

void aid_near_relative(const char *name, double got, double want, double relative)
{
    aid_near(name, got, want, relative * fabs(want));
}

double aid_near_digits(double got, double want)
{
    double off = fabs(got - want);
    if (!isfinite(off))
        return -99.0;
    if (want != 0.0)
        off /= fabs(want);
    return off > 1e-15 ? -log10(off) : 15.0;
}
