/* Means -> point: against arithmetic by hand with published water, and every error's shift against
 * its closed form. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "fit/curve.h"
#include "point/point.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;

#define L_MIN (1.0 / 60000.0)

static struct means typed(double g, double t_a, double t_in, double t_out, double flow)
{
    struct means means;
    memset(&means, 0, sizeof means);
    snprintf(means.name, sizeof means.name, "typed");
    const enum channel channels[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET, CH_FLOW};
    const double values[] = {g, t_a, t_in, t_out, flow};
    for (size_t i = 0; i < 5; i++) {
        means.has[channels[i]] = true;
        means.mean[channels[i]] = values[i];
    }
    return means;
}

/* By hand: mass = density at the meter * flow; heat = mass * integral of cp by Simpson's rule over
 * the table's steps of 5 K; efficiency = heat/(area * G). Density and cp: IAPWS-IF97 and IAPWS-95
 * at 101.325 kPa as printed by the Python package iapws 1.5.3 (7 and 6 digits), for instance
 * between 20 and 40 degC cp = 4184.79, 4181.90, 4180.02, 4178.95, 4178.55 J/(kg K) (IF97), integral
 * 83611.3 J/kg. Tolerance: 2e-6 for the same formulation (the last printed digit of cp is 1.2e-6 of
 * it, Simpson's rule is far better); 1e-3 for the other one, which differs by up to 8e-4 in cp. */
static void points_agree_with_hand_arithmetic(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double g, t_a, t_in, t_out, flow_L_min, area_m2;
        bool at_outlet;
        double mass, heat, eta, x_mean, x_inlet;
        double tolerance;
    } rows[] = {
        {"20 to 40 degC, IF97", 913.7, 21.3, 20, 40, 0.913, 2.05, false, 0.0151893695, 1270.00293,
         0.678027387, 0.00952172485498522, -0.00142278647258400, 2e-6},
        {"60 to 80 degC, meter at outlet, IF97", 1013.4, 27.9, 60, 80, 1.007, 1.92, true,
         0.016310092, 1366.27901, 0.702194248, 0.0415433195184527, 0.0316755476613381, 2e-6},
        {"20 to 60 degC, IF97", 876.1, 18.45, 20, 60, 0.481, 2.05, false, 0.00800228557, 1338.05991,
         0.745020143, 0.0245976486702431, 0.00176920442871818, 2e-6},
        {"20 to 40 degC, IAPWS-95", 913.7, 21.3, 20, 40, 0.913, 2.05, false, 0.0151893862,
         1269.96889, 0.678009213, 0.00952172485498522, -0.00142278647258400, 1e-3},
        {"60 to 80 degC, meter at outlet, IAPWS-95", 1013.4, 27.9, 60, 80, 1.007, 1.92, true,
         0.0163098822, 1366.87470, 0.702500394, 0.0415433195184527, 0.0316755476613381, 1e-3},
    };
    struct fluid water;
    fluid_water(&water);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct means means =
            typed(rows[i].g, rows[i].t_a, rows[i].t_in, rows[i].t_out, rows[i].flow_L_min * L_MIN);
        struct point_setup setup = {
            .fluid = &water, .area_m2 = rows[i].area_m2, .meter_at_outlet = rows[i].at_outlet};
        struct point_value v;
        assert_int_equal(point_evaluate(&means, &setup, NULL, &v), POINT_OK);
        aid_near_relative(rows[i].name, v.mass_kg_s, rows[i].mass, rows[i].tolerance);
        aid_near_relative(rows[i].name, v.heat_W, rows[i].heat, rows[i].tolerance);
        aid_near_relative(rows[i].name, v.eta, rows[i].eta, rows[i].tolerance);
        aid_near_relative(rows[i].name, v.x, rows[i].x_mean, 1e-12);
        aid_near(rows[i].name, v.t_mean_degC, 0.5 * (rows[i].t_in + rows[i].t_out), 1e-12);
        aid_near(rows[i].name, v.difference_K, v.t_mean_degC - rows[i].t_a, 1e-12);
        setup.basis = BASIS_INLET;
        assert_int_equal(point_evaluate(&means, &setup, NULL, &v), POINT_OK);
        aid_near_relative(rows[i].name, v.eta, rows[i].eta, rows[i].tolerance);
        aid_near_relative(rows[i].name, v.x, rows[i].x_inlet, 1e-12);
    }
}

