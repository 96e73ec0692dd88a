#include "demo/weather.h"

#include <math.h>

#define PI 3.14159265358979323846
#define RAD_PER_DEG (PI / 180.0)

/* An invented place at 46.5 degrees north, near midsummer, noon at 12:33 of the local clock. */
#define LATITUDE_RAD (46.5 * RAD_PER_DEG)
#define DECLINATION_RAD (23.4 * RAD_PER_DEG)
#define NOON_S (12.55 * 3600.0)
#define TURN_S 1800.0
#define RAD_PER_S (15.0 * RAD_PER_DEG / 3600.0)

/* One day: what makes it differ from another. */
struct day_row {
    double beam_W_m2;      /* above the air */
    double thickness;      /* of the air, for a sun overhead */
    double diffuse_W_m2;
    double air_degC;       /* middle of the course */
    double air_swing_K;
    double wind_m_s;
    double gust_m_s;       /* standard deviation */
    double gust_s;         /* time over which it forgets */
    struct weather_cloud clouds[WEATHER_CLOUDS];
};

#define CLOCK(h, m) ((h) * 3600.0 + (m) * 60.0)

static const struct day_row days[WEATHER_DAYS] = {
    {1045.0, 0.150, 104.0, 22.4, 3.2, 3.05, 0.22, 25.0,
     {{CLOCK(10, 38), 70.0, 0.45}, {CLOCK(12, 4), 110.0, 0.72},
      {CLOCK(12, 50), 50.0, 0.30}, {CLOCK(14, 36), 95.0, 0.60}}},
    {1030.0, 0.162, 116.0, 23.6, 3.4, 2.95, 0.22, 25.0,
     {{CLOCK(10, 47), 60.0, 0.38}, {CLOCK(11, 58), 140.0, 0.80},
      {CLOCK(13, 22), 45.0, 0.34}, {CLOCK(14, 31), 80.0, 0.55}}},
    {1035.0, 0.170, 120.0, 21.8, 3.6, 1.70, 0.60, 40.0,
     {{CLOCK(10, 31), 75.0, 0.50}, {CLOCK(11, 52), 60.0, 0.42},
      {CLOCK(13, 12), 120.0, 0.70}, {CLOCK(14, 52), 90.0, 0.55}}},
    /* The bucket's hour is clear; clouds come in the afternoon. */
    {1040.0, 0.165, 115.0, 21.4, 3.3, 1.70, 0.60, 40.0,
     {{CLOCK(13, 40), 75.0, 0.50}, {CLOCK(14, 10), 60.0, 0.42},
      {CLOCK(14, 40), 120.0, 0.70}, {CLOCK(15, 10), 90.0, 0.55}}},
};

/* Streams of one draw: one for each day. */
enum { STREAM_WEATHER = 300 };

bool weather_init(struct weather *weather, enum weather_day day, uint64_t draw,
                  struct faults *faults)
{
    *weather = (struct weather){.day = day, .turn = -1};
    if (!randoms_init(&weather->randoms, faults))
        return false;
    randoms_seed(&weather->randoms, draw, STREAM_WEATHER + (uint64_t)day);
    for (size_t i = 0; i < WEATHER_CLOUDS; i++) {
        struct weather_cloud cloud = days[day].clouds[i];
        cloud.middle_s += 360.0 * (randoms_uniform(&weather->randoms) - 0.5);
        cloud.half_s *= 0.8 + 0.4 * randoms_uniform(&weather->randoms);
        weather->clouds[i] = cloud;
    }
    return true;
}

void weather_free(struct weather *weather)
{
    randoms_free(&weather->randoms);
}

/* A wander that forgets itself over `memory_s`, one second on. */
static double wandered(double value, double memory_s, double deviation, struct randoms *randoms)
{
    double keep = exp(-1.0 / memory_s);
    return keep * value + deviation * sqrt(1.0 - keep * keep) * randoms_normal(randoms);
}

/* Share of the beam taken by clouds: full inside, soft over 20 s at each edge. */
static double covered(const struct weather *weather, double local_s)
{
    double through = 1.0;
    for (size_t i = 0; i < WEATHER_CLOUDS; i++) {
        const struct weather_cloud *cloud = &weather->clouds[i];
        double inside_s = cloud->half_s - fabs(local_s - cloud->middle_s);
        double cover = 0.5 * (1.0 + tanh(inside_s / 10.0));
        through *= 1.0 - cloud->depth * cover;
    }
    return 1.0 - through;
}

/* The sun moves on until somebody turns the rack again, which is never done to the degree. */
static double incidence(struct weather *weather, double local_s)
{
    int turn = (int)floor(local_s / TURN_S);
    if (turn != weather->turn) {
        weather->turn = turn;
        weather->aim_rad = 2.0 * RAD_PER_DEG * randoms_uniform(&weather->randoms);
    }
    double since_s = local_s - turn * TURN_S;
    return hypot(weather->aim_rad, cos(DECLINATION_RAD) * RAD_PER_S * since_s);
}

static double sin_elevation(double local_s)
{
    double hour_angle = (local_s - NOON_S) * RAD_PER_S;
    return sin(LATITUDE_RAD) * sin(DECLINATION_RAD) +
           cos(LATITUDE_RAD) * cos(DECLINATION_RAD) * cos(hour_angle);
}

void weather_next(struct weather *weather, double local_s, struct weather_now *sky)
{
    const struct day_row *day = &days[weather->day];
    struct randoms *randoms = &weather->randoms;
    weather->haze = wandered(weather->haze, 400.0, 0.004, randoms);
    weather->air_K = wandered(weather->air_K, 150.0, 0.12, randoms);
    weather->gust_m_s = wandered(weather->gust_m_s, day->gust_s, day->gust_m_s, randoms);

    double cover = covered(weather, local_s);
    double height = fmax(sin_elevation(local_s), 0.05);
    double clear = day->beam_W_m2 * exp(-day->thickness / height) * (1.0 + weather->haze);
    sky->incidence_rad = incidence(weather, local_s);
    sky->diffuse_W_m2 = day->diffuse_W_m2 * (1.0 + 0.5 * cover) - 40.0 * weather->haze;
    sky->g_W_m2 = clear * (1.0 - cover) * cos(sky->incidence_rad) + sky->diffuse_W_m2;
    /* Warmest three hours after noon. */
    double phase = 2.0 * PI * (local_s - NOON_S - 3.0 * 3600.0) / 86400.0;
    sky->t_ambient_degC = day->air_degC + day->air_swing_K * cos(phase) + weather->air_K;
    sky->wind_m_s = fmax(day->wind_m_s + weather->gust_m_s, 0.0);
}
