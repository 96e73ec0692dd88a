#include "domain/site.h"

#include "domain/surroundings.h"

#define PI 3.14159265358979323846
#define RAD_PER_DEG (PI / 180.0)

enum { DIRECTIONS = 16 };

static const char *const directions[DIRECTIONS] = {
    "north", "north-north-east", "north-east", "east-north-east",
    "east",  "east-south-east",  "south-east", "south-south-east",
    "south", "south-south-west", "south-west", "west-south-west",
    "west",  "west-north-west",  "north-west", "north-north-west",
};

static const struct schema_row rows[] = {
    {.key = "name",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct site, name),
     .help = "what the report calls the place",
     .example = "roof of the workshop"},
    {.key = "latitude",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {-90.0 * RAD_PER_DEG, 90.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, latitude_rad),
     .help = "north of the equator, south negative",
     .example = "46.5 deg"},
    {.key = "longitude",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {-180.0 * RAD_PER_DEG, 180.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, longitude_rad),
     .help = "east of the zero meridian, west negative",
     .example = "7.1 deg"},
    {.key = "altitude",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_LENGTH,
     .limits = {-450.0, 9000.0, false},
     .offset = offsetof(struct site, altitude_m),
     .help = "height above the sea",
     .example = "540 m"},
    {.key = "tilt",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {0.0, 180.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, tilt_rad),
     .help = "of the collector from horizontal",
     .example = "45 deg"},
    {.key = "facing",
     .kind = VALUE_CHOICE,
     .choices = directions,
     .n_choices = DIRECTIONS,
     .offset = offsetof(struct site, facing),
     .help = "direction in which the collector looks",
     .example = "south"},
    {.key = "azimuth",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {-360.0 * RAD_PER_DEG, 360.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, azimuth_rad),
     .help = "the same as an angle, clockwise from north; instead of 'facing'",
     .example = "180 deg"},
    {.key = "wind",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_SPEED,
     .limits = {0.0, 20.0, false},
     .offset = offsetof(struct site, wind_m_s),
     .help = "over the collector during the test, by a fan or by estimate, where no instrument "
             "measures it",
     .example = "2 m/s"},
    {.key = "wind error",
     .kind = VALUE_ERROR,
     .dimension = DIM_SPEED,
     .offset = offsetof(struct site, wind_error),
     .help = "how well that wind is known",
     .example = "0.5 m/s limit",
     .by_default = "1 m/s limit (our own figure)"},
    {.key = "sky",
     .kind = VALUE_CHOICE,
     .choices = sky_words,
     .n_choices = SKY_KNOWN,
     .offset = offsetof(struct site, sky),
     .help = "what is known of the sky's temperature where no instrument measures it: nothing, a "
             "clear sky by a formula, or a room whose walls are as warm as the air",
     .example = "Swinbank 1963",
     .by_default = "unknown"},
};

const struct schema site_schema = {
    "site", false, "Where the collector stands and where it faces.", rows, LENGTH(rows)};

static bool check_wind(const struct site *site, const char *file, struct faults *faults)
{
    if (!site->wind_error.at.given || site->wind_m_s.at.given)
        return true;
    struct place at = fault_at(file, site->wind_error.at.line, site->wind_error.at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'wind error' stands without 'wind'");
    fault_expected(fault, "the wind as well: 'wind = 2 m/s'");
    return false;
}

bool site_settle(struct site *site, const char *file, struct faults *faults)
{
    if (!check_wind(site, file, faults))
        return false;
    if (!site->facing.at.given)
        return true;
    if (site->azimuth_rad.at.given) {
        struct place at = fault_at(file, site->azimuth_rad.at.line, site->azimuth_rad.at.column);
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "both 'facing' (line %ld) and 'azimuth' are given",
                    site->facing.at.line);
        fault_expected(fault, "one of them");
        return false;
    }
    site->azimuth_rad.at = site->facing.at;
    site->azimuth_rad.value = (double)site->facing.index * 2.0 * PI / DIRECTIONS;
    return true;
}
