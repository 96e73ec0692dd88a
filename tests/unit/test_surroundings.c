/* Wind and sky that are not known: the table against a balance of plate, glass and sky, the
 * formulas of the sky, the rows of the registry and what they do to a curve; and days that differ.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "domain/surroundings.h"
#include "fit/distributions.h"
#include "run/efficiency.h"

#include <math.h>
#include <string.h>

static const double sigma = 5.670374419e-8;

/* Natural convection between plate and glass, 25 mm apart, 45 degrees: Hollands et al., J. Heat
 * Transfer 98 (1976) 189, as in Duffie and Beckman (from memory). Air by straight lines. */
static double gap_W_m2K(double plate_K, double glass_K)
{
    double mean = 0.5 * (plate_K + glass_K), gap = 0.025, tilt = atan(1.0);
    double viscosity = 1.2e-5 + (mean - 270) * 9.5e-8, k = 0.0241 + (mean - 273) * 7.5e-5;
    double ra = 9.81 / mean * fabs(plate_K - glass_K) * pow(gap, 3) /
                (viscosity * viscosity / 0.71) * cos(tilt);
    double nu = 1 + 1.44 * fmax(0, 1 - 1708 / ra) * (1 - 1708 * pow(sin(1.8 * tilt), 1.6) / ra) +
                fmax(0, cbrt(ra / 5830) - 1);
    return nu * k / gap;
}

/* Loss of a plate through one glass of emittance 0.88 to air and sky, W/m2. */
static double top_loss(double plate_K, double air_K, double sky_K, double wind_W_m2K,
                       double emittance)
{
    double low = sky_K - 20, high = plate_K, up = 0;
    for (int i = 0; i < 80; i++) {
        double glass = 0.5 * (low + high);
        up = gap_W_m2K(plate_K, glass) * (plate_K - glass) +
             sigma * (pow(plate_K, 4) - pow(glass, 4)) / (1 / emittance + 1 / 0.88 - 1);
        double out = wind_W_m2K * (glass - air_K) + 0.88 * sigma * (pow(glass, 4) - pow(sky_K, 4));
        *(up > out ? &low : &high) = glass;
    }
    return up;
}

/* The balance itself: 6.62 W/(m2 K) at 100 degC over 10 degC, wind 10 W/(m2 K), emittance 0.95; the
 * book has 6.6 (Duffie and Beckman, example 6.4.1, from memory). Then the table: at 40 to 80 degC
 * over 20 degC and 3 m/s, with Watmuff's 2.8 + 3.0 V, times 0.9 for the way from fluid to plate. */
static void the_table_against_a_balance(void **unused)
{
    (void)unused;
    aid_near("the book's example", top_loss(373.15, 283.15, 283.15, 10, 0.95) / 90, 6.6, 0.1);
    static const struct {
        const char *name;
        enum surface surface;
        double emittance;
    } rows[] = {{"black", SURFACE_BLACK, 0.95}, {"selective", SURFACE_SELECTIVE, 0.10}};
    for (size_t i = 0; i < 2; i++) {
        struct collector collector = {.surface = {.at.given = true, .index = rows[i].surface}};
        struct exposure exposure;
        exposure_of(&collector, &exposure);
        double sky = 0, wind = 0, air = 293.15;
        for (int k = 0; k < 3; k++) {
            double plate = 313.15 + 20 * k, e = rows[i].emittance;
            sky += 0.9 / 3 *
                   (top_loss(plate, air, air - 20, 11.8, e) - top_loss(plate, air, air, 11.8, e));
            wind += 0.9 / 3 *
                    (top_loss(plate, air, air, 2.8 + 3 * 4.5, e) -
                     top_loss(plate, air, air, 2.8 + 3 * 1.5, e)) /
                    (3 * (plate - air));
        }
        aid_near(rows[i].name, 20 * exposure.sky_W_m2K, sky, 2.0);
        aid_near(rows[i].name, exposure.wind_J_m3K, wind, 0.02);
    }
}

