/* Which channels a reduction cannot do without, and what the heat of a window is made of: flow and
 * both temperatures, or what a heat meter of its own shows.
 */
#ifndef RUN_SETUP_HEAT_H
#define RUN_SETUP_HEAT_H

#include "run/setup.h"

/* Whether the heat of a window is what a heat meter shows: so stated, or no flow is measured. */
bool setup_heat_by_meter(const struct test_setup *setup);

/* Whether an instrument measures each channel that is needed of a log.
 * Returns: false with a fault for each that none does. */
bool setup_needed_measured(const struct test_setup *setup, struct faults *faults);

/* Whether a heat meter can do what is asked of it: it needs a log, and pipes beside a heat meter
 * cannot be corrected, since nobody knows on which side of them its thermometers stand.
 * Returns: false with a fault for each. */
bool setup_heat_fits(const struct test_setup *setup, struct faults *faults);

#endif
