#include "demo/sensors.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define SQRT_3 1.7320508075688772

static double drawn(const struct sensor_error *error, struct randoms *randoms)
{
    double z =
        error->limit ? SQRT_3 * (2.0 * randoms_uniform(randoms) - 1.0) : randoms_normal(randoms);
    return error->u * z;
}

/* The row of the same owner whose offset row i shares. */
static size_t matched_row(size_t i)
{
    const struct sensor_row *row = sensor_row(i);
    for (size_t k = 0; k < SENSOR_ROWS; k++) {
        const struct sensor_row *other = sensor_row(k);
        if (other->owners == row->owners && strcmp(other->section, row->matched_to) == 0)
            return k;
    }
    return i;
}

/* Streams of one draw are numbered from here; each instrument has its own, so that a row added to
 * the table leaves the others as they were. */
enum { STREAM_SENSORS = 100, STREAM_AREAS = 200, STREAM_BOUNDS = 900 };

static double within(double bound, struct randoms *randoms)
{
    return bound * (2.0 * randoms_uniform(randoms) - 1.0);
}

/* What the kind knows beside what is written. */
static void draw_bounds(struct sensor_errors *errors, size_t i, struct randoms *randoms)
{
    const struct sensor_bounds *bounds = sensor_row(i)->bounds;
    if (bounds == NULL)
        return;
    errors->gain[i] += within(bounds->ageing * SENSOR_YEARS, randoms) +
                       within(bounds->linearity, randoms) + within(bounds->spectrum, randoms) +
                       within(bounds->temperature, randoms) + within(bounds->tilt, randoms);
    errors->offset[i] += within(bounds->signal, randoms);
    errors->direction[i] = within(bounds->direction, randoms);
}

void sensor_errors_draw(struct sensor_errors *errors, uint64_t draw, struct randoms *randoms)
{
    memset(errors, 0, sizeof *errors);
    if (draw == 0)
        return;
    for (size_t i = 0; i < SENSOR_ROWS; i++) {
        const struct sensor_row *row = sensor_row(i);
        randoms_seed(randoms, draw, STREAM_SENSORS + i);
        errors->gain[i] = drawn(&row->gain, randoms);
        errors->offset[i] = drawn(&row->offset, randoms);
        if (row->matched_to != NULL)
            errors->offset[i] = errors->offset[matched_row(i)] + drawn(&row->pair, randoms);
        for (size_t day = 0; day < SENSOR_DAYS; day++) {
            errors->zero[i][day] = drawn(&row->zero, randoms);
            errors->drift[i][day] = drawn(&row->drift, randoms);
        }
        randoms_seed(randoms, draw, STREAM_BOUNDS + i);
        draw_bounds(errors, i, randoms);
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

double sensor_from_side(const struct sensor_errors *errors, size_t i, double g_W_m2,
                        double diffuse_W_m2, double incidence_rad)
{
    double full_W_m2 = 1000.0 * cos(incidence_rad);
    double part = fmin((g_W_m2 - diffuse_W_m2) / full_W_m2, 1.0);
    return errors->direction[i] * sin(incidence_rad) * fmax(part, 0.0);
}

double sensor_possible(size_t i, double shown)
{
    enum channel channel = sensor_row(i)->channel;
    return channel == CH_INCIDENCE || channel == CH_WIND ? fmax(shown, 0.0) : shown;
}

double sensor_noise(size_t i, double truth)
{
    return hypot(sensor_row(i)->noise, sensor_row(i)->noise_share * truth);
}

double sensor_step(size_t i)
{
    return sensor_row(i)->step / sensor_row(i)->per_si;
}

void sensor_start(struct sensor *sensor, size_t row, double truth)
{
    sensor->row = row;
    sensor->felt = truth;
}

void sensor_follow(struct sensor *sensor, double truth, double dt_s)
{
    sensor->felt += (truth - sensor->felt) * (1.0 - exp(-dt_s / sensor_row(sensor->row)->lag_s));
}

double sensor_read(const struct sensor *sensor, const struct sensor_errors *errors, size_t day,
                   struct randoms *randoms)
{
    const struct sensor_row *row = sensor_row(sensor->row);
    double shown = sensor_shown(errors, sensor->row, day, sensor->felt) +
                   sensor_noise(sensor->row, sensor->felt) * randoms_normal(randoms);
    double number = sensor_possible(sensor->row, shown) * row->per_si;
    return row->step * round(number / row->step);
}
