/* Mounts, angles and shares of a log's rows, and what does not fit. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "aid_log.h"
#include "aid_near.h"
#include "base/calendar.h"
#include "point/point.h"
#include "run/sun_means.h"
#include "sky/diffuse.h"
#include "sky/mount.h"
#include "window/clear_days.h"
#include "window/derived.h"
#include "window/sliding.h"

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

/* Closed forms: an axis in the plane, cos(theta) = sqrt(1 - (s.a)^2); a turntable, |zenith -
 * tilt|; two axes, 0 (J. A. Duffie and W. A. Beckman, tracking surfaces, equations 1.7.1 to
 * 1.7.5, from memory). */
static void test_mounts(void **state)
{
    (void)state;
    const double heights[] = {3.0, 27.3, 61.9, 84.0}, azimuths[] = {63.0, 181.0, 290.0};
    for (size_t i = 0; i < 4; i++)
        for (size_t k = 0; k < 3; k++) {
            struct vector sun = vector_of(heights[i] * RAD, azimuths[k] * RAD);
            struct vector axis = vector_of(20 * RAD, 187 * RAD);
            struct mount polar = mount_one_axis(20 * RAD, 187 * RAD, 40 * RAD);
            struct mount table = mount_one_axis(M_PI_2, 0, 40 * RAD);
            struct mount two = mount_two_axes();
            struct plane plane = mount_plane(&polar, sun);
            double along = vector_dot(sun, axis);
            aid_near("axis in the plane", incidence_rad(&plane, sun), acos(sqrt(1 - along * along)),
                     1e-9);
            aid_near("normal across the axis", vector_dot(plane.normal, axis), 0, 1e-12);
            plane = mount_plane(&table, sun);
            aid_near("turntable", incidence_rad(&plane, sun) / RAD, fabs(90 - heights[i] - 40),
                     1e-9);
            aid_near("turntable's tilt", plane.normal.z, cos(40 * RAD), 1e-12);
            plane = mount_plane(&two, sun);
            aid_near("two axes", incidence_rad(&plane, sun), 0, 1e-9);
        }
    struct mount fixed = mount_fixed(30 * RAD, 200 * RAD);
    struct plane plane = mount_plane(&fixed, vector_of(0.3, 1));
    aid_near("fixed", plane.normal.z, cos(30 * RAD), 1e-15);
}

struct seen {
    size_t n;
    double incidence[4000], diffuse[4000];
    uint8_t flag[4000];
    bool has_incidence, has_diffuse;
};
static struct seen seen;

static bool keep(void *state, const struct block *block, struct faults *faults)
{
    (void)state;
    (void)faults;
    seen.has_incidence = block->present[CH_INCIDENCE];
    seen.has_diffuse = block->present[CH_DIFFUSE];
    for (size_t i = 0; i < block->n; i++, seen.n++) {
        seen.incidence[seen.n] = seen.has_incidence ? block->value[CH_INCIDENCE][i] : NAN;
        seen.flag[seen.n] = seen.has_incidence ? block->flag[CH_INCIDENCE][i] : FLAG_MISSING;
        seen.diffuse[seen.n] = seen.has_diffuse ? block->value[CH_DIFFUSE][i] : NAN;
    }
    return true;
}

static struct angles_doubts derive(const struct aid_log *log, const struct angles *angles,
                                   size_t most_rows)
{
    struct fluid water;
    struct faults faults;
    struct derived derived;
    struct sink sink = {NULL, keep, NULL};
    faults_init(&faults);
    fluid_water(&water);
    memset(&seen, 0, sizeof seen);
    assert_true(derived_init(&derived, &water, false, 0, &sink, 1, &faults));
    derived_know_angles(&derived, angles);
    aid_log_feed(log, derived_sink(&derived), most_rows, 7);
    struct angles_doubts doubts = derived.angles.doubts;
    derived_free(&derived);
    return doubts;
}

static struct angles fixed_angles(double tilt_deg, double azimuth_deg)
{
    struct angles angles;
    angles_init(&angles);
    angles_place(&angles, LATITUDE, LONGITUDE, 620);
    angles.mount = mount_fixed(tilt_deg * RAD, azimuth_deg * RAD);
    angles.aimed = true;
    angles.ground = 0.2;
    return angles;
}

/* Row by row against sun and plane; columns of tilt and azimuth against the same figures stated;
 * the way in which the log was cut changes nothing. */
