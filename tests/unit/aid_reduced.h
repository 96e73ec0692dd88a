/* Points typed as efficiency and T*, made into points: the shortest way to a test with known
 * numbers. */
#ifndef AID_REDUCED_H
#define AID_REDUCED_H

#include <stddef.h>

#include "point/point.h"

enum { REDUCED_MAX = 32 };

struct reduced_test {
    size_t n;
    struct means means[REDUCED_MAX];
    struct point points[REDUCED_MAX];
    struct point_setup setup;
    struct error_registry none;
    struct faults faults;
};

void reduced_init(struct reduced_test *test);

/* Adds a point; its name is "p1", "p2" ... */
void reduced_add(struct reduced_test *test, double g_W_m2, double x, double eta, double u_eta);

#endif
