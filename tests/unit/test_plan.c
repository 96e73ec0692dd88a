/* Plans: what an addition gives is checked against closed forms, on points whose errors make them
 * hold. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "fit/distributions.h"
#include "study/plan_errors.h"
#include "study/plan_modifier.h"
#include "study/plan_view.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define Z95 1.959963984540054  /* R: qnorm(0.975) */
#define Z80 0.8416212335729143 /* R: qnorm(0.8) */

static struct faults faults;

static const char text[] = "[collector]\ngross area = 2.17 m2\n[points]\nfile = absent.csv\n"
                           "[instrument sun]\nmeasures = irradiance\nkind = pyranometer class B\n"
                           "[instrument air]\nmeasures = ambient\nkind = digital thermometer\n"
                           "[instrument in]\nmeasures = inlet\nkind = digital thermometer\n"
                           "[instrument out]\nmeasures = outlet\nkind = digital thermometer\n"
                           "[instrument meter]\nmeasures = flow\nkind = pulse flow meter\n"
                           "[run curve]\nkind = efficiency\nform = line\nscale = stated\n";

/* Straight-line points with equal errors of efficiency, as typed by hand. */
static void add_points(struct means_list *list, const double *x, size_t n, size_t each, double u)
{
    for (size_t i = 0; i < n * each; i++) {
        struct means means = {.reduced = true, .session = (int64_t)(i / each), .drift_K_s = NAN};
        means.has[CH_IRRADIANCE] = true;
        means.mean[CH_IRRADIANCE] = 887.0;
        means.x = x[i / each];
        means.eta = 0.713 - 4.37 * means.x;
        means.u_eta = u;
        assert_true(means_list_add(list, &means, &faults));
    }
}

static struct reduction *described(const char *bytes)
{
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    faults_init(&faults);
    reduction_init(r);
    assert_true(setup_parse("a.txt", bytes, strlen(bytes), &r->setup, &faults));
    assert_true(rules_section_settle(&r->setup, &r->rules, &r->criteria, &faults));
    return r;
}

static void done(struct reduction *r)
{
    reduction_free(r);
    free(r);
}

/* Variance of a straight line at x0 from n points of variance u^2: u^2 (1/n + (x0 - mean)^2 / Sxx).
 */
static double line_half(const double *x, size_t n, double x0, double u)
{
    double mean = 0, sxx = 0;
    for (size_t i = 0; i < n; i++)
        mean += x[i] / (double)n;
    for (size_t i = 0; i < n; i++)
        sxx += (x[i] - mean) * (x[i] - mean);
    return Z95 * u * sqrt(1 / (double)n + (x0 - mean) * (x0 - mean) / sxx);
}

/* The formula above, and its figures by R 4.2.2:
 * x <- c(.004,.004,.031,.031,.052,.052); f <- lm(rep(1,6) ~ x); predict(f, data.frame(x=.03),
 * se.fit=TRUE)$se.fit / summary(f)$sigma * 0.0071 * qnorm(.975), with any residuals. */
static void more_points_narrow_a_line_as_the_formula_says(void **state)
{
    (void)state;
    static const double levels[] = {0.004, 0.031, 0.052};
    double x[10] = {0.004, 0.004, 0.031, 0.031, 0.052, 0.052};
    const double u = 0.0071;
    struct reduction *r = described(text);
    registry_free(&r->setup.errors);
    add_points(&r->means, levels, 3, 2, u);
    struct plan *plan = calloc(1, sizeof *plan);
    struct plan_wish wish = {PLAN_CURVE, 30.0, 1000.0};
    assert_non_null(plan);
    assert_true(plan_find(plan, r, &r->setup.runs[0], false, &wish, &faults));
    assert_true(plan->now.given && !plan->first);
    aid_near("now", plan->now.half, line_half(x, 6, 0.03, u), 1e-12);
    aid_near("now, by R", plan->now.half, 0.00568843297, 1e-11);
    size_t inlets = 0;
    for (size_t i = 0; i < plan->n; i++) {
        const struct plan_candidate *c = &plan->items[i];
        if (c->kind != PLAN_INLET)
            continue;
        inlets++;
        assert_int_equal(c->windows, 4);
        for (size_t k = 0; k < 4; k++)
            x[6 + k] = c->rise_K / 887.0;
        aid_near(c->what, c->then.half, line_half(x, 10, 0.03, u), 1e-12);
        aid_near(c->what, c->gain, 1 - c->then.half / plan->now.half, 1e-12);
    }
    assert_int_equal(inlets, 6);
    /* k times the same points: the k-th root of the variance. */
    assert_int_equal(plan->n_steps, PLAN_REPEATS + 1);
    for (size_t k = 0; k <= PLAN_REPEATS; k++)
        aid_near("again", plan->steps[k].half, plan->now.half / sqrt((double)k + 1), 1e-12);
    assert_true(plan->limit.half < 1e-6 * plan->now.half);
    assert_false(plan_points_end(plan));
    plan_free(plan);
    free(plan);
    done(r);
}

