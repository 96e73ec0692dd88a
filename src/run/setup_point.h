/* What points need to know of the test. */
#ifndef RUN_SETUP_POINT_H
#define RUN_SETUP_POINT_H

#include "point/point.h"
#include "run/setup.h"

/* Borrows from the setup. */
struct point_setup setup_point(const struct test_setup *setup, enum temperature_basis basis);

#endif
