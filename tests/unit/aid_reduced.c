#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_reduced.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void reduced_init(struct reduced_test *test)
{
    memset(test, 0, sizeof *test);
    faults_init(&test->faults);
    registry_init(&test->none);
    test->setup = (struct point_setup){.area_m2 = 1.87, .longitude_rad = NAN};
}

void reduced_add(struct reduced_test *test, double g_W_m2, double x, double eta, double u_eta)
{
    assert_true(test->n < REDUCED_MAX);
    struct means *means = &test->means[test->n];
    struct point *point = &test->points[test->n++];
    snprintf(means->name, sizeof means->name, "p%zu", test->n);
    means->reduced = means->has[CH_IRRADIANCE] = true;
    means->mean[CH_IRRADIANCE] = g_W_m2;
    means->x = x;
    means->eta = eta;
    means->u_eta = u_eta;
    assert_true(point_make(point, means, &test->setup, &test->none, &test->faults));
}
