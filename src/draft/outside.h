/* Outside: numbers of a column that its channel cannot have in the unit that its name says. */
#ifndef DRAFT_OUTSIDE_H
#define DRAFT_OUTSIDE_H

#include "draft/draft_log.h"

/* Appends a sentence without a full stop: "790 of the 790 numbers are impossible in kW/m2: are they
 * W/m2?"; nothing where all numbers are possible or no unit is known. */
void outside_add(const struct draft_log *log, size_t column, struct text *out);

/* Whether a value of a channel, SI, is one that cannot be. */
bool outside_is(enum channel channel, double value_si);

#endif
