/* Units: one closed table, each unit with its dimension, scale and offset to SI.
 *
 * Conversion is asked for as an absolute value or as a difference: 10 degF is -12.2 degC as a
 * reading and 5.56 K as an error. Outside a table of temperatures the two agree. Inside the program
 * all is SI except temperatures, which are degC (absolute) and K (difference).
 *
 * Not udunits2: it takes 'C' for coulomb, 'F' for farad and 'gal' for an acceleration. The tests
 * use it as the oracle for every unit that it knows.
 */
#ifndef BASE_UNITS_H
#define BASE_UNITS_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

enum dimension {
    DIM_NONE,          /* 1 (plain number, percent) */
    DIM_TEMPERATURE,   /* degC absolute, K as a difference */
    DIM_IRRADIANCE,    /* W/m2 */
    DIM_VOLUME_FLOW,   /* m3/s */
    DIM_MASS_FLOW,     /* kg/s */
    DIM_SPEED,         /* m/s */
    DIM_LENGTH,        /* m */
    DIM_AREA,          /* m2 */
    DIM_VOLUME,        /* m3 */
    DIM_MASS,          /* kg */
    DIM_ANGLE,         /* rad */
    DIM_TIME,          /* s */
    DIM_DENSITY,       /* kg/m3 */
    DIM_SPECIFIC_HEAT, /* J/(kg K) */
    DIM_HEAT_CAPACITY, /* J/(m2 K) */
    DIM_HEAT_LOSS,     /* W/(m2 K) */
    DIM_LOSS_RISE,     /* W/(m2 K2): how heat loss per area and degree rises with each degree */
    DIM_PIPE_LOSS,     /* W/(m K): heat loss of a metre of pipe, and conductivity */
    DIM_INSULANCE,     /* m2 K/W: temperature difference by irradiance, and a thermal resistance */
    DIM_RAMP,          /* K/s */
    DIM_PRESSURE,      /* Pa */
    DIM_POWER,         /* W */
    DIM_ENERGY,        /* J */
    DIM_PULSES,        /* 1: what a flow meter's pulse output gives, see unit_pulses */
    DIM_VOLTAGE,       /* V: a sensor's raw signal, before its calibration */
    DIM_RESISTANCE,    /* ohm: the same, of a resistance thermometer */
    DIM_SENSITIVITY,   /* V m2/W: of a sun sensor, signal by irradiance */
    DIM_COUNT
};

struct unit {
    const char *name; /* preferred spelling, as printed */
    enum dimension dimension;
    double scale;     /* SI = value * scale + offset; difference = value * scale */
    double offset;    /* degC for temperatures: K has -273.15 */
    const char *also; /* other spellings, blank-separated ("deg" and the degree signs are folded) */
};

/* Finds a unit by any of its spellings in a dimension (a bare 'C' is a temperature where one is
 * expected). Letter case counts first, then it is ignored if that leaves one answer. Blanks inside
 * are ignored; superscripts, middle dots and degree signs are folded to ASCII. A compound unit is
 * also found by its factors, however they are joined: base/units_spelling.h. Returns: NULL if the
 * dimension has no such unit. */
const struct unit *unit_find(const char *spelling, enum dimension dimension);

/* The dimension in which a spelling is known when it is not in the wanted one (for the message), or
 * DIM_COUNT. */
enum dimension unit_dimension_of(const char *spelling);

const char *dimension_name(enum dimension dimension);     /* "temperature" */
const char *dimension_si(enum dimension dimension);       /* "degC" */
const char *dimension_examples(enum dimension dimension); /* "degC, K or degF" */

double unit_absolute(const struct unit *unit, double value);   /* to SI (degC) */
double unit_difference(const struct unit *unit, double value); /* to SI (K) */

/* What a spelling that is likely but wrong should have been, or why it cannot be ("a litre a metre?
 * 'L/min' is litres a minute"). Returns: NULL if there is nothing to say. */
const char *unit_hint(const char *spelling, enum dimension dimension);

/* What a unit is taken to be where its name leaves a doubt ("gal": the US gallon). Returns: NULL if
 * there is none. */
const char *unit_note(const struct unit *unit);

/* The same as a note among the faults, once for a whole run; its field is UNIT_NOTE_FIELD, by which
 * the report finds it. */
#define UNIT_NOTE_FIELD "unit"
void unit_note_say(const struct unit *unit, struct place at, struct faults *faults);

/* The whole table, for the documentation and its proof-readers. */
const struct unit *unit_table(size_t *n);

#endif
