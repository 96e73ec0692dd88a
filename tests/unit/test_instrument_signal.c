#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "domain/instrument_signal.h"
#include "run/setup.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;
static struct test_setup setup;

static const char head[] = "[collector]\ngross area = 2.05 m2\n[log]\nfile = l.csv\n"
                           "time = Time, ISO 8601, UTC\n[run a]\nkind = efficiency\n"
                           "[instrument x]\ncolumn = s\ncalibration = 1.2 % k=2\n";

static const struct instrument *parse(const char *keys)
{
    char text[2000];
    setup_init(&setup);
    faults_init(&faults);
    int n = snprintf(text, sizeof text, "%smeasures = %s", head, keys);
    (void)setup_parse("t.txt", text, (size_t)n, &setup, &faults);
    return &setup.instruments[0];
}

/* By hand: voltage over sensitivity. */
static void a_voltage_becomes_an_irradiance(void **state)
{
    (void)state;
    static const struct {
        const char *name, *keys;
        double number, expected, tolerance;
    } rows[] = {
        {"millivolts", "irradiance\nunit = mV\nsensitivity = 12.3 uV/(W/m2)\n", 5.0,
         5.0e-3 / 12.3e-6, 1e-9},
        {"per kilowatt", "irradiance\nunit = mV\nsensitivity = 12.3 mV/(kW/m2)\n", 5.0,
         406.50406504065, 1e-9},
        {"microvolts of diffuse", "diffuse\nunit = uV\nsensitivity = 8.71 uV/(W/m2)\n", 1234.0,
         141.67623421355, 1e-9},
        {"an amplifier at rest", "irradiance\nunit = V\nsensitivity = 9.4 uV/(W/m2)\n"
                                 "gain = 0.01\nadd = -0.002\n", 0.2, 0.0, 1e-9},
        {"an amplifier", "irradiance\nunit = V\nsensitivity = 9.4 uV/(W/m2)\n"
                         "gain = 0.01\nadd = -0.002\n", 1.14, 1000.0, 1e-9},
        {"a negative one", "irradiance\nunit = mV\nsensitivity = 12.3 uV/(W/m2)\n", -0.0246, -2.0,
         1e-9},
        {"none: as before", "irradiance\nunit = kW/m2\ngain = 2\n", 0.41, 820.0, 1e-9},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct instrument *in = parse(rows[i].keys);
        if (in->unit == NULL || in->unit->dimension != DIM_IRRADIANCE)
            fail_msg("%s: no irradiance", rows[i].name);
        double got = unit_absolute(in->unit, in->gain_value * rows[i].number + in->add_value);
        if (!(fabs(got - rows[i].expected) <= rows[i].tolerance))
            fail_msg("%s: %.12g, not %.12g", rows[i].name, got, rows[i].expected);
        setup_free(&setup);
    }
}

/* Resistances of the table of IEC 60751 (from memory), printed to 0.01 ohm of a Pt100. */
static void a_resistance_becomes_a_temperature(void **state)
{
    (void)state;
    static const struct {
        double ohm, degC;
    } rows[] = {{18.52, -200}, {60.26, -100}, {80.31, -50},  {100.00, 0},   {109.73, 25},
                {119.40, 50},  {138.51, 100}, {157.33, 150}, {175.86, 200}, {247.09, 400},
                {390.48, 850}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        /* Half of the last digit, at 0.39 ohm a kelvin at 0 degC and 0.29 at 850. */
        double low = signal_platinum_degC((rows[i].ohm - 0.0051) / 100);
        double high = signal_platinum_degC((rows[i].ohm + 0.0051) / 100);
        /* At an end of the range only the side within it has a value. */
        double from = isnan(low) ? rows[i].degC : low, to = isnan(high) ? rows[i].degC : high;
        if (!(from <= rows[i].degC && rows[i].degC <= to && to > from && to - from < 0.036))
            fail_msg("%g ohm: %.9g to %.9g, not %g", rows[i].ohm, low, high, rows[i].degC);
    }
    /* Both ways, with the equation itself. */
    for (double t = -200; t <= 850; t += 7.3) {
        double share = 1 + 3.9083e-3 * t - 5.775e-7 * t * t -
                       (t < 0 ? 4.183e-12 * (t - 100) * t * t * t : 0);
        double back = signal_platinum_degC(share);
        if (!(fabs(back - t) < 1e-9))
            fail_msg("%g degC comes back as %.12g", t, back);
    }
    assert_true(isnan(signal_platinum_degC(0.184)) && isnan(signal_platinum_degC(3.91)));
    const struct instrument *in =
        parse("inlet\nunit = kohm\nresistance = Pt1000\nlead = 0.4 ohm\n");
    assert_string_equal(in->unit->name, "degC");
    double ohm = in->gain_value * 1.385455 + in->add_value;
    /* 1385.055 ohm without the leads: 1 + 0.39083 - 0.005775. */
    assert_true(fabs(signal_value(&in->signal, ohm) - 100) < 1e-9);
    setup_free(&setup);
}