/* A collector that obeys a second-order curve, in a fluid of constant properties: c = flow capacity
 * over area. Sixteen points of four levels, one irradiance. */
enum { LEVELS = 4, PER_LEVEL = 4, POINTS = LEVELS * PER_LEVEL };
static const double eta0 = 0.78, g_W_m2 = 900, c_W_m2K = 83.6, area_m2 = 2.05;
static const double density = 993.7, cp = 4181.3;

static void constant_fluid(struct fluid *fluid)
{
    const double t[] = {0, 130}, rho[] = {density, density}, heat[] = {cp, cp};
    assert_true(fluid_table(fluid, "constant", t, rho, heat, 2, "none", &faults));
}

/* Outlet from c (t_out - t_in) = eta0 G - a1 d - a2 d^2, d = (t_in + t_out)/2 - t_a, by Newton. */
static double outlet(double a1, double a2, double t_a, double t_in)
{
    double t_out = t_in;
    for (int k = 0; k < 40; k++) {
        double d = 0.5 * (t_in + t_out) - t_a;
        double f = c_W_m2K * (t_out - t_in) - eta0 * g_W_m2 + a1 * d + a2 * d * d;
        t_out -= f / (c_W_m2K + 0.5 * a1 + a2 * d);
    }
    return t_out;
}

static void exact_test(double a1, double a2, struct means *means)
{
    for (int k = 0; k < POINTS; k++) {
        double t_in = 19.3 + 19.1 * (k / PER_LEVEL) + 0.13 * (k % PER_LEVEL);
        double t_a = 23.4 + 0.7 * (k % PER_LEVEL);
        means[k] =
            typed(g_W_m2, t_a, t_in, outlet(a1, a2, t_a, t_in), c_W_m2K * area_m2 / (density * cp));
    }
}

/* Refits all points under a shift, by plain least squares (the data are exact). */
static void refit(const struct means *means, const struct point_setup *setup,
                  const struct shifts *shifts, const char *form, double *coef)
{
    struct fit_point points[POINTS];
    memset(points, 0, sizeof points);
    for (int k = 0; k < POINTS; k++) {
        struct point_value v;
        assert_int_equal(point_evaluate(&means[k], setup, shifts, &v), POINT_OK);
        points[k].eta = v.eta;
        points[k].at = (struct fit_condition){.x = v.x, .g = v.g_W_m2};
    }
    struct fit_curve curve;
    assert_int_equal(fit_curve_fit(fit_form_find(form), points, POINTS, &curve), FIT_OK);
    memcpy(coef, curve.coef, curve.p * sizeof *coef);
    fit_curve_free(&curve);
}

/* Closed forms, derived for exact data at one irradiance G and constant c (e: error of reading).
 *   gain e of the sun        eta0/(1+e)                         a1                 a2
 *   gain e of flow, cp, density   all times (1+e)
 *   area e                   all divided by (1+e)
 *   outlet + d (pair)        x grows by d/2G, efficiency by c d/G
 *   ambient + d, or both probes by -d:  x shrinks by d/G
 * A move of x by s turns eta0 - a1 x - a2 G x^2 into
 *   eta0 + a1 s - a2 G s^2,  a1 - 2 a2 G s,  a2. */
struct form_of_shift {
    const char *name;
    struct shifts shifts;
    double factor0, factor; /* of eta0, and of a1 and a2 */
    double lift;            /* added to the efficiency */
    double s;               /* added to x */
    double printed[3];      /* percent, as one expects it on the back of an envelope */
};

