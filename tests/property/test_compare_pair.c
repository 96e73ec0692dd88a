/* Two collectors under one pyranometer or two: how often a difference is called real, against how
 * often it may be. Points are invented here, apart from the program's demo. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "../unit/aid_near.h"
#include "base/randoms.h"
#include "study/difference.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { POINTS = 16 };

static const double G = 910, u_sun = 0.02, u_flow = 0.0043, u_eta = 0.003;
static struct faults faults;
static struct randoms randoms;
static struct fluid water;

static void add_row(struct error_registry *registry, const char *id, const char *serial,
                    enum shift_target what, enum channel channel, double u)
{
    struct error_source row = {.kind = ERROR_CALIBRATION,
                               .u = u,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{.what = what, .channel = channel, .weight = 1}}};
    snprintf(row.id, sizeof row.id, "%s", id);
    snprintf(row.instrument_id, sizeof row.instrument_id, "%s", serial);
    assert_true(registry_add(registry, &row, &faults));
}

/* Four levels, four points each; the sun sensor reads (1 + sun) too high, the meter (1 + flow). */
static void make_test(struct tested *tested, double eta0, double sun, double flow,
                      const char *serial)
{
    memset(tested, 0, sizeof *tested);
    tested->reduction = malloc(sizeof *tested->reduction);
    assert_non_null(tested->reduction);
    reduction_init(tested->reduction);
    add_row(&tested->reduction->setup.errors, "sun.calibration", serial, SHIFT_GAIN, CH_IRRADIANCE,
            u_sun);
    add_row(&tested->reduction->setup.errors, "flow.calibration", "", SHIFT_GAIN, CH_FLOW, u_flow);
    tested->setup =
        (struct point_setup){.fluid = &water, .area_m2 = 2.05, .longitude_rad = NAN};
    tested->points = calloc(POINTS, sizeof *tested->points);
    struct means *means = calloc(POINTS, sizeof *means);
    assert_true(tested->points != NULL && means != NULL);
    tested->reduction->means = (struct means_list){means, POINTS, POINTS};
    for (int i = 0; i < POINTS; i++) {
        double x = 0.02 * (i / 4);
        double eta = eta0 - 4.3 * x - 0.01 * G * x * x + u_eta * randoms_normal(&randoms);
        means[i].reduced = means[i].has[CH_IRRADIANCE] = true;
        means[i].mean[CH_IRRADIANCE] = G * (1 + sun);
        means[i].eta = eta * (1 + flow) / (1 + sun);
        means[i].x = x / (1 + sun);
        means[i].u_eta = u_eta;
        assert_true(point_make(&tested->points[i], &means[i], &tested->setup,
                               &tested->reduction->setup.errors, &faults));
    }
    struct efficiency_request request = {
        .form = "second order", .scale = FIT_SCALE_STATED, .drop_below = 2};
    assert_true(efficiency_fit(&tested->e, tested->points, POINTS, &tested->setup,
                               &tested->reduction->setup.errors, &request, &faults));
}

/* A test side by side: one draw of the sun's error for both, one of each meter's.
 * Returns: whether the difference at T* = 0 is called real. */
static bool told(double eta0_a, double eta0_b, const char *serial_a, const char *serial_b,
                 struct difference_at *at)
{
    struct tested a, b;
    struct difference difference;
    double sun = u_sun * randoms_normal(&randoms);
    make_test(&a, eta0_a, sun, u_flow * randoms_normal(&randoms), serial_a);
    make_test(&b, eta0_b, sun, u_flow * randoms_normal(&randoms), serial_b);
    assert_true(difference_init(&difference, &a, &b, &faults));
    difference_look(&difference, 0, 1000, at);
    difference_free(&difference);
    tested_free(&a);
    tested_free(&b);
    return fabs(at->value) > at->half_95;
}

static size_t count(size_t tests, double eta0_a, double eta0_b, const char *serial_a,
                    const char *serial_b, uint64_t seed, struct difference_at *at)
{
    size_t n = 0;
    for (size_t i = 0; i < tests; i++) {
        randoms_seed(&randoms, seed, i);
        n += told(eta0_a, eta0_b, serial_a, serial_b, at);
    }
    return n;
}

/* 5 % are expected; 6.5 % is three standard deviations of the count more. */
static void equal_collectors_are_seldom_called_different(void **state)
{
    (void)state;
    struct difference_at at;
    size_t n = count(2000, 0.75, 0.75, "S-1", "S-1", 21, &at);
    print_message("called different: %zu of 2000\n", n);
    assert_true(n <= 130 && n >= 60);
}

static void a_difference_of_2_percent_is_told_side_by_side(void **state)
{
    (void)state;
    struct difference_at together, apart;
    size_t n = count(200, 0.765, 0.75, "S-1", "S-1", 22, &together);
    print_message("side by side: told in %zu of 200, half width %.4f\n", n, together.half_95);
    assert_true(together.half_95 < 0.0105);
    assert_true(n >= 150);
    size_t m = count(200, 0.765, 0.75, "S-1", "S-2", 22, &apart);
    print_message("declared as two pyranometers: %zu of 200, half width %.4f\n", m, apart.half_95);
    assert_true(m <= 20);
    /* The same numbers: only what counts as shared differs. */
    aid_near("value", apart.value, together.value, 1e-15);
    aid_near("apart", together.u_apart, apart.u, 1e-12);
}

/* By hand: with one sensor its gain moves eta0 of both by -eta0 u, so that (eta0_a - eta0_b) u is
 * left of it; with two, both count. The meters move eta0 by eta0 u each, the readings by u(eta0).
 */
static void the_parts_by_hand(void **state)
{
    (void)state;
    struct tested a, b;
    struct difference difference;
    struct difference_at at;
    randoms_seed(&randoms, 23, 0);
    make_test(&a, 0.78, 0, 0, "S-1");
    make_test(&b, 0.74, 0, 0, "S-1");
    assert_true(difference_init(&difference, &a, &b, &faults));
    difference_look(&difference, 0, 1000, &at);
    double eta_a = a.e.curve.coef[0], eta_b = b.e.curve.coef[0];
    double own = a.e.reading[0] + b.e.reading[0] +
                 u_flow * u_flow * (eta_a * eta_a + eta_b * eta_b);
    double shared = u_sun * (eta_a - eta_b);
    double apart = u_sun * u_sun * (eta_a * eta_a + eta_b * eta_b);
    aid_near_relative("u shared", at.u, sqrt(own + shared * shared), 1e-3);
    aid_near_relative("u apart", at.u_apart, sqrt(own + apart), 1e-3);
    aid_near_relative("half", at.half_95, 1.959964 * at.u, 1e-6);
    aid_near_relative("least", at.least, (1.959964 + 0.841621) * at.u, 1e-6);
    size_t n = 0;
    for (size_t i = 0; i < difference.n_rows; i++)
        n += difference.rows[i].by == SHARED_ID;
    assert_int_equal(n, 1);
    assert_int_equal(difference.n_rows, 3);
    difference_free(&difference);
    tested_free(&a);
    tested_free(&b);
}

static int begin(void **state)
{
    (void)state;
    faults_init(&faults);
    fluid_water(&water);
    return randoms_init(&randoms, &faults) ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    randoms_free(&randoms);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equal_collectors_are_seldom_called_different),
        cmocka_unit_test(a_difference_of_2_percent_is_told_side_by_side),
        cmocka_unit_test(the_parts_by_hand),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
