#include "domain/site.h"

#include "domain/surroundings.h"

#include <math.h>

#define PI 3.14159265358979323846
#define RAD_PER_DEG (PI / 180.0)

enum { DIRECTIONS = 16 };

static const char *const directions[DIRECTIONS] = {
    "north", "north-north-east", "north-east", "east-north-east",
    "east",  "east-south-east",  "south-east", "south-south-east",
    "south", "south-south-west", "south-west", "west-south-west",
    "west",  "west-north-west",  "north-west", "north-north-west",
};

static const char *const mounts[SITE_MOUNTS] = {"fixed", "one axis", "two axes", "lamp"};
static const char *const yes_no[] = {"yes", "no"};

static const struct schema_row rows[] = {
    {.key = "name",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct site, name),
     .help = "what the report calls the place",
     .example = "roof of the workshop"},
    {.key = "latitude",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {-360.0 * RAD_PER_DEG, 360.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, latitude_rad),
     .help = "north of the equator, south negative",
     .example = "46.5 deg"},
    {.key = "longitude",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {-360.0 * RAD_PER_DEG, 360.0 * RAD_PER_DEG, false},
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
    {.key = "mount",
     .kind = VALUE_CHOICE,
     .choices = mounts,
     .n_choices = SITE_MOUNTS,
     .offset = offsetof(struct site, mount),
     .help = "whether the collector stands still, follows the sun about one axis or two, or stands "
             "under a lamp",
     .example = "fixed",
     .by_default = "fixed, where a tilt is stated"},
    {.key = "axis tilt",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {0.0, 90.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, axis_tilt_rad),
     .help = "of a single axis from horizontal; 90 deg is a turntable, on which 'tilt' counts",
     .example = "0 deg"},
    {.key = "axis azimuth",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {-360.0 * RAD_PER_DEG, 360.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, axis_azimuth_rad),
     .help = "direction of the axis (of its upper end), clockwise from north",
     .example = "180 deg"},
    {.key = "ground",
     .kind = VALUE_NUMBER,
     .limits = {0.0, 1.0, false},
     .offset = offsetof(struct site, ground),
     .help = "share of sunshine that the ground before the collector throws back",
     .example = "0.3",
     .by_default = "0.2 (grass, common practice)"},
    {.key = "tilt error",
     .kind = VALUE_ERROR,
     .dimension = DIM_ANGLE,
     .no_relative = true,
     .offset = offsetof(struct site, tilt_error),
     .help = "how well the tilt is known",
     .example = "0.5 deg limit",
     .by_default = "1 deg limit (our own figure)"},
    {.key = "azimuth error",
     .kind = VALUE_ERROR,
     .dimension = DIM_ANGLE,
     .no_relative = true,
     .offset = offsetof(struct site, azimuth_error),
     .help = "how well the direction is known",
     .example = "2 deg limit",
     .by_default = "5 deg limit: a compass near steel (our own figure)"},
    {.key = "clock error",
     .kind = VALUE_ERROR,
     .dimension = DIM_TIME,
     .no_relative = true,
     .offset = offsetof(struct site, clock_error),
     .help = "how well the log's clock was set",
     .example = "10 s limit",
     .by_default = "60 s limit (our own figure)"},
    {.key = "clock checked",
     .kind = VALUE_CHOICE,
     .choices = yes_no,
     .n_choices = LENGTH(yes_no),
     .offset = offsetof(struct site, clock_checked),
     .help = "you compared the clock and its zone with a good one, and place and plane are right: "
             "angles are then formed even if the sunshine says otherwise",
     .example = "yes",
     .by_default = "no"},
    {.key = "lamp angle",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {0.0, 90.0 * RAD_PER_DEG, false},
     .offset = offsetof(struct site, lamp_angle_rad),
     .help = "between the lamp's beam and the collector's normal, where no column has it",
     .example = "0 deg"},
    {.key = "lamp uniformity",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct site, lamp_uniformity),
     .help = "by how much the mean over the collector may differ from where it was measured",
     .example = "5 % limit"},
    {.key = "lamp spectrum",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct site, lamp_spectrum),
     .help = "by how much the share of the lamp's light that the absorber takes up may differ from "
             "that of the sun's",
     .example = "2 % limit"},
    {.key = "lamp heat",
     .kind = VALUE_ERROR,
     .dimension = DIM_IRRADIANCE,
     .no_relative = true,
     .offset = offsetof(struct site, lamp_heat),
     .help = "heat radiation of the warm lamp onto the collector that the pyranometer does not see",
     .example = "20 W/m2 limit"},
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

