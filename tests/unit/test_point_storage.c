/* Heat stored in windows that drift, against hand arithmetic. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_log.h"
#include "aid_near.h"
#include "domain/storage.h"
#include "point/point.h"
#include "run/setup.h"
#include "window/finder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static struct fluid water;

/* G = 937 W/m2, 2.385 m2, water from 31.2 to 37.9 degC. */
static struct means window(double drift_K_min)
{
    struct means means = {.name = "w", .drift_K_s = drift_K_min / 60, .readings = 40};
    static const struct {
        enum channel channel;
        double mean;
    } rows[] = {{CH_IRRADIANCE, 937},
                {CH_AMBIENT, 23.4},
                {CH_INLET, 31.2},
                {CH_OUTLET, 37.9},
                {CH_FLOW, 3.1e-5}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        means.has[rows[i].channel] = true;
        means.mean[rows[i].channel] = rows[i].mean;
    }
    return means;
}

static struct point_setup setup_of(double capacity_J_m2K)
{
    return (struct point_setup){.fluid = &water,
                                .area_m2 = 2.385,
                                .longitude_rad = NAN,
                                .capacity_J_m2K = capacity_J_m2K};
}

/* Stored: capacity * area * drift. 8 kJ/(m2 K) at 0.7 K/min is 8000 * 0.7/60 = 93.333 W/m2, 15 kJ
 * is 175 W/m2. */
static void what_is_stored_is_added(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double capacity_J_m2K, drift_K_min, stored_W_m2;
    } rows[] = {{"none stated", 0, 0.7, 0},
                {"steady", 8000, 0, 0},
                {"bucket under its rod", 8000, 0.7, 93.33333333333333},
                {"a heavy one", 15000, 0.7, 175},
                {"cooling", 7300, -0.13, -15.816666666666666},
                {"drift not known", 8000, NAN, 0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct means means = window(rows[i].drift_K_min);
        struct point_setup with = setup_of(rows[i].capacity_J_m2K), without = setup_of(0);
        struct point_value value, plain;
        assert_int_equal(point_evaluate(&means, &with, NULL, &value), POINT_OK);
        assert_int_equal(point_evaluate(&means, &without, NULL, &plain), POINT_OK);
        aid_near(rows[i].name, value.stored_W, 2.385 * rows[i].stored_W_m2, 1e-9);
        aid_near(rows[i].name, value.heat_W - plain.heat_W, 2.385 * rows[i].stored_W_m2, 1e-9);
        aid_near(rows[i].name, value.eta - plain.eta, rows[i].stored_W_m2 / 937, 1e-12);
        aid_near(rows[i].name, value.x, plain.x, 0);
    }
}

/* d eta = drift/G * d capacity, = capacity/G * d drift; an area that is larger than stated does not
 * change what a square metre stores. */
static void shifts_of_capacity_drift_and_area(void **unused)
{
    (void)unused;
    struct means means = window(0.7);
    struct point_setup setup = setup_of(8000);
    struct point_value value, moved;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &value), POINT_OK);
    static const struct {
        const char *name;
        struct error_target target;
        double shift, eta;
    } rows[] = {
        {"capacity", {.what = SHIFT_CAPACITY, .weight = 1}, 1700, 1700 * 0.7 / 60 / 937},
        {"drift", {.what = SHIFT_DRIFT, .weight = 1}, 3e-4, 8000 * 3e-4 / 937},
    };
    for (size_t i = 0; i < 2; i++) {
        struct error_source row = {.n_targets = 1, .targets = {rows[i].target}};
        struct shifts shifts;
        memset(&shifts, 0, sizeof shifts);
        shifts_add(&shifts, &row, rows[i].shift);
        assert_int_equal(point_evaluate(&means, &setup, &shifts, &moved), POINT_OK);
        aid_near(rows[i].name, moved.eta - value.eta, rows[i].eta, 1e-12);
    }
    struct shifts area;
    memset(&area, 0, sizeof area);
    area.area = 0.013;
    assert_int_equal(point_evaluate(&means, &setup, &area, &moved), POINT_OK);
    double stored = 8000 * 0.7 / 60 / 937;
    aid_near("area", moved.eta, (value.eta - stored) / 1.013 + stored, 1e-12);
}

/* u(eta) from the drift's own noise: capacity * u(drift) / G. */
static void noise_of_the_drift_counts(void **unused)
{
    (void)unused;
    struct means means = window(0.7);
    means.u_drift_K_s = 4.2e-4;
    struct point_setup setup = setup_of(8000);
    struct error_registry none;
    struct point point;
    registry_init(&none);
    faults_init(&faults);
    assert_true(point_make(&point, &means, &setup, &none, &faults));
    aid_near("u(eta)", point.u_eta_reading, 8000 * 4.2e-4 / 937, 1e-12);
    aid_near("u(x)", point.u_x_reading, 0, 0);
    setup.capacity_J_m2K = 0;
    assert_true(point_make(&point, &means, &setup, &none, &faults));
    aid_near("u(eta) without capacity", point.u_eta_reading, 0, 0);
}

