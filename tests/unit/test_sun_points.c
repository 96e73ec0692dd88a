/* The sun over points, shares that were formed, and the errors of a site. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "aid_near.h"
#include "base/calendar.h"
#include "point/point.h"
#include "run/sun_means.h"
#include "sky/diffuse.h"
#include "sky/mount.h"

#define RAD (M_PI / 180.0)
#define LATITUDE (46.5 * RAD)
#define LONGITUDE (7.1 * RAD)

static int64_t morning_us(void)
{
    struct civil civil = {2026, 6, 20, 8, 15, 0, 0};
    int64_t time_us;
    assert_true(calendar_instant(&civil, &time_us));
    return time_us;
}

static bool parse(const char *site, struct test_setup *setup, struct faults *faults)
{
    char text[900];
    snprintf(text, sizeof text,
             "[collector]\ngross area = 2.05 m2\n[points]\nfile = p.csv\n[run a]\n"
             "kind = efficiency\n[site]\n%s",
             site);
    faults_init(faults);
    setup_init(setup);
    return setup_parse("d.txt", text, strlen(text), setup, faults);
}

static struct means means_at(int64_t start_us)
{
    struct means means = {.timed = true,
                          .start_us = start_us,
                          .end_us = start_us + 600 * US_PER_S,
                          .has = {[CH_IRRADIANCE] = true},
                          .mean = {[CH_IRRADIANCE] = 812}};
    return means;
}

/* A point typed with its times gets its angle and an estimated share, and both move with the
 * errors. */
static void test_points_get_their_sun(void **state)
{
    (void)state;
    static struct test_setup setup;
    struct faults faults;
    assert_true(parse("latitude = 46.5 deg\nlongitude = 7.1 deg\nmount = fixed\n"
                      "tilt = 37 deg\nazimuth = 191 deg\n",
                      &setup, &faults));
    struct angles angles;
    setup_angles(&setup, &angles);
    struct means means = means_at(morning_us());
    struct means_list list = {&means, 1, 1};
    sun_means(&angles, &list, true, NULL);
    struct sun sun;
    sun_init(&sun, LATITUDE, LONGITUDE, 0);
    struct vector at = sun_lifted(sun_geometric(&sun, means.start_us + 300 * US_PER_S),
                                  sun_pressure_hPa(0), 10);
    struct plane plane = plane_of(37 * RAD, 191 * RAD);
    double theta = incidence_rad(&plane, at);
    aid_near("angle", means.mean[CH_INCIDENCE], theta, 1e-7);
    aid_near("tilt", means.sun.tilt_rad, 37 * RAD, 1e-12);
    aid_near("azimuth", means.sun.azimuth_rad, 191 * RAD, 1e-12);
    assert_int_equal(means.sun.share, SHARE_ESTIMATED);
    assert_true(means.sun.diffuse_share > 0.1 && means.sun.diffuse_share < 0.5);

    struct shifts shifts;
    struct point_value value;
    memset(&shifts, 0, sizeof shifts);
    shifts.tilt_rad = 1 * RAD;
    plane = plane_of(38 * RAD, 191 * RAD);
    point_angles(&means, &shifts, &value);
    aid_near("a degree of tilt", value.incidence_rad, incidence_rad(&plane, at), 1e-7);
    memset(&shifts, 0, sizeof shifts);
    shifts.azimuth_rad = -3 * RAD;
    plane = plane_of(37 * RAD, 188 * RAD);
    point_angles(&means, &shifts, &value);
    aid_near("three degrees of azimuth", value.incidence_rad, incidence_rad(&plane, at), 1e-7);
    memset(&shifts, 0, sizeof shifts);
    shifts.clock_s = 120; /* ahead: the sun was looked up two minutes too late */
    plane = plane_of(37 * RAD, 191 * RAD);
    at = sun_lifted(sun_geometric(&sun, means.start_us + 180 * US_PER_S), sun_pressure_hPa(0), 10);
    point_angles(&means, &shifts, &value);
    aid_near("two minutes", value.incidence_rad, incidence_rad(&plane, at), 1e-5);
    memset(&shifts, 0, sizeof shifts);
    shifts.diffuse_share = -1;
    point_angles(&means, &shifts, &value);
    aid_near("share", value.diffuse_share, means.sun.diffuse_share - means.sun.u_diffuse_share,
             1e-12);
    setup_free(&setup);
}

