/* Head unit: the unit that stands in a column's name -> the unit, and the name without it.
 *
 * "T in [degC]", "T in (degC)", "Temp, degC", "t_in_C", "flow_L_min", "wind m/s", "pyranometer_mV",
 * "Flow/gpm", "Tin°F", "FlowLPM".
 */
#ifndef DOMAIN_HEAD_UNIT_H
#define DOMAIN_HEAD_UNIT_H

#include "base/units.h"
#include "domain/words.h"

#include <stdbool.h>

enum { HEAD_UNIT_SIZE = 40 };

struct head_unit {
    const struct unit *unit;    /* NULL: none, or a raw signal that the table of units lacks */
    bool raw;                   /* a signal (mV, Hz, pulses): its gain must be stated */
    char text[HEAD_UNIT_SIZE];  /* as in the name; "" if none was found */
    char rest[WORDS_NAME_SIZE]; /* the name without it */
};

/* A text that is nothing but a unit, as a units row has it; rest is "". */
void head_unit_of(const char *text, struct head_unit *found);

/* A name too long to be looked at gives no unit and an empty rest. */
void head_unit_find(const char *name, struct head_unit *found);

/* Whether what was found in a name is the unit and hardly a part of the name: more than one letter
 * ("gpm"), or 'F' or 'C' behind words of a thermometer's place ("Tin F"). "Sensor F", "T C" may be
 * the sixth and the third of some, and the K of "Tin K" a collector. */
bool head_unit_is_sure(const struct head_unit *found);

#endif