static void test_incidence_of_rows(void **state)
{
    (void)state;
    struct aid_log log;
    struct angles angles = fixed_angles(37, 191);
    struct sun sun;
    double first[1500];
    aid_log_init(&log, 1500, morning_us(), 11 * US_PER_S);
    derive(&log, &angles, 4096);
    assert_true(seen.has_incidence && !seen.has_diffuse && seen.n == 1500);
    memcpy(first, seen.incidence, sizeof first);
    sun_init(&sun, LATITUDE, LONGITUDE, 620);
    struct plane plane = plane_of(37 * RAD, 191 * RAD);
    for (size_t i = 0; i < 1500; i += 37) {
        struct vector at =
            sun_lifted(sun_geometric(&sun, log.time_us[i]), sun_pressure_hPa(620), 10);
        aid_near("row", seen.incidence[i] / RAD, incidence_rad(&plane, at) / RAD, 1e-5);
    }
    derive(&log, &angles, 13);
    assert_memory_equal(first, seen.incidence, sizeof first);

    struct angles turning = fixed_angles(0, 0);
    turning.mount = mount_one_axis(20 * RAD, 187 * RAD, 40 * RAD);
    derive(&log, &turning, 4096);
    for (size_t i = 0; i < 1500; i += 37) {
        struct vector at =
            sun_lifted(sun_geometric(&sun, log.time_us[i]), sun_pressure_hPa(620), 10);
        plane = mount_plane(&turning.mount, at);
        aid_near("one axis", seen.incidence[i] / RAD, incidence_rad(&plane, at) / RAD, 1e-5);
    }
    turning.mount = mount_two_axes();
    derive(&log, &turning, 4096);
    for (size_t i = 0; i < 1500; i += 37)
        aid_near("two axes", seen.incidence[i], 0, 0);

    aid_log_set(&log, CH_TILT, 37 * RAD);
    aid_log_set(&log, CH_AZIMUTH, 191 * RAD);
    log.flag[CH_TILT][5] = FLAG_OUT_OF_RANGE;
    struct angles unaimed = fixed_angles(0, 0);
    unaimed.aimed = false;
    derive(&log, &unaimed, 100);
    for (size_t i = 0; i < 1500; i++)
        if (i != 5)
            aid_near("columns", seen.incidence[i] / RAD, first[i] / RAD, 3e-6); /* angles.h */
    assert_int_equal(seen.flag[5], FLAG_OUT_OF_RANGE);
    assert_true(isnan(seen.incidence[5]));
    aid_log_free(&log);
}

static void test_nothing_without_a_place(void **state)
{
    (void)state;
    struct aid_log log;
    struct angles none, unaimed = fixed_angles(0, 0);
    angles_init(&none);
    unaimed.aimed = false;
    aid_log_init(&log, 20, morning_us(), US_PER_S);
    derive(&log, &none, 7);
    assert_false(seen.has_incidence);
    derive(&log, &unaimed, 7);
    assert_false(seen.has_incidence);
    struct angles lamp;
    angles_init(&lamp);
    lamp.lamp = true;
    lamp.lamp_rad = 12 * RAD;
    derive(&log, &lamp, 7);
    assert_true(seen.has_incidence);
    aid_near("lamp", seen.incidence[19], 12 * RAD, 0);
    lamp.lamp_rad = NAN;
    derive(&log, &lamp, 7);
    assert_false(seen.has_incidence);
    aid_log_free(&log);
}

/* Sensors that agree give the same diffuse whichever two are there: beam 730 W/m2, diffuse 118 on
 * the level, put together here for each row from angles that are computed apart. */
