#include "physics/film.h"

#include <math.h>

#define PI 3.14159265358979323846
#define LAMINAR_NU 4.36
#define LAMINAR_RE 2300.0
#define TURBULENT_RE 4000.0

struct film_fluid film_water(double t_degC, double cp_J_kgK)
{
    double t_K = t_degC + 273.15;
    return (struct film_fluid){.conductivity_W_mK = 0.5706 + t_degC * (1.756e-3 - 6.46e-6 * t_degC),
                               .viscosity_Pa_s = 2.414e-5 * pow(10.0, 247.8 / (t_K - 140.0)),
                               .cp_J_kgK = cp_J_kgK};
}

struct film_fluid film_mixture(const struct film_fluid *water, double volume_share, double growth,
                               double cp_J_kgK)
{
    return (struct film_fluid){.conductivity_W_mK =
                                   water->conductivity_W_mK * (1.0 - 0.75 * volume_share),
                               .viscosity_Pa_s = water->viscosity_Pa_s * exp(growth * volume_share),
                               .cp_J_kgK = cp_J_kgK};
}

static double gnielinski(double re, double pr)
{
    double friction = pow(0.79 * log(re) - 1.64, -2.0);
    double f8 = friction / 8.0;
    return f8 * (re - 1000.0) * pr / (1.0 + 12.7 * sqrt(f8) * (pow(pr, 2.0 / 3.0) - 1.0));
}

double film_nusselt(double mass_kg_s, double inside_m, const struct film_fluid *fluid)
{
    double re = 4.0 * mass_kg_s / (PI * inside_m * fluid->viscosity_Pa_s);
    double pr = fluid->viscosity_Pa_s * fluid->cp_J_kgK / fluid->conductivity_W_mK;
    if (re <= LAMINAR_RE)
        return LAMINAR_NU;
    if (re >= TURBULENT_RE)
        return gnielinski(re, pr);
    double share = (re - LAMINAR_RE) / (TURBULENT_RE - LAMINAR_RE);
    return LAMINAR_NU + share * (gnielinski(TURBULENT_RE, pr) - LAMINAR_NU);
}

double film_W_m2K(double mass_kg_s, double inside_m, const struct film_fluid *fluid)
{
    return film_nusselt(mass_kg_s, inside_m, fluid) * fluid->conductivity_W_mK / inside_m;
}

double film_laminar_W_m2K(double inside_m, double conductivity_W_mK)
{
    return LAMINAR_NU * conductivity_W_mK / inside_m;
}