static struct fault *refuse(const struct stated *at, const char *file, struct faults *faults)
{
    return fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
}

static bool check_place(const struct site *site, const char *file, struct faults *faults)
{
    bool latitude = site->latitude_rad.at.given, longitude = site->longitude_rad.at.given;
    if (latitude == longitude)
        return true;
    struct fault *fault =
        refuse(latitude ? &site->latitude_rad.at : &site->longitude_rad.at, file, faults);
    fault_found(fault, "'%s' stands without '%s'", latitude ? "latitude" : "longitude",
                latitude ? "longitude" : "latitude");
    fault_expected(fault, "both: '%s'", latitude ? "longitude = 7.1 deg" : "latitude = 46.5 deg");
    return false;
}

/* Here and not in the table of keys: what a person did who is out of range is mostly plain. */
static bool check_reach(const struct stated_number *angle, double most_deg, const char *key,
                        const char *hint, const char *file, struct faults *faults)
{
    double deg = angle->value / RAD_PER_DEG;
    if (!angle->at.given || fabs(deg) <= most_deg * (1 + 1e-12))
        return true;
    struct fault *fault = refuse(&angle->at, file, faults);
    fault_found(fault, "%s %.6g deg is out of range", key, deg);
    fault_expected(fault, "%g to %g deg", -most_deg, most_deg);
    fault_hint(fault, "%s", hint);
    return false;
}

static bool check_axis(const struct site *site, const char *file, struct faults *faults)
{
    bool one = site->mount.at.given && site->mount.index == SITE_ONE_AXIS;
    const struct stated *axis = site->axis_tilt_rad.at.given      ? &site->axis_tilt_rad.at
                                : site->axis_azimuth_rad.at.given ? &site->axis_azimuth_rad.at
                                                                  : NULL;
    if (one == (axis != NULL) && site->axis_tilt_rad.at.given == site->axis_azimuth_rad.at.given)
        return true;
    struct fault *fault = refuse(axis != NULL ? axis : &site->mount.at, file, faults);
    if (!one) {
        fault_found(fault, "an axis stands without 'mount = one axis'");
        fault_expected(fault, "that as well, or no axis");
        return false;
    }
    fault_found(fault, "'mount = one axis' stands without the whole axis");
    fault_expected(fault, "both 'axis tilt = 0 deg' and 'axis azimuth = 180 deg'");
    return false;
}

static bool check_lamp(const struct site *site, const char *file, struct faults *faults)
{
    const struct {
        const struct stated *at;
        const char *key;
    } keys[] = {
        {&site->lamp_angle_rad.at, "lamp angle"},
        {&site->lamp_uniformity.at, "lamp uniformity"},
        {&site->lamp_spectrum.at, "lamp spectrum"},
        {&site->lamp_heat.at, "lamp heat"},
    };
    bool good = true;
    for (size_t i = 0; i < LENGTH(keys); i++) {
        if (!keys[i].at->given || (site->mount.at.given && site->mount.index == SITE_LAMP))
            continue;
        struct fault *fault = refuse(keys[i].at, file, faults);
        fault_found(fault, "'%s' stands without a lamp", keys[i].key);
        fault_expected(fault, "'mount = lamp' as well");
        good = false;
    }
    return good;
}