static void which_row_is_taken(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        int surface;      /* -1: not stated */
        double emittance; /* < 0: not stated */
        int construction;
        double wind, sky;
        const char *origin;
    } rows[] = {
        {"nothing", -1, -1, -1, 0.35, 1.45, "black surface (the wider, none is stated)"},
        {"homemade", -1, -1, 0, 0.35, 1.45, "black surface (the wider, none is stated)"},
        {"selective", 1, -1, 1, 0.12, 0.80, "selective surface"},
        {"emittance of black", -1, 0.95, -1, 0.35, 1.45, "emittance 0.95"},
        {"halfway", -1, 0.525, -1, 0.235, 1.125, "emittance 0.53"},
        {"unglazed", 0, -1, 2, 2.7, 5.1, "unglazed plate"},
        {"tubes", -1, -1, 3, 0.03, 0.1, "evacuated tubes with heat pipes"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct collector c;
        struct exposure exposure;
        memset(&c, 0, sizeof c);
        if (rows[i].surface >= 0)
            c.surface = (struct stated_choice){.at.given = true, .index = (size_t)rows[i].surface};
        if (rows[i].emittance >= 0)
            c.emittance = (struct stated_number){.at.given = true, .value = rows[i].emittance};
        if (rows[i].construction >= 0)
            c.construction =
                (struct stated_choice){.at.given = true, .index = (size_t)rows[i].construction};
        exposure_of(&c, &exposure);
        aid_near(rows[i].name, exposure.wind_J_m3K, rows[i].wind, 1e-12);
        aid_near(rows[i].name, exposure.sky_W_m2K, rows[i].sky, 1e-12);
        if (strcmp(exposure.origin, rows[i].origin) != 0)
            fail_msg("%s: '%s'", rows[i].name, exposure.origin);
    }
}

/* By hand: 293.15^1.5 = 293.15 * 17.12162 = 5019.20, 0.0552 of it = 277.060 K (Swinbank 1963, from
 * memory); 5.670374e-8 * 273.15^4 = 315.66 W/m2. */
static void temperatures_of_the_sky(void **unused)
{
    (void)unused;
    aid_near("Swinbank at 20 degC", sky_swinbank_degC(20), 277.060 - 273.15, 0.001);
    aid_near("longwave of ice", sky_degC_of_longwave(315.66), 0, 0.002);
    aid_near("nothing", sky_degC_of_longwave(0), -273.15, 1e-12);
}

static const struct error_source *row_of(const struct error_registry *registry, const char *id)
{
    for (size_t i = 0; i < registry->n; i++)
        if (strcmp(registry->rows[i].id, id) == 0)
            return &registry->rows[i];
    return NULL;
}

/* Limits are rectangular: / sqrt 3. */
static void rows_of_what_is_not_known(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        bool wind, sky; /* measured */
        double stated, error;
        enum sky_known known;
        double u_wind, u_sky, u_day; /* 0: no row */
    } rows[] = {
        {"nothing", false, false, -1, 0, SKY_UNKNOWN, 0.35 * 2 / 1.7320508, 1.45 * 12.5 / 1.7320508,
         1.45 * 2},
        {"stated wind", false, false, 2, 0, SKY_UNKNOWN, 0.35 * 1 / 1.7320508,
         1.45 * 12.5 / 1.7320508, 1.45 * 2},
        {"stated with its error", false, true, 2, 0.3, SKY_UNKNOWN, 0.35 * 0.3, 0, 0},
        {"formula", true, false, -1, 0, SKY_SWINBANK, 0, 1.45 * 7 / 1.7320508, 1.45 * 1.5},
        {"in a room", true, false, -1, 0, SKY_INDOORS, 0, 1.45 * 2 / 1.7320508, 1.45 * 0.5},
        {"both measured", true, true, -1, 0, SKY_UNKNOWN, 0, 0, 0},
    };
    static const char *const ids[] = {"surroundings.wind", "surroundings.sky",
                                      "surroundings.sky day"};
    struct faults faults;
    faults_init(&faults);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct collector collector;
        struct site site;
        struct error_registry registry;
        memset(&collector, 0, sizeof collector);
        memset(&site, 0, sizeof site);
        if (rows[i].stated >= 0)
            site.wind_m_s = (struct stated_number){.at.given = true, .value = rows[i].stated};
        if (rows[i].error > 0)
            site.wind_error = (struct stated_error){.at.given = true, .u = rows[i].error};
        site.sky = (struct stated_choice){.at.given = true, .index = rows[i].known};
        registry_init(&registry);
        assert_true(
            surroundings_expand(&collector, &site, rows[i].wind, rows[i].sky, &registry, &faults));
        const double u[] = {rows[i].u_wind, rows[i].u_sky, rows[i].u_day};
        for (size_t k = 0; k < 3; k++) {
            const struct error_source *row = row_of(&registry, ids[k]);
            if ((row != NULL) != (u[k] > 0))
                fail_msg("%s: %s", rows[i].name, ids[k]);
            if (row != NULL)
                aid_near_relative(rows[i].name, row->u, u[k], 1e-7);
            if (row != NULL)
                assert_int_equal(row->kind, k == 2 ? ERROR_SESSION : ERROR_CALIBRATION);
        }
        registry_free(&registry);
    }
}