static void test_diffuse_of_sensors(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        bool direct, global, level;
    } rows[] = {{"direct", true, false, false},
                {"global and diffuse", false, true, true},
                {"diffuse alone", false, false, true},
                {"all", true, true, true}};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct aid_log log;
        struct angles angles = fixed_angles(37, 191);
        struct track track;
        track_init(&track, LATITUDE, LONGITUDE, 620);
        aid_log_init(&log, 300, morning_us(), 60 * US_PER_S);
        if (rows[r].direct)
            aid_log_set(&log, CH_DIRECT, 730);
        if (rows[r].global)
            aid_log_set(&log, CH_GLOBAL, 0);
        if (rows[r].level)
            aid_log_set(&log, CH_LEVEL_DIFFUSE, 118);
        double diffuse[300];
        struct plane plane = plane_of(37 * RAD, 191 * RAD);
        for (size_t i = 0; i < 300; i++) {
            struct vector sun = track_at(&track, log.time_us[i]);
            double global = 118 + 730 * sun.z;
            diffuse[i] = 118 * 0.5 * (1 + plane.normal.z) +
                         0.2 * global * 0.5 * (1 - plane.normal.z);
            log.value[CH_IRRADIANCE][i] = 730 * vector_dot(plane.normal, sun) + diffuse[i];
            if (rows[r].global)
                log.value[CH_GLOBAL][i] = global;
        }
        struct angles_doubts doubts = derive(&log, &angles, 100);
        assert_true(seen.has_diffuse);
        for (size_t i = 0; i < 300; i++)
            aid_near(rows[r].name, seen.diffuse[i], diffuse[i], 1e-6);
        assert_int_equal(doubts.pairs, rows[r].direct && rows[r].global ? 300 : 0);
        if (doubts.pairs > 0)
            aid_near("closure", doubts.sum_made / doubts.sum_global, 1, 1e-9);
        assert_int_equal(doubts.diffuse_above, 0);
        aid_log_free(&log);
    }
}

/* In the plane, and only where both were read. */
static void test_diffuse_in_plane(void **state)
{
    (void)state;
    struct aid_log log;
    struct angles none;
    angles_init(&none);
    aid_log_init(&log, 200, morning_us(), 60 * US_PER_S);
    aid_log_set(&log, CH_IRRADIANCE, 800);
    aid_log_set(&log, CH_DIFFUSE, 846);
    log.value[CH_DIFFUSE][17] = 844;
    log.value[CH_DIFFUSE][18] = NAN;
    log.flag[CH_DIFFUSE][18] = FLAG_MISSING;
    struct angles_doubts doubts = derive(&log, &none, 64);
    assert_int_equal(doubts.plane_compared, 199);
    assert_int_equal(doubts.plane_above, 198);
    aid_log_free(&log);
}

/* 1000 W/m2 straight on at 620 m, with the sun high; 10 degrees high it gives no more than 700. */
static void test_brightest(void **state)
{
    (void)state;
    assert_true(angles_brightest_W_m2(0.9, 0, 620, 0.2) > 1200);
    assert_true(angles_brightest_W_m2(0.17, 0, 620, 0.2) < 700);
    assert_true(angles_brightest_W_m2(0.17, 60 * RAD, 620, 0.2) < 400);
    aid_near("night", angles_brightest_W_m2(-0.1, 0, 620, 0.2), 50, 1e-9);
    aid_near("angle not known", angles_brightest_W_m2(0.5, NAN, 0, 0.2),
             angles_brightest_W_m2(0.5, 0, 0, 0.2), 1e-9);
}

/* What does not fit is counted: a longitude with the wrong sign shines at night, an azimuth from
 * south looks away, exchanged sensors show more diffuse than global. */
static void test_doubts(void **state)
{
    (void)state;
    struct aid_log log;
    aid_log_init(&log, 200, morning_us(), 60 * US_PER_S);
    aid_log_set(&log, CH_IRRADIANCE, 800);
    aid_log_set(&log, CH_GLOBAL, 150);
    aid_log_set(&log, CH_LEVEL_DIFFUSE, 700);
    struct angles right = fixed_angles(45, 180);
    struct angles_doubts doubts = derive(&log, &right, 64);
    assert_true(doubts.bright == 200 && doubts.bright_night == 0 && doubts.bright_behind == 0);
    assert_true(doubts.compared == 200 && doubts.diffuse_above == 200);
    struct angles away = fixed_angles(80, 0);
    assert_true(derive(&log, &away, 64).bright_behind > 150);
    assert_int_equal(doubts.too_bright, 0);
    struct angles turned = fixed_angles(60, 0);
    doubts = derive(&log, &turned, 64);
    assert_int_equal(doubts.too_bright, 200);
    assert_int_equal(doubts.bright_behind, 0);
    struct angles west = fixed_angles(45, 180);
    angles_place(&west, LATITUDE, -130 * RAD, 620);
    assert_true(derive(&log, &west, 64).bright_night > 150);
    aid_log_free(&log);
}

/* The bins of a day against a plain pass over the log, however it is cut; of more days than are
 * kept the clearest stay. */
