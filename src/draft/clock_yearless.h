/* Clock yearless: stamps that hold all but the year, such as "14.06. 10:15:30" or "Jun 14 10:15".
 */
#ifndef DRAFT_CLOCK_YEARLESS_H
#define DRAFT_CLOCK_YEARLESS_H

#include "draft/clock.h"

#include <stdbool.h>

/* For a sample whose clock was not found: looks for a column of such stamps, or for one of such
 * days beside one of hours. Out:     clock  yearless; column[0]: of the days Returns: false with a
 * machine fault */
bool clock_yearless_find(const struct sample *sample, struct clock *clock, struct faults *faults);

#endif
