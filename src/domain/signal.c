#include "domain/signal.h"

#include <math.h>

static const double A = 3.9083e-3, B = -5.775e-7, C = -4.183e-12;

enum { NEWTON_STEPS = 20 };

static double share_at(double t)
{
    return 1.0 + A * t + B * t * t + (t < 0.0 ? C * (t - 100.0) * t * t * t : 0.0);
}

static double slope_at(double t)
{
    return A + 2.0 * B * t + (t < 0.0 ? C * (4.0 * t - 300.0) * t * t : 0.0);
}

double signal_platinum_degC(double share)
{
    double t = (share - 1.0) / A;
    if (!(share >= share_at(-200.0) && share <= share_at(850.0)))
        return NAN;
    /* The curve is bent one way all along: Newton's steps close in on the root. */
    for (int i = 0; i < NEWTON_STEPS; i++) {
        double step = (share_at(t) - share) / slope_at(t);
        t -= step;
        if (fabs(step) < 1e-11)
            break;
    }
    return t;
}

static double value_between(const struct signal *signal, double x)
{
    if (!(x >= signal->raw[0] && x <= signal->raw[signal->n - 1]))
        return NAN;
    size_t i = 1;
    while (x > signal->raw[i])
        i++;
    double share = (x - signal->raw[i - 1]) / (signal->raw[i] - signal->raw[i - 1]);
    return signal->value_si[i - 1] + share * (signal->value_si[i] - signal->value_si[i - 1]);
}

double signal_value(const struct signal *signal, double x)
{
    double value = signal->kind == SIGNAL_PLATINUM
                       ? signal_platinum_degC((x - signal->lead_ohm) / signal->r0_ohm)
                       : value_between(signal, x);
    return signal->factor * value + signal->add_si;
}
