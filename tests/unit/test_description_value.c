/* Values: each kind's accepted forms with their numbers, and the forms that are refused. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "description/value.h"

#include <math.h>
#include <string.h>

#include "tests/unit/aid_near.h"

static struct faults faults;
static const struct place here = {"d.txt", 7, 12};

static void quantities(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        enum dimension dimension;
        bool difference;
        double si; /* NAN: refused */
    } rows[] = {
        {"2.05 m2", DIM_AREA, false, 2.05},
        {"2.05m2", DIM_AREA, false, 2.05},
        {"19200   cm\xc2\xb2", DIM_AREA, false, 1.92},
        {"-7.3 \xc2\xb0"
         "C",
         DIM_TEMPERATURE, false, -7.3},
        {"50 degF", DIM_TEMPERATURE, false, 10.0},
        {"9 degF", DIM_TEMPERATURE, true, 5.0},
        {"30 %", DIM_NONE, false, 0.3},
        {"30%", DIM_NONE, false, 0.3},
        {"0.37", DIM_NONE, false, 0.37},
        {"1.5e1 min", DIM_TIME, false, 900.0},
        {"+3 h", DIM_TIME, false, 10800.0},
        {"3", DIM_TIME, false, NAN},
        {"3 K", DIM_TIME, false, NAN},
        {"3 K h", DIM_TIME, false, NAN},
        {"h", DIM_TIME, false, NAN},
        {"", DIM_TIME, false, NAN},
        {"3,5 h", DIM_TIME, false, NAN},
        {"1 000 s", DIM_TIME, false, NAN},
        {"nan s", DIM_TIME, false, NAN},
        {"1e999 s", DIM_TIME, false, NAN},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double si = -99.0;
        faults_init(&faults);
        bool good = value_quantity(rows[i].text, rows[i].dimension, rows[i].difference, NULL, here,
                                   &si, &faults);
        if (good != !isnan(rows[i].si) || faults_errors(&faults) != !good)
            fail_msg("'%s': accepted %d, faults %zu", rows[i].text, good, faults_errors(&faults));
        aid_near(rows[i].text, si, good ? rows[i].si : -99.0, 1e-12 * (1.0 + fabs(si)));
    }
}

static void errors_say_what_they_mean(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        enum dimension dimension;
        bool per_wanted;
        double u; /* NAN: refused */
        bool relative;
        enum error_per per;
    } rows[] = {
        {"1.2 % k=2", DIM_IRRADIANCE, false, 0.006, true, PER_NOTHING},
        {"1.2 % k = 2", DIM_IRRADIANCE, false, 0.006, true, PER_NOTHING},
        {"1.2% K=1.96", DIM_IRRADIANCE, false, 0.0061224489795918364, true, PER_NOTHING},
        {"0.6 % standard", DIM_VOLUME_FLOW, false, 0.006, true, PER_NOTHING},
        {"0.5 K limit", DIM_TEMPERATURE, false, 0.28867513459481287, false, PER_NOTHING},
        {"\xc2\xb1 0.9 degF limit", DIM_TEMPERATURE, false, 0.28867513459481287, false,
         PER_NOTHING},
        {"+-0.9 degF Limit", DIM_TEMPERATURE, false, 0.28867513459481287, false, PER_NOTHING},
        {"7 W/m2 standard", DIM_IRRADIANCE, false, 7.0, false, PER_NOTHING},
        {"0.03 standard", DIM_NONE, false, 0.03, true, PER_NOTHING},
        {"0.4 % standard per window", DIM_VOLUME_FLOW, true, 0.004, true, PER_WINDOW},
        {"0.1 K k=2 per sample", DIM_TEMPERATURE, true, 0.05, false, PER_SAMPLE},
        {"0 K standard", DIM_TEMPERATURE, false, 0.0, false, PER_NOTHING},
        {"1.2 %", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"1.2 % k", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"1.2 % k=0", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"1.2 % k=-2", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"1.2 % k=2 standard", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"limit", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"1 % limit", DIM_TEMPERATURE, false, NAN, false, PER_NOTHING},
        {"1 limit", DIM_IRRADIANCE, false, NAN, false, PER_NOTHING},
        {"0.4 % standard", DIM_VOLUME_FLOW, true, NAN, false, PER_NOTHING},
        {"0.4 % standard per window", DIM_VOLUME_FLOW, false, NAN, false, PER_NOTHING},
        {"-0.4 % standard", DIM_VOLUME_FLOW, false, NAN, false, PER_NOTHING},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stated_error error = {0};
        faults_init(&faults);
        bool good = value_error(rows[i].text, rows[i].dimension, true, rows[i].per_wanted, here,
                                &error, &faults);
        if (good != !isnan(rows[i].u) || faults_errors(&faults) != !good)
            fail_msg("'%s': accepted %d, faults %zu", rows[i].text, good, faults_errors(&faults));
        if (!good)
            continue;
        aid_near(rows[i].text, error.u, rows[i].u, 1e-15);
        assert_int_equal(error.relative, rows[i].relative);
        assert_int_equal(error.per, rows[i].per);
        assert_string_equal(error.text, rows[i].text);
    }
}

