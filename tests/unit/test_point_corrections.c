/* Corrections between thermometer and collector's port, against hand arithmetic. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "domain/pipe.h"
#include "point/point.h"
#include "run/setup_point.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;
static struct fluid water;

/* G = 937 W/m2, air 21.4 degC, water 61.3 to 68.9 degC, 2.0 L/min. */
static struct means window(void)
{
    struct means means = {.name = "w", .drift_K_s = NAN, .readings = 40};
    static const struct {
        enum channel channel;
        double mean;
    } rows[] = {{CH_IRRADIANCE, 937},
                {CH_AMBIENT, 21.4},
                {CH_INLET, 61.3},
                {CH_OUTLET, 68.9},
                {CH_FLOW, 2.0 / 60000}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        means.has[rows[i].channel] = true;
        means.mean[rows[i].channel] = rows[i].mean;
    }
    return means;
}

static struct point_setup plain(void)
{
    return (struct point_setup){.fluid = &water, .area_m2 = 2.05, .longitude_rad = NAN};
}

/* Fourier's law for a cylinder and a film of 10 W/(m2 K); worked on a pocket calculator.
 * 18 mm under 20 mm of 0.04 W/(m K): ln(58/18)/(2 pi 0.04) = 4.65556, 1/(10 pi 0.058) = 0.54881;
 * 22 mm under 9 mm of 0.035: ln(40/22)/(2 pi 0.035) = 2.71856, 1/(10 pi 0.04) = 0.79577;
 * bare 15 mm: 10 pi 0.015. */
static void a_metre_of_pipe_loses(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double diameter, insulation, conductivity, want, tolerance;
    } rows[] = {{"18 mm in 20 mm", 0.018, 0.020, 0.04, 0.192146, 1e-6},
                {"22 mm in 9 mm", 0.022, 0.009, 0.035, 0.284551, 1e-6},
                {"bare 15 mm", 0.015, 0, 0, 0.4712389, 1e-7}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        aid_near(rows[i].name,
                 pipe_loss_W_mK(rows[i].diameter, rows[i].insulation, rows[i].conductivity),
                 rows[i].want, rows[i].tolerance);
}

/* Reads low by 2 % of what is above the air: 39.9/0.98 = 40.7143, 47.5/0.98 = 48.4694 K above. */
static void a_strapped_on_sensor_is_corrected(void **unused)
{
    (void)unused;
    struct means means = window();
    struct point_setup setup = plain();
    struct point_value value, before;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &before), POINT_OK);
    setup.mounting[CH_OUTLET] = 0.02;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &value), POINT_OK);
    aid_near("outlet alone, inlet", value.t_in_degC, 61.3, 0);
    aid_near("outlet alone, outlet", value.t_out_degC, 69.86938775510204, 1e-12);
    aid_near("heat", value.heat_W / before.heat_W,
             fluid_enthalpy_rise(&water, 61.3, 69.86938775510204) /
                 fluid_enthalpy_rise(&water, 61.3, 68.9),
             1e-12);
    setup.mounting[CH_INLET] = 0.02;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &value), POINT_OK);
    aid_near("both, inlet", value.t_in_degC, 62.11428571428571, 1e-12);
    aid_near("both, difference", value.difference_K,
             0.5 * (62.11428571428571 + 69.86938775510204) - 21.4, 1e-12);
    /* One point more on the outlet: 47.5/0.97. */
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    shifts.mounting[CH_OUTLET] = 0.01;
    assert_int_equal(point_evaluate(&means, &setup, &shifts, &value), POINT_OK);
    aid_near("moved", value.t_out_degC, 21.4 + 47.5 / 0.97, 1e-12);
}

/* m c_p by hand: 2 L/min at 61.3 degC is 0.98248 kg/L (NIST-like tables: 982.5 kg/m3) / 30 s =
 * 0.03275 kg/s, times 4185 J/(kg K) = 137.06 W/K. A loss of 0.24 W/K takes the part 0.0017511 of
 * 39.9 K from the inlet, 0.06987 K, and has taken 0.08318 K off what left the collector at the
 * outlet. */