static void a_table_has_straight_lines_and_ends(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double number, degC;
    } rows[] = {{"first pair", 4, -17.7777777777778}, {"between", 6, -3.88888888888889},
                {"inner pair", 8, 10},                {"after it", 11, 31.25},
                {"last pair", 20, 95},                {"below", 3.999, NAN},
                {"above", 20.001, NAN},               {"no number", NAN, NAN}};
    const struct instrument *in = parse("inlet\nunit = degF\ncalibration table = 4: 0, "
                                        "8 : 50, 20:203\n");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double got = signal_value(&in->signal, in->gain_value * rows[i].number + in->add_value);
        if (isnan(rows[i].degC) ? !isnan(got) : !(fabs(got - rows[i].degC) < 1e-9))
            fail_msg("%s: %.12g, not %.12g", rows[i].name, got, rows[i].degC);
    }
    setup_free(&setup);
}

/* What a check finds corrects the value, not the signal. */
static void corrections_reach_the_value(void **state)
{
    (void)state;
    static const struct {
        const char *name, *keys;
        double number, before, after;
    } rows[] = {
        {"a line", "flow\nunit = L/min\ngain = 2\nadd = -1\n", 2, 3 / 6e4, 3.3 / 6e4 + 1e-6},
        {"a table", "flow\nunit = L/min\ncalibration table = 0: 0, 4: 6\n", 2, 3 / 6e4,
         3.3 / 6e4 + 1e-6},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct instrument *in = (struct instrument *)parse(rows[i].keys);
        for (int corrected = 0; corrected < 2; corrected++) {
            double x = in->gain_value * rows[i].number + in->add_value;
            double got = in->signal.kind == SIGNAL_NONE ? unit_absolute(in->unit, x)
                                                        : signal_value(&in->signal, x);
            double expected = corrected ? rows[i].after : rows[i].before;
            if (!(fabs(got - expected) < 1e-15))
                fail_msg("%s: %.12g, not %.12g", rows[i].name, got, expected);
            instrument_correct(in, 1.1, 1e-6);
        }
        setup_free(&setup);
    }
}

static void what_is_wrong_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *name, *keys, *found, *hint;
    } rows[] = {
        {"of longwave", "longwave\nunit = mV\nsensitivity = 12.3 uV/(W/m2)\n",
         "'sensitivity' is of a sun sensor, not of longwave", NULL},
        {"a voltage without it", "irradiance\nunit = mV\n",
         "'mV' is a unit of voltage, not of irradiance",
         "state its 'sensitivity', 12.3 uV/(W/m2), beside it"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        (void)parse(rows[i].keys);
        bool said = false;
        for (size_t k = 0; k < faults.n; k++)
            said = said || (strcmp(faults.items[k].found, rows[i].found) == 0 &&
                            (rows[i].hint == NULL ||
                             strstr(faults.items[k].hint, rows[i].hint) != NULL));
        if (!said)
            fail_msg("%s: '%s' (%s)", rows[i].name, faults.n > 0 ? faults.items[0].found : "",
                     faults.n > 0 ? faults.items[0].hint : "");
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_voltage_becomes_an_irradiance),
        cmocka_unit_test(a_resistance_becomes_a_temperature),
        cmocka_unit_test(a_table_has_straight_lines_and_ends),
        cmocka_unit_test(corrections_reach_the_value),
        cmocka_unit_test(what_is_wrong_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
