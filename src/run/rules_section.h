/* The [steady state] section once it was read: figures of the set, overrides, and the copy of the
 * standard that they were compared with.
 */
#ifndef RUN_RULES_SECTION_H
#define RUN_RULES_SECTION_H

#include "run/setup.h"
#include "window/criteria.h"
#include "window/rules.h"

/* Settles rules and criteria. Run even when other sections were wrong, so that one reading of the
 * file lists all its faults. In:      setup   must outlive the rules, which borrow what they were
 * checked against Returns: false with input faults */
bool rules_section_settle(const struct test_setup *setup, struct rules *rules,
                          struct criteria *criteria, struct faults *faults);

#endif
