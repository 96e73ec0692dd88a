#include "demo/sensors.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846
#define L_MIN_PER_M3_S 60000.0
#define DEG_PER_RAD (180.0 / PI)
#define SQRT_3 1.7320508075688772

#define OF_A (1u << DEMO_PLATE_A)
#define OF_B (1u << DEMO_PLATE_B)
#define OF_RIG (1u << DEMO_RIG)

/* Noise figures are ours. The pulse flow meter gives 450 pulses a litre, so that one pulse in 15 s is
 * 60/(450 * 15) = 0.0089 L/min. */
static const struct sensor_row rows[SENSOR_ROWS] = {
    {.section = "sun", .owners = OF_A | OF_B, .channel = CH_IRRADIANCE, .column = "G tilt",
     .unit = "W/m2", .per_si = 1.0, .decimals = 1, .id = "S-0117",
     .kind = "pyranometer class A",
     .note = "thermopile pyranometer on the rack, in the plane of the glass",
     .gain = {"1.2 % k=2", 0.006, false}, .zero = {"3 W/m2 k=2", 1.5, false}, .step = 0.1,
     .lag_s = 5.0, .noise = 0.8},
    {.section = "sky", .owners = OF_A | OF_B, .channel = CH_DIFFUSE, .column = "G diffuse",
     .unit = "W/m2", .per_si = 1.0, .decimals = 1, .id = "S-0121",
     .kind = "pyranometer class A",
     .note = "a second pyranometer behind a disc that keeps the sun off",
     .gain = {"4 % k=2", 0.02, false}, .zero = {"3 W/m2 k=2", 1.5, false}, .step = 0.1,
     .lag_s = 5.0, .noise = 0.8},
    {.section = "air", .owners = OF_A | OF_B, .channel = CH_AMBIENT, .column = "T air", .unit = "degC",
     .per_si = 1.0, .decimals = 2, .id = "T-0301",
     .kind = "calibrated resistance thermometer",
     .note = "in a white, ventilated shield beside the rack",
     .offset = {"0.3 K k=2", 0.15, false}, .step = 0.01, .lag_s = 30.0, .noise = 0.03},
    {.section = "fan", .owners = OF_A | OF_B, .channel = CH_WIND, .column = "Wind", .unit = "m/s",
     .per_si = 1.0, .decimals = 2, .id = "W-0014", .note = "cup anemometer between the two plates",
     .offset = {"0.3 m/s k=2", 0.15, false}, .step = 0.01, .lag_s = 3.0, .noise = 0.05},
    {.section = "pin", .owners = OF_A | OF_B, .channel = CH_INCIDENCE, .column = "Angle", .unit = "deg",
     .per_si = DEG_PER_RAD, .decimals = 1, .id = "P-0002",
     .note = "angle between sun and glass, from a pin's shadow on a scale with a sensor",
     .offset = {"1 deg limit", 1.0 / SQRT_3 / DEG_PER_RAD, true}, .step = 0.1, .lag_s = 1.0,
     .noise = 0.1 / DEG_PER_RAD},
    {.section = "inlet", .owners = OF_A, .channel = CH_INLET, .column = "A T in", .unit = "degC",
     .per_si = 1.0, .decimals = 3, .id = "T-0201", .note = "platinum, in the pipe, insulated",
     .offset = {"0.10 K k=2", 0.05, false}, .step = 0.001, .lag_s = 6.0, .noise = 0.006},
    {.section = "outlet", .owners = OF_A, .channel = CH_OUTLET, .column = "A T out", .unit = "degC",
     .per_si = 1.0, .decimals = 3, .id = "T-0202",
     .kind = "calibrated resistance thermometer",
     .note = "calibrated together with T-0201 in one bath",
     .matched_to = "inlet", .pair = {"0.04 K k=2", 0.02, false}, .step = 0.001, .lag_s = 6.0,
     .noise = 0.006},
    {.section = "flow", .owners = OF_A, .channel = CH_FLOW, .column = "A flow", .unit = "L/min",
     .per_si = L_MIN_PER_M3_S, .decimals = 4, .id = "F-0051",
     .kind = "calibrated flow meter",
     .note = "magnetic flow meter before the inlet", .gain = {"0.8 % k=2", 0.004, false},
     .step = 0.0005, .lag_s = 2.0, .noise_share = 0.0025},
    {.section = "inlet", .owners = OF_B, .channel = CH_INLET, .column = "B T in", .unit = "degC",
     .per_si = 1.0, .decimals = 3, .id = "T-0203", .note = "platinum, in the pipe, insulated",
     .offset = {"0.10 K k=2", 0.05, false}, .step = 0.001, .lag_s = 6.0, .noise = 0.006},
    {.section = "outlet", .owners = OF_B, .channel = CH_OUTLET, .column = "B T out", .unit = "degC",
     .per_si = 1.0, .decimals = 3, .id = "T-0204",
     .kind = "calibrated resistance thermometer",
     .note = "calibrated together with T-0203 in one bath",
     .matched_to = "inlet", .pair = {"0.04 K k=2", 0.02, false}, .step = 0.001, .lag_s = 6.0,
     .noise = 0.006},
    {.section = "flow", .owners = OF_B, .channel = CH_FLOW, .column = "B flow", .unit = "L/min",
     .per_si = L_MIN_PER_M3_S, .decimals = 4, .id = "F-0052",
     .kind = "calibrated flow meter",
     .note = "magnetic flow meter before the inlet", .gain = {"0.8 % k=2", 0.004, false},
     .step = 0.0005, .lag_s = 2.0, .noise_share = 0.0025},
    {.section = "sun", .owners = OF_RIG, .channel = CH_IRRADIANCE, .column = "sun", .unit = "W/m2",
     .per_si = 1.0, .decimals = 0, .id = "",
     .kind = "silicon sun sensor",
     .note = "small silicon sun sensor, screwed to the frame beside the glass",
     .gain = {NULL, 0.05 / SQRT_3, true}, .drift = {NULL, 0.03 / SQRT_3, true}, .step = 1.0, .lag_s = 0.5, .noise = 2.0},
    {.section = "air", .owners = OF_RIG, .channel = CH_AMBIENT, .column = "air", .unit = "degC",
     .per_si = 1.0, .decimals = 4, .id = "",
     .kind = "digital thermometer",
     .note = "digital thermometer hung in the shade of a plank, never calibrated",
     .offset = {NULL, 0.5 / SQRT_3, true}, .step = 0.0625, .step_of_kind = true, .lag_s = 40.0, .noise = 0.05},
    {.section = "inlet", .owners = OF_RIG, .channel = CH_INLET, .column = "water in", .unit = "degC",
     .per_si = 1.0, .decimals = 4, .id = "",
     .kind = "digital thermometer",
     .note = "digital thermometer in a sleeve in the hose, never calibrated",
     .offset = {NULL, 0.5 / SQRT_3, true}, .step = 0.0625, .step_of_kind = true, .lag_s = 12.0, .noise = 0.05},
    {.section = "outlet", .owners = OF_RIG, .channel = CH_OUTLET, .column = "water out",
     .unit = "degC", .per_si = 1.0, .decimals = 4, .id = "",
     .kind = "digital thermometer",
     .note = "the same kind, at the other end",
     .offset = {NULL, 0.5 / SQRT_3, true}, .step = 0.0625, .step_of_kind = true, .lag_s = 12.0, .noise = 0.05},
    {.section = "flow", .owners = OF_RIG, .channel = CH_FLOW, .column = "flow", .unit = "L/min",
     .per_si = L_MIN_PER_M3_S, .decimals = 4, .id = "",
     .kind = "pulse flow meter",
     .note = "a turbine that gives 450 pulses a litre; checked once with a bucket and a stopwatch",
     .gain = {"3 % limit", 0.03 / SQRT_3, true}, .drift = {NULL, 0.01 / SQRT_3, true}, .step = 60.0 / (450.0 * 15.0), .lag_s = 1.0,
     .noise_share = 0.006},
};