/* Steep and away from the noon sun: mostly an azimuth that was counted from south. */
static void warn_of_azimuth(const struct site *site, const char *file, struct faults *faults)
{
    double latitude = site->latitude_rad.value;
    if (!site_has_place(site) || !site->azimuth_rad.at.given || !site->tilt_rad.at.given ||
        fabs(latitude) < 25.0 * RAD_PER_DEG || site->tilt_rad.value < 15.0 * RAD_PER_DEG)
        return;
    double towards_noon = -cos(site->azimuth_rad.value) * (latitude > 0 ? 1 : -1);
    if (towards_noon > -0.5)
        return;
    struct fault *fault = fault_new(
        faults, FAULT_WARNING,
        fault_at(file, site->azimuth_rad.at.line, site->azimuth_rad.at.column));
    fault_found(fault, "the collector looks away from the noon sun: azimuth %.4g deg at latitude "
                       "%.4g deg",
                site->azimuth_rad.value / RAD_PER_DEG, latitude / RAD_PER_DEG);
    fault_expected(fault, "an azimuth clockwise from north: east 90, south 180, west 270 deg");
    fault_hint(fault, "if yours counts from south, add 180 deg; if the place is %s of the equator, "
                      "its latitude is %s",
               latitude > 0 ? "south" : "north", latitude > 0 ? "negative" : "positive");
}

/* Nobody tests a collector that looks at the ground; a slope in percent is above 90 soon. */
static void warn_of_tilt(const struct site *site, const char *file, struct faults *faults)
{
    double deg = site->tilt_rad.value / RAD_PER_DEG;
    if (!site->tilt_rad.at.given || deg <= 90.0 * (1 + 1e-12))
        return;
    struct fault *fault =
        fault_new(faults, FAULT_WARNING,
                  fault_at(file, site->tilt_rad.at.line, site->tilt_rad.at.column));
    fault_found(fault, "with a tilt of %.4g deg the collector looks at the ground", deg);
    fault_expected(fault, "0 deg lying flat to 90 deg upright");
    fault_hint(fault, "if it is a slope of %.4g percent, write 'tilt = %.3g deg'", deg,
               atan(deg / 100) / RAD_PER_DEG);
}

bool site_has_place(const struct site *site)
{
    return site->latitude_rad.at.given && site->longitude_rad.at.given;
}

static bool settle_facing(struct site *site, const char *file, struct faults *faults)
{
    if (!site->facing.at.given)
        return true;
    if (site->azimuth_rad.at.given) {
        struct fault *fault = refuse(&site->azimuth_rad.at, file, faults);
        fault_found(fault, "both 'facing' (line %ld) and 'azimuth' are given",
                    site->facing.at.line);
        fault_expected(fault, "one of them");
        return false;
    }
    site->azimuth_rad.at = site->facing.at;
    site->azimuth_rad.value = (double)site->facing.index * 2.0 * PI / DIRECTIONS;
    return true;
}

bool site_settle(struct site *site, const char *file, struct faults *faults)
{
    bool good = check_wind(site, file, faults);
    good = check_reach(&site->latitude_rad, 90, "latitude",
                       "have latitude and longitude changed places?", file, faults) &&
           good;
    good = check_reach(&site->longitude_rad, 180, "longitude",
                       "west of the zero meridian it is negative: 190 deg is -170 deg", file,
                       faults) &&
           good;
    good = check_place(site, file, faults) && good;
    good = check_axis(site, file, faults) && good;
    good = check_lamp(site, file, faults) && good;
    good = settle_facing(site, file, faults) && good;
    if (good && !site->mount.at.given && site->tilt_rad.at.given) {
        site->mount.at = site->tilt_rad.at;
        site->mount.index = SITE_FIXED;
    }
    if (good)
        warn_of_azimuth(site, file, faults);
    warn_of_tilt(site, file, faults);
    return good;
}
