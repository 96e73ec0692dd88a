/* Design audit: levels, spread, noon, sessions, and what a form needs. Expected values by counting.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "base/calendar.h"
#include "run/design.h"

#include <math.h>
#include <string.h>

static struct reduced_test test;

/* Points at these differences to the air, 1000 W/m2. */
static void at(const double *rise_K, size_t n)
{
    reduced_init(&test);
    for (size_t i = 0; i < n; i++)
        reduced_add(&test, 1000, rise_K[i] / 1000, 0.7, 0.01);
}

static void levels_are_three_kelvin_wide(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        size_t n;
        double rise_K[8];
        size_t levels;
        double first_K; /* mean of the coldest level */
    } rows[] = {
        {"none", 0, {0}, 0, NAN},
        {"one", 1, {17.3}, 1, 17.3},
        {"within 3 K", 3, {4.1, 5.9, 7.0}, 1, 17.0 / 3},
        {"just beyond", 2, {4.1, 7.2}, 2, 4.1},
        {"any order", 6, {41.3, 0.4, 22.7, 1.2, 43.9, 20.1}, 3, 0.8},
        {"below the air", 3, {-2.7, -1.9, 30.0}, 2, -2.3},
        {"far below the air", 2, {-9.5, 30.0}, 2, -9.5},
        {"slow rise counts its reach", 8, {0, 2, 4, 6, 8, 10, 12, 14}, 4, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct design design;
        at(rows[i].rise_K, rows[i].n);
        design_audit(&design, test.points, test.n, NAN);
        if (design.n_levels != rows[i].levels)
            fail_msg("%s: %zu levels", rows[i].name, design.n_levels);
        assert_int_equal(design.points, rows[i].n);
        if (rows[i].n > 0)
            aid_near(rows[i].name, design.levels[0].rise_K, rows[i].first_K, 1e-9);
    }
}

static void a_form_needs_points_levels_and_reach(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        size_t n;
        double rise_K[6];
        bool mean, line, second;
    } rows[] = {
        {"none", 0, {0}, false, false, false},
        {"one", 1, {12.5}, true, false, false},
        {"two far apart", 2, {1, 61}, true, false, false},
        {"one level", 5, {1, 1.5, 2, 2.5, 3}, true, false, false},
        {"reach of 9.9 K", 3, {1, 5, 10.9}, true, false, false},
        {"reach of 10.1 K", 3, {1, 5, 11.1}, true, true, false},
        {"three of three levels", 3, {1, 21, 61}, true, true, false},
        {"four of two levels", 4, {1, 2, 60, 61}, true, true, false},
        {"four of three, reach 19.9 K", 4, {1, 10, 12, 20.9}, true, true, false},
        {"four of three, reach 20.1 K", 4, {1, 10, 12, 21.1}, true, true, true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct design design;
        at(rows[i].rise_K, rows[i].n);
        design_audit(&design, test.points, test.n, NAN);
        if (design_holds(&design, "mean") != rows[i].mean ||
            design_holds(&design, "line") != rows[i].line ||
            design_holds(&design, "second order") != rows[i].second)
            fail_msg("%s", rows[i].name);
        assert_false(design_holds(&design, "cubic"));
    }
}

static void a_refusal_says_what_is_there_and_what_is_needed(void **unused)
{
    (void)unused;
    const double rise[] = {1.0, 2.5, 31.7};
    struct design design;
    at(rise, 3);
    design_audit(&design, test.points, test.n, NAN);
    assert_true(design_require(&design, "line", &test.faults));
    assert_int_equal(test.faults.n, 0);
    assert_false(design_require(&design, "second order", &test.faults));
    assert_int_equal(faults_status(&test.faults), 4);
    assert_string_equal(test.faults.items[0].found,
                        "the data cannot hold the form 'second order': 3 points at 2 temperatures, "
                        "30.7 K apart at most");
    assert_string_equal(test.faults.items[0].expected,
                        "at least 4 points at 3 temperatures (mean water - air, 3 K apart or more) "
                        "that span 20 K");
}

static void left_out_points_do_not_count(void **unused)
{
    (void)unused;
    const double rise[] = {1.0, 2.5, 31.7, 61.2};
    struct design design;
    at(rise, 4);
    test.points[3].left_out = true;
    test.means[0].session = 7;
    test.means[1].session = 7;
    test.means[2].session = -1;
    test.means[3].session = 8;
    design_audit(&design, test.points, test.n, NAN);
    assert_int_equal(design.points, 3);
    assert_int_equal(design.n_levels, 2);
    assert_int_equal(design.sessions, 2);
    aid_near("most", design.most_K, 31.7, 1e-9);
    aid_near("most x", design.most_x, 0.0317, 1e-12);
    aid_near("least x", design.least_x, 0.001, 1e-12);
}

/* Mean solar noon at longitude 7.1 degrees east: 12:00 - 28.4 min = 11:31:36 UTC; at 120 degrees
 * west: 20:00 UTC. */
static void noon_follows_the_longitude(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double longitude_deg;
        int64_t middle_s; /* of the day in UTC */
        bool before;
    } rows[] = {
        {"7.1 E, a minute before", 7.1, 11 * 3600 + 30 * 60 + 36, true},
        {"7.1 E, a minute after", 7.1, 11 * 3600 + 32 * 60 + 36, false},
        {"120 W, noon in UTC", -120, 12 * 3600, true},
        {"120 W, a minute before", -120, 20 * 3600 - 60, true},
        {"120 W, a minute after", -120, 20 * 3600 + 60, false},
        {"170 E, day before in UTC", 170, 23 * 3600, true},
        /* Equation of time of 15 February and 1 November 2025: -14.064 and 16.4 min
         * (testdata/published/sun-eot-declination-2025.csv); 16 June 2026: half a minute. */
        {"0 E in February, half a minute before", 0, -486 * 86400 + 12 * 3600 + 814, true},
        {"0 E in February, half a minute after", 0, -486 * 86400 + 12 * 3600 + 874, false},
        {"0 E in November, half a minute before", 0, -227 * 86400 + 12 * 3600 - 1015, true},
        {"0 E in November, half a minute after", 0, -227 * 86400 + 12 * 3600 - 955, false},
    };
    const double rise[] = {1.0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct design design;
        at(rise, 1);
        test.means[0].timed = true;
        test.means[0].start_us = (20620 * INT64_C(86400) + rows[i].middle_s - 300) * US_PER_S;
        test.means[0].end_us = test.means[0].start_us + 600 * US_PER_S;
        design_audit(&design, test.points, 1, rows[i].longitude_deg * M_PI / 180);
        if (!design.noon_known || (design.levels[0].before_noon == 1) != rows[i].before)
            fail_msg("%s: before noon %zu", rows[i].name, design.levels[0].before_noon);
        design_audit(&design, test.points, 1, NAN);
        assert_false(design.noon_known);
        assert_int_equal(design.levels[0].before_noon + design.levels[0].after_noon, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(levels_are_three_kelvin_wide),
        cmocka_unit_test(a_form_needs_points_levels_and_reach),
        cmocka_unit_test(a_refusal_says_what_is_there_and_what_is_needed),
        cmocka_unit_test(left_out_points_do_not_count),
        cmocka_unit_test(noon_follows_the_longitude),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
