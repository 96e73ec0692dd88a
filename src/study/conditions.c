#include "study/conditions.h"

#include "domain/surroundings.h"

#include <math.h>
#include <string.h>

#define RAD_PER_DEG (3.14159265358979323846 / 180.0)
#define KELVIN 273.15
#define FLOW_KG_SM2 0.02 /* ISO 9806-1:1994 (read second-hand) */

/* Mean of a channel over the points that have it; NaN where none has. */
static double mean_of(const struct means_list *list, enum channel channel)
{
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i].has[channel]) {
            sum += list->items[i].mean[channel];
            n++;
        }
    return n > 0 ? sum / (double)n : NAN;
}

static double or_else(double value, double taken)
{
    return isfinite(value) ? value : taken;
}

static double tilted_sky_degC(double sky_degC, double ambient_degC, double tilt_rad)
{
    double view = 0.5 * (1.0 + cos(tilt_rad));
    double sky4 = pow(sky_degC + KELVIN, 4.0), air4 = pow(ambient_degC + KELVIN, 4.0);
    return pow(view * sky4 + (1.0 - view) * air4, 0.25) - KELVIN;
}

static void find_sky(const struct reduction *r, struct conditions *out)
{
    double ambient = out->weather.ambient_degC;
    double sky = mean_of(&r->means, CH_SKY), longwave = mean_of(&r->means, CH_LONGWAVE);
    const struct site *site = &r->setup.site;
    enum sky_known known = site->sky.at.given ? (enum sky_known)site->sky.index : SKY_UNKNOWN;
    out->sky_measured = isfinite(sky) || isfinite(longwave);
    out->u_sky_K = 1.0;
    if (isfinite(sky))
        out->weather.sky_degC = sky;
    else if (isfinite(longwave))
        out->weather.sky_degC = sky_degC_of_longwave(longwave);
    else if (known == SKY_INDOORS) {
        out->weather.sky_degC = ambient;
        out->u_sky_K = 2.0 / sqrt(3.0);
    } else if (known == SKY_SWINBANK) {
        out->weather.sky_degC =
            tilted_sky_degC(sky_swinbank_degC(ambient), ambient, out->weather.tilt_rad);
        out->u_sky_K = 7.0 / sqrt(3.0);
    } else {
        out->weather.sky_degC = ambient - 12.5;
        out->u_sky_K = 12.5 / sqrt(3.0);
    }
}

static void find_weather(const struct reduction *r, struct conditions *out)
{
    const struct site *site = &r->setup.site;
    double diffuse = mean_of(&r->means, CH_DIFFUSE), wind = mean_of(&r->means, CH_WIND);
    double incidence = mean_of(&r->means, CH_INCIDENCE);
    out->diffuse_measured = isfinite(diffuse);
    out->incidence_measured = isfinite(incidence);
    out->wind_measured = isfinite(wind);
    double stated = site->wind_m_s.at.given ? site->wind_m_s.value : 3.0;
    out->weather.g_W_m2 = or_else(mean_of(&r->means, CH_IRRADIANCE), 1000.0);
    out->weather.diffuse_share =
        out->diffuse_measured ? fmin(fmax(diffuse / out->weather.g_W_m2, 0.0), 1.0) : 0.15;
    out->weather.incidence_rad = or_else(incidence, 0.0);
    out->weather.ambient_degC = or_else(mean_of(&r->means, CH_AMBIENT), 20.0);
    out->weather.wind_m_s = or_else(wind, stated);
    out->weather.tilt_rad = site->tilt_rad.at.given ? site->tilt_rad.value : 45.0 * RAD_PER_DEG;
    find_sky(r, out);
}

/* The range of a value over all points. */
struct span {
    double low, high, sum;
    size_t n;
};

static void widen(struct span *span, double value)
{
    if (!isfinite(value))
        return;
    span->low = fmin(span->low, value);
    span->high = fmax(span->high, value);
    span->sum += value;
    span->n++;
}

static void find_range(const struct reduction *r, enum plate_basis basis, struct conditions *out)
{
    struct span x = {.low = INFINITY, .high = -INFINITY}, wind = x;
    for (size_t i = 0; i < r->means.n; i++) {
        const struct means *m = &r->means.items[i];
        double fluid = basis == PLATE_INLET ? m->mean[CH_INLET]
                                            : 0.5 * (m->mean[CH_INLET] + m->mean[CH_OUTLET]);
        widen(&x, m->reduced ? m->x : (fluid - m->mean[CH_AMBIENT]) / m->mean[CH_IRRADIANCE]);
        if (m->has[CH_WIND])
            widen(&wind, m->mean[CH_WIND]);
    }
    bool any = x.low <= x.high;
    out->x_low_m2K_W = any ? x.low : 0.0;
    out->x_high_m2K_W = any ? x.high : 0.06;
    out->x_mean_m2K_W = any ? x.sum / (double)x.n : 0.03;
    out->wind_low_m_s = wind.low <= wind.high ? wind.low : out->weather.wind_m_s - 1.0;
    out->wind_high_m_s = wind.low <= wind.high ? wind.high : out->weather.wind_m_s + 1.0;
}

void conditions_of(const struct reduction *r, enum plate_basis basis, struct conditions *out)
{
    memset(out, 0, sizeof *out);
    out->tested = r->means.n > 0;
    find_weather(r, out);
    find_range(r, basis, out);
    double inlet = mean_of(&r->means, CH_INLET), outlet = mean_of(&r->means, CH_OUTLET);
    const struct fluid *fluid = &r->setup.fluid;
    out->fluid_degC = or_else(0.5 * (inlet + outlet), out->weather.ambient_degC + 30.0);
    double volume = mean_of(&r->means, CH_FLOW), mass = mean_of(&r->means, CH_MASS_FLOW);
    double meter = r->setup.fluid_choice.meter_at.index == 1 ? outlet : inlet;
    out->mass_kg_s = isfinite(mass) ? mass : volume * fluid_density(fluid, meter);
    if (!(out->mass_kg_s > 0.0))
        out->mass_kg_s = FLOW_KG_SM2 * r->setup.collector.area_m2;
}
