/* Clock apart: day and hour in two columns that each hold a whole stamp, as data bases and
 * spreadsheets write them: "16/06/2026 00:00:00" for the day, "30/12/1899 09:50:00" for the hour.
 *
 * What is the same in all rows becomes literal text of the form:
 * "%d/%m/%Y 00:00:00 30/12/1899 %H:%M:%S".
 */
#ifndef DRAFT_CLOCK_APART_H
#define DRAFT_CLOCK_APART_H

#include "draft/clock.h"

#include <stdbool.h>

/* In:      clock  has none
 * Out:     clock  as clock_form_find has it, where there are such columns
 * Returns: false with a machine fault */
bool clock_apart_find(const struct sample *sample, struct clock *clock, struct faults *faults);

#endif