static void refits_follow_the_closed_forms(void **unused)
{
    (void)unused;
    const struct form_of_shift rows[] = {
        {"sun reads 1 % high", {.gain[CH_IRRADIANCE] = 0.01}, 1 / 1.01, 1, 0, 0, {-0.99, 0, 0}},
        {"flow reads 1 % high", {.gain[CH_FLOW] = 0.01}, 1.01, 1.01, 0, 0, {1, 1, 1}},
        {"cp 1 % high", {.cp = 0.01}, 1.01, 1.01, 0, 0, {1, 1, 1}},
        {"density 1 % high", {.density = 0.01}, 1.01, 1.01, 0, 0, {1, 1, 1}},
        {"area 0.5 % high", {.area = 0.005}, 1 / 1.005, 1 / 1.005, 0, 0, {-0.5, -0.5, -0.5}},
        {"outlet reads 0.05 K high",
         {.offset[CH_OUTLET] = 0.05},
         1,
         1,
         0.05 * 83.6 / 900,
         0.025 / 900,
         {0.61, -0.02, 0}},
        {"ambient reads 0.5 K high",
         {.offset[CH_AMBIENT] = 0.5},
         1,
         1,
         0,
         -0.5 / 900,
         {-0.25, 0.34, 0}},
        {"both probes read 0.5 K high",
         {.offset[CH_INLET] = 0.5, .offset[CH_OUTLET] = 0.5},
         1,
         1,
         0,
         0.5 / 900,
         {0.25, -0.34, 0}},
    };
    const double a1 = 3.5, a2 = 0.012;
    struct fluid fluid;
    constant_fluid(&fluid);
    struct point_setup setup = {.fluid = &fluid, .area_m2 = area_m2};
    struct means means[POINTS];
    exact_test(a1, a2, means);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct form_of_shift *r = &rows[i];
        double coef[FIT_FORM_MAX_COEF];
        refit(means, &setup, &r->shifts, "second order", coef);
        double e0 = eta0 * r->factor0, b1 = a1 * r->factor, b2 = a2 * r->factor;
        double want[3] = {e0 + b1 * r->s - b2 * g_W_m2 * r->s * r->s + r->lift,
                          b1 - 2 * b2 * g_W_m2 * r->s, b2};
        const double before[3] = {eta0, a1, a2};
        for (int j = 0; j < 3; j++) {
            aid_near_relative(r->name, coef[j], want[j], 1e-9);
            aid_near(r->name, 100 * (coef[j] / before[j] - 1), r->printed[j], 0.0051);
        }
    }
}

/* The straight line on the inlet basis: both coefficients divided by 1 + a1/(2 c).
 * Source: Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 6 (from memory; the
 * algebra is exact: x_mean = x_inlet + eta/(2 c)). */
static void the_line_changes_its_basis_by_one_factor(void **unused)
{
    (void)unused;
    static const double slopes[] = {2.385, 3.5, 5.726, 11.9};
    struct fluid fluid;
    constant_fluid(&fluid);
    struct point_setup setup = {.fluid = &fluid, .area_m2 = area_m2};
    for (size_t i = 0; i < sizeof slopes / sizeof slopes[0]; i++) {
        struct means means[POINTS];
        double mean[FIT_FORM_MAX_COEF], inlet[FIT_FORM_MAX_COEF];
        exact_test(slopes[i], 0, means);
        setup.basis = BASIS_MEAN;
        refit(means, &setup, NULL, "line", mean);
        setup.basis = BASIS_INLET;
        refit(means, &setup, NULL, "line", inlet);
        double factor = 1 + slopes[i] / (2 * c_W_m2K);
        aid_near_relative("eta0 on the mean", mean[0], eta0, 1e-10);
        aid_near_relative("a1 on the mean", mean[1], slopes[i], 1e-10);
        aid_near_relative("eta0 on the inlet", inlet[0], eta0 / factor, 1e-10);
        aid_near_relative("a1 on the inlet", inlet[1], slopes[i] / factor, 1e-10);
    }
}

/* Heat formed reading by reading differs from the product of means by what was measured; a shift
 * moves it as it moves the product. */
static void heat_per_reading_is_kept(void **unused)
{
    (void)unused;
    struct fluid fluid;
    constant_fluid(&fluid);
    struct point_setup setup = {.fluid = &fluid, .area_m2 = area_m2};
    struct means means = typed(931.0, 23.1, 31.7, 39.2, 1.213e-5);
    struct point_value plain, kept, moved;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &plain), POINT_OK);
    aid_near_relative("by hand", plain.heat_W, 1.213e-5 * density * cp * 7.5, 1e-12);
    means.has[CH_HEAT] = true;
    means.mean[CH_HEAT] = plain.heat_W + 2.75;
    assert_int_equal(point_evaluate(&means, &setup, NULL, &kept), POINT_OK);
    aid_near_relative("kept", kept.heat_W, plain.heat_W + 2.75, 1e-12);
    aid_near_relative("kept", kept.eta, (plain.heat_W + 2.75) / (area_m2 * 931.0), 1e-12);
    struct shifts pair = {.offset[CH_OUTLET] = 0.1};
    assert_int_equal(point_evaluate(&means, &setup, &pair, &moved), POINT_OK);
    aid_near_relative("moved", moved.heat_W - kept.heat_W, 1.213e-5 * density * cp * 0.1, 1e-9);
}

