/* The fields that a selftest looks at, each in a file of its own. They add their groups and checks
 * to the list and return false only when the machine could not (no memory, no temporary folder,
 * data missing): a check that fails is no fault here.
 */
#ifndef SELFTEST_FIELDS_H
#define SELFTEST_FIELDS_H

#include "base/faults.h"
#include "selftest/checks.h"
#include "selftest/published.h"

#include <stdbool.h>

/* NIST StRD, intervals of R, Pearson's data with York's weights, GUM H.3 */
bool checks_regression(struct checks *checks, const struct published *published,
                       struct faults *faults);

/* IAPWS-95 and IAPWS-IF97 */
bool checks_water(struct checks *checks, const struct published *published, struct faults *faults);

/* The demo written into a temporary folder, reduced, held against its truth.
 * In: temporary  a folder that can be written into; nothing is left in it */
bool checks_demo(struct checks *checks, const char *temporary, struct faults *faults);

#endif
