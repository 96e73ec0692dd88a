/* Points seen: a table of points (means typed by hand, or points.csv) that was given as a log.
 */
#ifndef DRAFT_POINTS_SEEN_H
#define DRAFT_POINTS_SEEN_H

#include "draft/draft_log.h"
#include "point/points_table.h"

/* The column of a points table that a head names ("flow [L/min]"); NULL if it is none. */
const struct points_column *points_seen_column(const char *head);

/* Whether the heads are those of a points table (four of the five needed means or more, or reduced
 * points) and no other column than its own holds a time. */
bool points_seen(const struct draft_log *log);

/* What was understood of it, and its description. */
void points_seen_understood(const struct draft_log *log, struct text *out);
bool points_seen_describe(const struct draft_log *log, struct text *out, struct faults *faults);

#endif
