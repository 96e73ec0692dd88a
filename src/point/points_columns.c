#include "point/points_table.h"

#include <stdio.h>

#define MEAN(word, label, channel, dimension, digits)                                              \
    {word, label, POINTS_MEAN, channel, dimension, false, digits}
#define U(word, channel, dimension)                                                                \
    {"u " word, "u " word, POINTS_U, channel, dimension, true, 4}

static const struct points_column columns[] = {
    {"point", "point", POINTS_NAME, CH_COUNT, DIM_NONE, false, 0},
    {"group", "group", POINTS_GROUP, CH_COUNT, DIM_NONE, false, 0},
    {"start", "start", POINTS_START, CH_COUNT, DIM_NONE, false, 0},
    {"end", "end", POINTS_END, CH_COUNT, DIM_NONE, false, 0},
    {"session", "session", POINTS_SESSION, CH_COUNT, DIM_NONE, false, 0},
    {"readings", "readings", POINTS_READINGS, CH_COUNT, DIM_NONE, false, 0},
    MEAN("irradiance", "G", CH_IRRADIANCE, DIM_IRRADIANCE, 1),
    MEAN("ambient", "t_a", CH_AMBIENT, DIM_TEMPERATURE, 2),
    MEAN("inlet", "t_in", CH_INLET, DIM_TEMPERATURE, 2),
    MEAN("outlet", "t_out", CH_OUTLET, DIM_TEMPERATURE, 2),
    MEAN("flow", "flow", CH_FLOW, DIM_VOLUME_FLOW, 8),
    MEAN("wind", "wind", CH_WIND, DIM_SPEED, 2),
    MEAN("diffuse", "diffuse", CH_DIFFUSE, DIM_IRRADIANCE, 1),
    MEAN("incidence", "theta", CH_INCIDENCE, DIM_ANGLE, 3),
    MEAN("mass flow", "m", CH_MASS_FLOW, DIM_MASS_FLOW, 6),
    MEAN("sky temperature", "t_sky", CH_SKY, DIM_TEMPERATURE, 2),
    MEAN("longwave", "E_L", CH_LONGWAVE, DIM_IRRADIANCE, 1),
    MEAN("heat", "heat", CH_HEAT, DIM_POWER, 1),
    {"mean", "t_m", POINTS_T_MEAN, CH_COUNT, DIM_TEMPERATURE, false, 2},
    {"rise", "rise", POINTS_RISE, CH_COUNT, DIM_TEMPERATURE, true, 2},
    {"power", "power", POINTS_POWER, CH_COUNT, DIM_POWER, false, 1},
    {"drift", "drift", POINTS_DRIFT, CH_COUNT, DIM_RAMP, true, 6},
    U("irradiance", CH_IRRADIANCE, DIM_IRRADIANCE),
    U("ambient", CH_AMBIENT, DIM_TEMPERATURE),
    U("inlet", CH_INLET, DIM_TEMPERATURE),
    U("outlet", CH_OUTLET, DIM_TEMPERATURE),
    U("flow", CH_FLOW, DIM_VOLUME_FLOW),
    U("wind", CH_WIND, DIM_SPEED),
    U("mass flow", CH_MASS_FLOW, DIM_MASS_FLOW),
    {"u drift", "u drift", POINTS_U_DRIFT, CH_COUNT, DIM_RAMP, true, 6},
    {"efficiency", "eta", POINTS_ETA, CH_COUNT, DIM_NONE, false, 4},
    {"T*", "T*", POINTS_X, CH_COUNT, DIM_INSULANCE, false, 5},
    {"u efficiency", "u(eta)", POINTS_U_ETA, CH_COUNT, DIM_NONE, true, 4},
    {"u T*", "u(T*)", POINTS_U_X, CH_COUNT, DIM_INSULANCE, true, 5},
};

const struct points_column *points_columns(size_t *n)
{
    *n = sizeof columns / sizeof columns[0];
    return columns;
}

const char *points_head(const struct points_column *column, char *out, size_t size)
{
    const char *unit = dimension_si(column->dimension);
    if (column->dimension == DIM_TEMPERATURE && column->difference)
        unit = "K";
    if (column->dimension == DIM_NONE)
        unit = NULL;
    if (unit == NULL)
        snprintf(out, size, "%s", column->head);
    else
        snprintf(out, size, "%s [%s]", column->head, unit);
    return out;
}