/* A gain of the sunshine alone, 0.2 %: what it moves the line by at x0 is known, and no point takes
 * it away. With g read too low by s, eta and x grow alike by 1/(1 - s): the line through them keeps
 * a1 and its efficiency without loss grows, so that at x0 it moves by eta0 s (of first order; s^3
 * of the central difference is left). */
static void calibration_is_the_limit(void **state)
{
    (void)state;
    static const double levels[] = {0.004, 0.031, 0.052};
    struct reduction *r = described(text);
    const double s = 0.002;
    struct error_source row = {.id = "sun.calibration",
                               .label = "gain of the sun sensor",
                               .cure = "calibrate it",
                               .kind = ERROR_CALIBRATION,
                               .u = s,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{SHIFT_GAIN, CH_IRRADIANCE, 1.0}}};
    registry_free(&r->setup.errors);
    assert_true(registry_add(&r->setup.errors, &row, &faults));
    add_points(&r->means, levels, 3, 5, 1e-5);
    struct plan *plan = calloc(1, sizeof *plan);
    struct plan_wish wish = {PLAN_CURVE, 30.0, 1000.0};
    assert_non_null(plan);
    assert_true(plan_find(plan, r, &r->setup.runs[0], false, &wish, &faults));
    aid_near("limit", plan->limit.half, Z95 * sqrt(plan->now.calibration), 1e-9);
    aid_near("its figure", plan->limit.half, Z95 * 0.713 * s, 1e-7);
    assert_true(plan_points_end(plan));
    assert_string_equal(plan->limit.top[0].id, "sun.calibration");
    /* Its cure leaves a fifth where that is less than a certificate's 0.7 %: here nothing is
     * proposed. */
    for (size_t i = 0; i < plan->n; i++)
        assert_true(plan->items[i].kind != PLAN_CURE);
    plan_free(plan);
    free(plan);
    done(r);
}

static const struct error_source *row_of(const struct error_registry *registry, const char *id)
{
    for (size_t i = 0; i < registry->n; i++)
        if (strcmp(registry->rows[i].id, id) == 0)
            return &registry->rows[i];
    return NULL;
}

/* What the checks leave, by the figures of run/check.h: a fifth of what they replace and a step, or
 * the bucket. */
static void checks_leave_what_check_runs_leave(void **state)
{
    (void)state;
    struct reduction *r = described(text);
    struct error_registry errors;
    double step = 0.0625 / sqrt(12.0), limit = 0.5 / sqrt(3.0);
    assert_non_null(row_of(&r->setup.errors, "out.calibration"));
    assert_true(plan_errors_checked(&r->setup, CHECK_TOGETHER, 3e-5, &errors, &faults));
    assert_null(row_of(&errors, "out.calibration"));
    assert_null(row_of(&errors, "air.calibration"));
    aid_near("together", row_of(&errors, "out.left")->u, hypot(0.2 * limit, step), 1e-12);
    aid_near("their mean", row_of(&errors, "check planned.reference")->u, limit / sqrt(3.0), 1e-12);
    registry_free(&errors);
    assert_true(plan_errors_checked(&r->setup, CHECK_ZERO, 3e-5, &errors, &faults));
    assert_null(row_of(&errors, "out.calibration"));
    /* The inlet is the reference: as stated, and common to both now. */
    const struct error_source *common = row_of(&errors, "check planned.reference");
    aid_near("reference", common->u, limit, 1e-12);
    assert_int_equal(common->n_targets, 2);
    assert_null(row_of(&errors, "sun.zero"));
    /* Both zero offsets of its class and its signal processing: 15, 4 and 5 W/m2. */
    aid_near("half of the zero", row_of(&errors, "sun.zero left")->u,
             0.5 * sqrt((15.0 * 15.0 + 4.0 * 4.0 + 5.0 * 5.0) / 3.0), 1e-12);
    registry_free(&errors);
    assert_true(plan_errors_checked(&r->setup, CHECK_BUCKET, 3e-5, &errors, &faults));
    assert_null(row_of(&errors, "meter.calibration"));
    aid_near("bucket", row_of(&errors, "meter.left")->u,
             hypot(0.2 * 0.1 / sqrt(3.0), 0.005 / sqrt(3.0)), 1e-12);
    aid_near("stopwatch", row_of(&errors, "meter.check")->u, 0.3 / 120 / sqrt(3.0), 1e-12);
    registry_free(&errors);
    assert_true(plan_errors_replaced(&r->setup, CH_INLET, 4, &errors, &faults));
    assert_string_equal(instrument_kinds[4].name, "calibrated resistance thermometer");
    aid_near("inlet", row_of(&errors, "in.calibration")->u, 0.05, 1e-12);
    aid_near("outlet too", row_of(&errors, "out.calibration")->u, 0.05, 1e-12);
    aid_near("not the air", row_of(&errors, "air.calibration")->u, limit, 1e-12);
    registry_free(&errors);
    done(r);
}