/* What the description says -> capacity and its standard uncertainty. */
static void the_capacity_is_settled(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        const char *keys; /* of [collector] */
        const char *rest; /* other sections */
        double capacity, u;
        bool assumed, dry;
    } rows[] = {
        {"nothing, a standard's rules", "", "", 0, 0, false, false},
        {"nothing, our own rules", "", "[steady state]\nrules = homemade rig\n", 8000, 4000, true,
         false},
        {"stated", "heat capacity = 9.3 kJ/(m2 K)\n", "", 9300, 1860, false, false},
        {"stated with its error",
         "heat capacity = 9.3 kJ/(m2 K)\ncapacity error = 0.7 kJ/(m2 K) k=2\n", "", 9300, 350,
         false, false},
        {"stated with a share", "heat capacity = 9.3 kJ/(m2 K)\ncapacity error = 12 % standard\n",
         "[steady state]\nrules = homemade rig\n", 9300, 1116, false, false},
        {"by construction", "construction = unglazed plate\n", "", 20000, 10000, false, false},
        {"by construction, inlet delayed", "construction = factory flat plate\n",
         "[fluid]\ntransit time = 41 s\n", 3000, 2000, false, true},
        {"stated takes the estimate's place",
         "construction = unglazed plate\nheat capacity = 5100 J/(m2 K)\n", "", 5100, 1020, false,
         false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[1024];
        struct test_setup setup;
        setup_init(&setup);
        faults_init(&faults);
        int n = snprintf(text, sizeof text,
                         "[collector]\ngross area = 2.05 m2\n%s%s[points]\nfile = p.csv\n"
                         "[run c]\nkind = efficiency\n",
                         rows[i].keys, rows[i].rest);
        if (!setup_parse("t.txt", text, (size_t)n, &setup, &faults))
            fail_msg("%s: %s", rows[i].name, faults.items[0].found);
        aid_near(rows[i].name, setup.collector.capacity_J_m2K, rows[i].capacity, 1e-9);
        aid_near(rows[i].name, setup.collector.u_capacity_J_m2K, rows[i].u, 1e-9);
        assert_int_equal(setup.collector.capacity_assumed, rows[i].assumed);
        assert_int_equal(setup.collector.capacity_dry, rows[i].dry);
        size_t found = 0;
        for (size_t k = 0; k < setup.errors.n; k++)
            if (strcmp(setup.errors.rows[k].id, "capacity") == 0) {
                aid_near(rows[i].name, setup.errors.rows[k].u, rows[i].u, 1e-9);
                found++;
            }
        assert_int_equal(found, rows[i].capacity > 0 ? 1 : 0);
        setup_free(&setup);
    }
}

static void the_words_are_the_tables(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < STORAGE_ROWS; i++) {
        assert_string_equal(storage_rows[i].name, storage_words[i]);
        assert_true(storage_rows[i].dry_J_m2K < storage_rows[i].filled_J_m2K);
        assert_true(storage_rows[i].u_dry_J_m2K <= storage_rows[i].u_filled_J_m2K);
    }
}

/* A log whose inlet rises by 0.61 K/min and outlet by 0.83 K/min, noise of 0.21 and 0.34 K: the
 * mean rises by 0.72 K/min in every window, and found minus 0.72 scatters as the window says. */
static void the_slope_and_its_error_come_from_the_log(void **unused)
{
    (void)unused;
    enum { ROWS = 2400, STEP_S = 15 };
    struct aid_log log;
    aid_log_init(&log, ROWS, 0, (int64_t)STEP_S * 1000000);
    aid_log_set(&log, CH_IRRADIANCE, 913);
    aid_log_set(&log, CH_AMBIENT, 20);
    aid_log_set(&log, CH_FLOW, 3e-5);
    aid_log_set(&log, CH_HEAT, 500);
    uint32_t seed = 11;
    for (size_t i = 0; i < ROWS; i++) {
        double min = (double)(i * STEP_S) / 60;
        log.value[CH_INLET][i] = 20 + 0.61 * min + 0.21 * aid_normal(&seed);
        log.value[CH_OUTLET][i] = 27 + 0.83 * min + 0.34 * aid_normal(&seed);
    }
    struct rules rules;
    faults_init(&faults);
    assert_true(rules_init(&rules, "homemade rig", fault_at(NULL, 0, 0), &faults));
    static const enum rule_id off[] = {RULE_INLET_DEVIATION, RULE_OUTLET_DEVIATION,
                                       RULE_OUTLET_DRIFT, RULE_CONDITIONING};
    for (size_t i = 0; i < sizeof off / sizeof off[0]; i++)
        rules.rule[off[i]].value.on = false;
    struct finder *finder = malloc(sizeof *finder);
    assert_non_null(finder);
    assert_true(finder_init(finder, &rules, NULL, &faults));
    aid_log_feed(&log, finder_sink(finder), 500, 3);
    assert_true(finder->n_windows >= 50);
    double squares = 0, n = (double)finder->n_windows;
    for (size_t i = 0; i < finder->n_windows; i++) {
        const struct means *means = &finder->means[i];
        /* s(mean of both)/sqrt 40 * sqrt 12/600 s = 0.5 * 0.3996 K * 0.5477/600 s */
        aid_near("u(drift)", means->u_drift_K_s, 1.824e-4, 0.1 * 1.824e-4);
        double z = (means->drift_K_s - 0.72 / 60) / means->u_drift_K_s;
        assert_true(fabs(z) < 5);
        squares += z * z;
    }
    /* chi-square of n: mean n, standard deviation sqrt(2n); four of them. */
    aid_near("scatter", squares / n, 1, 4 * sqrt(2 / n));
    finder_free(finder);
    free(finder);
    aid_log_free(&log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_stored_is_added),
        cmocka_unit_test(shifts_of_capacity_drift_and_area),
        cmocka_unit_test(noise_of_the_drift_counts),
        cmocka_unit_test(the_capacity_is_settled),
        cmocka_unit_test(the_words_are_the_tables),
        cmocka_unit_test(the_slope_and_its_error_come_from_the_log),
    };
    fluid_water(&water);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
