/* A description on its way into a setup: what its parts look at.
 */
#ifndef RUN_SETUP_PARTS_H
#define RUN_SETUP_PARTS_H

#include "base/faults.h"
#include "description/reader.h"
#include "run/setup.h"

#include <stdbool.h>

/* What reading one description needs to know. */
struct making {
    struct test_setup *setup;
    const struct description *description;
    bool whole;             /* what is absent was not written, and no section is misspelled */
    bool whole_instruments; /* every instrument says what it measures */
    struct faults *faults;
};

/* [steady state]: its keys but for the names of sets are the rules' own (window/rules.h), and are
 * taken as they stand. (setup_steady.c)
 * Returns: false with faults */
extern const struct schema steady_section_schema;
bool setup_read_steady(struct making *making);

/* Whether the sections, each read by itself, fit each other: log or points, all that a log needs to
 * be measured, nothing both measured and stated. (setup_check.c)
 * In:      sections_good  every instrument was read without a fault
 * Returns: false with faults */
bool setup_check(const struct making *making, bool sections_good);

#endif
