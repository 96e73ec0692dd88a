/* Reduction log: from a test's logs to the means of its steady windows.
 *
 * A log is read once. Only where its own sunshine contradicts the clock, the place or the plane of
 * [site], so that angles from the sun's place are refused, it is read a second time: windows that
 * were searched by wrong angles are forgotten, and those of a test without a [site] are found.
 */
#ifndef RUN_REDUCTION_LOG_H
#define RUN_REDUCTION_LOG_H

#include "base/faults.h"
#include "run/reduction.h"

#include <stdbool.h>

/* In/Out:  r   described, its angles as the description has them; fills logs, finder, timeline,
 *              means, pulses, what the clear days say of the clock, and the doubts of `angles`
 * Returns: false with input or machine faults. No window at all is no fault here. */
bool reduction_log_read(struct reduction *r, struct faults *faults);

#endif