/* A measured diffuse is no estimate; a measured angle stays; no share is invented for a rack that
 * somebody turns. */
static void test_measured_first(void **state)
{
    (void)state;
    static struct test_setup setup;
    struct faults faults;
    struct angles angles;
    assert_true(parse("latitude = 46.5 deg\nlongitude = 7.1 deg\n", &setup, &faults));
    setup_angles(&setup, &angles);
    struct means means[2] = {means_at(morning_us()), means_at(morning_us())};
    means[0].has[CH_DIFFUSE] = true;
    means[0].mean[CH_DIFFUSE] = 203;
    means[0].has[CH_INCIDENCE] = true;
    means[0].mean[CH_INCIDENCE] = 0.111;
    struct means_list list = {means, 2, 2};
    sun_means(&angles, &list, true, NULL);
    aid_near("share", means[0].sun.diffuse_share, 0.25, 1e-12);
    assert_int_equal(means[0].sun.share, SHARE_MEASURED);
    aid_near("angle", means[0].mean[CH_INCIDENCE], 0.111, 0);
    assert_true(means[0].sun.known && !means[0].sun.plane_known);
    assert_false(means[1].has[CH_INCIDENCE]);
    assert_int_equal(means[1].sun.share, SHARE_UNKNOWN);
    assert_false(setup_angles_from_sun(&setup));

    struct shifts shifts;
    struct point_value value;
    memset(&shifts, 0, sizeof shifts);
    shifts.gain[CH_DIFFUSE] = 0.04;
    shifts.gain[CH_IRRADIANCE] = -0.01;
    point_angles(&means[0], &shifts, &value);
    aid_near("gains", value.diffuse_share, 0.25 * 1.04 / 0.99, 1e-12);
    setup_free(&setup);
}

/* A share that was formed from other sensors moves with them and with the angle: by hand, f = 1 - B
 * cos(theta)/G, or by the beam (G_h - D_h)/cos(zenith). */
static void test_formed_share(void **state)
{
    (void)state;
    static struct test_setup setup;
    struct faults faults;
    struct angles angles;
    struct shifts shifts;
    struct point_value value;
    assert_true(parse("latitude = 46.5 deg\nlongitude = 7.1 deg\ntilt = 37 deg\n"
                      "azimuth = 191 deg\n",
                      &setup, &faults));
    setup_angles(&setup, &angles);
    struct means means[2] = {means_at(morning_us()), means_at(morning_us())};
    struct means_list list = {means, 2, 2};
    means[0].has[CH_DIRECT] = means[1].has[CH_GLOBAL] = means[1].has[CH_LEVEL_DIFFUSE] = true;
    means[0].has[CH_DIFFUSE] = means[1].has[CH_DIFFUSE] = true;
    means[0].mean[CH_DIRECT] = 713;
    means[0].mean[CH_DIFFUSE] = 211; /* of the rows; near to what the means make */
    means[1].mean[CH_GLOBAL] = 603;
    means[1].mean[CH_LEVEL_DIFFUSE] = 151;
    means[1].mean[CH_DIFFUSE] = 233;
    sun_means(&angles, &list, false, NULL);
    assert_int_equal(means[0].sun.from, SHARE_FROM_DIRECT);
    assert_int_equal(means[1].sun.from, SHARE_FROM_PAIR);
    double theta = means[0].mean[CH_INCIDENCE], g = means[0].mean[CH_IRRADIANCE];

    memset(&shifts, 0, sizeof shifts);
    point_angles(&means[0], &shifts, &value);
    aid_near("no shift", value.diffuse_share, 211 / g, 1e-12);
    shifts.gain[CH_DIRECT] = 0.03;
    shifts.gain[CH_IRRADIANCE] = -0.01;
    shifts.offset[CH_INCIDENCE] = 0.02;
    point_angles(&means[0], &shifts, &value);
    double before = 713 * cos(theta) / g, after = 713 * 1.03 * cos(theta + 0.02) / (0.99 * g);
    aid_near("direct", value.diffuse_share, 211 / g + before - after, 1e-12);

    memset(&shifts, 0, sizeof shifts);
    shifts.offset[CH_LEVEL_DIFFUSE] = 20;
    point_angles(&means[1], &shifts, &value);
    double less = 20 / means[1].sun.at[2] * cos(theta);
    aid_near("pair", value.diffuse_share, (233 + less) / g, 1e-9);
    setup_free(&setup);
}