/* A sky thermometer of 3 K standard and a pyrgeometer of 5 %: 1.45 W/m2 for each kelvin. */
static void a_measured_sky_is_as_sure_as_its_instrument(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        struct error_target target;
        double u, u_K;
    } rows[] = {
        {"thermometer", {SHIFT_OFFSET, CH_SKY, 1}, 3.0, 3.0},
        {"pyrgeometer", {SHIFT_GAIN, CH_LONGWAVE, 1}, 0.05, 0.05 * 285 / 4},
    };
    struct faults faults;
    faults_init(&faults);
    for (size_t i = 0; i < 2; i++) {
        struct collector collector;
        struct site site;
        struct error_registry registry;
        struct error_source row = {
            .kind = ERROR_CALIBRATION, .u = rows[i].u, .n_targets = 1, .targets = {rows[i].target}};
        memset(&collector, 0, sizeof collector);
        memset(&site, 0, sizeof site);
        registry_init(&registry);
        assert_true(registry_add(&registry, &row, &faults));
        assert_true(surroundings_expand(&collector, &site, true, true, &registry, &faults));
        assert_int_equal(registry.n, 2);
        aid_near_relative(rows[i].name, registry.rows[1].u, 1.45 * rows[i].u_K, 1e-12);
        registry_free(&registry);
    }
}

static struct reduced_test test;
static const double G = 900, h = 25.0 / 900, u_eta = 0.002, eta0 = 0.761, a1 = 4.317;

static bool fit(const char *form, const struct error_registry *registry, enum fit_scale scale,
                struct efficiency *e)
{
    struct efficiency_request request = {.form = form, .scale = scale, .drop_below = 2};
    return efficiency_fit(e, test.points, test.n, &test.setup, registry, &request, &test.faults);
}

/* An unknown wind of u W/(m2 K) moves a1 by u and nothing else; an unknown sky of u W/m2 moves eta0
 * by u/G. */
static void what_the_rows_do_to_a_curve(void **unused)
{
    (void)unused;
    struct efficiency e;
    struct error_registry registry;
    struct error_source wind = {.kind = ERROR_CALIBRATION,
                                .u = 0.41,
                                .dof = INFINITY,
                                .n_targets = 1,
                                .targets = {{.what = SHIFT_LOSS_SLOPE, .weight = 1}}};
    struct error_source sky = wind;
    sky.u = 9.3;
    sky.targets[0].what = SHIFT_LOSS;
    reduced_init(&test);
    registry_init(&registry);
    assert_true(registry_add(&registry, &wind, &test.faults));
    assert_true(registry_add(&registry, &sky, &test.faults));
    for (int k = 0; k < 12; k++)
        reduced_add(&test, G, h * (k / 4), eta0 - a1 * h * (k / 4), u_eta);
    assert_true(fit("line", &registry, FIT_SCALE_STATED, &e));
    aid_near_relative("wind, a1", fabs(e.shares[0].d[1]), 0.41, 1e-9);
    aid_near("wind, eta0", e.shares[0].d[0], 0, 1e-12);
    aid_near_relative("sky, eta0", fabs(e.shares[1].d[0]), 9.3 / G, 1e-9);
    aid_near("sky, a1", e.shares[1].d[1], 0, 1e-10);
    efficiency_free(&e);
    registry_free(&registry);
}

/* Three temperatures, each on two days, three windows a day: one at the day's height, one s above
 * and one s below it; a day lies D high or low. Between days: 18 D^2 on 3; within: 12 s^2 on 12. n0
 * = 3, so the variance of a day is (6 D^2 - s^2)/3. */
static void days(double high, double scatter)
{
    reduced_init(&test);
    for (int k = 0; k < 18; k++) {
        int level = k / 6, day = k / 3 % 2, third = k % 3 - 1;
        double x = h * level, eta = eta0 - a1 * x + (day == 0 ? high : -high) + scatter * third;
        test.means[test.n].session = 20000 + day;
        reduced_add(&test, G, x, eta, u_eta);
    }
}