const struct sensor_row *sensor_row(size_t i)
{
    assert(i < SENSOR_ROWS);
    return &rows[i];
}

size_t sensor_of(enum demo_collector collector, enum channel channel)
{
    for (size_t i = 0; i < SENSOR_ROWS; i++)
        if ((rows[i].owners & (1u << collector)) != 0 && rows[i].channel == channel)
            return i;
    return SENSOR_ROWS;
}

static double drawn(const struct sensor_error *error, struct randoms *randoms)
{
    double z = error->limit ? SQRT_3 * (2.0 * randoms_uniform(randoms) - 1.0)
                            : randoms_normal(randoms);
    return error->u * z;
}

/* The row of the same owner whose offset row i shares. */
static size_t matched_row(size_t i)
{
    for (size_t k = 0; k < SENSOR_ROWS; k++)
        if (rows[k].owners == rows[i].owners && strcmp(rows[k].section, rows[i].matched_to) == 0)
            return k;
    return i;
}

/* Streams of one draw are numbered from here; each instrument has its own, so that a row added to the
 * table leaves the others as they were. */
enum { STREAM_SENSORS = 100, STREAM_AREAS = 200 };

void sensor_errors_draw(struct sensor_errors *errors, uint64_t draw, struct randoms *randoms)
{
    memset(errors, 0, sizeof *errors);
    if (draw == 0)
        return;
    for (size_t i = 0; i < SENSOR_ROWS; i++) {
        randoms_seed(randoms, draw, STREAM_SENSORS + i);
        errors->gain[i] = drawn(&rows[i].gain, randoms);
        errors->offset[i] = drawn(&rows[i].offset, randoms);
        if (rows[i].matched_to != NULL) {
            size_t other = matched_row(i);
            errors->offset[i] = errors->offset[other] + drawn(&rows[i].pair, randoms);
        }
        for (size_t day = 0; day < SENSOR_DAYS; day++) {
            errors->zero[i][day] = drawn(&rows[i].zero, randoms);
            errors->drift[i][day] = drawn(&rows[i].drift, randoms);
        }
    }
    randoms_seed(randoms, draw, STREAM_AREAS);
    for (size_t i = 0; i < DEMO_COLLECTORS; i++)
        errors->area[i] = DEMO_AREA_U * randoms_normal(randoms);
}

