#include "domain/channel.h"

#include "base/text.h"

#define RAD_PER_DEG (3.14159265358979323846 / 180.0)

/* Ranges are what can be there at all, wide enough for a cloud's edge, night-time zero offsets and
 * a collector that stagnates; they find faults of sensors, not weather. Our own figures. */
static const struct channel_row rows[CH_COUNT] = {
    {CH_IRRADIANCE, "irradiance", "sunshine on the collector", "G", DIM_IRRADIANCE, -20.0, 2000.0,
     true, 0},
    {CH_AMBIENT, "ambient", "air temperature", "t_a", DIM_TEMPERATURE, -60.0, 70.0, true, 2},
    {CH_INLET, "inlet", "inlet temperature", "t_in", DIM_TEMPERATURE, -50.0, 200.0, true, 2},
    {CH_OUTLET, "outlet", "outlet temperature", "t_out", DIM_TEMPERATURE, -50.0, 200.0, true, 2},
    {CH_FLOW, "flow", "flow through the collector", "V", DIM_VOLUME_FLOW, 0.0, 0.01, true, 3},
    {CH_WIND, "wind", "wind over the collector", "u", DIM_SPEED, 0.0, 75.0, false, 1},
    {CH_DIFFUSE, "diffuse", "diffuse sunshine on the collector", "G_d", DIM_IRRADIANCE, -20.0,
     1500.0, false, 0},
    {CH_INCIDENCE, "incidence", "angle between the sun and the collector's normal", "theta",
     DIM_ANGLE, 0.0, 180.0 * RAD_PER_DEG, false, 1},
    {CH_MASS_FLOW, "mass flow", "mass flow through the collector, instead of flow", "m",
     DIM_MASS_FLOW, 0.0, 10.0, false, 5},
    {CH_SKY, "sky temperature", "temperature of the sky that the collector sees", "t_sky",
     DIM_TEMPERATURE, -90.0, 70.0, false, 1},
    {CH_LONGWAVE, "longwave", "heat radiation onto the collector, instead of sky temperature",
     "E_L", DIM_IRRADIANCE, 0.0, 1000.0, false, 0},
    {CH_DIRECT, "direct normal", "direct sunshine across its rays", "G_bn", DIM_IRRADIANCE, -20.0,
     1500.0, false, 0},
    {CH_GLOBAL, "global horizontal", "all sunshine on the level", "G_h", DIM_IRRADIANCE, -20.0,
     2000.0, false, 0},
    {CH_LEVEL_DIFFUSE, "diffuse horizontal", "diffuse sunshine on the level", "G_dh",
     DIM_IRRADIANCE, -20.0, 1500.0, false, 0},
    {CH_TILT, "tilt", "tilt of the collector from horizontal", "beta", DIM_ANGLE, 0.0,
     180.0 * RAD_PER_DEG, false, 1},
    {CH_AZIMUTH, "azimuth", "direction that the collector faces, clockwise from north", "gamma",
     DIM_ANGLE, -360.0 * RAD_PER_DEG, 360.0 * RAD_PER_DEG, false, 1},
    {CH_METERED, "metered heat", "heat by the heat meter", "Q_m", DIM_POWER, -1e6, 1e6, false, 0},
    {CH_HEAT, "heat", "useful heat", "Q", DIM_POWER, -1e6, 1e6, false, 0},
};

const char *const channel_word_table[CH_LOGGED] = {
    "irradiance", "ambient", "inlet", "outlet", "flow", "wind", "diffuse", "incidence",
    "mass flow",  "sky temperature", "longwave", "direct normal", "global horizontal",
    "diffuse horizontal", "tilt", "azimuth", "metered heat",
};

const struct channel_row *channel_row(enum channel id)
{
    return &rows[id];
}

const struct channel_row *channel_find(const char *word)
{
    for (size_t i = 0; i < CH_LOGGED; i++)
        if (text_same_nocase(rows[i].word, word))
            return &rows[i];
    return NULL;
}

const char *const *channel_words(size_t *n)
{
    *n = CH_LOGGED;
    return channel_word_table;
}
