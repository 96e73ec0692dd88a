/* Wind in the efficiency curve: the term and its rule, the origin of the wind, what is carried
 * without a term, and what is asked of the points. Designs are chosen so that least squares has a
 * closed form. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_reduced.h"
#include "run/efficiency.h"

#include <math.h>
#include <string.h>

static struct reduced_test test;

/* Points at 0, h and 2h above the air, four each, in pairs of a calm and a windy one: u' = -w, +w.
 * The wind's term is then orthogonal to the others: a3 = sum(-u' x eta)/sum(u'^2 x^2), and
 * u(a3) = u_eta / sqrt(4 w^2 (h^2 + 4 h^2)). */
static const double G = 900, h = 25.0 / 900, u_eta = 0.002, eta0 = 0.761, a1 = 4.317, a2 = 0.0131;
static const double w = 1.4;

static double u_a3(void)
{
    return u_eta / (w * h * sqrt(20.0));
}

static void add(double x, double eta, double wind_m_s, int64_t session)
{
    struct means *means = &test.means[test.n];
    means->has[CH_WIND] = true;
    means->mean[CH_WIND] = wind_m_s;
    means->session = session;
    reduced_add(&test, G, x, eta, u_eta);
}

/* In: origin of the wind in which eta is formed with a1. */
static void design_of_pairs(double bend, double a3, double origin)
{
    reduced_init(&test);
    test.setup.wind_origin_m_s = origin;
    test.setup.exposure.wind_J_m3K = 0.35;
    for (int k = 0; k < 12; k++) {
        double x = h * (k / 4), off = k % 2 == 0 ? -w : w;
        add(x, eta0 - a1 * x - bend * G * x * x - a3 * off * x, 3.2 + off, 0);
    }
}

static bool fit(const char *form, const struct error_registry *registry, struct efficiency *e)
{
    struct efficiency_request request = {.form = form, .scale = FIT_SCALE_STATED, .drop_below = 2};
    return efficiency_fit(e, test.points, test.n, &test.setup, registry, &request, &test.faults);
}

static void the_rule_of_the_wind_term(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double ratio, bend; /* of a3 to its uncertainty; a2 */
        enum term_verdict verdict;
        const char *form;
    } rows[] = {
        {"against nature", -4.1, 0.0131, TERM_NEGATIVE, "second order"},
        {"weak", 1.97, 0.0131, TERM_WEAK, "second order"},
        {"just indicated", 2.03, 0.0131, TERM_INDICATED, "second order with wind"},
        {"kept", 3.02, 0.0131, TERM_KEPT, "second order with wind"},
        {"kept, no bend", 5.3, 0, TERM_KEPT, "line with wind"},
        {"weak, no bend", 0.7, 0, TERM_WEAK, "line"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct efficiency e;
        double a3 = rows[i].ratio * u_a3();
        design_of_pairs(rows[i].bend, a3, 3.2);
        assert_true(fit("automatic", &test.none, &e));
        if (strcmp(e.form->name, rows[i].form) != 0 || e.wind.verdict != rows[i].verdict)
            fail_msg("%s: '%s', verdict %d", rows[i].name, e.form->name, (int)e.wind.verdict);
        aid_near(rows[i].name, e.wind.value, a3, 1e-12);
        aid_near_relative(rows[i].name, e.wind.u, u_a3(), 1e-9);
        efficiency_free(&e);
    }
}

/* The same points counted from 0 and from 3 m/s: a1(3) = a1(0) + 3 a3, a1 is surer where the wind
 * was, everything else stays. */
