/* Clock look: columns whose cells look like days, hours, shares of a day or whole stamps.
 */
#ifndef DRAFT_CLOCK_LOOK_H
#define DRAFT_CLOCK_LOOK_H

#include "draft/cell.h"
#include "draft/sample.h"

#include <stdbool.h>
#include <stddef.h>

/* The first column most of whose first filled cells look so and which a description can name; else
 * the first at all. look: CELL_DATE, CELL_HOUR or CELL_STAMP. Returns: head.n if there is none */
size_t clock_look_find(const struct sample *sample, enum cell_kind look);

/* A column that a word calls a time and whose numbers are shares of a day, as spreadsheets keep the
 * hour: 0.427083. Returns: head.n if there is none */
size_t clock_look_share(const struct sample *sample);

/* Whether a column's numbers are from 0 to below 1 and not all 0, but for a tenth of its cells. */
bool clock_look_is_share(const struct sample *sample, size_t column);

/* Whether a column's numbers are whole, but for a tenth of its cells. */
bool clock_look_whole(const struct sample *sample, size_t column);

#endif
