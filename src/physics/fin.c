#include "physics/fin.h"

#include <math.h>

#define PI 3.14159265358979323846

static double reach(const struct fin *fin, double loss_W_m2K)
{
    double m = sqrt(loss_W_m2K / (fin->conductivity_W_mK * fin->thickness_m));
    return 0.5 * m * (fin->spacing_m - fin->outside_m);
}

/* (1 - tanh(x)/x)/x^2: 1/3 at 0, without cancellation. */
static double lag(double x)
{
    double x2 = x * x;
    if (x < 0.03)
        return 1.0 / 3.0 - x2 * (2.0 / 15.0 - x2 * 17.0 / 315.0);
    return (1.0 - tanh(x) / x) / x2;
}

double fin_efficiency(const struct fin *fin, double loss_W_m2K)
{
    double x = reach(fin, loss_W_m2K);
    return 1.0 - x * x * lag(x);
}

double fin_resistance_m2K_W(const struct fin *fin, double loss_W_m2K)
{
    double x = reach(fin, loss_W_m2K);
    double free_m = fin->spacing_m - fin->outside_m;
    double efficiency = 1.0 - x * x * lag(x);
    /* x^2/U without dividing by a loss that may be 0. */
    double x2_by_loss = 0.25 * free_m * free_m / (fin->conductivity_W_mK * fin->thickness_m);
    double sheet = free_m * x2_by_loss * lag(x) / (fin->outside_m + free_m * efficiency);
    return sheet +
           fin->spacing_m * (1.0 / fin->bond_W_mK + 1.0 / (PI * fin->inside_m * fin->film_W_m2K));
}

double fin_collector_efficiency(const struct fin *fin, double loss_W_m2K)
{
    return 1.0 / (1.0 + loss_W_m2K * fin_resistance_m2K_W(fin, loss_W_m2K));
}

double fin_removal(double collector_efficiency, double loss_W_m2K, double flow_W_m2K)
{
    if (!(flow_W_m2K > 0.0))
        return 0.0;
    double y = loss_W_m2K * collector_efficiency / flow_W_m2K;
    double share = y > 1e-12 ? -expm1(-y) / y : 1.0;
    return collector_efficiency * share;
}

double fin_curve_m2K_W(double collector_efficiency, double loss_W_m2K, double flow_W_m2K)
{
    double y = loss_W_m2K * collector_efficiency / flow_W_m2K;
    double y2 = y * y;
    /* 1/(1 - exp(-y)) - 1/y - 1/2. */
    double bend = fabs(y) < 0.05 ? y * (1.0 / 12.0 - y2 * (1.0 / 720.0 - y2 / 30240.0))
                                 : -1.0 / expm1(-y) - 1.0 / y - 0.5;
    return bend / flow_W_m2K;
}
