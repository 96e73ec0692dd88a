/* From a line of the description to a row of the budget: everything that may be stated as uncertain
 * moves eta0 of a test by what the formulas say, worked by hand.
 *
 * The test is six points of two days in which water of 21 degC leaves at 29 degC beside air of 25
 * degC under 950 W/m2: T* is 0, eta0 is the mean of the efficiencies, and a relative error e of what
 * stands above the line of
 *
 *     eta = density * flow * cp * rise / (area * G)
 *
 * moves it by e, one of what stands below by -e (all but for e squared). An error of one day moves half
 * of the points: over both days it is 1/sqrt 2 of that. An error of each window is 1/sqrt 6 of it. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "domain/error_ageing.h"
#include "run/efficiency.h"
#include "run/modifier.h"
#include "run/setup.h"
#include "run/setup_point.h"
#include "tests/unit/aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define RAD (3.14159265358979323846 / 180)
#define FIRST_DAY 20620 /* 2026-06-16: date -ud 2026-06-16 +%s / 86400 */

enum { POINTS = 6, SIZE = 2000 };
static const double g_W_m2 = 950, rise_K = 8, angle_rad = 12 * RAD;

static struct faults faults;

/* What is added to the sections of a description that says nothing of errors. */
struct added {
    const char *collector, *fluid, *site, *sun, *inlet, *outlet, *meter, *more;
};

static const char *or_none(const char *text)
{
    return text != NULL ? text : "";
}

static void read_setup(const struct added *added, struct test_setup *setup)
{
    char text[SIZE];
    snprintf(
        text, sizeof text,
        "[collector]\ngross area = 2.05 m2\n%s\n[fluid]\n%s\n[site]\n%s\n[points]\nfile = p.csv\n"
        "[instrument sun]\nmeasures = irradiance\n%s\n"
        "[instrument cold]\nmeasures = inlet\n%s\n[instrument hot]\nmeasures = outlet\n%s\n"
        "[instrument meter]\nmeasures = flow\n%s\n%s[run curve]\nkind = efficiency\n",
        or_none(added->collector), or_none(added->fluid), or_none(added->site), or_none(added->sun),
        or_none(added->inlet), or_none(added->outlet), or_none(added->meter), or_none(added->more));
    faults_init(&faults);
    setup_init(setup);
    if (!setup_parse("test.txt", text, strlen(text), setup, &faults))
        fail_msg("%s: %s", text, faults.items[faults.n - 1].found);
    errors_age(setup->instruments, setup->n_instruments, FIRST_DAY, &setup->errors);
}

static void fill(struct means *means, int k, double rise)
{
    static const enum channel channels[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,
                                            CH_OUTLET,     CH_FLOW,    CH_INCIDENCE};
    const double values[] = {g_W_m2, 25, 25 - rise / 2, 25 + rise / 2, 2.4 / 60000, angle_rad};
    memset(means, 0, sizeof *means);
    snprintf(means->name, sizeof means->name, "point %d", k);
    means->session = k % 2;
    means->drift_K_s = NAN;
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        means->has[channels[i]] = true;
        means->mean[channels[i]] = values[i];
    }
    means->sun.share = SHARE_MEASURED;
    means->sun.diffuse_share = 0.12;
}

static void no_fault(const char *name, bool good)
{
    if (!good)
        fail_msg("%s: %s", name, faults.items[faults.n - 1].found);
}

static void fit(const char *name, struct test_setup *setup, const struct point_setup *point_setup,
                const struct means *means, struct point *points, struct efficiency *e)
{
    const struct efficiency_request request = {
        .form = "mean", .scale = FIT_SCALE_STATED, .drop_below = 2};
    for (int k = 0; k < POINTS; k++)
        no_fault(name, point_make(&points[k], &means[k], point_setup, &setup->errors, &faults));
    modifier_keep_apart(points, POINTS, 20 * RAD);
    no_fault(name,
             efficiency_fit(e, points, POINTS, point_setup, &setup->errors, &request, &faults));
}

static const struct efficiency_share *share_of(const char *name, const struct efficiency *e,
                                               const char *id)
{
    for (size_t k = 0; k < e->n_shares; k++)
        if (strcmp(e->shares[k].row->id, id) == 0)
            return &e->shares[k];
    fail_msg("%s: no row '%s' in the budget", name, id);
    return NULL;
}

