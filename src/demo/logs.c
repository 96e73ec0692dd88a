#include "demo/logs.h"

#include "demo/bath.h"
#include "demo/collectors.h"
#include "demo/plant.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CLOCK(h, m) ((h) * 3600 + (m) * 60)
#define LENGTH_OF(array) (sizeof(array) / sizeof((array)[0]))

/* Streams of one draw: noise of a day's readings, and what the pumps and baths do. */
enum { STREAM_READINGS = 500, STREAM_WATER = 600, STREAM_DARK = 50 };

/* Circulation is settled before the logger is switched on. */
enum { WARM_UP_S = 1200 };

/* A collector on its hose: water in, water out, its instruments. */
struct stand {
    enum demo_collector collector;
    struct plant plant;
    struct plant_state state;
    struct plant_energy energy;
    double flow_m3_s; /* set by the valve */
    double wander;    /* of the flow, a share */
    double heat_W;    /* carried away in the last second */
    double t_in_degC;
    double flow_now_m3_s;
};

struct bench {
    const struct sensor_errors *errors;
    const struct fluid *fluid;
    size_t day;
    struct weather weather;
    struct weather_now now;
    struct randoms readings;
    struct randoms water;
    struct stand stands[2];
    size_t n_stands;
    struct sensor sensors[SENSOR_ROWS];
    size_t stand_of[SENSOR_ROWS]; /* whose water a sensor feels */
    size_t n_sensors;
    bool started;
    bool dark; /* no sun at all */
};

static void stand_init(struct stand *stand, enum demo_collector collector, double flow_m3_s,
                       double t_degC, const struct sensor_errors *errors)
{
    *stand = (struct stand){.collector = collector, .flow_m3_s = flow_m3_s};
    stand->plant = demo_collector_row(collector)->plant;
    stand->plant.aperture_m2 *= 1.0 + errors->area[collector];
    plant_rest(&stand->state, t_degC);
}

static bool bench_init(struct bench *bench, enum weather_day weather_day, size_t day, uint64_t draw,
                       struct faults *faults)
{
    bench->day = day;
    bool good = weather_init(&bench->weather, weather_day, draw, faults);
    good = randoms_init(&bench->readings, faults) && good;
    good = randoms_init(&bench->water, faults) && good;
    if (!good)
        return false;
    uint64_t stream = (uint64_t)weather_day + (bench->dark ? STREAM_DARK : 0);
    randoms_seed(&bench->readings, draw, STREAM_READINGS + stream);
    randoms_seed(&bench->water, draw, STREAM_WATER + stream);
    for (size_t i = 0; i < SENSOR_ROWS; i++) {
        for (size_t s = 0; s < bench->n_stands; s++) {
            if ((sensor_row(i)->owners & (1u << bench->stands[s].collector)) == 0)
                continue;
            bench->sensors[bench->n_sensors].row = i;
            bench->stand_of[bench->n_sensors++] = s;
            break;
        }
    }
    return true;
}

static void bench_free(struct bench *bench)
{
    weather_free(&bench->weather);
    randoms_free(&bench->readings);
    randoms_free(&bench->water);
}

/* What the world holds for an instrument at this second. */
static double felt_by(const struct bench *bench, size_t k)
{
    const struct stand *stand = &bench->stands[bench->stand_of[k]];
    const size_t row = bench->sensors[k].row;
    switch (sensor_row(row)->channel) {
    case CH_IRRADIANCE:
        return bench->now.g_W_m2 + sensor_from_side(bench->errors, row, bench->now.g_W_m2,
                                                    bench->now.diffuse_W_m2,
                                                    bench->now.incidence_rad);
    case CH_DIFFUSE:
        return bench->now.diffuse_W_m2;
    case CH_AMBIENT:
        return bench->now.t_ambient_degC;
    case CH_WIND:
        return bench->now.wind_m_s;
    case CH_INCIDENCE:
        return bench->now.incidence_rad;
    case CH_INLET:
        return stand->t_in_degC;
    case CH_OUTLET:
        return stand->state.fluid_degC[PLANT_CELLS - 1];
    case CH_FLOW:
        return stand->flow_now_m3_s;
    default:
        return NAN;
    }
}

