/* The registry of errors as it would be after something was done about the instruments: a check
 * run, a better instrument, a cure. The rows come from the same code that makes them in a test.
 */
#ifndef STUDY_PLAN_ERRORS_H
#define STUDY_PLAN_ERRORS_H

#include "base/faults.h"
#include "domain/instrument_kind.h"
#include "run/check_section.h"
#include "run/setup.h"

#include <stdbool.h>
#include <stddef.h>

/* Whether a check of this kind can still tell something: its instruments are there and no check run
 * has corrected them yet. */
bool plan_check_possible(const struct test_setup *setup, enum check_kind kind);

/* After a check that went well: its readings scatter by nothing that counts beside what a check
 * leaves (run/check.h says what that is). In:      flow_m3_s  of the test Out:     registry filled;
 * the caller frees it, also on failure Returns: false with a machine fault */
bool plan_errors_checked(const struct test_setup *setup, enum check_kind kind, double flow_m3_s,
                         struct error_registry *registry, struct faults *faults);

/* With another kind of instrument on one channel (inlet and outlet go together); what was stated of
 * the old one, and checks of it, are gone. Out, returns: as above */
bool plan_errors_replaced(const struct test_setup *setup, enum channel channel, size_t kind,
                          struct error_registry *registry, struct faults *faults);

/* Standard uncertainty of a row once its cure was applied. Our own figures: area 0.1 %, mixing
 * ratio 0.6 points (a refractometer within 1); the factor of a sun sensor 1.2 % beside a good
 * pyranometer, 0.7 % where it is better than 2 % already (a certificate's 1.4 %, k = 2); of a flow
 * meter 0.25 %; a fifth of anything else. */
double plan_cured_u(const struct error_source *row);

/* Inlet and outlet thermometers, and both kinds of meters, are one matter; CH_COUNT: no
 * instrument's. */
enum channel plan_matter(const struct error_source *row);

/* Whether a calibration of the sun sensor in the plane cures a row: all that it errs by in
 * proportion. */
bool plan_by_calibration(const struct error_source *row);

/* Whether two rows are cured together: the same words of one matter, or one calibration. */
bool plan_cured_together(const struct error_source *a, const struct error_source *b);

/* With one row cured, and those that go with it. Out, returns: as above */
bool plan_errors_cured(const struct test_setup *setup, size_t row, struct error_registry *registry,
                       struct faults *faults);

/* Without the session rows: what is left after very many days. Out, returns: as above */
bool plan_errors_many_days(const struct test_setup *setup, struct error_registry *registry,
                           struct faults *faults);

#endif