#define R3 1.7320508075688772
#define CLASS_A "kind = pyranometer class A\n"

/* What share of eta0 a row moves it by; of a session row without its sign. */
static const struct row {
    const char *name;
    struct added added;
    const char *id, *label; /* label: a part of it, or NULL */
    double share;
} rows[] = {
    {"certificate with k", {.sun = "calibration = 1.3 % k=2"}, "sun.calibration", NULL, -0.0065},
    {"certificate with k = 1.96",
     {.sun = "calibration = 1.3 % k=1.96"},
     "sun.calibration",
     NULL,
     -0.013 / 1.96},
    {"one standard deviation", {.sun = "calibration = 0.7 % standard"}, "sun.calibration", NULL,
     -0.007},
    {"limit", {.meter = "calibration = 1.1 % limit"}, "meter.calibration", NULL, 0.011 / R3},
    {"offset of a sun sensor", {.sun = "offset = 3 W/m2 k=2"}, "sun.offset", NULL, -1.5 / 950},
    {"zero of a sun sensor", {.sun = "zero = 4 W/m2 limit"}, "sun.zero", NULL,
     4 / R3 / 950 / 1.4142135623730951},
    {"one thermometer", {.outlet = "calibration = 0.08 K k=2"}, "hot.calibration", NULL, 0.04 / 8},
    {"pair of thermometers",
     {.inlet = "calibration = 0.3 K k=2", .outlet = "matched to = cold\npair = 0.03 K standard"},
     "hot.pair",
     "what is left between 'hot' and 'cold'",
     0.03 / 8},
    {"what a pair has in common",
     {.inlet = "calibration = 0.3 K k=2", .outlet = "matched to = cold\npair = 0.03 K standard"},
     "cold.calibration",
     "calibration common to 'cold' and 'hot'",
     /* Water at 21 degC is lighter by 2.17e-4, at 25 degC its cp smaller by 1.15e-4 each kelvin
      * (IAPWS: 998.207, 997.773 kg/m3 at 20, 22 degC; 4184.79, 4181.90, 4180.02 J/(kg K) at 20, 25,
      * 30). */
     -0.15 * (2.17e-4 + 1.15e-4)},
    {"area", {.collector = "area error = 0.4 % standard"}, "area", NULL, -0.004},
    {"area by default", {.collector = ""}, "area", NULL, -0.003},
    {"specific heat", {.fluid = "name = water\ncp error = 0.6 % k=2"}, "fluid.cp", NULL, 0.003},
    {"density", {.fluid = "name = water\ndensity error = 0.2 % limit"}, "fluid.density", NULL,
     0.002 / R3},
    /* 827 days from 11 March 2024 to 16 June 2026. */
    {"drift of a class since its calibration",
     {.sun = CLASS_A "calibrated = 2024-03-11"},
     "sun.ageing",
     "since 2024-03",
     -0.008 / R3 * 827 / 365.25},
    {"drift of nobody knows when", {.sun = CLASS_A}, "sun.ageing",
     "in 2 years: 'calibrated' is not stated", -0.016 / R3},
    {"drift until a later calibration",
     {.sun = CLASS_A "calibrated = 2026-08-15"},
     "sun.ageing",
     "until it was calibrated in 2026-08",
     -0.008 / R3 * 60 / 365.25},
    {"stated drift of a meter",
     {.meter = "calibrated = 2025-06-16\ndrift per year = 0.9 % limit"},
     "meter.ageing",
     "since 2025-06",
     0.009 / R3 * 365 / 365.25},
    {"stated drift of a thermometer",
     {.outlet = "calibrated = 2023-06-17\ndrift per year = 0.02 K standard"},
     "hot.ageing",
     "since 2023-06",
     0.02 * 1095 / 365.25 / 8},
    {"class A, factor", {.sun = CLASS_A}, "sun.calibration", NULL, -0.008},
    {"class A, linearity", {.sun = CLASS_A}, "sun.linearity", NULL, -0.005 / R3},
    {"class A, spectrum", {.sun = CLASS_A}, "sun.spectrum", NULL, -0.005 / R3},
    {"class A, temperature", {.sun = CLASS_A}, "sun.temperature", NULL, -0.010 / R3},
    {"class A, tilt", {.sun = CLASS_A}, "sun.tilt", NULL, -0.005 / R3},
    {"class A, signal", {.sun = CLASS_A}, "sun.signal", NULL, -2 / R3 / 950},
    {"class A, zero a", {.sun = CLASS_A}, "sun.thermal", NULL, -7 / R3 / 950},
    {"class A, zero b", {.sun = CLASS_A}, "sun.zero", NULL, 2 / R3 / 950 / 1.4142135623730951},
    /* 10/sqrt 3 * sin 12 deg * 950 * (1 - 0.12)/(1000 cos 12 deg) = 1.02594 W/m2 */
    {"class A, direction", {.sun = CLASS_A}, "sun.direction", NULL, -1.0259357565 / 950},
    {"class C, direction", {.sun = "kind = pyranometer class C"}, "sun.direction", NULL,
     -3 * 1.0259357565 / 950},
    {"class B with a certificate",
     {.sun = "kind = pyranometer class B\ncalibration = 1 % k=2"},
     "sun.temperature",
     NULL,
     -0.020 / R3},
};