static void another_origin_is_the_same_curve(void **unused)
{
    (void)unused;
    struct efficiency from0, from3;
    design_of_pairs(a2, 0.27, 3.2);
    test.setup.wind_origin_m_s = 0;
    for (size_t i = 0; i < test.n; i++)
        test.points[i].fit.at.wind = test.means[i].mean[CH_WIND];
    assert_true(fit("second order with wind", &test.none, &from0));
    test.setup.wind_origin_m_s = 3;
    for (size_t i = 0; i < test.n; i++)
        test.points[i].fit.at.wind = test.means[i].mean[CH_WIND] - 3;
    assert_true(fit("second order with wind", &test.none, &from3));
    const double *c = from0.curve.coef, *a = from3.curve.coef;
    aid_near_relative("a1 at 3 m/s", a[1], c[1] + 3 * c[3], 1e-11);
    aid_near_relative("a1 at 3.2 m/s as made", c[1] + 3.2 * c[3], a1, 1e-11);
    aid_near_relative("a3 as made", a[3], 0.27, 1e-10);
    aid_near_relative("eta0", a[0], c[0], 1e-12);
    aid_near_relative("a2", a[2], c[2], 1e-9);
    aid_near_relative("a3", a[3], c[3], 1e-10);
    /* var a1(3) = var a1(0) + 9 var a3 + 6 cov(a1, a3) */
    aid_near_relative("variance of a1", from3.reading[5],
                      from0.reading[5] + 9 * from0.reading[15] + 6 * from0.reading[7], 1e-8);
    struct fit_condition at0 = {0.041, 950, 4.1}, at3 = {0.041, 950, 1.1};
    aid_near_relative("the curve", fit_form_value(from3.form, a, &at3),
                      fit_form_value(from0.form, c, &at0), 1e-12);
    /* Drawn at 3 m/s, which was tested. */
    aid_near("drawn, from 0", from0.draw_wind, 3, 1e-12);
    aid_near("drawn, from 3", from3.draw_wind, 0, 1e-12);
    efficiency_free(&from0);
    efficiency_free(&from3);
}

/* An anemometer that reads d too high: eta = ... - a3 (u' + d) x, so a1 falls by a3 d. */
static void an_anemometer_that_errs(void **unused)
{
    (void)unused;
    struct efficiency e;
    struct error_registry registry;
    struct error_source row = {.kind = ERROR_CALIBRATION,
                               .u = 0.31,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{SHIFT_OFFSET, CH_WIND, 1.0}}};
    registry_init(&registry);
    assert_true(registry_add(&registry, &row, &test.faults));
    design_of_pairs(a2, 0.27, 3);
    assert_true(fit("second order with wind", &registry, &e));
    assert_int_equal(e.n_shares, 1);
    aid_near_relative("a1", fabs(e.shares[0].d[1]), 0.27 * 0.31, 1e-8);
    aid_near("eta0", e.shares[0].d[0], 0, 1e-10);
    aid_near("a3", e.shares[0].d[3], 0, 1e-9);
    efficiency_free(&e);
    registry_free(&registry);
}

/* A mean wind that is itself uncertain makes a warm point less sure, by a3 x u(wind). */
static void reading_the_wind_badly_weighs(void **unused)
{
    (void)unused;
    struct efficiency e;
    double a3 = 0.27, u_wind = 0.23;
    reduced_init(&test);
    test.setup.wind_origin_m_s = 3.2;
    for (int k = 0; k < 12; k++) {
        double x = h * (k / 4), off = k % 2 == 0 ? -w : w;
        test.means[test.n].u[CH_WIND] = u_wind;
        add(x, eta0 - a1 * x - a3 * off * x, 3.2 + off, 0);
    }
    assert_true(fit("line with wind", &test.none, &e));
    aid_near_relative("cold", e.used[0].u_eta, u_eta, 1e-12);
    aid_near_relative("warm", e.used[11].u_eta, hypot(u_eta, a3 * 2 * h * u_wind), 1e-9);
    double v1 = u_eta * u_eta + pow(a3 * h * u_wind, 2);
    double v2 = u_eta * u_eta + pow(a3 * 2 * h * u_wind, 2);
    aid_near_relative("u(a3)", sqrt(e.reading[8]),
                      1 / sqrt(4 * w * w * h * h / v1 + 16 * w * w * h * h / v2), 1e-9);
    efficiency_free(&e);
}

/* No term, wind lower at the cold points and higher at the warm ones by d: had all been taken in
 * the mean wind, the warm points would lie a3 d 2h higher. A line through (0, 0), (h, 0), (2h, y)
 * has slope y/(2h) and begins at -y/6. a3 may be anything up to twice the usual: root mean square
 * 2 a3 / sqrt 3. */