static void test_clear_days(void **state)
{
    (void)state;
    enum { DAYS = CLOCK_DAYS + 3, STEP_S = 47, PER_DAY = 86400 / STEP_S, ROWS = DAYS * PER_DAY };
    static struct clear_days days, again;
    struct aid_log log;
    struct civil civil = {2026, 6, 1, 0, 0, 0, 0};
    int64_t start_us;
    assert_true(calendar_instant(&civil, &start_us));
    aid_log_init(&log, ROWS, start_us, STEP_S * US_PER_S);
    clear_days_init(&days, LONGITUDE);
    clear_days_init(&again, LONGITUDE);
    for (size_t i = 0; i < ROWS; i++) {
        int64_t day = (log.time_us[i] + days.shift_us - start_us) / (86400 * US_PER_S);
        double hour = (double)((log.time_us[i] + days.shift_us) % (86400 * US_PER_S)) / 3.6e9;
        /* The sun shines for 4 + day hours about noon. */
        bool up = fabs(hour - 12) < 0.5 * (4.0 + (double)day);
        log.value[CH_IRRADIANCE][i] = up ? 900 - 9 * (hour - 12) * (hour - 12) : 0;
        log.flag[CH_IRRADIANCE][i] = i % 11 == 3 ? FLAG_MISSING : FLAG_GOOD;
    }
    aid_log_feed(&log, clear_days_sink(&days), 4096, 3);
    aid_log_feed(&log, clear_days_sink(&again), 17, 5);
    assert_int_equal(days.n_kept, CLOCK_DAYS);
    for (size_t k = 0; k < days.n_kept; k++) {
        const struct clock_day *day = &days.kept[k];
        size_t bin = 150, n = 0;
        double sum = 0;
        int64_t from_us = day->start_us + (int64_t)bin * CLOCK_BIN_US;
        for (size_t i = 0; i < ROWS; i++)
            if (log.time_us[i] >= from_us && log.time_us[i] < from_us + CLOCK_BIN_US &&
                log.flag[CH_IRRADIANCE][i] == FLAG_GOOD) {
                sum += log.value[CH_IRRADIANCE][i];
                n++;
            }
        aid_near("a bin", (double)day->mean[bin], sum / (double)n, 1e-3);
        assert_memory_equal(day->clear, again.kept[k].clear, sizeof day->clear);
        assert_true(day->start_us == again.kept[k].start_us);
        /* 4 + day hours are 48 + 12 day bins; the two at the edges bend. */
        aid_near("clear bins", (double)day->n_clear,
                 48 + 12 * round((double)(day->start_us - start_us) / 8.64e10), 4);
        assert_true(day->start_us > start_us + 2 * INT64_C(86400) * US_PER_S - US_PER_S * 3600);
    }
    aid_log_free(&log);
}

/* The angle of a window's mean beam, from slots of uneven sunshine, by hand. */
static void test_beam_mean(void **state)
{
    (void)state;
    struct faults faults;
    struct sliding sliding;
    bool present[CH_COUNT] = {[CH_IRRADIANCE] = true, [CH_INCIDENCE] = true, [CH_DIFFUSE] = true};
    bool none[CH_COUNT] = {false};
    const double g[] = {700, 400, 900}, diffuse[] = {100, 390, 100}, angle[] = {0.4, 0.5, 0.6};
    faults_init(&faults);
    assert_true(sliding_init(&sliding, 3, 0, 30, present, none, &faults));
    for (size_t i = 0; i < 3; i++) {
        struct slot slot = {.readings = 2};
        slot.sum[CH_IRRADIANCE] = 2 * g[i];
        slot.sum[CH_DIFFUSE] = 2 * diffuse[i];
        slot.sum[CH_INCIDENCE] = 2 * angle[i];
        for (int c = 0; c < CH_COUNT; c++)
            slot.count[c] = 2;
        sliding_push(&sliding, &slot);
    }
    aid_near("mean", sliding_beam_mean(&sliding, CH_INCIDENCE),
             (600 * 0.4 + 10 * 0.5 + 800 * 0.6) / 1410, 1e-12);
    sliding_free(&sliding);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_clear_days),
        cmocka_unit_test(test_beam_mean),
        cmocka_unit_test(test_mounts),
        cmocka_unit_test(test_incidence_of_rows),
        cmocka_unit_test(test_nothing_without_a_place),
        cmocka_unit_test(test_diffuse_of_sensors),
        cmocka_unit_test(test_doubts),
        cmocka_unit_test(test_diffuse_in_plane),
        cmocka_unit_test(test_brightest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