/* Which rows of the registry a site asks for; u from what is stated, or our own figures as
 * limits. */
static void test_error_rows(void **state)
{
    (void)state;
    static const struct {
        const char *site;
        const char *ids;
        double first_u;
    } rows[] = {
        {"tilt = 37 deg\nazimuth = 191 deg\n", "mount.tilt mount.azimuth clock ",
         1 * RAD / 1.7320508075688772},
        {"tilt = 37 deg\nazimuth = 191 deg\ntilt error = 0.4 deg k=2\n",
         "mount.tilt mount.azimuth clock ", 0.2 * RAD},
        {"mount = lamp\n", "", NAN},
        {"mount = lamp\nlamp spectrum = 2 % standard\nlamp heat = 20 W/m2 limit\n",
         "lamp.spectrum lamp.heat ", 0.02},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        static struct test_setup setup;
        struct faults faults;
        struct error_registry registry;
        char ids[200] = "";
        assert_true(parse(rows[i].site, &setup, &faults));
        registry_init(&registry);
        assert_true(site_expand(&setup.site, true, true, &registry, &faults));
        for (size_t k = 0; k < registry.n; k++) {
            strcat(ids, registry.rows[k].id);
            strcat(ids, " ");
            assert_int_equal(registry.rows[k].kind, ERROR_CALIBRATION);
        }
        assert_string_equal(ids, rows[i].ids);
        if (registry.n > 0)
            aid_near(rows[i].site, registry.rows[0].u, rows[i].first_u, 1e-12);
        registry_free(&registry);
        setup_free(&setup);
    }
}

/* An azimuth counted from south is warned of where it would look away from the noon sun; a level or
 * east-facing collector, or one near the equator, is not. */
static void test_azimuth_from_south(void **state)
{
    (void)state;
    static const struct {
        double latitude, tilt, azimuth;
        bool warned;
    } rows[] = {
        {46.5, 45, 0, true},   {46.5, 45, -10, true},  {46.5, 45, 180, false},
        {46.5, 45, 90, false}, {46.5, 10, 0, false},   {-33.9, 45, 180, true},
        {-33.9, 45, 0, false}, {10.0, 30, 350, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        static struct test_setup setup;
        struct faults faults;
        char site[200];
        snprintf(site, sizeof site,
                 "latitude = %g deg\nlongitude = 7.1 deg\ntilt = %g deg\nazimuth = %g deg\n",
                 rows[i].latitude, rows[i].tilt, rows[i].azimuth);
        assert_true(parse(site, &setup, &faults));
        if ((faults.n > 0) != rows[i].warned)
            fail_msg("%s: %s", site, faults.n > 0 ? faults.items[0].found : "no warning");
        if (faults.n > 0)
            assert_int_equal(faults.items[0].kind, FAULT_WARNING);
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_points_get_their_sun),
        cmocka_unit_test(test_measured_first),
        cmocka_unit_test(test_formed_share),
        cmocka_unit_test(test_error_rows),
        cmocka_unit_test(test_azimuth_from_south),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
