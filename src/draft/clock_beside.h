/* Clock beside: what belongs to the stamps and stands in a column beside them: AM or PM, seconds,
 * and the zone (draft/clock_zone.h).
 *
 * Seconds are told by how they run, whatever their name: numbers below 60 that rise under each
 * stamp and fall with the next.
 */
#ifndef DRAFT_CLOCK_BESIDE_H
#define DRAFT_CLOCK_BESIDE_H

#include "draft/clock.h"

#include <stdbool.h>
#include <stddef.h>

/* A column whose cells are AM or PM alone, beside a clock without them.
 * Returns: head.n if there is none */
size_t clock_half_beside(const struct sample *sample, const struct clock *clock);

/* Adds such columns to a clock that was found, where all its rows are read as before.
 * Out:     clock  as clock_parts_find has it
 * Returns: false with a machine fault */
bool clock_take_beside(const struct sample *sample, struct clock *clock, struct faults *faults);

#endif
