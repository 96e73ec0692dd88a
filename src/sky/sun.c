#include "sky/sun.h"

#include "base/calendar.h"

#include <erfa.h>
#include <erfam.h>
#include <math.h>

#define NODE_US (INT64_C(12) * S_PER_H * US_PER_S)
#define DAY_US (INT64_C(24) * S_PER_H * US_PER_S)
#define JD_1970 2440587.5

/* Daily aberration on the equator: speed of the ground, 465.1 m/s, over that of light. */
#define DAILY_ABERRATION (465.1 / 299792458.0)

/* First instants of 1950 and of 2101, UTC. */
#define FIRST_US (INT64_C(-631152000) * US_PER_S)
#define END_US (INT64_C(4133980800) * US_PER_S)

static int64_t floor_div(int64_t a, int64_t b)
{
    int64_t quotient = a / b;
    return a % b < 0 ? quotient - 1 : quotient;
}

/* A Julian date in two parts, as ERFA takes it. */
struct date {
    double day;      /* JD at 0 h UTC */
    double fraction; /* of a day */
};

static struct date date_of(int64_t time_us)
{
    int64_t day = floor_div(time_us, DAY_US);
    double fraction = (double)(time_us - day * DAY_US) / (double)DAY_US;
    return (struct date){JD_1970 + (double)day, fraction};
}

/* Terrestrial time. Before 1960 ERFA gives no leap seconds, which happens to be right within 3 s:
 * 3e-5 degrees. */
static struct date terrestrial(struct date utc)
{
    int year, month, day;
    double fraction, tai_s = 0.0;
    eraJd2cal(utc.day, 0.5, &year, &month, &day, &fraction);
    if (year >= 1960)
        eraDat(year, month, day, utc.fraction, &tai_s);
    return (struct date){utc.day, utc.fraction + (tai_s + 32.184) / S_PER_DAY};
}

/* The smooth parts at an instant. */
static void form_node(int64_t time_us, struct sun_node *node)
{
    struct date utc = date_of(time_us);
    struct date tt = terrestrial(utc);
    double helio[2][3], bary[2][3], from[3], seen[3], speed[3], matrix[3][3], distance;
    eraEpv00(tt.day, tt.fraction, helio, bary);
    eraSxp(-1.0, helio[0], from);
    eraPn(from, &distance, seen);
    eraSxp(ERFA_AULT / ERFA_DAYSEC, bary[1], speed); /* au/day -> parts of light's speed */
    double lorentz = sqrt(1.0 - eraPdp(speed, speed));
    eraAb(seen, speed, distance, lorentz, from);
    eraPnm00b(tt.day, tt.fraction, matrix);
    eraRxp(matrix, from, seen);
    eraSxp(distance, seen, node->au);
    double sidereal = eraGst00b(utc.day, utc.fraction);
    node->turn_rad = eraAnpm(sidereal - eraEra00(utc.day, utc.fraction));
}

void sun_init(struct sun *sun, double latitude_rad, double longitude_rad, double altitude_m)
{
    double xyz_m[3] = {0.0, 0.0, 0.0};
    eraGd2gc(ERFA_WGS84, 0.0, latitude_rad, altitude_m, xyz_m);
    *sun = (struct sun){.longitude_rad = longitude_rad,
                        .sin_latitude = sin(latitude_rad),
                        .cos_latitude = cos(latitude_rad),
                        .from_axis_au = xyz_m[0] / ERFA_DAU,
                        .from_plane_au = xyz_m[2] / ERFA_DAU};
}

bool sun_covers(int64_t time_us)
{
    return time_us >= FIRST_US && time_us < END_US;
}

/* A node of those kept, or formed and kept. Each has one place. */
static void take_node(struct sun *sun, int64_t number, struct sun_node *out)
{
    size_t at = (size_t)(number - SUN_KEPT * floor_div(number, SUN_KEPT));
    if (!sun->has[at] || sun->number[at] != number) {
        form_node(number * NODE_US, &sun->kept[at]);
        sun->number[at] = number;
        sun->has[at] = true;
    }
    *out = sun->kept[at];
}

/* Makes the four nodes about an instant the current ones; in time order one is new at most, and
 * none where the days before are gone through again. */
static void fill_nodes(struct sun *sun, int64_t first)
{
    for (size_t i = 0; i < SUN_NODES; i++)
        take_node(sun, first + (int64_t)i, &sun->node[i]);
    sun->first = first;
    sun->filled = true;
}

