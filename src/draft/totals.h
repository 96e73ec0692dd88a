/* Totals: a flow column whose unit is a volume, or a heat column whose unit is an energy, is a
 * meter's total, if its numbers say so too.
 */
#ifndef DRAFT_TOTALS_H
#define DRAFT_TOTALS_H

#include "draft/draft_log.h"

/* Whether the column is taken for a total that only rises. */
bool guess_is_total(const struct guess *guess);

/* Looks at the numbers of the columns that were chosen for flow and metered heat: one that falls is no total, and
 * is asked for; of one that only rises the step is found. */
void totals_settle(struct draft_log *log);

#endif
