/* sky/incidence against the table by vectors, and textbook examples. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>

#include "aid_near.h"
#include "aid_table.h"
#include "sky/incidence.h"

#define RAD (M_PI / 180.0)

/* 378 rows made with numpy by dot and cross products and, independently, by the closed formula;
 * they agree within 1.7e-13 degrees and are printed to 1e-8, half of which is 5e-9: for the angle
 * itself the closed formula is evaluated here, in long double, beside the print. */
static void test_table(void **state)
{
    (void)state;
    struct aid_table table;
    size_t projected = 0;
    aid_table_read(&table, "testdata/published/incidence-angle.csv");
    for (size_t i = 0; i < table.n_rows; i++) {
        double zenith = aid_table_number(&table, i, "zenith") * RAD;
        double azimuth = aid_table_number(&table, i, "azimuth") * RAD;
        double tilt = aid_table_number(&table, i, "tilt") * RAD;
        double facing = aid_table_number(&table, i, "surface_azimuth") * RAD;
        char name[64];
        snprintf(name, sizeof name, "row %zu", i + 1);
        struct plane plane = plane_of(tilt, facing);
        struct vector sun = vector_of(M_PI_2 - zenith, azimuth);
        double theta = incidence_rad(&plane, sun) / RAD;
        aid_near(name, theta, aid_table_number(&table, i, "theta"), 5.1e-9);
        long double closed = cosl(zenith) * cosl(tilt) +
                             sinl(zenith) * sinl(tilt) * cosl((long double)azimuth - facing);
        aid_near(name, theta, (double)(acosl(fminl(closed, 1.0L)) / RAD), 1e-9);
        /* With the sun in the plane itself the projections are a matter of rounding. */
        if (aid_table_text(&table, i, "theta_slope")[0] == '\0' || fabs(theta - 90) < 1e-9)
            continue;
        struct projections p = incidence_projections(&plane, sun);
        aid_near(name, p.slope_rad / RAD, aid_table_number(&table, i, "theta_slope"), 5.1e-9);
        aid_near(name, p.across_rad / RAD, aid_table_number(&table, i, "theta_horizontal"), 5.1e-9);
        projected++;
    }
    assert_int_equal(table.n_rows, 378);
    assert_true(projected > 200);
    aid_table_free(&table);
}

/* Place of the sun from solar time, by the textbook's triangle, so that the examples can be told.
 * */
static struct vector sun_of(double latitude_deg, double declination_deg, double hour_angle_deg)
{
    double phi = latitude_deg * RAD, delta = declination_deg * RAD, omega = hour_angle_deg * RAD;
    double out = cos(delta) * cos(omega);
    return (struct vector){-cos(delta) * sin(omega), cos(phi) * sin(delta) - sin(phi) * out,
                           sin(phi) * sin(delta) + cos(phi) * out};
}

/* J. A. Duffie and W. A. Beckman, Solar Engineering of Thermal Processes, worked examples. 1.6.1
 * as read on a page that quotes the book (cosine 0.817, 35 degrees); 1.6.2 and 1.6.3 from memory
 * of the book, to its printed digits. */
static void test_textbook(void **state)
{
    (void)state;
    const struct {
        const char *name;
        double latitude, declination, hour_angle, tilt, facing;
        double zenith, azimuth, theta, tolerance;
    } rows[] = {
        {"1.6.1: 13 February 10:30", 43, -14, -22.5, 45, 195, NAN, NAN, 35, 0.5},
        {"1.6.1 to full digits (computed two ways)", 43, -14, -22.5, 45, 195, 60.618547, 154.777931,
         35.176193, 1e-6},
        {"1.6.2 a", 43, -14, -37.5, 45, 180, 66.5, 180 - 40.0, NAN, 0.1},
        {"1.6.2 b", 43, 23.1, 97.5, 45, 180, 79.6, 180 + 112.0, NAN, 0.1},
        {"1.6.3: 16 March 16:00", 43, -2.4, 60, 60, 205, 70.3, 180 + 66.8, NAN, 0.1},
        {"1.6.3, on the plane (computed)", 43, -2.4, 60, 60, 205, NAN, NAN, 39.055814, 1e-6},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct vector sun = sun_of(rows[i].latitude, rows[i].declination, rows[i].hour_angle);
        struct plane plane = plane_of(rows[i].tilt * RAD, rows[i].facing * RAD);
        if (!isnan(rows[i].zenith)) {
            aid_near(rows[i].name, 90 - vector_height_rad(sun) / RAD, rows[i].zenith,
                     rows[i].tolerance);
            aid_near(rows[i].name, vector_azimuth_rad(sun) / RAD, rows[i].azimuth,
                     rows[i].tolerance);
        }
        if (!isnan(rows[i].theta))
            aid_near(rows[i].name, incidence_rad(&plane, sun) / RAD, rows[i].theta,
                     rows[i].tolerance);
    }
}

/* A plane from its normal is the plane from its angles; a level one keeps the azimuth given. */
static void test_facing(void **state)
{
    (void)state;
    struct plane a = plane_of(37.5 * RAD, 203.0 * RAD);
    struct plane b = plane_facing(a.normal, 0.0);
    aid_near("up the slope", vector_dot(a.up_slope, b.up_slope), 1.0, 1e-15);
    aid_near("across", vector_dot(a.across, b.across), 1.0, 1e-15);
    struct plane level = plane_facing((struct vector){0, 0, 1}, 90.0 * RAD);
    aid_near("level: up the slope is west", level.up_slope.x, -1.0, 1e-15);
    aid_near("level, looking east: across is south", level.across.y, -1.0, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_table),
        cmocka_unit_test(test_textbook),
        cmocka_unit_test(test_facing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
