/* The selftest: all checks of all fields (selftest/fields.h), with the published data that are
 * compiled in.
 */
#ifndef SELFTEST_SELFTEST_H
#define SELFTEST_SELFTEST_H

#include "base/faults.h"
#include "selftest/checks.h"

#include <stdbool.h>

/* Adds every check to a list that was begun.
 * In:      temporary  a folder that can be written into
 * Returns: false when the machine could not; a check that fails is no fault (checks_failed) */
bool selftest_run(struct checks *checks, const char *temporary, struct faults *faults);

#endif