/* Lagrange's cubic through nodes at -1, 0, 1 and 2. */
static void weights_at(double t, double weight[SUN_NODES])
{
    weight[0] = -t * (t - 1) * (t - 2) / 6;
    weight[1] = (t + 1) * (t - 1) * (t - 2) / 2;
    weight[2] = -(t + 1) * t * (t - 2) / 2;
    weight[3] = (t + 1) * t * (t - 1) / 6;
}

static void interpolate(struct sun *sun, int64_t time_us, struct sun_node *out)
{
    int64_t before = floor_div(time_us, NODE_US);
    if (!sun->filled || sun->first != before - 1)
        fill_nodes(sun, before - 1);
    double weight[SUN_NODES];
    weights_at((double)(time_us - before * NODE_US) / (double)NODE_US, weight);
    *out = (struct sun_node){{0.0, 0.0, 0.0}, 0.0};
    for (size_t i = 0; i < SUN_NODES; i++) {
        for (size_t k = 0; k < 3; k++)
            out->au[k] += weight[i] * sun->node[i].au[k];
        out->turn_rad += weight[i] * sun->node[i].turn_rad;
    }
}

/* Angle from the equinox to the meridian of the place. */
static double local_sidereal(const struct sun *sun, int64_t time_us, const struct sun_node *at)
{
    struct date utc = date_of(time_us);
    return eraEra00(utc.day, utc.fraction) + at->turn_rad + sun->longitude_rad;
}

/* Into the meridian's frame (towards it, east of it, north), off to the place, into its horizon. */
static struct vector horizon(const struct sun *sun, int64_t time_us, const struct sun_node *at)
{
    double angle = local_sidereal(sun, time_us, at);
    double c = cos(angle), s = sin(angle);
    double out = c * at->au[0] + s * at->au[1] - sun->from_axis_au;
    double east = c * at->au[1] - s * at->au[0];
    double north = at->au[2] - sun->from_plane_au;
    struct vector v = {east, sun->cos_latitude * north - sun->sin_latitude * out,
                       sun->sin_latitude * north + sun->cos_latitude * out};
    double length = sqrt(vector_dot(v, v));
    v.x += DAILY_ABERRATION * sun->cos_latitude * length;
    length = sqrt(vector_dot(v, v));
    return (struct vector){v.x / length, v.y / length, v.z / length};
}

struct vector sun_geometric(struct sun *sun, int64_t time_us)
{
    struct sun_node at;
    interpolate(sun, time_us, &at);
    return horizon(sun, time_us, &at);
}

struct vector sun_geometric_direct(const struct sun *sun, int64_t time_us)
{
    struct sun_node at;
    form_node(time_us, &at);
    return horizon(sun, time_us, &at);
}

double sun_refraction_rad(double height_rad, double pressure_hPa, double air_degC)
{
    double height_deg = fmax(height_rad, -2.0 * ERFA_DD2R) * ERFA_DR2D;
    double lifted_deg = height_deg + 10.3 / (height_deg + 5.11);
    return pressure_hPa / 1010.0 * 283.0 / (273.0 + air_degC) * 1.02 / 60.0 * ERFA_DD2R /
           tan(lifted_deg * ERFA_DD2R);
}

double sun_pressure_hPa(double altitude_m)
{
    return 1013.25 * pow(fmax(1.0 - 2.25577e-5 * altitude_m, 0.0), 5.25588);
}

struct vector sun_lifted(struct vector v, double pressure_hPa, double air_degC)
{
    double flat = hypot(v.x, v.y);
    if (!(flat > 0.0))
        return v;
    double height = atan2(v.z, flat);
    height += sun_refraction_rad(height, pressure_hPa, air_degC);
    double scale = cos(height) / flat;
    return (struct vector){scale * v.x, scale * v.y, sin(height)};
}

double sun_hour_angle_rad(struct sun *sun, int64_t time_us)
{
    struct sun_node at;
    interpolate(sun, time_us, &at);
    return eraAnpm(local_sidereal(sun, time_us, &at) - atan2(at.au[1], at.au[0]));
}

double sun_equation_of_time_s(struct sun *sun, int64_t time_us)
{
    double mean = (date_of(time_us).fraction - 0.5) * ERFA_D2PI + sun->longitude_rad;
    return eraAnpm(sun_hour_angle_rad(sun, time_us) - mean) / ERFA_D2PI * S_PER_DAY;
}

double sun_declination_rad(struct sun *sun, int64_t time_us)
{
    struct sun_node at;
    interpolate(sun, time_us, &at);
    return atan2(at.au[2], hypot(at.au[0], at.au[1]));
}

double sun_distance_au(struct sun *sun, int64_t time_us)
{
    struct sun_node at;
    interpolate(sun, time_us, &at);
    return eraPm(at.au);
}