static bool stand_next(struct stand *stand, const struct bench *bench, double t_in_degC,
                       struct randoms *randoms, struct faults *faults)
{
    double keep = exp(-1.0 / 90.0);
    stand->wander =
        keep * stand->wander + 0.0012 * sqrt(1.0 - keep * keep) * randoms_normal(randoms);
    stand->t_in_degC = t_in_degC;
    stand->flow_now_m3_s = stand->flow_m3_s * (1.0 + stand->wander);
    struct plant_conditions at = {
        .g_W_m2 = bench->now.g_W_m2,
        .incidence_rad = bench->now.incidence_rad,
        .t_ambient_degC = bench->now.t_ambient_degC,
        .t_in_degC = t_in_degC,
        .flow_kg_s = stand->flow_now_m3_s * fluid_density(bench->fluid, t_in_degC),
        .wind_m_s = bench->now.wind_m_s,
    };
    double before_J = stand->energy.carried_J;
    if (!plant_step(&stand->plant, bench->fluid, &at, 1.0, &stand->state, &stand->energy, faults))
        return false;
    stand->heat_W = stand->energy.carried_J - before_J;
    return true;
}

/* One second: sky, water, collectors, and what the instruments come to feel. */
static bool bench_next(struct bench *bench, int local_s, double t_in_degC, struct faults *faults)
{
    weather_next(&bench->weather, local_s, &bench->now);
    if (bench->dark)
        bench->now.g_W_m2 = bench->now.diffuse_W_m2 = 0.0;
    for (size_t s = 0; s < bench->n_stands; s++)
        if (!stand_next(&bench->stands[s], bench, t_in_degC, &bench->water, faults))
            return false;
    for (size_t k = 0; k < bench->n_sensors; k++) {
        struct sensor *sensor = &bench->sensors[k];
        if (bench->started)
            sensor_follow(sensor, felt_by(bench, k), 1.0);
        else
            sensor_start(sensor, sensor->row, felt_by(bench, k));
    }
    bench->started = true;
    return true;
}

static void add_heads(const struct bench *bench, char separator, struct text *csv)
{
    for (size_t k = 0; k < bench->n_sensors; k++)
        text_addf(csv, "%c%s", separator, sensor_row(bench->sensors[k].row)->column);
    text_add(csv, "\n");
}

/* Noise is drawn for a lost reading too, so that the rows after it stay as they were. */
static void add_readings(struct bench *bench, char separator, char decimal, size_t lost,
                         struct text *csv)
{
    for (size_t k = 0; k < bench->n_sensors; k++) {
        double number =
            sensor_read(&bench->sensors[k], bench->errors, bench->day, &bench->readings);
        char field[40];
        snprintf(field, sizeof field, "%.*f", sensor_row(bench->sensors[k].row)->decimals, number);
        char *point = strchr(field, '.');
        if (point != NULL)
            *point = decimal;
        text_addf(csv, "%c%s", separator, bench->sensors[k].row == lost ? "NAN" : field);
    }
    text_add(csv, "\n");
}

static const struct hold plate_holds[2][3] = {
    {{CLOCK(9, 0), 20.0}, {CLOCK(11, 5), 41.0}, {CLOCK(13, 50), 20.0}},
    {{CLOCK(9, 0), 62.0}, {CLOCK(11, 5), 85.0}, {CLOCK(13, 50), 62.0}},
};

enum { PLATES_START_S = CLOCK(9, 50), PLATES_END_S = CLOCK(15, 30), PLATES_STEP_S = 10 };

/* Two mishaps such as every log has: a plug that is touched while the bath is being changed on the
 * first day, a full memory card that is changed on the second. */
static size_t plates_lost(size_t day, int local_s)
{
    bool touched = day == 0 && local_s > CLOCK(13, 53) && local_s < CLOCK(13, 53) + 40;
    return touched ? sensor_of(DEMO_PLATE_A, CH_OUTLET) : SENSOR_ROWS;
}

static bool plates_gap(size_t day, int local_s)
{
    return day == 1 && local_s > CLOCK(12, 24) && local_s < CLOCK(12, 24) + 55;
}

