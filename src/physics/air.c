#include "physics/air.h"

#include <math.h>
#include <stddef.h>

#define GRAVITY_M_S2 9.80665
#define GAS_CONSTANT_J_KGK 287.05
#define PRESSURE_PA 101325.0
#define CP_J_KGK 1007.0
#define STEEPEST_RAD (75.0 * 3.14159265358979323846 / 180.0)

/* Sutherland: value at t0 times (T/t0)^1.5 (t0 + s)/(T + s). */
static double sutherland(double t_K, double at_t0, double t0_K, double s_K)
{
    double ratio = t_K / t0_K;
    return at_t0 * ratio * sqrt(ratio) * (t0_K + s_K) / (t_K + s_K);
}

struct air air_at(double t_K)
{
    double density = PRESSURE_PA / (GAS_CONSTANT_J_KGK * t_K);
    double conductivity = sutherland(t_K, 0.0241, 273.0, 194.0);
    return (struct air){.conductivity_W_mK = conductivity,
                        .viscosity_m2_s = sutherland(t_K, 1.716e-5, 273.0, 111.0) / density,
                        .diffusivity_m2_s = conductivity / (density * CP_J_KGK)};
}

static double positive(double x)
{
    return x > 0.0 ? x : 0.0;
}

static double hollands(double rayleigh, double tilt_rad)
{
    double tilt = fmin(tilt_rad, STEEPEST_RAD);
    double upright = rayleigh * cos(tilt);
    if (!(upright > 0.0))
        return 1.0;
    double start = positive(1.0 - 1708.0 / upright);
    double steep = 1.0 - 1708.0 * pow(sin(1.8 * tilt), 1.6) / upright;
    return 1.0 + 1.44 * steep * start + positive(cbrt(upright / 5830.0) - 1.0);
}

double air_gap_W_m2K(double t_low_K, double t_high_K, double gap_m, double tilt_rad,
                     double *rayleigh, double *nusselt)
{
    double mean_K = 0.5 * (t_low_K + t_high_K);
    struct air air = air_at(mean_K);
    double ra = GRAVITY_M_S2 * positive(t_low_K - t_high_K) * gap_m * gap_m * gap_m /
                (mean_K * air.viscosity_m2_s * air.diffusivity_m2_s);
    double nu = hollands(ra, tilt_rad);
    if (rayleigh != NULL)
        *rayleigh = ra;
    if (nusselt != NULL)
        *nusselt = nu;
    return nu * air.conductivity_W_mK / gap_m;
}

double air_wind_W_m2K(double wind_m_s)
{
    return 2.8 + 3.0 * wind_m_s;
}
