#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

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
        cmocka_unit_test(what_is_wrong_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