/* Efficiency and T* typed instead of temperatures and flow. */
static void reduced_points_follow_what_can_be_known(void **unused)
{
    (void)unused;
    struct means means;
    memset(&means, 0, sizeof means);
    means.reduced = means.has[CH_IRRADIANCE] = true;
    means.mean[CH_IRRADIANCE] = 917.3;
    means.eta = 0.6213;
    means.x = 0.03127;
    struct point_setup setup = {.fluid = NULL, .area_m2 = 1.87};
    static const struct {
        const char *name;
        enum temperature_basis basis;
        struct shifts shifts;
        double eta, x;
    } rows[] = {
        {"as typed", BASIS_MEAN, {.area = 0}, 0.6213, 0.03127},
        {"sun 2 % high", BASIS_MEAN, {.gain[CH_IRRADIANCE] = 0.02}, 0.6213 / 1.02, 0.03127 / 1.02},
        {"zero of the sun 5 W/m2",
         BASIS_MEAN,
         {.offset[CH_IRRADIANCE] = 5},
         0.6213 * 917.3 / 922.3,
         0.03127 * 917.3 / 922.3},
        {"flow 1 % high", BASIS_MEAN, {.gain[CH_FLOW] = 0.01}, 0.6213 * 1.01, 0.03127},
        {"area 0.5 % high", BASIS_MEAN, {.area = 0.005}, 0.6213 / 1.005, 0.03127},
        {"air 0.4 K high", BASIS_MEAN, {.offset[CH_AMBIENT] = 0.4}, 0.6213, 0.03127 - 0.4 / 917.3},
        {"outlet 0.4 K high",
         BASIS_MEAN,
         {.offset[CH_OUTLET] = 0.4},
         0.6213,
         0.03127 + 0.2 / 917.3},
        {"outlet 0.4 K high, inlet basis",
         BASIS_INLET,
         {.offset[CH_OUTLET] = 0.4},
         0.6213,
         0.03127},
        {"inlet 0.4 K high, inlet basis",
         BASIS_INLET,
         {.offset[CH_INLET] = 0.4},
         0.6213,
         0.03127 + 0.4 / 917.3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct point_value v;
        setup.basis = rows[i].basis;
        assert_int_equal(point_evaluate(&means, &setup, &rows[i].shifts, &v), POINT_OK);
        aid_near_relative(rows[i].name, v.eta, rows[i].eta, 1e-12);
        aid_near_relative(rows[i].name, v.x, rows[i].x, 1e-12);
        assert_true(isnan(v.mass_kg_s) && isnan(v.t_mean_degC));
    }
}

static void what_cannot_be_formed_is_said(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double g, t_in, t_out, flow;
        bool no_outlet;
        enum point_status want;
        const char *found;
    } rows[] = {
        {"night", 0, 20, 21, 1e-5, false, POINT_NO_SUN,
         "point 'typed' cannot be formed: the irradiance is not above zero"},
        {"pump off", 900, 20, 21, 0, false, POINT_NO_FLOW,
         "point 'typed' cannot be formed: the flow is not above zero"},
        {"flow unknown", 900, 20, 21, NAN, false, POINT_NO_FLOW,
         "point 'typed' cannot be formed: the flow is not above zero"},
        {"steam", 900, 20, 140, 1e-5, false, POINT_OFF_TABLE,
         "point 'typed' cannot be formed: a temperature lies outside the fluid's table"},
        {"ice", 900, -2.5, 10, 1e-5, false, POINT_OFF_TABLE,
         "point 'typed' cannot be formed: a temperature lies outside the fluid's table"},
        {"no outlet", 900, 20, 21, 1e-5, true, POINT_MISSING,
         "point 'typed' cannot be formed: a needed mean is missing"},
    };
    struct fluid water;
    fluid_water(&water);
    struct point_setup setup = {.fluid = &water, .area_m2 = 2.05};
    struct error_registry none;
    registry_init(&none);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct means means = typed(rows[i].g, 21, rows[i].t_in, rows[i].t_out, rows[i].flow);
        means.has[CH_OUTLET] = !rows[i].no_outlet;
        struct point_value v = {.eta = 0.125};
        struct point point;
        assert_int_equal(point_evaluate(&means, &setup, NULL, &v), rows[i].want);
        aid_near(rows[i].name, v.eta, 0.125, 0);
        faults_init(&faults);
        assert_false(point_make(&point, &means, &setup, &none, &faults));
        assert_string_equal(faults.items[0].found, rows[i].found);
        assert_int_equal(faults_status(&faults), 4);
    }
    faults_init(&faults);
}