static void a_pipe_cools_on_the_way(void **unused)
{
    (void)unused;
    struct means means = window();
    struct point_setup setup = plain();
    struct point_value value;
    setup.pipe_W_K[CH_INLET] = setup.pipe_W_K[CH_OUTLET] = 0.24;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &value), POINT_OK);
    aid_near("inlet", value.t_in_degC - 61.3, -0.06981, 1e-4);
    aid_near("outlet", value.t_out_degC - 68.9, 0.08325, 1e-4);
    /* What the pipes lose is what the collector's heat has more than the thermometers' (to second
     * order): 0.24 * (39.9 + 47.5) W. */
    struct point_setup none = plain();
    struct point_value before;
    assert_int_equal(point_evaluate(&means, &none, NULL, &before), POINT_OK);
    aid_near("heat", value.heat_W - before.heat_W, 0.24 * (39.9 + 47.5), 0.05);
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    shifts.pipe_W_K[CH_OUTLET] = -0.24;
    assert_int_equal(point_evaluate(&means, &setup, &shifts, &value), POINT_OK);
    aid_near("no loss left at the outlet", value.t_out_degC, 68.9, 1e-12);
}

/* A mean heat of the readings moves by the change that the corrections make. */
static void heat_of_the_readings_follows(void **unused)
{
    (void)unused;
    struct means means = window();
    struct point_setup setup = plain(), with = plain();
    struct point_value value, before, shown;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &before), POINT_OK);
    means.has[CH_HEAT] = true;
    means.mean[CH_HEAT] = before.heat_W + 3.7;
    with.mounting[CH_OUTLET] = 0.02;
    with.pipe_W_K[CH_INLET] = 0.3;
    assert_int_equal(point_evaluate(&means, &with, NULL, &value), POINT_OK);
    means.has[CH_HEAT] = false;
    assert_int_equal(point_evaluate(&means, &with, NULL, &shown), POINT_OK);
    aid_near("heat", value.heat_W, shown.heat_W + 3.7, 1e-9);
}

/* The density is that of the water in the meter, at the outlet if it sits there. */
static void the_meter_sits_in_either_line(void **unused)
{
    (void)unused;
    struct means means = window();
    struct point_setup setup = plain();
    struct point_value cold, hot;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &cold), POINT_OK);
    setup.meter_at_outlet = true;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &hot), POINT_OK);
    /* Wagner and Pruss 2002 (IAPWS-95): 982.5 at 61.3 degC, 978.4 at 68.9 degC. */
    aid_near("cold", cold.mass_kg_s, 982.5 * 2.0 / 60000, 0.1 * 2.0 / 60000);
    aid_near("hot", hot.mass_kg_s, 978.4 * 2.0 / 60000, 0.1 * 2.0 / 60000);
    aid_near("heat", hot.heat_W / cold.heat_W, hot.mass_kg_s / cold.mass_kg_s, 1e-12);
}

static const char description[] = "[collector]\ngross area = 2.05 m2\n[points]\nfile = p.csv\n"
                                  "[run c]\nkind = efficiency\n%s";

static bool parse(const char *more, struct test_setup *setup)
{
    char text[2000];
    setup_init(setup);
    faults_init(&faults);
    int n = snprintf(text, sizeof text, description, more);
    return setup_parse("t.txt", text, (size_t)n, setup, &faults);
}

static double u_of(const struct test_setup *setup, const char *id)
{
    for (size_t i = 0; i < setup->errors.n; i++)
        if (strcmp(setup->errors.rows[i].id, id) == 0) {
            assert_int_equal(setup->errors.rows[i].kind, ERROR_CALIBRATION);
            return setup->errors.rows[i].u;
        }
    return NAN;
}

