/* Clock zone: a column beside the stamps that holds their zone: UTC+2, CEST, +02:00, Z. It may
 * change in the middle, as with summer time.
 */
#ifndef DRAFT_CLOCK_ZONE_H
#define DRAFT_CLOCK_ZONE_H

#include "draft/clock.h"

#include <stdbool.h>
#include <stddef.h>

/* What stands in a column's filled cells. */
struct zone_cells {
    size_t n;
    size_t zones;      /* such that a stamp can carry (ingest/stamp_zone.h) */
    size_t numbers;    /* "+2" is one too */
    const char *first; /* NULL: all are empty */
    const char *odd;   /* the first that is no zone; NULL */
    size_t change;     /* the first row with another text than the one before; n_rows: none */
};

struct zone_cells clock_zone_look(const struct sample *sample, size_t column);

/* Whether a name such as "UTC offset" or "tz" says that it is one. */
bool clock_zone_named(const char *name);

/* A column whose filled cells are all zones; numbers count only under a name that says so.
 * Returns: head.n if there is none */
size_t clock_zone_find(const struct sample *sample, const struct clock *clock);

#endif
