/* All checks of a description, made before the points are formed. */
#ifndef RUN_CHECKS_H
#define RUN_CHECKS_H

#include "run/reduction.h"

/* Makes them: reads the log for their stretches, finds, and puts what was found into the setup;
 * each stretch becomes an exclusion, so that no window touches it. Where the log cannot be read
 * nothing is found and nothing said: the reading that follows says why. Returns: false with a
 * machine fault */
bool checks_make(struct reduction *reduction, struct faults *faults);

/* Whether logs that were read before, for the checks, are those that are read now.
 * In:      before   may be empty
 * Returns: false with a machine fault */
bool checks_same_log(const struct log_set *before, const struct log_set *now,
                     struct faults *faults);

/* Points by hand, as read: takes off what the checks found.
 * Returns: false with an input fault where a point lacks what a check corrects */
bool checks_correct_points(struct reduction *reduction, struct faults *faults);

#endif