/* Half of the correction, one of the two per cent; stated errors take their place. */
static void descriptions_become_corrections_and_rows(void **unused)
{
    (void)unused;
    static const struct {
        const char *name, *more, *id;
        double mounting_out, pipe_in, pipe_out, u;
    } rows[] = {
        {"strapped on",
         "[instrument hot]\nmeasures = outlet\nkind = digital thermometer\n"
         "mounting = strapped on\n",
         "hot.mounting", 0.02, 0, 0, 0.01},
        {"strapped on, own error",
         "[instrument hot]\nmeasures = outlet\nkind = digital thermometer\nmounting = strapped on\n"
         "mounting error = 0.8 % k=2\n",
         "hot.mounting", 0.02, 0, 0, 0.004},
        {"a pipe", "[pipe inlet]\nlength = 0.8 m\nloss = 0.3 W/(m K)\n", "pipe inlet.loss", 0, 0.24,
         0, 0.12},
        {"a pipe, own error",
         "[pipe outlet]\nlength = 80 cm\nloss = 300 mW/(m K)\nloss error = 20 % standard\n",
         "pipe outlet.loss", 0, 0, 0.24, 0.048},
        {"a pipe by its sizes",
         "[pipe outlet]\nlength = 1.5 m\ndiameter = 18 mm\ninsulation = 20 mm\n"
         "conductivity = 0.04 W/(m K)\nloss error = 0.02 W/(m K) standard\n",
         "pipe outlet.loss", 0, 0, 0.288213, 0.03},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct test_setup setup;
        if (!parse(rows[i].more, &setup))
            fail_msg("%s: %s", rows[i].name, faults.items[0].found);
        struct point_setup point = setup_point(&setup, BASIS_MEAN);
        aid_near(rows[i].name, point.mounting[CH_OUTLET], rows[i].mounting_out, 1e-12);
        aid_near(rows[i].name, point.pipe_W_K[CH_INLET], rows[i].pipe_in, 1e-5);
        aid_near(rows[i].name, point.pipe_W_K[CH_OUTLET], rows[i].pipe_out, 1e-5);
        aid_near(rows[i].name, u_of(&setup, rows[i].id), rows[i].u, 1e-12);
        setup_free(&setup);
    }
}

static void what_is_wrong_is_said(void **unused)
{
    (void)unused;
    static const struct {
        const char *more, *found;
    } rows[] = {
        {"[pipe return]\nlength = 1 m\nloss = 0.3 W/(m K)\n", "there is no [pipe return]"},
        {"[pipe inlet]\nlength = 1 m\n", "the pipe has no loss"},
        {"[pipe inlet]\nlength = 1 m\nloss = 0.3 W/(m K)\ndiameter = 18 mm\n",
         "the loss of the pipe is stated twice"},
        {"[pipe inlet]\nlength = 1 m\ndiameter = 18 mm\ninsulation = 9 mm\n",
         "the loss of the pipe cannot be formed"},
        {"[pipe inlet]\nloss = 0.3 W/(m K)\n", "[pipe inlet] has no 'length'"},
        {"[instrument sun]\nmeasures = irradiance\nkind = pyranometer class A\n"
         "mounting = strapped on\n",
         "'mounting' is of a thermometer of the fluid, not of irradiance"},
        {"[instrument cold]\nmeasures = inlet\nkind = digital thermometer\n"
         "mounting error = 1 % standard\n",
         "'mounting error' stands without 'mounting = strapped on'"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct test_setup setup;
        assert_false(parse(rows[i].more, &setup));
        assert_int_equal(faults.n, 1);
        assert_string_equal(faults.items[0].found, rows[i].found);
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_metre_of_pipe_loses),
        cmocka_unit_test(a_strapped_on_sensor_is_corrected),
        cmocka_unit_test(a_pipe_cools_on_the_way),
        cmocka_unit_test(heat_of_the_readings_follows),
        cmocka_unit_test(the_meter_sits_in_either_line),
        cmocka_unit_test(descriptions_become_corrections_and_rows),
        cmocka_unit_test(what_is_wrong_is_said),
    };
    fluid_water(&water);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
