#include "demo/truth.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Readings in a window of ten minutes. */
enum { READINGS_PLATE = 60, READINGS_RIG = 40 };
enum { PER_LEVEL_PLATE = 4, PER_LEVEL_RIG = 3 };

/* Streams of one draw: noise of the points, one for each collector; what is in the loop. */
enum { STREAM_POINTS = 400, STREAM_MIXTURE = 500 };

static const double plate_in_degC[] = {20.1, 41.3, 62.2, 84.7};
static const double rig_in_degC[] = {22.3, 34.4, 46.2, 58.3};

/* Mornings to afternoons: no two points of a level alike. */
static const struct {
    double g_W_m2;
    double t_ambient_degC;
    double wind_m_s;
    double flow_share;
    double inlet_K; /* from the level's nominal temperature */
} hours[PER_LEVEL_PLATE] = {
    {931.0, 23.1, 3.07, 1.002, 0.0},
    {962.0, 24.2, 2.94, 0.998, 0.17},
    {957.0, 25.0, 3.02, 1.001, -0.09},
    {918.0, 25.7, 2.97, 0.999, 0.23},
};

/* The gardener's two: fewer points, no fan. */
static bool homemade(enum demo_collector collector)
{
    return collector == DEMO_RIG || collector == DEMO_BUCKET;
}

static size_t per_level(enum demo_collector collector)
{
    return homemade(collector) ? PER_LEVEL_RIG : PER_LEVEL_PLATE;
}

size_t demo_point_count(enum demo_collector collector)
{
    return 4 * per_level(collector);
}

void demo_point_conditions(enum demo_collector collector, size_t k,
                           struct plant_conditions *conditions)
{
    assert(k < demo_point_count(collector));
    size_t level = k / per_level(collector);
    size_t hour = k % per_level(collector);
    bool rig = homemade(collector);
    *conditions = (struct plant_conditions){
        .g_W_m2 = hours[hour].g_W_m2 - (rig ? 11.0 : 0.0),
        .t_ambient_degC = hours[hour].t_ambient_degC,
        .t_in_degC = (rig ? rig_in_degC : plate_in_degC)[level] + hours[hour].inlet_K,
        .flow_kg_s = (rig ? 0.0265 : 0.0402) * hours[hour].flow_share,
        .wind_m_s = rig ? 1.7 : hours[hour].wind_m_s,
    };
}

size_t demo_point_day(enum demo_collector collector, size_t k)
{
    return !homemade(collector) && k >= demo_point_count(collector) / 2 ? 1 : 0;
}

bool demo_truth(enum demo_collector collector, const struct fluid *fluid,
                const struct plant_conditions *conditions, size_t n, struct demo_truth *out,
                struct faults *faults)
{
    const struct demo_collector_row *row = demo_collector_row(collector);
    for (size_t i = 0; i < n; i++) {
        struct plant_result result;
        if (!plant_steady(&row->plant, fluid, &conditions[i], &result, NULL, faults))
            return false;
        out[i] = (struct demo_truth){
            .efficiency = result.heat_W / (row->gross_m2 * conditions[i].g_W_m2),
            .heat_W = result.heat_W,
            .t_out_degC = result.t_out_degC,
            .t_mean_degC = result.t_mean_degC,
            .reduced_m2K_W = result.reduced_m2K_W,
        };
    }
    return true;
}

/* One channel of one point: the truth (and what the sun from the side adds to it) through the
 * instrument, its noise averaged, and the error of counting in steps, which does not average while
 * the value stands still. */
static void show(enum demo_collector collector, enum channel channel, double truth,
                 double side_W_m2, size_t day, uint64_t draw, const struct sensor_errors *errors,
                 struct randoms *randoms, struct means *means)
{
    size_t i = sensor_of(collector, channel);
    if (i == SENSOR_ROWS)
        return;
    double noise = sensor_noise(i, truth) / sqrt((double)means->readings);
    double mean = sensor_shown(errors, i, day, truth + side_W_m2);
    if (draw != 0)
        mean += noise * randoms_normal(randoms) + sensor_step(i) * (randoms_uniform(randoms) - 0.5);
    means->has[channel] = true;
    means->mean[channel] = sensor_possible(i, mean);
    means->u[channel] = noise;
}

static bool point(enum demo_collector collector, const struct fluid *fluid, size_t k, uint64_t draw,
                  const struct sensor_errors *errors, struct randoms *randoms, struct means *means,
                  struct faults *faults)
{
    struct plant_conditions at;
    demo_point_conditions(collector, k, &at);
    struct plant plant = demo_collector_row(collector)->plant;
    plant.aperture_m2 *= 1.0 + errors->area[collector];
    struct plant_result result;
    if (!plant_steady(&plant, fluid, &at, &result, NULL, faults))
        return false;

    size_t day = demo_point_day(collector, k);
    memset(means, 0, sizeof *means);
    snprintf(means->name, sizeof means->name, "point %zu", k + 1);
    means->session = (int64_t)day;
    means->readings = homemade(collector) ? READINGS_RIG : READINGS_PLATE;
    means->drift_K_s = 0.0;
    const struct {
        enum channel channel;
        double truth;
    } rows[] = {
        {CH_IRRADIANCE, at.g_W_m2},
        {CH_AMBIENT, at.t_ambient_degC},
        {CH_INLET, at.t_in_degC},
        {CH_OUTLET, result.t_out_degC},
        {CH_FLOW, at.flow_kg_s / fluid_density(fluid, at.t_in_degC)},
        {CH_WIND, at.wind_m_s},
        {CH_DIFFUSE, 0.12 * at.g_W_m2},
        {CH_INCIDENCE, at.incidence_rad},
    };
    size_t sun = sensor_of(collector, CH_IRRADIANCE);
    double side_W_m2 =
        sensor_from_side(errors, sun, at.g_W_m2, 0.12 * at.g_W_m2, at.incidence_rad);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        show(collector, rows[i].channel, rows[i].truth,
             rows[i].channel == CH_IRRADIANCE ? side_W_m2 : 0.0, day, draw, errors, randoms, means);
    return true;
}

bool demo_mixture(uint64_t draw, struct fluid *fluid, struct faults *faults)
{
    fluid_glycol(fluid, GLYCOL_PROPYLENE, false, DEMO_FRACTION);
    if (draw == 0)
        return true;
    struct randoms randoms;
    if (!randoms_init(&randoms, faults))
        return false;
    randoms_seed(&randoms, draw, STREAM_MIXTURE);
    double fraction = fluid->u_fraction * randoms_normal(&randoms);
    double cp = 1.0 + fluid->u_cp * randoms_normal(&randoms);
    double density = 1.0 + fluid->u_density * randoms_normal(&randoms);
    randoms_free(&randoms);
    fluid_glycol(fluid, GLYCOL_PROPYLENE, false, DEMO_FRACTION + fraction);
    fluid_scale(fluid, cp, density);
    return true;
}

bool demo_points(enum demo_collector collector, const struct fluid *fluid, uint64_t draw,
                 struct means *means, struct faults *faults)
{
    struct randoms randoms;
    if (!randoms_init(&randoms, faults))
        return false;
    struct sensor_errors errors;
    sensor_errors_draw(&errors, draw, &randoms);
    randoms_seed(&randoms, draw, STREAM_POINTS + (uint64_t)collector);
    bool good = true;
    for (size_t k = 0; good && k < demo_point_count(collector); k++)
        good = point(collector, fluid, k, draw, &errors, &randoms, &means[k], faults);
    randoms_free(&randoms);
    return good;
}