/* One calibration of the sun sensor cures its factor and what goes with it; an instrument that was
 * not touched keeps the drift that the test's first day gave it. */
static void a_calibration_cures_what_it_can(void **state)
{
    (void)state;
    struct reduction *r = described(text);
    struct error_registry errors;
    size_t factor = r->setup.errors.n, drift = factor;
    for (size_t i = 0; i < r->setup.errors.n; i++) {
        factor = strcmp(r->setup.errors.rows[i].id, "sun.calibration") == 0 ? i : factor;
        drift = strcmp(r->setup.errors.rows[i].id, "sun.ageing") == 0 ? i : drift;
    }
    assert_true(factor < r->setup.errors.n && drift < r->setup.errors.n);
    double aged = 0.0123;
    r->setup.errors.rows[drift].u = aged;
    assert_true(plan_errors_checked(&r->setup, CHECK_BUCKET, 3e-5, &errors, &faults));
    aid_near("drift is kept", row_of(&errors, "sun.ageing")->u, aged, 0);
    registry_free(&errors);
    assert_true(plan_errors_cured(&r->setup, factor, &errors, &faults));
    aid_near("factor of class B", row_of(&errors, "sun.calibration")->u, 0.007, 1e-12);
    aid_near("a fifth of the drift", row_of(&errors, "sun.ageing")->u, 0.2 * aged, 1e-12);
    aid_near("not the temperature", row_of(&errors, "sun.temperature")->u, 0.020 / sqrt(3.0),
             1e-12);
    registry_free(&errors);
    done(r);
}

/* Before the first day: a plan by the rules, on the usual plate. */
static void a_first_plan_follows_the_rules(void **state)
{
    (void)state;
    struct reduction *r = described(text);
    struct plan *plan = calloc(1, sizeof *plan);
    struct plan_wish wish = {PLAN_ETA0, 0.0, 1000.0};
    assert_non_null(plan);
    assert_true(plan_find(plan, r, &r->setup.runs[0], true, &wish, &faults));
    assert_true(plan->first && !plan->now.given && plan->with.given);
    assert_int_equal(plan->first_levels, 4); /* ISO 9806: four temperatures, four points at each */
    assert_int_equal(plan->base.n, 16);
    aid_near("from the air", plan->first_rise_K[0], 0, 0);
    aid_near("usual plate", plan->with.value, PLAN_USUAL_ETA0, 0.02);
    for (size_t i = 1; i < plan->n; i++)
        assert_true(plan->items[i].then.half >= plan->items[i - 1].then.half);
    for (size_t i = 0; i < plan->n; i++)
        if (plan->items[i].inlet_degC >= PLAN_HOT_degC)
            assert_string_equal(plan->items[i].caution, plan_hot_words);
    /* Planned points lie on the curve: their efficiency is that of the prior. */
    for (size_t i = 0; i < plan->base.n; i++) {
        struct point_value value;
        assert_int_equal(point_evaluate(&plan->base.items[i], &plan->setup, NULL, &value),
                         POINT_OK);
        aid_near("on the curve", value.eta,
                 0.75 - 4.0 * value.x - 0.01 * value.g_W_m2 * value.x * value.x, 1e-6);
    }
    plan_free(plan);
    plan_free(plan);
    free(plan);
    done(r);
}

