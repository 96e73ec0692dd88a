/* From the described test to the plan that a log is read by.
 */
#ifndef RUN_SETUP_LOG_H
#define RUN_SETUP_LOG_H

#include "ingest/account.h"
#include "ingest/log_plan.h"
#include "run/setup.h"
#include "window/pulses.h"

/* Fills an empty plan from a setup that was read without fault and has a [log] section. Files are
 * taken from the description's folder.
 * In:      which  one of the logs (setup_log)
 * Returns: false only when memory is short. */
bool setup_log_plan(const struct test_setup *setup, size_t which, struct log_plan *plan,
                    struct faults *faults);

/* How the column of the flow, or of the metered heat, counts, if it does. */
struct pulse_meter setup_pulse_meter(const struct test_setup *setup, enum counted_kind counted);

/* A table of points holds flows: an instrument that reads a total needs a log.
 * Returns: false with a fault for each. */
bool setup_totals_have_log(const struct test_setup *setup, struct faults *faults);

/* Whether the sunshine that was read may be sunshine: of numbers that stay below 5 W/m2, and rise
 * above zero, no property of a collector can be had, and those of kW/m2 look so. Checks of
 * instruments are done in the dark as well.
 * In:      sun   of the whole log
 * Returns: false with a fault that says what they seem to be */
bool setup_sun_fits(const struct test_setup *setup, const struct log_channel *sun,
                    struct faults *faults);

#endif
