/* How far the test of a description has come where it has neither log nor points: what such a
 * description is good for. All are false of a test that was made.
 */
#ifndef RUN_SETUP_STAGE_H
#define RUN_SETUP_STAGE_H

#include "run/setup.h"

#include <stdbool.h>

/* A plate that is described and not tested yet: a construction without log, points and runs. Only
 * `predict` has a use for it. */
bool setup_untested(const struct test_setup *setup);

/* A test that is described and not begun: instruments and runs without log and points. Only `plan`
 * has a use for it. */
bool setup_planned(const struct test_setup *setup);

/* Curves from publications and no test at all. Only `compare` has a use for it. */
bool setup_published(const struct test_setup *setup);

#endif