static void a_bare_error_is_told_the_three_ways(void **state)
{
    (void)state;
    struct stated_error error;
    faults_init(&faults);
    assert_false(value_error("1.2 %", DIM_IRRADIANCE, true, false, here, &error, &faults));
    assert_string_equal(faults.items[0].found, "'1.2 %' does not say what it means");
    assert_string_equal(faults.items[0].expected,
                        "'1.2 % k=2' (expanded, as on a certificate), '1.2 % standard' (one "
                        "standard deviation) or '1.2 % limit' (never more than this)");
    assert_int_equal(faults.items[0].line, 7);
    assert_int_equal(faults.items[0].column, 12);
}

static void a_wrong_unit_is_named_at_its_column(void **state)
{
    (void)state;
    double si;
    faults_init(&faults);
    assert_false(value_quantity("2.05  K", DIM_AREA, false, NULL, here, &si, &faults));
    assert_string_equal(faults.items[0].found, "'K' is a unit of temperature, not of area");
    assert_int_equal(faults.items[0].column, 12 + 6);
}

static void ranges(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double low; /* NAN: refused */
        double high;
    } rows[] = {
        {"1 to 5 m/s", 1.0, 5.0},     {"3.6 to  36 km/h", 1.0, 10.0}, {"0 to 0 m/s", 0.0, 0.0},
        {"5 to 1 m/s", NAN, NAN},     {"1 to 5", NAN, NAN},           {"1-5 m/s", NAN, NAN},
        {"1 m/s to 5 m/s", NAN, NAN}, {"1 to 5 m", NAN, NAN},         {"", NAN, NAN},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double low = -1.0;
        double high = -1.0;
        faults_init(&faults);
        bool good = value_range(rows[i].text, DIM_SPEED, here, &low, &high, &faults);
        if (good != !isnan(rows[i].low) || faults_errors(&faults) != !good)
            fail_msg("'%s': accepted %d", rows[i].text, good);
        aid_near(rows[i].text, low, good ? rows[i].low : -1.0, 1e-12);
        aid_near(rows[i].text, high, good ? rows[i].high : -1.0, 1e-12);
    }
}

static void limits_hold_at_their_ends(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        struct value_limits limits;
        bool good;
    } rows[] = {
        {"0 m2", {0.0, 10.0, true}, false},  {"0 m2", {0.0, 10.0, false}, true},
        {"10 m2", {0.0, 10.0, true}, true},  {"10.0001 m2", {0.0, 10.0, true}, false},
        {"-1 m2", {0.0, NAN, false}, false}, {"1e9 m2", {0.0, NAN, false}, true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double si;
        faults_init(&faults);
        if (value_quantity(rows[i].text, DIM_AREA, false, &rows[i].limits, here, &si, &faults) !=
            rows[i].good)
            fail_msg("row %zu, '%s'", i, rows[i].text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantities),
        cmocka_unit_test(errors_say_what_they_mean),
        cmocka_unit_test(a_bare_error_is_told_the_three_ways),
        cmocka_unit_test(a_wrong_unit_is_named_at_its_column),
        cmocka_unit_test(ranges),
        cmocka_unit_test(limits_hold_at_their_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
