/* Clock parts: year, month, day, hour and the like in columns of their own, known by their names; a
 * day in one column and hour and minute in others.
 */
#ifndef DRAFT_CLOCK_PARTS_H
#define DRAFT_CLOCK_PARTS_H

#include "draft/clock.h"
#include "draft/clock_mm.h"

#include <stdbool.h>
#include <stddef.h>

/* In:      clock  has none
 * Out:     clock  column, n_columns, format, n_stamps, n_read, found, time_us, run, and what
 *                 clock_form_find settles where a day stands in one column
 * Returns: false with a machine fault */
bool clock_parts_find(const struct sample *sample, struct clock *clock, struct faults *faults);

/* Columns that are called as month and minute are. */
void clock_parts_mm(const struct sample *sample, struct clock_mm *mm);

/* How many columns are called by a part of the time. Out: year  whether one of them is the year. */
size_t clock_parts_named(const struct sample *sample, bool *year);

#endif