double sensor_shown(const struct sensor_errors *errors, size_t i, size_t day, double truth)
{
    assert(i < SENSOR_ROWS && day < SENSOR_DAYS);
    return truth * (1.0 + errors->gain[i] + errors->drift[i][day]) + errors->offset[i] +
           errors->zero[i][day];
}

double sensor_possible(size_t i, double shown)
{
    bool unsigned_scale = rows[i].channel == CH_INCIDENCE || rows[i].channel == CH_WIND;
    return unsigned_scale ? fmax(shown, 0.0) : shown;
}

double sensor_noise(size_t i, double truth)
{
    return hypot(rows[i].noise, rows[i].noise_share * truth);
}

double sensor_step(size_t i)
{
    return rows[i].step / rows[i].per_si;
}

void sensor_start(struct sensor *sensor, size_t row, double truth)
{
    sensor->row = row;
    sensor->felt = truth;
}

void sensor_follow(struct sensor *sensor, double truth, double dt_s)
{
    sensor->felt += (truth - sensor->felt) * (1.0 - exp(-dt_s / rows[sensor->row].lag_s));
}

double sensor_read(const struct sensor *sensor, const struct sensor_errors *errors, size_t day,
                   struct randoms *randoms)
{
    const struct sensor_row *row = &rows[sensor->row];
    double shown = sensor_shown(errors, sensor->row, day, sensor->felt) +
                   sensor_noise(sensor->row, sensor->felt) * randoms_normal(randoms);
    double number = sensor_possible(sensor->row, shown) * row->per_si;
    return row->step * round(number / row->step);
}
