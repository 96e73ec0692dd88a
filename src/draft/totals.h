/* Totals: a flow column whose unit is a volume, or a heat column whose unit is an energy, is a
 * meter's total, if its numbers say so too.
 */
#ifndef DRAFT_TOTALS_H
#define DRAFT_TOTALS_H

#include "draft/draft_log.h"

/* Looks at the numbers of the columns that were chosen for flow and metered heat: one that falls is
 * no total, and is asked for; of one that only rises the step is found. */
void totals_settle(struct draft_log *log);

/* How often the numbers of a column rise and fall from row to row. */
struct total_steps {
    size_t up;
    size_t down;
};
struct total_steps totals_steps(const struct draft_log *log, const double *value);

/* It rises in all, and falls seldom: as a total or a counter that was reset or ran over its end. */
bool totals_rises(const struct total_steps *steps);

#endif
