/* Counts as stated and as read: a total that falls, a counter that is none, counts from row to row
 * that only rise. A slip in 'unit' that the numbers contradict.
 */
#ifndef RUN_SETUP_COUNTS_H
#define RUN_SETUP_COUNTS_H

#include "run/setup.h"
#include "window/pulses.h"

/* Whether the numbers that were read are counted as was stated: a counter or a total falls seldom,
 * a total moves by steps like the stated one, and what came since the row before falls as well as
 * it rises.
 * In:      pulses   of the whole log
 * Returns: false with a fault that says what they seem to be; true where nothing is counted */
bool setup_counts_fit(const struct test_setup *setup, enum counted_kind counted,
                      const struct pulses *pulses, struct faults *faults);

#endif
