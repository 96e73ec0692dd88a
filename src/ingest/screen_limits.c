#include "ingest/screen_limits.h"

static const char water[] = "its heat capacity lets no fluid jump by 5 K and back in one reading, "
                            "and no bath holds 0.02 K for half an hour";
static const char flow[] = "a pump may stop and start within a reading; a meter in steps of 0.2 % "
                           "flickers";
static const char sun[] = "a cloud's edge is a jump; sun and lamps flicker by more than 1 W/m2";

static const char held[] = "an angle may be held";

static const struct screen_limits limits[CH_LOGGED] = {
    [CH_IRRADIANCE] = {0.0, false, 1.0, 0.0, 20.0, 400.0, sun},
    [CH_AMBIENT] = {5.0, true, 0.02, 0.0, 0.0, 0.0,
                    "a draught changes shaded air by 1 or 2 K; air never stands still to 0.02 K"},
    [CH_INLET] = {5.0, true, 0.02, 0.0, 0.0, 0.0, water},
    [CH_OUTLET] = {5.0, true, 0.02, 0.0, 0.0, 0.0, water},
    [CH_FLOW] = {0.001, false, 0.0, 0.002, 1e-9, 0.0, flow},
    [CH_WIND] = {0.0, false, 0.1, 0.0, 1.0, 0.0, "gusts are jumps; below 1 m/s cups stand still"},
    [CH_DIFFUSE] = {0.0, false, 1.0, 0.0, 20.0, 0.0, sun},
    [CH_INCIDENCE] = {0.0, false, 0.0, 0.0, 0.0, 0.0, held},
    [CH_MASS_FLOW] = {1.0, false, 0.0, 0.002, 1e-9, 0.0, flow},
    [CH_SKY] = {0.0, false, 0.02, 0.0, 0.0, 0.0, "a cloud is a jump for it"},
    [CH_LONGWAVE] = {0.0, false, 0.1, 0.0, 0.0, 0.0, "a cloud is a jump for it"},
    [CH_DIRECT] = {0.0, false, 1.0, 0.0, 20.0, 400.0, sun},
    [CH_GLOBAL] = {0.0, false, 1.0, 0.0, 20.0, 400.0, sun},
    [CH_LEVEL_DIFFUSE] = {0.0, false, 1.0, 0.0, 20.0, 0.0, sun},
    [CH_TILT] = {0.0, false, 0.0, 0.0, 0.0, 0.0, held},
    [CH_AZIMUTH] = {0.0, false, 0.0, 0.0, 0.0, 0.0, held},
    [CH_METERED] = {0.0, false, 0.0, 0.0, 1.0, 0.0,
                    "a meter may compute once in a minute, and shows 0 while the pump rests"},
};

const struct screen_limits *screen_limits(enum channel channel)
{
    return &limits[channel];
}
