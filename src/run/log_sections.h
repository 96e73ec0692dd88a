/* The [log] section and those of further loggers, [log NAME]: read, and held against the
 * instruments whose columns they hold.
 */
#ifndef RUN_LOG_SECTIONS_H
#define RUN_LOG_SECTIONS_H

#include "run/setup.h"

/* Reads all of them into the setup, which has its path.
 * Returns: false with their faults, a [log NAME] without a [log], more than LOGS_MOST of them */
bool log_sections_read(struct test_setup *setup, const struct description *description,
                       struct faults *faults);

/* Finds the log of each instrument's column; logs and instruments were read.
 * Returns: false if one names no log of the description, or a log is named by none (where there are
 *          several) */
bool log_sections_assign(struct test_setup *setup, struct faults *faults);

#endif
