/* Published curves brought to a basis: every conversion against numbers by hand, and the way from
 * mean to inlet against the heat balance solved by repetition. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "run/setup.h"
#include "study/stated_curve.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;
static struct test_setup setup;

#define HEAD "[curve it]\nsource = a table\neta0 = 0.781\na1 = 3.62 W/(m2 K)\n"
#define APERTURE "reference = aperture\ngross area = 2.15 m2\naperture area = 1.99 m2\n"
#define FLOW "mass flow = 0.041 kg/s\n"

static const struct curve_section *read_curve(const char *text)
{
    faults_init(&faults);
    setup_free(&setup);
    assert_true(setup_parse("it.txt", text, strlen(text), &setup, &faults));
    assert_int_equal(setup.curves.n, 1);
    return &setup.curves.items[0];
}

static const struct stated_wish mean = {AREA_GROSS, false, 850, 0.0, 0.07};
static const struct stated_wish inlet = {AREA_GROSS, true, 850, 0.0, 0.07};

/* By a pocket calculator: 1.99/2.15 = 0.9255814; 0.85 + 0.15 * 0.94 = 0.991; k = 2.15/(2 * 0.041 *
 * 4180) = 0.006272611; a1 of the gross area 3.62 * 0.9255814 = 3.3506047; 1 + k a1 = 1.0210170; to
 * the mean 1 - k a1 = 0.9789830. */
static void conversions_by_hand(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text;
        const struct stated_wish *wish;
        double eta0, a1, a2;
    } rows[] = {
        {"as it is", HEAD "temperature = mean\nreference = gross\n", &mean, 0.781, 3.62, 0},
        {"area", HEAD "temperature = mean\n" APERTURE, &mean, 0.722879069767, 3.350604651163, 0},
        {"area, bent", HEAD "a2 = 0.0137 W/(m2 K2)\ntemperature = mean\n" APERTURE, &mean,
         0.722879069767, 3.350604651163, 0.012680465116},
        {"beam", HEAD "temperature = mean\nreference = gross\nsunshine = beam\n"
                      "diffuse modifier = 0.94\n",
         &mean, 0.773971, 3.62, 0},
        {"beam, more diffuse", HEAD "temperature = mean\nreference = gross\nsunshine = beam\n"
                                    "diffuse modifier = 0.94\ndiffuse share = 40 %\n",
         &mean, 0.762256, 3.62, 0},
        {"mean to inlet", HEAD "temperature = mean\n" APERTURE FLOW, &inlet, 0.707999027195,
         3.281634415424, 0},
        {"inlet to mean", HEAD "temperature = inlet\n" APERTURE FLOW, &mean, 0.738398008898,
         3.422536225623, 0},
        {"units", "[curve it]\nsource = a table\neta0 = 78.1 %\na1 = 0.6376 BTU/(h ft2 degF)\n"
                  "temperature = mean\nreference = gross\n",
         &mean, 0.781, 3.62045, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stated_curve curve;
        assert_true(stated_curve_bring(&curve, read_curve(rows[i].text), rows[i].wish, &faults));
        double tolerance = strcmp(rows[i].name, "units") == 0 ? 1e-5 : 1e-9;
        aid_near(rows[i].name, curve.coef[0], rows[i].eta0, tolerance);
        aid_near(rows[i].name, curve.coef[1], rows[i].a1, 10 * tolerance);
        aid_near(rows[i].name, curve.coef[2], rows[i].a2, tolerance);
        assert_int_equal(curve.form->n_coef, rows[i].a2 > 0 ? 3 : 2);
    }
}

/* The efficiency with the inlet x0 above the air, by repetition: eta -> t_m -> eta. */
static double balance(double x, double eta0, double a1, double a2, double g, double k)
{
    double eta = eta0;
    for (int i = 0; i < 200; i++) {
        double xm = x + k * eta;
        eta = eta0 - a1 * xm - a2 * g * xm * xm;
    }
    return eta;
}

static void a_bent_curve_goes_from_mean_to_inlet(void **state)
{
    (void)state;
    struct stated_curve curve;
    const struct curve_section *from =
        read_curve(HEAD "a2 = 0.0137 W/(m2 K2)\ntemperature = mean\nreference = gross\ngross area "
                        "= 2.15 m2\n" FLOW);
    double k = 2.15 / (2 * 0.041 * 4180);
    assert_true(stated_curve_bring(&curve, from, &inlet, &faults));
    aid_near("k", curve.k_m2K_W, k, 1e-15);
    assert_true(curve.misfit < 1e-4);
    for (double x = 0; x <= 0.07; x += 0.0175) {
        struct fit_condition at = {.x = x, .g = 850};
        double eta = fit_form_value(curve.form, curve.coef, &at);
        aid_near("eta", eta, balance(x, 0.781, 3.62, 0.0137, 850, k), curve.misfit + 1e-12);
    }
}