static void add(struct error_registry *registry, enum error_kind kind, enum shift_target what,
                enum channel channel, double u, bool per_sample)
{
    struct error_source row = {.kind = kind, .u = u, .per_sample = per_sample, .n_targets = 1};
    row.targets[0] = (struct error_target){what, channel, 1};
    assert_true(registry_add(registry, &row, &faults));
}

/* Uncertainties by hand, fluid constant: d(eta)/eta = -dG/G = dV/V = d(t_out)/rise;
 * dx = d(t_out)/2G = -d(t_a)/G = -x dG/G. Half the difference of 1/(1 + e) and 1/(1 - e) is larger
 * than e by e^2 of it: 6e-6 for the zero of the sun, twice that in a covariance. */
static void uncertainties_add_up_as_by_hand(void **unused)
{
    (void)unused;
    struct fluid fluid;
    constant_fluid(&fluid);
    struct point_setup setup = {.fluid = &fluid, .area_m2 = area_m2};
    struct means means = typed(931.0, 23.1, 31.7, 39.2, 1.213e-5);
    means.readings = 49;
    means.u[CH_OUTLET] = 0.013; /* noise of the mean */
    struct error_registry registry;
    registry_init(&registry);
    add(&registry, ERROR_READING, SHIFT_GAIN, CH_FLOW, 0.021, true); /* per sample: / 7 */
    add(&registry, ERROR_READING, SHIFT_OFFSET, CH_AMBIENT, 0.17, false);
    add(&registry, ERROR_SESSION, SHIFT_OFFSET, CH_IRRADIANCE, 2.3, false);
    add(&registry, ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.04, false); /* no part of it */
    struct point point;
    assert_true(point_make(&point, &means, &setup, &registry, &faults));
    double eta = point.value.eta, x = point.value.x;
    double noise_eta = eta * 0.013 / 7.5, noise_x = 0.013 / (2 * 931.0);
    double flow_eta = eta * 0.003, air_x = 0.17 / 931.0;
    double zero_eta = eta * 2.3 / 931.0, zero_x = x * 2.3 / 931.0;
    aid_near_relative("u(eta), readings", point.u_eta_reading, hypot(noise_eta, flow_eta), 1e-5);
    aid_near_relative("u(x), readings", point.u_x_reading, hypot(noise_x, air_x), 1e-5);
    aid_near_relative("cov, readings", point.cov_reading, noise_eta * noise_x, 1e-5);
    aid_near_relative("u(eta)", point.fit.u_eta, hypot(hypot(noise_eta, flow_eta), zero_eta), 1e-5);
    aid_near_relative("u(x)", point.fit.u_x, hypot(hypot(noise_x, air_x), zero_x), 1e-5);
    aid_near_relative("cov", point.fit.cov_eta_x, noise_eta * noise_x + zero_eta * zero_x, 1.3e-5);
    means.readings = 0; /* count unknown: one */
    assert_true(point_make(&point, &means, &setup, &registry, &faults));
    aid_near_relative("per sample, count unknown", point.u_eta_reading,
                      hypot(noise_eta, eta * 0.021), 1e-5);
    registry_free(&registry);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(points_agree_with_hand_arithmetic),
        cmocka_unit_test(refits_follow_the_closed_forms),
        cmocka_unit_test(the_line_changes_its_basis_by_one_factor),
        cmocka_unit_test(heat_per_reading_is_kept),
        cmocka_unit_test(reduced_points_follow_what_can_be_known),
        cmocka_unit_test(what_cannot_be_formed_is_said),
        cmocka_unit_test(uncertainties_add_up_as_by_hand),
    };
    faults_init(&faults);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
