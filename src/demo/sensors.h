/* Sensors: how the invented instruments read, and how far each of them is off.
 *
 * A reading = (what the sensor has come to feel) * (1 + gain + drift of the day)
 *             + offset + zero of the day + what a beam from the side adds + noise,
 * rounded to the steps in which the instrument counts. Gain and offset are drawn once per
 * instrument, zero and drift once per day, from the very figures that the demo's descriptions
 * state, so that an interval computed from a description can be held against the truth.
 */
#ifndef DEMO_SENSORS_H
#define DEMO_SENSORS_H

#include "base/faults.h"
#include "base/randoms.h"
#include "demo/collectors.h"
#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* As a description writes it, and what it means. */
struct sensor_error {
    const char *text; /* "1.2 % k=2"; NULL if not written: then u is 0, or the kind's own figure */
    double u;         /* standard uncertainty, SI (relative for a gain) */
    bool limit;       /* rectangular, else normal */
};

/* What its kind knows of an instrument beside what is written: bounds, all rectangular. */
struct sensor_bounds {
    double ageing; /* relative, a year */
    double linearity, spectrum, temperature, tilt; /* relative */
    double signal;    /* W/m2 */
    double direction; /* W/m2, of a beam of 1000 W/m2 from the side */
};

struct sensor_row {
    const char *section; /* "[instrument SECTION]" in the description */
    unsigned owners;     /* bit 1 << enum demo_collector: in whose test it reads */
    enum channel channel;
    const char *column; /* in the log */
    const char *unit;   /* in the log */
    double per_si;      /* number in the log = SI value * per_si */
    int decimals;       /* in the log */
    const char *kind;   /* domain/instrument_kind.h; NULL if none is stated */
    const char *id;     /* "" if none is stated */
    const char *note;
    const char *calibrated; /* day; NULL if none is stated */
    const struct sensor_bounds *bounds; /* of the kind; NULL: nothing but what is written */
    struct sensor_error gain;   /* written as `calibration` where it is a percentage */
    struct sensor_error offset; /* written as `calibration` in the unit */
    struct sensor_error zero;   /* per day */
    struct sensor_error drift;  /* of the gain, per day */
    const char *matched_to;     /* section whose offset this one shares; then `pair` is its own */
    struct sensor_error pair;
    double step;        /* resolution in the log's unit */
    bool step_of_kind;  /* the kind says so; not written */
    double lag_s;       /* first order */
    double noise;       /* standard deviation of one reading, SI */
    double noise_share; /* the same as a share of the value, added in squares */
};

enum { SENSOR_ROWS = 18, SENSOR_DAYS = 2 };

const struct sensor_row *sensor_row(size_t i);

/* The instrument that reads a channel of a collector.
 *
 * Returns: its index, SENSOR_ROWS if none does. */
size_t sensor_of(enum demo_collector collector, enum channel channel);

/* One draw of all errors that do not average within a day. */
struct sensor_errors {
    double gain[SENSOR_ROWS];   /* with all that its kind knows of the gain */
    double offset[SENSOR_ROWS]; /* of matched ones: the shared part plus the pair's */
    double direction[SENSOR_ROWS]; /* W/m2 */
    double zero[SENSOR_ROWS][SENSOR_DAYS];
    double drift[SENSOR_ROWS][SENSOR_DAYS];
    double area[DEMO_COLLECTORS]; /* the true areas are larger by this share than the stated ones */
};

/* Relative standard uncertainty of the stated areas. Source: common practice, no document. */
#define DEMO_AREA_U 0.003

/* From the day in their `calibrated` to the first of the plates, 2026-06-16. */
#define SENSOR_YEARS (106 / 365.25)

/* Draws for one invented world; draw number 0 gives errors of exactly zero (noise is not meant
 * here). */
void sensor_errors_draw(struct sensor_errors *errors, uint64_t draw, struct randoms *randoms);

/* What a sensor without lag and noise shows on a day for a true value, SI. */
double sensor_shown(const struct sensor_errors *errors, size_t i, size_t day, double truth);

/* What the sun from the side adds to it: direction * sin(angle), less of a weak beam. */
double sensor_from_side(const struct sensor_errors *errors, size_t i, double g_W_m2,
                        double diffuse_W_m2, double incidence_rad);

/* A scale of angles and a cup anemometer do not go below zero, whatever their error. */
double sensor_possible(size_t i, double shown);

/* Standard deviation of the noise of one reading at a true value, SI. */
double sensor_noise(size_t i, double truth);

/* Steps in which the log counts, SI; 0 if none. */
double sensor_step(size_t i);

/* A sensor in time: `felt` follows the truth. */
struct sensor {
    size_t row;
    double felt; /* SI */
};

void sensor_start(struct sensor *sensor, size_t row, double truth);
void sensor_follow(struct sensor *sensor, double truth, double dt_s);

/* One reading, in the log's unit, rounded to its steps. */
double sensor_read(const struct sensor *sensor, const struct sensor_errors *errors, size_t day,
                   struct randoms *randoms);

#endif