/* Relative errors enter all but linearly: e^2 of e, 1e-4 of the largest here. The water that leaves
 * has a cp 4e-4 below the mean of the rise: 1e-3 for thermometers. */
static void each_statement_is_a_row_of_the_budget(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct test_setup setup;
        struct means means[POINTS];
        struct point points[POINTS];
        struct efficiency e;
        read_setup(&rows[i].added, &setup);
        struct point_setup point_setup = setup_point(&setup, BASIS_MEAN);
        for (int k = 0; k < POINTS; k++)
            fill(&means[k], k, rise_K);
        fit(rows[i].name, &setup, &point_setup, means, points, &e);
        const struct efficiency_share *share = share_of(rows[i].name, &e, rows[i].id);
        double got = share->d[0] / e.curve.coef[0];
        aid_near(rows[i].name, got, rows[i].share, 1e-3 * fabs(rows[i].share) + 3e-7);
        assert_true(strlen(share->row->cure) > 0 || strncmp(rows[i].id, "fluid.", 6) == 0);
        if (rows[i].label != NULL && strstr(share->row->label, rows[i].label) == NULL)
            fail_msg("%s: '%s'", rows[i].name, share->row->label);
        efficiency_free(&e);
        setup_free(&setup);
    }
}

/* Of errors of each window the budget has one row, what all of them come to. */
static void resolution_and_reading_average_over_the_windows(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        struct added added;
        double share;
    } fresh[] = {
        {"resolution", {.outlet = "resolution = 0.1 K"}, 0.1 / 3.4641016151377544 / 8},
        {"reading", {.meter = "reading = 0.5 % standard per window"}, 0.005},
        {"resolution of the sun", {.sun = "resolution = 5 W/m2"}, 5 / 3.4641016151377544 / 950},
    };
    for (size_t i = 0; i < sizeof fresh / sizeof fresh[0]; i++) {
        struct test_setup setup;
        struct means means[POINTS];
        struct point points[POINTS];
        struct efficiency e;
        read_setup(&fresh[i].added, &setup);
        struct point_setup point_setup = setup_point(&setup, BASIS_MEAN);
        for (int k = 0; k < POINTS; k++)
            fill(&means[k], k, rise_K);
        fit(fresh[i].name, &setup, &point_setup, means, points, &e);
        aid_near_relative(fresh[i].name, sqrt(e.reading[0]) / e.curve.coef[0],
                          fresh[i].share / sqrt(POINTS), 1e-3);
        efficiency_free(&e);
        setup_free(&setup);
    }
}

/* Density times cp of the mixture that is thought to be in the loop, over that which is: taken from
 * the mixture itself at both fractions, not from its derivative. */
