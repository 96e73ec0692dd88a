/* Instruments that changed places between two collectors (run/swaps.h), seen from both
 * descriptions.
 */
#ifndef STUDY_SWAPPED_H
#define STUDY_SWAPPED_H

#include "base/faults.h"
#include "study/tested.h"

#include <stdbool.h>

/* Two clocks, two notebooks: the same swap where the times differ by no more. Our own figure. */
#define SWAPPED_APART_US INT64_C(600000000)

/* The instrument of another test that took the place of one; NULL if it was not swapped or that
 * test has no such instrument (a third collector). */
const struct instrument *swapped_partner(const struct instrument *of, const struct tested *other);

/* Whether both descriptions say the same of each swap between them.
 * Returns: false with input faults: the other does not state it, another time, another channel,
 * columns that are converted by different numbers, one instrument with different errors in the two
 */
bool swapped_check(const struct tested *a, const struct tested *b, struct faults *faults);

#endif