static void add_plates_row(struct bench *bench, int local_s, struct text *csv)
{
    text_addf(csv, "%02d/06/2026,%02d:%02d:%02d", bench->day == 0 ? 16 : 17, local_s / 3600,
              local_s / 60 % 60, local_s % 60);
    add_readings(bench, ',', '.', plates_lost(bench->day, local_s), csv);
}

static bool run_plates(struct bench *bench, struct text *csv, struct faults *faults)
{
    const struct hold *holds = plate_holds[bench->day];
    struct bath bath = {.t_degC = holds[0].t_degC};
    for (int t = PLATES_START_S - WARM_UP_S; t <= PLATES_END_S; t++) {
        double t_in_degC =
            bath_next(&bath, hold_wanted(holds, LENGTH_OF(plate_holds[0]), t), &bench->water);
        if (!bench_next(bench, t, t_in_degC, faults))
            return false;
        if (t >= PLATES_START_S && t % PLATES_STEP_S == 0 && !plates_gap(bench->day, t))
            add_plates_row(bench, t, csv);
    }
    return text_ok(csv, faults);
}

bool logs_plates(enum weather_day day, uint64_t draw, const struct sensor_errors *errors,
                 const struct fluid *fluid, struct text *csv, struct faults *faults)
{
    struct bench bench = {.errors = errors, .fluid = fluid, .n_stands = 2};
    double t_degC = plate_holds[day == WEATHER_SECOND][0].t_degC;
    stand_init(&bench.stands[0], DEMO_PLATE_A, 2.412 / 60000.0, t_degC, errors);
    stand_init(&bench.stands[1], DEMO_PLATE_B, 2.437 / 60000.0, t_degC, errors);
    bool good = bench_init(&bench, day, day == WEATHER_SECOND, draw, faults);
    if (good) {
        text_add(csv, "# Invented data: computed by the program's demo, measured nowhere.\n"
                      "# Two plates side by side on one rack, a reading every 10 s.\n"
                      "# The clock stays on UTC+1 all year.\n"
                      "Date,Time");
        add_heads(&bench, ',', csv);
        good = run_plates(&bench, csv, faults);
    }
    bench_free(&bench);
    return good;
}

static const struct hold rig_holds[] = {
    {CLOCK(9, 0), 22.0}, {CLOCK(11, 0), 34.0}, {CLOCK(12, 25), 46.0}, {CLOCK(13, 50), 58.0}};

enum { RIG_START_S = CLOCK(9, 45), RIG_END_S = CLOCK(15, 20), RIG_STEP_S = 15 };

/* The thermostat of the rod creeps as it warms up: 0.008 K/min. */
static double rig_wanted(int local_s)
{
    double wanted = hold_wanted(rig_holds, LENGTH_OF(rig_holds), local_s);
    double creep_K = 0.0;
    for (size_t i = 0; i < LENGTH_OF(rig_holds); i++)
        if (local_s >= rig_holds[i].from_s)
            creep_K = 0.008 / 60.0 * (local_s - rig_holds[i].from_s);
    return wanted + creep_K;
}

/* One row of a garden log. */
static void add_garden_row(struct bench *bench, int day, int local_s, struct text *csv)
{
    text_addf(csv, "2026-06-%02dT%02d:%02d:%02d", day, local_s / 3600, local_s / 60 % 60,
              local_s % 60);
    add_readings(bench, ';', ',', SENSOR_ROWS, csv);
}

static bool run_rig(struct bench *bench, struct text *csv, struct faults *faults)
{
    struct bucket bucket = {.t_degC = rig_holds[0].t_degC};
    for (int t = RIG_START_S - WARM_UP_S; t <= RIG_END_S; t++) {
        double t_in_degC = bucket_next(&bucket, rig_wanted(t), bench->stands[0].heat_W,
                                       bench->now.t_ambient_degC, &bench->water);
        if (!bench_next(bench, t, t_in_degC, faults))
            return false;
        if (t >= RIG_START_S && t % RIG_STEP_S == 0)
            add_garden_row(bench, 20, t, csv);
    }
    return text_ok(csv, faults);
}