static void the_fraction_moves_density_and_heat_together(void **unused)
{
    (void)unused;
    const struct added added = {
        .fluid = "name = propylene glycol\nfraction = 40 % by volume\nfraction error = 3 % k=2"};
    struct test_setup setup;
    struct means means[POINTS];
    struct point points[POINTS];
    struct efficiency e;
    struct fluid more, less;
    read_setup(&added, &setup);
    struct point_setup point_setup = setup_point(&setup, BASIS_MEAN);
    for (int k = 0; k < POINTS; k++)
        fill(&means[k], k, rise_K);
    fit("fraction", &setup, &point_setup, means, points, &e);
    const struct fluid_mixture *mixture = &setup.fluid.mixture;
    double at = mixture->by_mass ? mixture->mass : mixture->volume;
    fluid_glycol(&more, mixture->glycol, mixture->by_mass, at + 0.015);
    fluid_glycol(&less, mixture->glycol, mixture->by_mass, at - 0.015);
    double up = fluid_density(&more, 21) * fluid_cp(&more, 25);
    double down = fluid_density(&less, 21) * fluid_cp(&less, 25);
    double middle = fluid_density(&setup.fluid, 21) * fluid_cp(&setup.fluid, 25);
    double got = share_of("fraction", &e, "fluid.fraction")->d[0] / e.curve.coef[0];
    aid_near_relative("fraction", got, 0.5 * (up - down) / middle, 2e-2);
    efficiency_free(&e);
    setup_free(&setup);
}

