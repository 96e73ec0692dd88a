/* What `etabench selftest` says of its checks.
 */
#ifndef CMD_SELFTEST_H
#define CMD_SELFTEST_H

#include "base/faults.h"
#include "base/text.h"
#include "selftest/checks.h"

#include <stdbool.h>
#include <stdint.h>

/* The dated table of all checks.
 * Returns: false with a machine fault for each check that did not pass, or when memory is short. */
bool selftest_tell(const struct checks *checks, int64_t time_us, struct text *out,
                   struct faults *faults);

#endif