static void wind_left_out_is_carried(void **unused)
{
    (void)unused;
    struct efficiency e;
    double d = 0.4, usual = 0.35;
    reduced_init(&test);
    test.setup.exposure.wind_J_m3K = usual;
    for (int k = 0; k < 12; k++)
        add(h * (k / 4), eta0 - a1 * h * (k / 4), 3 + d * (k / 4 - 1), 0);
    assert_true(fit("line", &test.none, &e));
    double y = 2 * usual / sqrt(3) * d * 2 * h;
    assert_int_equal(e.n_extras, 1);
    assert_string_equal(e.extras[0].id, "wind left out");
    aid_near_relative("a1", fabs(e.extras[0].d[1]), y / (2 * h), 1e-8);
    aid_near_relative("eta0", fabs(e.extras[0].d[0]), y / 6, 1e-8);
    double u, dof;
    efficiency_combined(&e, 1, &u, &dof);
    aid_near_relative("u(a1)", u, hypot(u_eta / (h * sqrt(8)), y / (2 * h)), 1e-8);
    efficiency_free(&e);
}

/* A sky that was colder by s at the warm points: under the mean sky each would lie shifted by
 * 1.45 times its difference over G. */
static void sky_left_out_is_carried(void **unused)
{
    (void)unused;
    struct efficiency e;
    double s = 3.1, per_K = 1.45;
    reduced_init(&test);
    test.setup.exposure.sky_W_m2K = per_K;
    for (int k = 0; k < 12; k++) {
        reduced_add(&test, G, h * (k / 4), eta0 - a1 * h * (k / 4), u_eta);
        test.points[k].value.sky_K = -15 - s * (k / 4 - 1);
    }
    assert_true(fit("line", &test.none, &e));
    assert_int_equal(e.n_extras, 1);
    assert_string_equal(e.extras[0].id, "sky left out");
    aid_near_relative("mean sky", e.design.mean_sky_K, -15, 1e-12);
    /* Differences -s, 0, s are a line of slope s/h through 0 at the middle. */
    aid_near_relative("a1", e.extras[0].d[1], -per_K * s / G / h, 1e-8);
    aid_near_relative("eta0", e.extras[0].d[0], -per_K * s / G, 1e-8);
    efficiency_free(&e);
}

static void what_a_wind_term_asks_for(void **unused)
{
    (void)unused;
    struct efficiency e;
    design_of_pairs(a2, 0.27, 3);
    test.means[4].has[CH_WIND] = false;
    test.points[4].value.wind_m_s = NAN;
    assert_false(fit("line with wind", &test.none, &e));
    assert_int_equal(faults_status(&test.faults), 4);
    assert_string_equal(
        test.faults.items[0].found,
        "the data cannot hold the form 'line with wind': the wind was measured at 11 "
        "of 12 points");
    faults_init(&test.faults);
    assert_true(fit("automatic", &test.none, &e));
    assert_string_equal(e.form->name, "second order");
    assert_int_equal(e.wind.verdict, TERM_NOT_TRIED);
    assert_int_equal(e.n_extras, 0);
    efficiency_free(&e);

    reduced_init(&test);
    for (int k = 0; k < 12; k++)
        add(h * (k / 4), eta0 - a1 * h * (k / 4), 3 + 0.07 * k, 0);
    assert_false(fit("second order with wind", &test.none, &e));
    assert_string_equal(test.faults.items[0].found,
                        "the data cannot hold the form 'second order with wind': the wind lies "
                        "between 3.0 and 3.8 m/s");
    faults_init(&test.faults);
    test.n = 3;
    assert_false(fit("line with wind", &test.none, &e)); /* too few points is said first */
    assert_string_equal(
        test.faults.items[0].found,
        "the data cannot hold the form 'line with wind': 3 points at 1 temperature, "
        "0.0 K apart at most");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rule_of_the_wind_term),
        cmocka_unit_test(another_origin_is_the_same_curve),
        cmocka_unit_test(an_anemometer_that_errs),
        cmocka_unit_test(reading_the_wind_badly_weighs),
        cmocka_unit_test(wind_left_out_is_carried),
        cmocka_unit_test(sky_left_out_is_carried),
        cmocka_unit_test(what_a_wind_term_asks_for),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