/* b0 from n ratios at one angle: K at 50 degrees moves by S50/S of the ratios' error, S = 1/cos -
 * 1; a ratio errs by u/eta0. The curve's own points are next to exact. */
static void a_modifier_is_planned_for(void **state)
{
    (void)state;
    static const double levels[] = {0.0, 0.05};
    static const char angled[] = "[collector]\ngross area = 2.17 m2\n[points]\nfile = absent.csv\n"
                                 "[run angle]\nkind = modifier\nform = line\nscale = stated\n";
    const double rad = PLAN_K_RAD / 50, b0 = 0.147, u = 0.0061;
    struct reduction *r = described(angled);
    registry_free(&r->setup.errors);
    add_points(&r->means, levels, 2, 3, 1e-7);
    static const double oblique_x[] = {0.01};
    add_points(&r->means, oblique_x, 1, 3, u);
    for (size_t i = 0; i < r->means.n; i++) {
        struct means *means = &r->means.items[i];
        bool off = i >= 6;
        means->has[CH_INCIDENCE] = true;
        means->mean[CH_INCIDENCE] = off ? 41 * rad : 0;
        if (off)
            means->eta -= 0.713 * b0 * (1 / cos(41 * rad) - 1);
    }
    struct plan *plan = calloc(1, sizeof *plan);
    struct plan_wish wish = {PLAN_K, 0, 1000.0};
    assert_non_null(plan);
    assert_true(plan_find(plan, r, &r->setup.runs[0], false, &wish, &faults));
    assert_true(plan->now.given && !plan->first);
    double s41 = 1 / cos(41 * rad) - 1, s50 = 1 / cos(50 * rad) - 1;
    aid_near("K", plan->now.value, 1 - b0 * s50, 1e-6);
    aid_near("now", plan->now.half, Z95 * u / 0.713 * s50 / s41 / sqrt(3.0), 1e-6);
    size_t angles = 0;
    for (size_t i = 0; i < plan->n; i++)
        angles += plan->items[i].kind == PLAN_ANGLE;
    assert_int_equal(angles, 4);
    assert_true(plan->limit.half < 1e-6 * plan->now.half);
    struct means window;
    struct point_value value;
    assert_true(plan_window_oblique(&plan->typical, &plan->setup, 60 * rad, 0, 1, &window));
    assert_int_equal(point_evaluate(&window, &plan->setup, NULL, &value), POINT_OK);
    aid_near("planned at 60 degrees", value.eta, 0.713 * (1 - b0), 1e-6);
    plan_free(plan);
    free(plan);
    done(r);
}

/* Three T* at each of three angles: eta = eta0 - c s - a1 T* with s = 1/cos - 1 and c = eta0 b0,
 * and s and T* do not go together, so that the variance of a1 is u^2 / sum (T* - mean)^2; with all
 * points n times it is the n-th part. Planned windows lie on curve and modifier, hot ones too. */
