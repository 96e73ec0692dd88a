/* The whole test from its description: what stands in testdata/good/description arrives. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "run/setup.h"
#include "run/setup_log.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "tests/unit/aid_near.h"
#include "tests/unit/aid_zone.h"

#define RAD_PER_DEG 0.017453292519943295

static struct faults faults;
static struct test_setup setup;

static void start(const char *name)
{
    char path[100];
    snprintf(path, sizeof path, "testdata/good/description/%s", name);
    faults_init(&faults);
    setup_init(&setup);
    assert_true(setup_read(path, &setup, &faults));
}

static void collector_site_and_fluid_arrive(void **state)
{
    (void)state;
    start("full.txt");
    assert_string_equal(setup.collector.name.text, "Plate A; stove paint, \"matt\"");
    assert_int_equal(setup.collector.reference, AREA_APERTURE);
    assert_false(setup.collector.fallback);
    aid_near("aperture", setup.collector.area_m2, 1.92, 1e-12);
    aid_near("absorber", setup.collector.area[AREA_ABSORBER].value, 1.8800601, 1e-6);
    aid_near("area error", setup.collector.u_area, 0.01 / sqrt(3.0) / 1.92, 1e-12);
    aid_near("latitude", setup.site.latitude_rad.value, 46.5 * RAD_PER_DEG, 1e-12);
    aid_near("longitude", setup.site.longitude_rad.value, -7.1 * RAD_PER_DEG, 1e-12);
    aid_near("azimuth", setup.site.azimuth_rad.value, 225.0 * RAD_PER_DEG, 1e-12);
    assert_true(setup.site.azimuth_rad.at.given);
    assert_int_equal(setup.fluid_choice.meter_at.index, METER_AT_OUTLET);
    aid_near("transit", setup.fluid_choice.transit_s.value, 30.0, 0.0);
    aid_near("cp error", setup.fluid.u_cp, 0.001, 1e-15);
    assert_string_equal(setup.fluid.name, "water");
    setup_free(&setup);
}

static void instruments_rules_and_runs_arrive(void **state)
{
    (void)state;
    start("full.txt");
    assert_int_equal(setup.n_instruments, 6);
    const struct instrument *sun = instrument_find(setup.instruments, setup.n_instruments, "SUN");
    assert_non_null(sun);
    assert_int_equal(sun->channel, CH_IRRADIANCE);
    assert_string_equal(sun->column.text, "G tilt; raw");
    aid_near("gain", sun->gain_value, 81.3, 0.0);
    aid_near("add", sun->add_value, -0.4, 0.0);
    assert_string_equal(setup.instruments[1].unit->name, "degF");
    aid_near("default gain", setup.instruments[1].gain_value, 1.0, 0.0);
    assert_string_equal(setup.rules, "homemade rig");
    assert_int_equal(setup.n_overrides, 2);
    assert_string_equal(setup.overrides[0].key, "flow deviation");
    assert_string_equal(setup.overrides[0].value, "2.3 %");
    assert_string_equal(setup.overrides[1].value, "off");
    assert_string_equal(setup.overrides[1].at.file, "testdata/good/description/full.txt");
    assert_int_equal(setup.n_runs, 1);
    const struct run_section *run = &setup.runs[0];
    assert_string_equal(run->name, "curve");
    assert_int_equal(run->form, FORM_SECOND_ORDER);
    assert_int_equal(run->temperature, TEMPERATURE_INLET);
    assert_int_equal(run->scale, SCALE_ESTIMATED);
    aid_near("drop below", run->drop_below, 1.5, 0.0);
    aid_near("draw at", run->draw_at_W_m2, 800.0, 1e-12);
    assert_int_equal(run->n_left_out, 2);
    assert_string_equal(run->left_out[1].point, "B-07");
    assert_string_equal(run->left_out[1].reason, "air in the pipe, seen in the flow");
    setup_free(&setup);
}

static void the_log_becomes_a_plan(void **state)
{
    (void)state;
    start("full.txt");
    struct log_plan plan;
    log_plan_init(&plan);
    assert_true(setup_log_plan(&setup, 0, &plan, &faults));
    assert_int_equal(plan.n_files, 2);
    assert_string_equal(plan.files[1], "testdata/good/description/sub/day2.csv.gz");
    assert_int_equal(plan.n_time_columns, 2);
    assert_string_equal(plan.time_columns[0], "Date");
    assert_string_equal(plan.time_columns[1], "Time");
    assert_string_equal(plan.time_format, "%d/%m/%Y %H:%M:%S");
    assert_false(plan.zone_in_stamp);
    assert_int_equal(plan.zone->offset_s, -(3 * 3600 + 30 * 60));
    assert_int_equal(plan.separator, ';');
    assert_int_equal(plan.decimal, ',');
    assert_int_equal(plan.n_missing, 3);
    assert_string_equal(plan.missing[1], "-9999");
    assert_int_equal(plan.gap_us, 90000000);
    assert_int_equal(plan.n_columns, 6);
    assert_string_equal(plan.columns[0].name, "G tilt; raw");
    assert_int_equal(plan.columns[4].channel, CH_FLOW);
    log_plan_free(&plan);
    setup_free(&setup);
}

static void points_need_no_instruments(void **state)
{
    (void)state;
    start("points.txt");
    assert_true(setup.points.given);
    assert_false(setup.log.given);
    assert_int_equal(setup.points.files.n, 2);
    assert_int_equal(setup.collector.reference, AREA_APERTURE);
    assert_true(setup.collector.fallback);
    assert_true(setup.collector.u_area_by_default);
    aid_near("area", setup.collector.area_m2, 1.92, 0.0);
    assert_string_equal(setup.fluid.name, "propylene glycol 40 %");
    aid_near("coldest", setup.fluid.least_degC, -10.0, 0.0);
    assert_string_equal(setup.rules, "");
    assert_int_equal(setup.runs[0].form, FORM_LINE);
    aid_near("drop below", setup.runs[0].drop_below, 2.0, 0.0);
    aid_near("draw at", setup.runs[0].draw_at_W_m2, 1000.0, 0.0);
    setup_free(&setup);
}

static void times_are_taken_apart(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *columns[TIME_COLUMNS_MAX];
        const char *format;
        long offset_s;
        bool in_stamp;
        bool good;
    } rows[] = {
        {"Time, ISO 8601, UTC", {"Time"}, "ISO 8601", 0, false, true},
        {"T i+m , iso 8601 , in stamp", {"T i+m"}, "iso 8601", 0, true, true},
        {"D + T, %d.%m.%y, %H:%M, UTC+5:45", {"D", "T"}, "%d.%m.%y, %H:%M", 20700, false, true},
        {"t, %Y-%m-%d %H:%M:%S, utc-10", {"t"}, "%Y-%m-%d %H:%M:%S", -36000, false, true},
        {"t, ISO 8601, Z", {"t"}, "ISO 8601", 0, false, true},
        {"Y + D + HM, %Y %j %H%M, UTC", {"Y", "D", "HM"}, "%Y %j %H%M", 0, false, true},
        {"a +  b + c + d + e + f, %Y %m %d %H %M %S, UTC+1", {"a", "b", "c", "d", "e", "f"},
         "%Y %m %d %H %M %S", 3600, false, true},
        {"a + b + c + d + e + f + g, %Y %m %d %H %M %S, UTC", {NULL}, NULL, 0, false, false},
        {"a + b + c, ISO 8601, UTC", {NULL}, NULL, 0, false, false},
        {"a + b + c, Unix time, UTC", {NULL}, NULL, 0, false, false},
        {"t, ISO 8601, UTC+15", {NULL}, NULL, 0, false, false},
        {"t, ISO 8601, UTC+1:60", {NULL}, NULL, 0, false, false},
        {"t, ISO 8601, UTC+", {NULL}, NULL, 0, false, false},
        {"t, ISO 8601, UTC+1:", {NULL}, NULL, 0, false, false},
        {"t, ISO 8601, UTC 1", {NULL}, NULL, 0, false, false},
        {"t, ISO 8601, GMT+1", {NULL}, NULL, 0, false, false},
        {", ISO 8601, UTC", {NULL}, NULL, 0, false, false},
        {"t, , UTC", {NULL}, NULL, 0, false, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct time_text time;
        faults_init(&faults);
        bool good = time_text_read(rows[i].text, 0, fault_at("d.txt", 1, 1), &time, &faults);
        if (good != rows[i].good || faults_errors(&faults) != !good)
            fail_msg("'%s': accepted %d", rows[i].text, good);
        if (!good)
            continue;
        for (size_t k = 0; k < TIME_COLUMNS_MAX; k++)
            assert_string_equal(time.columns[k],
                                rows[i].columns[k] == NULL ? "" : rows[i].columns[k]);
        assert_string_equal(time.format, rows[i].format);
        assert_int_equal(time.zone.offset_s, rows[i].offset_s);
        assert_int_equal(time.in_stamp, rows[i].in_stamp);
    }
}

static void a_named_zone_is_taken_apart(void **state)
{
    char text[200];
    char name[ZONE_NAME_SIZE];
    struct time_text time;
    (void)state;
    assert_true(aid_zone_of_rule("CET-1CEST,M3.5.0,M10.5.0/3", name));
    snprintf(text, sizeof text, "Date + Time, %%d/%%m/%%Y %%H:%%M:%%S, %s", name);
    faults_init(&faults);
    assert_true(time_text_read(text, 0, fault_at("d.txt", 1, 1), &time, &faults));
    assert_string_equal(time.zone.name, name);
    assert_string_equal(time.format, "%d/%m/%Y %H:%M:%S");
    assert_false(time.in_stamp);
    assert_int_equal(zone_offset_s(&time.zone, INT64_C(1782033330000000)), 7200); /* in June */
    zone_free(&time.zone);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(collector_site_and_fluid_arrive),
        cmocka_unit_test(instruments_rules_and_runs_arrive),
        cmocka_unit_test(the_log_becomes_a_plan),
        cmocka_unit_test(points_need_no_instruments),
        cmocka_unit_test(times_are_taken_apart),
        cmocka_unit_test(a_named_zone_is_taken_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