bool logs_rig(uint64_t draw, const struct sensor_errors *errors, const struct fluid *fluid,
              struct text *csv, struct faults *faults)
{
    struct bench bench = {
        .errors = errors, .fluid = fluid, .n_stands = 1, .now = {.t_ambient_degC = 20.0}};
    stand_init(&bench.stands[0], DEMO_RIG, 1.60 / 60000.0, rig_holds[0].t_degC, errors);
    bool good = bench_init(&bench, WEATHER_GARDEN, 0, draw, faults);
    if (good) {
        text_add(csv, "# Invented data: computed by the program's demo, measured nowhere.\n"
                      "# A homemade collector in a garden, a reading every 15 s, clock on UTC+1.\n"
                      "time");
        add_heads(&bench, ';', csv);
        good = run_rig(&bench, csv, faults);
    }
    bench_free(&bench);
    return good;
}

enum { EVENING_START_S = CLOCK(22, 0), EVENING_END_S = CLOCK(22, 30) };
#define EVENING_STEP_SHARE (1.0 / 7200.0) /* a second: how fast a bucket follows the air */

static bool run_evening(struct bench *bench, struct text *csv, struct faults *faults)
{
    double t_degC = bench->now.t_ambient_degC;
    for (int t = EVENING_START_S - WARM_UP_S; t <= EVENING_END_S; t++) {
        t_degC += EVENING_STEP_SHARE * (bench->now.t_ambient_degC - t_degC);
        if (!bench_next(bench, t, t_degC, faults))
            return false;
        if (t >= EVENING_START_S && t % RIG_STEP_S == 0)
            add_garden_row(bench, 19, t, csv);
    }
    return text_ok(csv, faults);
}

bool logs_rig_evening(uint64_t draw, const struct sensor_errors *errors, const struct fluid *fluid,
                      struct text *csv, struct faults *faults)
{
    struct bench bench = {.errors = errors,
                          .fluid = fluid,
                          .n_stands = 1,
                          .dark = true,
                          .now = {.t_ambient_degC = 20.6}};
    stand_init(&bench.stands[0], DEMO_RIG, 1.60 / 60000.0, bench.now.t_ambient_degC, errors);
    bool good = bench_init(&bench, WEATHER_GARDEN, 1, draw, faults);
    if (good) {
        text_add(csv,
                 "# Invented data: computed by the program's demo, measured nowhere.\n"
                 "# The evening before: water circulates in the dark, the heating rod unplugged.\n"
                 "time");
        add_heads(&bench, ';', csv);
        good = run_evening(&bench, csv, faults);
    }
    bench_free(&bench);
    return good;
}

enum { BUCKET_START_S = CLOCK(11, 10), BUCKET_END_S = CLOCK(12, 11) };
#define BUCKET_START_DEGC 22.5

static bool run_bucket(struct bench *bench, struct text *csv, struct faults *faults)
{
    struct bucket bucket = {.t_degC = BUCKET_START_DEGC};
    for (int t = BUCKET_START_S - WARM_UP_S; t <= BUCKET_END_S; t++) {
        double t_in_degC = bucket_unwatched(&bucket, t >= BUCKET_START_S, bench->stands[0].heat_W,
                                            bench->now.t_ambient_degC, &bench->water);
        if (!bench_next(bench, t, t_in_degC, faults))
            return false;
        if (t >= BUCKET_START_S && t % RIG_STEP_S == 0)
            add_garden_row(bench, 21, t, csv);
    }
    return text_ok(csv, faults);
}

bool logs_bucket(uint64_t draw, const struct sensor_errors *errors, const struct fluid *fluid,
                 struct text *csv, struct faults *faults)
{
    struct bench bench = {
        .errors = errors, .fluid = fluid, .n_stands = 1, .now = {.t_ambient_degC = 22.0}};
    stand_init(&bench.stands[0], DEMO_BUCKET, 1.60 / 60000.0, BUCKET_START_DEGC, errors);
    bool good = bench_init(&bench, WEATHER_BUCKET, 0, draw, faults);
    if (good) {
        text_add(csv, "# Invented data: computed by the program's demo, measured nowhere.\n"
                      "# A homemade collector on a bucket that a rod heats all the way, a reading\n"
                      "# every 15 s, clock on UTC+1.\n"
                      "time");
        add_heads(&bench, ';', csv);
        good = run_bucket(&bench, csv, faults);
    }
    bench_free(&bench);
    return good;
}
