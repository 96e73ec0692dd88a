#include "domain/glycol.h"

#include <math.h>
#include <stddef.h>

const double glycol_least_volume = 0.10;
const double glycol_most_volume = 0.60;
const double glycol_least_degC = -35.0;
const double glycol_most_degC = 100.0;
static const double melinder_most_mass = 0.60;

enum { FREEZING = 9 };

static const struct {
    const char *name;
    double pure_kg_m3; /* at 20 degC, handbook values [from memory] */
    double freezing_degC[FREEZING];
} glycols[GLYCOL_COUNT] = {
    [GLYCOL_PROPYLENE] = {"propylene glycol",
                          1036.1,
                          {-2.87, -7.17, -12.79, -16.32, -20.57, -25.77, -32.19, -40.16, -50.00}},
    [GLYCOL_ETHYLENE] = {"ethylene glycol",
                         1113.5,
                         {-3.36, -7.95, -14.58, -18.84, -23.81, -29.52, -35.99, -43.22, -51.20}},
};

static const double freezing_mass[FREEZING] = {0.10, 0.20, 0.30, 0.35, 0.40,
                                               0.45, 0.50, 0.55, 0.60};

const char *glycol_name(enum glycol glycol)
{
    return glycols[glycol].name;
}

static double polynomial(const struct glycol_polynomial *p,
                         const double c[GLYCOL_POWERS_T][GLYCOL_POWERS_X], double fraction,
                         double t_degC)
{
    double t = t_degC + 273.15 - p->base_K;
    double x = fraction - p->base_fraction;
    double sum = 0.0;
    for (int i = GLYCOL_POWERS_T - 1; i >= 0; i--) {
        double row = 0.0;
        for (int j = GLYCOL_POWERS_X - 1; j >= 0; j--)
            row = row * x + c[i][j];
        sum = sum * t + row;
    }
    return sum;
}

double glycol_density(enum glycol glycol, enum glycol_source source, double fraction, double t_degC)
{
    const struct glycol_polynomial *p = &glycol_polynomials[glycol][source];
    return polynomial(p, p->density, fraction, t_degC);
}

double glycol_cp(enum glycol glycol, enum glycol_source source, double fraction, double t_degC)
{
    const struct glycol_polynomial *p = &glycol_polynomials[glycol][source];
    return polynomial(p, p->cp, fraction, t_degC);
}

double glycol_mass_of(enum glycol glycol, double volume)
{
    return volume * glycols[glycol].pure_kg_m3 /
           glycol_density(glycol, GLYCOL_ASHRAE, volume, 20.0);
}

/* The density of the mixture hardly depends on the fraction: each round leaves less than a tenth of
 * the error. */
double glycol_volume_of(enum glycol glycol, double mass)
{
    double volume = mass;
    for (int round = 0; round < 20; round++)
        volume = mass * glycol_density(glycol, GLYCOL_ASHRAE, volume, 20.0) /
                 glycols[glycol].pure_kg_m3;
    return volume;
}

double glycol_freezing_degC(enum glycol glycol, double mass)
{
    const double *t_degC = glycols[glycol].freezing_degC;
    double at = fmin(fmax(mass, freezing_mass[0]), freezing_mass[FREEZING - 1]);
    size_t i = 0;
    while (i + 2 < FREEZING && at > freezing_mass[i + 1])
        i++;
    double s = (at - freezing_mass[i]) / (freezing_mass[i + 1] - freezing_mass[i]);
    return t_degC[i] + s * (t_degC[i + 1] - t_degC[i]);
}

static double larger(double a, double b)
{
    return fabs(b) > fabs(a) ? b : a;
}

struct glycol_spread glycol_spread(enum glycol glycol, double volume)
{
    struct glycol_spread spread = {0.0, 0.0};
    double mass = glycol_mass_of(glycol, volume);
    if (!(mass <= melinder_most_mass))
        return (struct glycol_spread){NAN, NAN};
    for (int t = 0; t <= 40; t++) {
        double cp = glycol_cp(glycol, GLYCOL_MELINDER, mass, t) /
                    glycol_cp(glycol, GLYCOL_ASHRAE, volume, t);
        double density = glycol_density(glycol, GLYCOL_MELINDER, mass, t) /
                         glycol_density(glycol, GLYCOL_ASHRAE, volume, t);
        spread.cp = larger(spread.cp, cp - 1.0);
        spread.density = larger(spread.density, density - 1.0);
    }
    return spread;
}