static void both_together_are_planned_for(void **state)
{
    (void)state;
    static const double levels[] = {0.0, 0.03, 0.05}, angles[] = {0, 40, 60};
    static const char both[] = "[collector]\ngross area = 2.17 m2\n[points]\nfile = absent.csv\n"
                               "[run rack]\nkind = modifier\ncurve = together\nform = line\n"
                               "scale = stated\n";
    const double rad = PLAN_K_RAD / 50, b0 = 0.147, u = 0.0061;
    struct reduction *r = described(both);
    registry_free(&r->setup.errors);
    add_points(&r->means, levels, 3, 3, u);
    double sxx = 0;
    for (size_t i = 0; i < r->means.n; i++) {
        struct means *means = &r->means.items[i];
        double theta = angles[i % 3] * rad;
        means->has[CH_INCIDENCE] = true;
        means->mean[CH_INCIDENCE] = theta;
        means->session = 0;
        means->eta -= 0.713 * b0 * (1 / cos(theta) - 1);
        sxx += pow(means->x - 0.08 / 3, 2);
    }
    struct plan *plan = calloc(1, sizeof *plan);
    struct plan_wish wish = {PLAN_A1, 0, 1000.0};
    assert_non_null(plan);
    assert_true(plan_find(plan, r, &r->setup.runs[0], false, &wish, &faults));
    assert_true(plan->joint && plan->now.given && !plan->first);
    aid_near("a1", plan->now.value, 4.37, 1e-6);
    aid_near_relative("now", plan->now.half, Z95 * u / sqrt(sxx), 1e-6);
    assert_int_equal(plan->n_steps, PLAN_REPEATS + 1);
    for (size_t k = 0; k < plan->n_steps; k++)
        aid_near_relative("again", plan->steps[k].half, plan->now.half / sqrt((double)k + 1), 1e-6);
    assert_true(plan->limit.half < 1e-6 * plan->now.half);
    size_t off = 0;
    for (size_t i = 0; i < plan->n; i++)
        off += plan->items[i].kind == PLAN_ANGLE;
    assert_int_equal(off, 8); /* 30, 40, 50 and 60 deg, cool and hot */
    struct means window;
    struct point_value value;
    assert_true(plan_window_oblique(&plan->typical, &plan->setup, 60 * rad, 24, 1, &window));
    assert_int_equal(point_evaluate(&window, &plan->setup, NULL, &value), POINT_OK);
    aid_near("planned at 60 degrees", value.eta, 0.713 * (1 - b0) - 4.37 * value.x, 1e-6);
    assert_true(value.x > 0.02 && value.g_W_m2 < 0.6 * plan->typical.g_W_m2);
    plan_free(plan);
    free(plan);
    done(r);
}

static void answers_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool good;
        enum plan_about about;
        double rise_K;
    } rows[] = {
        {NULL, true, PLAN_CURVE, 30},      {"eta0", true, PLAN_ETA0, 30},
        {"A1", true, PLAN_A1, 30},         {"k50", true, PLAN_K, 30},
        {"K40", false, PLAN_K, 0},         {"45.5 K", true, PLAN_CURVE, 45.5},
        {"45.5K", true, PLAN_CURVE, 45.5}, {"0.052", true, PLAN_CURVE, 0.052 * 870},
        {"0", true, PLAN_CURVE, 0},        {"45.5", false, PLAN_CURVE, 0},
        {"-3 K", false, PLAN_CURVE, 0},    {"151 K", false, PLAN_CURVE, 0},
        {"a2", false, PLAN_CURVE, 0},      {"K", false, PLAN_CURVE, 0},
        {"0,03", false, PLAN_CURVE, 0},    {"", false, PLAN_CURVE, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct plan_wish wish;
        faults_init(&faults);
        bool good = plan_wish_read(&wish, rows[i].text, 870.0, &faults);
        if (good != rows[i].good)
            fail_msg("'%s' was %s", rows[i].text, good ? "taken" : "refused");
        assert_int_equal(faults.worst == FAULT_USAGE, !rows[i].good);
        if (!good)
            continue;
        assert_int_equal(wish.about, rows[i].about);
        aid_near(rows[i].text == NULL ? "none" : rows[i].text, wish.rise_K, rows[i].rise_K, 1e-12);
    }
}

/* Of two tests: the root of 2, and the power of four in five; shared calibration goes. */
static void a_difference_that_can_be_told(void **state)
{
    (void)state;
    struct plan_said said = {.given = true, .u = 0.013, .dof = INFINITY};
    aid_near("apart", plan_least_difference(&said, false), (Z95 + Z80) * sqrt(2.0) * 0.013, 1e-12);
    said.calibration = 0.012 * 0.012;
    said.own = 0.003 * 0.003;
    aid_near("shared", plan_least_difference(&said, true),
             (Z95 + Z80) * sqrt(2 * (0.013 * 0.013 - 0.012 * 0.012 + 0.003 * 0.003)), 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(more_points_narrow_a_line_as_the_formula_says),
        cmocka_unit_test(calibration_is_the_limit),
        cmocka_unit_test(checks_leave_what_check_runs_leave),
        cmocka_unit_test(a_calibration_cures_what_it_can),
        cmocka_unit_test(a_first_plan_follows_the_rules),
        cmocka_unit_test(a_modifier_is_planned_for),
        cmocka_unit_test(both_together_are_planned_for),
        cmocka_unit_test(answers_are_read),
        cmocka_unit_test(a_difference_that_can_be_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