static void days_that_differ_count_as_units(void **unused)
{
    (void)unused;
    struct efficiency e;
    double high = 0.004, scatter = 0.0019;
    days(high, scatter);
    assert_true(fit("line", &test.none, FIT_SCALE_STATED, &e));
    double within = scatter * scatter, between = 18 * high * high / 3;
    double variance = (between - within) / 3;
    assert_true(e.days.told);
    aid_near_relative("F", e.days.seen.f, between / within, 1e-9);
    aid_near("between", e.days.seen.between_dof, 3, 0);
    aid_near("within", e.days.seen.within_dof, 12, 0);
    aid_near_relative("variance of a day", e.days.extra, variance, 1e-9);
    aid_near("claimed", e.days.claimed, 0, 0);
    /* Two days of nine windows each, equal weights: each moves eta0 by half of itself, a1 not. */
    aid_near_relative("eta0 by days", e.days.d[0], sqrt(variance / 2), 1e-9);
    aid_near("a1 by days", e.days.d[1], 0, 1e-12);
    double u, dof;
    efficiency_combined(&e, 0, &u, &dof);
    double reading = e.reading[0];
    aid_near_relative("u(eta0)", u, sqrt(reading + variance / 2), 1e-9);
    /* The days' share with Student's t of 3, the rest with the normal's (R 4.2: qt, qnorm): more
     * than t of Welch and Satterthwaite's 3.22. */
    double share = variance / 2 / (reading + variance / 2);
    aid_near_relative("factor", fit_t_quantile(0.975, dof),
                      3.18244630528 * share + 1.95996398454 * (1 - share), 1e-9);
    aid_near_relative("another day", e.new_window.session_variance, variance, 1e-9);
    assert_string_equal(e.extras[0].id, "days");
    efficiency_free(&e);
}

/* The days are no reason to widen the readings as well: what is left of the scatter is theirs. */
static void days_do_not_widen_the_readings(void **unused)
{
    (void)unused;
    struct efficiency e;
    days(0.004, 0.0019);
    assert_true(fit("line", &test.none, FIT_SCALE_AT_LEAST, &e));
    double plain = (18 * 0.004 * 0.004 + 12 * 0.0019 * 0.0019) / (u_eta * u_eta) / 16;
    assert_true(plain > 4 && e.scale_factor < 1.05);
    efficiency_free(&e);
}

static void days_that_are_claimed_or_alike_add_nothing(void **unused)
{
    (void)unused;
    struct efficiency e;
    struct error_registry registry;
    struct error_source zero = {.kind = ERROR_SESSION,
                                .u = 0.006 * G,
                                .dof = INFINITY,
                                .n_targets = 1,
                                .targets = {{.what = SHIFT_LOSS, .weight = 1}}};
    registry_init(&registry);
    assert_true(registry_add(&registry, &zero, &test.faults));
    days(0.004, 0.0019);
    assert_true(fit("line", &registry, FIT_SCALE_STATED, &e));
    assert_true(e.days.told && e.days.seen.p_value < 0.01);
    aid_near_relative("claimed", e.days.claimed, 0.006 * 0.006, 1e-6);
    aid_near("nothing on top", e.days.extra, 0, 0);
    assert_int_equal(e.n_extras, 0);
    efficiency_free(&e);
    registry_free(&registry);

    days(0.0007, 0.0019);
    assert_true(fit("line", &test.none, FIT_SCALE_STATED, &e));
    assert_true(e.days.told && e.days.seen.p_value > 0.05);
    aid_near("alike", e.days.extra, 0, 0);
    efficiency_free(&e);

    days(0.004, 0.0019); /* one day: nothing can be told */
    for (size_t i = 0; i < test.n; i++)
        test.means[i].session = 20000;
    assert_true(fit("line", &test.none, FIT_SCALE_STATED, &e));
    assert_false(e.days.told);
    aid_near("one day", e.days.extra, 0, 0);
    efficiency_free(&e);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_against_a_balance),
        cmocka_unit_test(which_row_is_taken),
        cmocka_unit_test(temperatures_of_the_sky),
        cmocka_unit_test(rows_of_what_is_not_known),
        cmocka_unit_test(a_measured_sky_is_as_sure_as_its_instrument),
        cmocka_unit_test(what_the_rows_do_to_a_curve),
        cmocka_unit_test(days_that_differ_count_as_units),
        cmocka_unit_test(days_do_not_widen_the_readings),
        cmocka_unit_test(days_that_are_claimed_or_alike_add_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
