/* Head unit: the unit that stands in a column's name -> the unit, and the name without it.
 *
 * "T in [degC]", "T in (degC)", "Temp, degC", "t_in_C", "flow_L_min", "wind m/s", "pyranometer_mV",
 * "FlowLPM".
 */
#ifndef DRAFT_HEAD_UNIT_H
#define DRAFT_HEAD_UNIT_H

#include "base/units.h"
#include "draft/words.h"

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

#endif