/* What is stated or does not apply takes a class's rows away, and no others. */
static void what_is_stated_takes_rows_away(void **unused)
{
    (void)unused;
    static const char shade[] =
        "[instrument shade]\nmeasures = diffuse\nkind = pyranometer class A\n";
    static const char level[] =
        "[instrument level]\nmeasures = global horizontal\nkind = pyranometer class A\n";
    static const struct {
        struct added added;
        const char *gone, *stays;
    } cases[] = {
        {{.sun = CLASS_A "zero = 3 W/m2 limit"}, "sun.thermal", "sun.signal"},
        {{.sun = CLASS_A "zero = 3 W/m2 limit"}, "sun.thermal", "sun.zero"},
        {{.sun = CLASS_A "offset = 3 W/m2 limit"}, "sun.signal", "sun.thermal"},
        {{.sun = CLASS_A "calibration = 1.2 % k=2"}, "sun.pair", "sun.temperature"},
        {{.sun = "calibration = 1.2 % k=2\ncalibrated = 2024-03-11"}, "sun.ageing",
         "sun.calibration"},
        {{.more = shade}, "shade.direction", "shade.tilt"},
        {{.more = level}, "level.tilt", "level.temperature"},
        {{.more = level}, "level.direction", "level.ageing"},
        {{.inlet = "calibration = 0.3 K k=2",
          .outlet = "kind = calibrated resistance thermometer\nmatched to = cold\n"
                    "pair = 0.03 K standard\ndrift per year = 0.01 K limit"},
         "hot.calibration",
         "hot.ageing"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct test_setup setup;
        bool gone = true, stays = false;
        read_setup(&cases[i].added, &setup);
        for (size_t k = 0; k < setup.errors.n; k++) {
            gone = gone && strcmp(setup.errors.rows[k].id, cases[i].gone) != 0;
            stays = stays || strcmp(setup.errors.rows[k].id, cases[i].stays) == 0;
        }
        if (!gone || !stays)
            fail_msg("row %zu: %s is %s, %s %s", i, cases[i].gone, gone ? "gone" : "there",
                     cases[i].stays, stays ? "stays" : "is gone");
        setup_free(&setup);
    }
}

/* Where the angle is not known the whole bound counts; a weak beam counts for its share of it. */
static void the_direction_depends_on_the_angle(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double g_W_m2, angle_deg, share; /* angle NaN: not known; share NaN: not known */
        double want;
    } cases[] = {
        {"at the normal", 950, 0, 0.1, 0},
        {"30 degrees, full beam", 990, 30, 0.1, 10 * 0.5},
        {"60 degrees, full beam", 700, 60, 0.2, 10 * 0.8660254037844386},
        {"60 degrees, half of a full beam", 500, 60, 0.5, 10 * 0.8660254037844386 * 0.5},
        {"60 degrees, share not known", 400, 60, NAN, 10 * 0.8660254037844386 * 0.8},
        {"angle not known", 950, NAN, 0.1, 10},
        {"grazing", 300, 90, 0.1, 10},
        {"all diffuse", 300, 60, 1, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct means means;
        fill(&means, 0, rise_K);
        means.mean[CH_IRRADIANCE] = cases[i].g_W_m2;
        means.has[CH_INCIDENCE] = !isnan(cases[i].angle_deg);
        means.mean[CH_INCIDENCE] = cases[i].angle_deg * RAD;
        means.sun.share = isnan(cases[i].share) ? SHARE_UNKNOWN : SHARE_MEASURED;
        means.sun.diffuse_share = cases[i].share;
        aid_near(cases[i].name, point_direction(&means, 10), cases[i].want, 1e-9);
    }
}

/* Tilt and azimuth move the angle of incidence, and with it b0 = (1 - K)/(1/cos - 1). The sun
 * stands where either turns the plane straight away from it: a third of the points at the normal,
 * the rest at 50 degrees. */
static void tilt_and_azimuth_move_the_modifier(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        struct added added;
        double near[3], off[3]; /* of the sun: east, north, up */
        double u_deg;
    } cases[] = {
        /* Faces south; the plane's normal is 20 degrees high, the sun 20 and 70 degrees. */
        {"mount.tilt",
         {.site = "tilt = 70 deg\nfacing = south\ntilt error = 1.6 deg k=2"},
         {0, -0.9396926207859084, 0.3420201433256687},
         {0, -0.3420201433256687, 0.9396926207859084},
         0.8},
        /* Upright; the sun on the horizon in the south, and 50 degrees east of it. */
        {"mount.azimuth",
         {.site = "tilt = 90 deg\nfacing = south\nazimuth error = 4 deg limit"},
         {0, -1, 0},
         {0.766044443118978, -0.6427876096865394, 0},
         4 / R3},
        /* As little as is usual where nothing is stated: a degree, five degrees as limits. */
        {"mount.tilt",
         {.site = "tilt = 70 deg\nfacing = south"},
         {0, -0.9396926207859084, 0.3420201433256687},
         {0, -0.3420201433256687, 0.9396926207859084},
         1 / R3},
        {"mount.azimuth",
         {.site = "tilt = 90 deg\nfacing = south"},
         {0, -1, 0},
         {0.766044443118978, -0.6427876096865394, 0},
         5 / R3},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct test_setup setup;
        struct means means[POINTS];
        struct point points[POINTS];
        struct efficiency e;
        struct modifier modifier;
        read_setup(&cases[i].added, &setup);
        no_fault(cases[i].name, site_expand(&setup.site, true, true, &setup.errors, &faults));
        struct point_setup point_setup = setup_point(&setup, BASIS_MEAN);
        for (int k = 0; k < POINTS; k++) {
            bool off = k > 1;
            fill(&means[k], k, off ? 0.93 * rise_K : rise_K);
            means[k].mean[CH_INCIDENCE] = off ? 50 * RAD : 0;
            means[k].sun.share = SHARE_UNKNOWN;
            means[k].sun.known = means[k].sun.plane_known = true;
            means[k].sun.tilt_rad = setup.site.tilt_rad.value;
            means[k].sun.azimuth_rad = setup.site.azimuth_rad.value;
            memcpy(means[k].sun.at, off ? cases[i].off : cases[i].near, sizeof means[k].sun.at);
        }
        fit(cases[i].name, &setup, &point_setup, means, points, &e);
        no_fault(cases[i].name,
                 modifier_fit(&modifier, &e, points, POINTS, &point_setup, &setup.errors,
                              FIT_MODIFIER_B0, FIT_SCALE_STATED, &faults));
        /* ratio = (1 - b0 s)/(1 - b0 s0), s = 1/cos - 1 of both sorts of points as they are moved
         */
        double ratio = points[5].value.eta / points[0].value.eta;
        double u = cases[i].u_deg * RAD, s0 = 1 / cos(u) - 1;
        double up = (1 - ratio) / (1 / cos(50 * RAD + u) - 1 - ratio * s0);
        double down = (1 - ratio) / (1 / cos(50 * RAD - u) - 1 - ratio * s0);
        double got = NAN;
        for (size_t k = 0; k < modifier.n_shares; k++)
            if (strcmp(modifier.shares[k].row->id, cases[i].name) == 0)
                got = modifier.shares[k].d[0];
        aid_near_relative(cases[i].name, got, 0.5 * (up - down), 1e-3);
        modifier_free(&modifier);
        efficiency_free(&e);
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_statement_is_a_row_of_the_budget),
        cmocka_unit_test(resolution_and_reading_average_over_the_windows),
        cmocka_unit_test(the_fraction_moves_density_and_heat_together),
        cmocka_unit_test(what_is_stated_takes_rows_away),
        cmocka_unit_test(the_direction_depends_on_the_angle),
        cmocka_unit_test(tilt_and_azimuth_move_the_modifier),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
