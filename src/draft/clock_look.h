/* Clock look: columns whose cells look like days, hours or whole stamps.
 */
#ifndef DRAFT_CLOCK_LOOK_H
#define DRAFT_CLOCK_LOOK_H

#include "draft/cell.h"
#include "draft/sample.h"

#include <stddef.h>

/* The first column most of whose first filled cells look so and which a description can name; else
 * the first at all. look: CELL_DATE, CELL_HOUR or CELL_STAMP. Returns: head.n if there is none */
size_t clock_look_find(const struct sample *sample, enum cell_kind look);

#endif