/* There and back again: what the first refit left over is all that is lost. */
static void there_and_back(void **state)
{
    (void)state;
    struct stated_curve there, back;
    struct curve_section from =
        *read_curve(HEAD "a2 = 0.0137 W/(m2 K2)\ntemperature = mean\nreference = gross\ngross area "
                         "= 2.15 m2\n" FLOW);
    assert_true(stated_curve_bring(&there, &from, &inlet, &faults));
    from.temperature = CURVE_INLET;
    from.eta0.value = there.coef[0];
    from.a1.value = there.coef[1];
    from.a2.value = there.coef[2];
    assert_true(stated_curve_bring(&back, &from, &mean, &faults));
    for (double x = 0.01; x <= 0.07; x += 0.015) {
        struct fit_condition at = {.x = x, .g = 850};
        double was = 0.781 - 3.62 * x - 0.0137 * 850 * x * x;
        aid_near("eta", fit_form_value(back.form, back.coef, &at), was, 2e-4);
    }
}

/* u(eta0) = 0.012/2, u(a1) = 5 % of 3.62 / 2, both times 1.99/2.15. */
static void stated_errors_go_along(void **state)
{
    (void)state;
    struct stated_curve curve;
    const struct curve_section *from = read_curve(HEAD
        "eta0 error = 0.012 k=2\na1 error = 5 % k=2\ntemperature = mean\n" APERTURE);
    assert_true(stated_curve_bring(&curve, from, &mean, &faults));
    aid_near_relative("u eta0", sqrt(curve.covariance[0]), 0.006 * 1.99 / 2.15, 1e-9);
    aid_near_relative("u a1", sqrt(curve.covariance[3]), 0.0905 * 1.99 / 2.15, 1e-9);
    aid_near("cov", curve.covariance[1], 0, 1e-18);
    assert_int_equal(curve.n_unknown, 0);
    /* The line with the inlet: d eta0'/d a1 = -eta0 k/(1 + k a1)^2, by hand. */
    const struct curve_section *to = read_curve(
        HEAD "eta0 error = 0 standard\na1 error = 0.1 W/(m2 K) standard\ntemperature = mean\n"
             "reference = gross\ngross area = 2.15 m2\n" FLOW);
    double k = 2.15 / (2 * 0.041 * 4180), by = 1 + 3.62 * k;
    assert_true(stated_curve_bring(&curve, to, &inlet, &faults));
    aid_near_relative("u eta0'", sqrt(curve.covariance[0]), 0.1 * 0.781 * k / (by * by), 1e-5);
    aid_near_relative("u a1'", sqrt(curve.covariance[3]), 0.1 / (by * by), 1e-5);
}

static void what_is_not_stated_is_open(void **state)
{
    (void)state;
    struct stated_curve curve;
    struct fit_condition cold = {.x = 0, .g = 850}, hot = {.x = 0.04, .g = 850};
    assert_true(stated_curve_bring(
        &curve, read_curve(HEAD "eta0 error = 0.012 k=2\ntemperature = mean\nreference = gross\n"),
        &mean, &faults));
    assert_int_equal(curve.n_unknown, 1);
    assert_string_equal(curve.unknown[0].what, "a1");
    assert_false(stated_curve_open(&curve, &cold)); /* a1 does not count there */
    assert_true(stated_curve_open(&curve, &hot));
    assert_false(stated_curve_lacks(&curve, 0));
    assert_true(stated_curve_lacks(&curve, 1));
    aid_near("all of it", curve.unknown[0].d[1], 3.62, 1e-9);
}

static void what_it_cannot_be_brought_to(void **state)
{
    (void)state;
    struct stated_curve curve;
    const struct curve_section *from = read_curve(HEAD "temperature = mean\nreference = gross\n");
    assert_true(stated_curve_has_area(from, AREA_GROSS));
    assert_false(stated_curve_has_area(from, AREA_APERTURE));
    assert_false(stated_curve_bring(&curve, from, &inlet, &faults));
    assert_int_equal(faults.n, 1);
    assert_non_null(strstr(faults.items[0].found, "of the mean temperature"));
}

/* The default specific heat: water at 40 degC of the program's table, itself held against IAPWS. */
static void the_default_specific_heat(void **state)
{
    (void)state;
    struct fluid water;
    fluid_water(&water);
    const struct curve_section *from = read_curve(HEAD "temperature = mean\nreference = gross\n");
    aid_near("c_p", from->heat_J_kgK, fluid_cp(&water, 40), 4);
}

static int end(void **state)
{
    (void)state;
    setup_free(&setup);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(conversions_by_hand),
        cmocka_unit_test(a_bent_curve_goes_from_mean_to_inlet),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(stated_errors_go_along),
        cmocka_unit_test(what_is_not_stated_is_open),
        cmocka_unit_test(what_it_cannot_be_brought_to),
        cmocka_unit_test(the_default_specific_heat),
    };
    return cmocka_run_group_tests(tests, NULL, end);
}
