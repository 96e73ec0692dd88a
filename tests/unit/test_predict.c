/* Predictions: a stated construction with its spread, laid beside a measurement, and what would
 * explain a difference. The physics below it has tests of its own (test_physics.c). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "aid_table.h"
#include "fit/combine.h"
#include "physics/stagnation.h"
#include "study/explain.h"
#include "study/predict_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char text[] =
    "[collector]\ngross area = 2.05 m2\naperture area = 1.92 m2\n"
    "[site]\ntilt = 40 deg\nsky = indoors\n"
    "[points]\nfile = p.csv\n[run a]\nkind = efficiency\n"
    "[cover]\nglazing = low-iron glass\ngap = 25 mm\n"
    "[absorber]\nabsorptance = 0.95\nemittance = 0.31\nmaterial = copper\nthickness = 0.3 mm\n"
    "[tubes]\nlayout = serpentine\nnumber = 8\nspacing = 120 mm\noutside diameter = 10 mm\n"
    "inside diameter = 8.4 mm\n"
    "[bond]\nconductance = 60 W/(m K)\nconductance error = 20 % standard\n"
    "[back]\nmaterial = mineral wool\nthickness = 50 mm\n"
    "[edge]\nmaterial = mineral wool\nthickness = 25 mm\nheight = 70 mm\n"
    "[stagnation]\ntemperature = 152 degC\nirradiance = 930 W/m2\nambient = 22 degC\n"
    "error = 2 K standard\n";

static struct faults faults;

struct scene {
    struct reduction reduction;
    struct conditions conditions;
    struct predict_wish wish;
    struct build build;
    struct prediction prediction;
    struct measured measured;
};

static struct scene *s;

static int begin(void **state)
{
    (void)state;
    faults_init(&faults);
    s = calloc(1, sizeof *s);
    reduction_init(&s->reduction);
    prediction_init(&s->prediction);
    struct test_setup *setup = &s->reduction.setup;
    assert_true(setup_parse("a.txt", text, strlen(text), setup, &faults));
    conditions_of(&s->reduction, PLATE_MEAN, &s->conditions);
    s->wish = (struct predict_wish){.form = fit_form_find("second order"),
                                    .range = {.x_low_m2K_W = 0.0, .x_high_m2K_W = 0.066},
                                    .n_states = 3,
                                    .x_m2K_W = {0.0, 0.033, 0.066},
                                    .point_g_W_m2 = 811.0,
                                    .point_ambient_degC = 9.0,
                                    .point_wind_m_s = 2.0,
                                    .point_inlet_degC = 44.0,
                                    .point_flow_W_K = 151.0};
    assert_true(
        build_make(&s->build, &setup->construction, setup, &s->conditions, PLATE_MEAN, &faults));
    assert_true(prediction_make(&s->prediction, &s->build, &s->wish, &faults));
    return 0;
}

static int end(void **state)
{
    (void)state;
    prediction_free(&s->prediction);
    reduction_free(&s->reduction);
    free(s);
    return 0;
}

/* Without a test: documented values. */
static void conditions_are_taken_where_nothing_is_measured(void **state)
{
    (void)state;
    const struct conditions *c = &s->conditions;
    assert_false(c->tested);
    aid_near("irradiance", c->weather.g_W_m2, 1000.0, 0.0);
    aid_near("sky of a room", c->weather.sky_degC, c->weather.ambient_degC, 0.0);
    aid_near("2 K limit", c->u_sky_K, 2.0 / sqrt(3.0), 1e-15);
    aid_near("flow", c->mass_kg_s, 0.02 * 2.05, 1e-15);
    aid_near("tilt", c->weather.tilt_rad, 40.0 * 3.14159265358979323846 / 180.0, 1e-12);
}

static void a_build_is_what_is_stated(void **state)
{
    (void)state;
    const struct build *b = &s->build;
    aid_near("low-iron glass", b->transmittance[0], 0.91, 1e-12);
    aid_near("its spread", b->u[PROP_TRANSMITTANCE], 0.01 / sqrt(3.0), 1e-12);
    aid_near("1 % of the absorptance", b->u[PROP_ABSORPTANCE], 0.0095, 1e-12);
    aid_near("emittance 0.03 at most", b->u[PROP_EMITTANCE], 0.03, 1e-12);
    aid_near("bond as stated", b->u[PROP_BOND], 0.20, 1e-12);
    aid_near("lit by the aperture", b->plate.lit_m2, 1.92, 0.0);
    /* 3 sqrt(2 * 2.05) around, 70 mm high. */
    aid_near("edge", b->plate.edge.area_share, 3.0 * sqrt(4.1) * 0.07 / 1.92, 1e-12);
    assert_true(b->area_assumed && b->perimeter_assumed && b->film_computed);
    /* Re 10,000 in one tube: far from quiet flow. */
    assert_true(b->film_W_m2K > 1500.0);
    assert_int_equal(b->n_limits, 3);
}

/* Where the sunshine goes adds up to the sunshine on the glass. */
static void losses_add_up(void **state)
{
    (void)state;
    const double *value = s->prediction.value;
    for (size_t k = 0; k < PREDICT_STATES; k++) {
        double sum = 0.0;
        for (size_t i = 0; i < LOSSES; i++)
            sum += value[ANSWER_LOSS + k * LOSSES + i];
        aid_near_relative("compared state", sum, 1000.0 * 1.92 / 2.05, 1e-9);
        aid_near_relative("useful share", value[ANSWER_LOSS + k * LOSSES] / 1000.0,
                          value[ANSWER_ETA + k], 1e-12);
    }
    double sum = 0.0;
    for (size_t i = 0; i < LOSSES; i++)
        sum += value[ANSWER_POINT_LOSS + i];
    aid_near_relative("operating point", sum, 811.0 * 1.92, 1e-9);
    aid_near_relative("outlet", 151.0 * (value[ANSWER_OUTLET] - 44.0),
                      value[ANSWER_POINT_LOSS + LOSS_USEFUL], 1e-9);
}

/* The spread is the root of the sum of squares of moves made by hand. */
static void the_spread_is_made_of_moves(void **state)
{
    (void)state;
    double sum = 0.0;
    for (int p = 0; p < PROPERTIES; p++) {
        double up[ANSWERS], down[ANSWERS];
        struct build more = s->build, less = s->build;
        build_move(&more, (enum property)p, s->build.u[p]);
        build_move(&less, (enum property)p, -s->build.u[p]);
        assert_true(predict_answers(&more, &s->wish, up, NULL, NULL, &faults));
        assert_true(predict_answers(&less, &s->wish, down, NULL, NULL, &faults));
        sum += pow(0.5 * (up[ANSWER_PLATE] - down[ANSWER_PLATE]), 2.0);
    }
    aid_near_relative("absorber", prediction_u(&s->prediction, ANSWER_PLATE), sqrt(sum), 1e-9);
    double all[9], less[9];
    prediction_covariance(&s->prediction, 3, s->prediction.rows.n, all);
    prediction_covariance(&s->prediction, 3, 0, less);
    const double *d = s->prediction.d[0];
    aid_near_relative("one row left out", all[1] - less[1], d[0] * d[1], 1e-6);
    aid_near_relative("variance", all[4], pow(prediction_u(&s->prediction, ANSWER_COEF + 1), 2.0),
                      1e-12);
}

/* Signs that no textbook would dispute. */
static void moves_go_the_right_way(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum property property;
        double amount;
        size_t answer;
        int sign;
    } rows[] = {
        {"more transmittance, more heat", PROP_TRANSMITTANCE, 0.03, ANSWER_ETA, 1},
        {"more absorptance, more heat", PROP_ABSORPTANCE, 0.03, ANSWER_ETA, 1},
        {"more emittance, more loss", PROP_EMITTANCE, 0.2, ANSWER_COEF + 1, 1},
        {"more emittance, cooler when idle", PROP_EMITTANCE, 0.2, ANSWER_IDLE_PLATE, -1},
        {"a better bond, more heat", PROP_BOND, 1.0, ANSWER_ETA, 1},
        {"a better bond, no hotter when idle", PROP_BOND, 1.0, ANSWER_IDLE_PLATE, 0},
        {"a worse back, more loss", PROP_BACK, 0.5, ANSWER_COEF + 1, 1},
        {"more wind, more loss", PROP_WIND, 0.3, ANSWER_COEF + 1, 1},
        {"a warmer sky, more heat", PROP_SKY, 8.0, ANSWER_ETA, 1},
        {"thicker sheet, more heat", PROP_SHEET, 0.5, ANSWER_ETA, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value[ANSWERS];
        struct build moved = s->build;
        build_move(&moved, rows[i].property, rows[i].amount);
        assert_true(predict_answers(&moved, &s->wish, value, NULL, NULL, &faults));
        double by = value[rows[i].answer] - s->prediction.value[rows[i].answer];
        int sign = by > 1e-9 ? 1 : by < -1e-9 ? -1 : 0;
        if (sign != rows[i].sign)
            fail_msg("%s: moved by %g", rows[i].name, by);
    }
}

/* What two builds share drops out of their difference. */
static void shared_properties_drop_out(void **state)
{
    (void)state;
    struct prediction same, other;
    prediction_init(&same);
    prediction_init(&other);
    assert_true(prediction_make(&same, &s->build, &s->wish, &faults));
    aid_near("itself", prediction_u_difference(&s->prediction, &same, ANSWER_ETA), 0.0, 1e-15);
    struct construction changed = s->reduction.setup.construction;
    const struct test_setup *setup = &s->reduction.setup;
    assert_true(
        construction_change(&changed, &setup->collector, "absorber = black chrome", &faults));
    struct build build;
    assert_true(build_make(&build, &changed, setup, &s->conditions, PLATE_MEAN, &faults));
    assert_true(prediction_make(&other, &build, &s->wish, &faults));
    double apart =
        hypot(prediction_u(&s->prediction, ANSWER_ETA), prediction_u(&other, ANSWER_ETA));
    double u = prediction_u_difference(&s->prediction, &other, ANSWER_ETA);
    /* The two surfaces are two unknowns. */
    double surfaces = 0.0;
    for (size_t i = 0; i < other.rows.n; i++)
        if (other.rows.rows[i].property == PROP_ABSORPTANCE)
            surfaces = hypot(other.d[i][ANSWER_ETA], s->prediction.d[i][ANSWER_ETA]);
    assert_true(u < apart && u > surfaces && surfaces > 0.0);
    /* So are two parts that are stated alike but for the figure. */
    changed = s->reduction.setup.construction;
    assert_true(
        construction_change(&changed, &setup->collector, "absorber absorptance = 0.90", &faults));
    assert_true(build_make(&build, &changed, setup, &s->conditions, PLATE_MEAN, &faults));
    prediction_free(&other);
    assert_true(prediction_make(&other, &build, &s->wish, &faults));
    u = prediction_u_difference(&s->prediction, &other, ANSWER_ETA);
    for (size_t i = 0; i < other.rows.n; i++)
        if (other.rows.rows[i].property == PROP_ABSORPTANCE)
            surfaces = hypot(other.d[i][ANSWER_ETA], s->prediction.d[i][ANSWER_ETA]);
    assert_true(u >= surfaces && u < 1.1 * surfaces);
    prediction_free(&same);
    prediction_free(&other);
}

/* A measurement as this build would give it with one property moved: u of 1 % of each coefficient.
 */
static void measure(enum property property, double amount)
{
    struct build moved = s->build;
    double value[ANSWERS];
    build_move(&moved, property, amount);
    assert_true(predict_answers(&moved, &s->wish, value, NULL, NULL, &faults));
    s->measured = (struct measured){.given = true, .form = s->wish.form, .dof = INFINITY};
    for (size_t j = 0; j < 3; j++) {
        s->measured.coef[j] = value[ANSWER_COEF + j];
        s->measured.u[j] = 0.01 * fabs(s->measured.coef[j]);
        s->measured.covariance[j * 3 + j] = pow(s->measured.u[j], 2.0);
    }
}

static const struct cause *cause_of(const struct explanation *e, enum property property)
{
    for (size_t i = 0; i < e->n; i++)
        if (e->causes[i].property == property)
            return &e->causes[i];
    fail_msg("property %d is no cause", (int)property);
    return NULL;
}

static void what_was_moved_is_found(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum property property;
        double amount, value, tolerance;
        const char *kind;
    } rows[] = {
        {"a clipped tube", PROP_BOND, -2.014903, 8.0, 0.01, "clipped"},
        {"a black surface", PROP_EMITTANCE, 0.61, 0.92, 1e-3, "black paint"},
        {"window glass", PROP_TRANSMITTANCE, -0.075, 0.835, 1e-3, "window glass"},
        {"a grey surface", PROP_ABSORPTANCE, -0.20, 0.75, 1e-3, NULL},
        {"wet wool", PROP_BACK, 1.6, 0.040 * 4.953032, 1e-3, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct explanation e;
        measure(rows[i].property, rows[i].amount);
        assert_true(explain(&s->prediction, &s->wish, &s->measured, &e, &faults));
        const struct cause *cause = cause_of(&e, rows[i].property);
        if (!e.differ || cause->verdict != CAUSE_POSSIBLE)
            fail_msg("%s: differ %d, verdict %d, apart %g", rows[i].name, e.differ,
                     (int)cause->verdict, e.apart);
        aid_near(rows[i].name, cause->value, rows[i].value, rows[i].tolerance);
        aid_near(rows[i].name, cause->left, 0.0, 1e-3);
        assert_true(cause->low < rows[i].value && rows[i].value < cause->high);
        bool alike = rows[i].kind == NULL
                         ? cause->kind == NULL
                         : cause->kind != NULL && strcmp(cause->kind, rows[i].kind) == 0;
        if (!alike)
            fail_msg("%s: typical of '%s'", rows[i].name, cause->kind == NULL ? "" : cause->kind);
        /* Ranked: nothing that explains less stands before it. */
        assert_true(e.causes[0].left <= cause->left + 1e-9);
    }
}

static void what_cannot_be_is_called_so(void **state)
{
    (void)state;
    struct explanation e;
    /* A quarter more light than there is. */
    measure(PROP_TRANSMITTANCE, 0.23);
    assert_true(explain(&s->prediction, &s->wish, &s->measured, &e, &faults));
    assert_true(e.differ);
    const struct cause *glass = cause_of(&e, PROP_TRANSMITTANCE);
    aid_near("1.14", glass->value, 1.14, 1e-3);
    assert_int_equal(glass->verdict, CAUSE_IMPOSSIBLE);
    assert_int_equal(cause_of(&e, PROP_ABSORPTANCE)->verdict, CAUSE_IMPOSSIBLE);
    /* No bond can be better than perfect. */
    assert_int_equal(cause_of(&e, PROP_BOND)->verdict, CAUSE_NOT_ENOUGH);
}

static void what_agrees_needs_no_cause(void **state)
{
    (void)state;
    struct explanation e;
    measure(PROP_BOND, 0.0);
    assert_true(explain(&s->prediction, &s->wish, &s->measured, &e, &faults));
    assert_false(e.differ);
    aid_near("nothing apart", e.apart, 0.0, 1e-9);
    assert_int_equal(cause_of(&e, PROP_BOND)->verdict, CAUSE_STATED);
}

/* ISO's proportion, two standard uncertainties of the reading and the hottest spot, by hand. */
static void idle_is_on_the_hot_side(void **state)
{
    (void)state;
    struct predict_idle idle;
    struct predict_view view = {.reduction = &s->reduction,
                                .conditions = &s->conditions,
                                .wish = &s->wish,
                                .measured = &s->measured,
                                .prediction = &s->prediction};
    s->measured = (struct measured){.form = s->wish.form};
    predict_idle_of(&view, &s->prediction, &idle);
    double half = fit_coverage_95(INFINITY);
    aid_near("seen", idle.seen_degC, 30.0 + 130.0 / 0.93, 1e-9);
    aid_near("seen, safe", idle.seen_safe_degC, 30.0 + 1.1 * (130.0 + half * 2.0) / 0.93, 1e-9);
    double u = prediction_u(&s->prediction, ANSWER_IDLE_PLATE);
    aid_near("built, safe", idle.built_safe_degC,
             30.0 + 1.1 * (s->prediction.value[ANSWER_IDLE_PLATE] + half * u - 30.0), 1e-9);
    aid_near("the hotter of the two", idle.worst_degC,
             fmax(idle.built_safe_degC, idle.seen_safe_degC), 0.0);
    s->measured.idle = true;
    s->measured.idle_safe_degC = 300.0;
    predict_idle_of(&view, &s->prediction, &idle);
    aid_near("the curve speaks too", idle.worst_degC, 300.0, 0.0);
    /* Still air and a sky as warm as the air: hotter than any test's weather would be. */
    struct plate_weather weather = predict_idle_weather(&s->build);
    aid_near("still", weather.wind_m_s, 0.0, 0.0);
    aid_near("no cold sky", weather.sky_degC, STAGNATION_AMBIENT_DEGC, 0.0);
}

/* What is printed of the two plates; lines marked "supposed" are not, and are alike in both. */
static const char black_plate[] =
    "[collector]\naperture area = 1.81 m2\n[points]\nfile = p.csv\n[run a]\nkind = efficiency\n"
    "[cover]\nglazing = low-iron glass\ngap = 25 mm\n" /* one glass; kind and gap supposed */
    "[absorber]\nabsorptance = 0.96\nemittance = 0.96\n"
    "material = aluminium\nthickness = 1.5 mm\n" /* roll-bond; thickness supposed */
    "[tubes]\nnumber = 10\nspacing = 100 mm\noutside diameter = 10 mm\n" /* supposed */
    "inside diameter = 8 mm\n"
    "[bond]\nkind = one piece\n"
    "[back]\nmaterial = mineral wool\nthickness = 50 mm\n"; /* supposed */

/* Published difference of the two plates at state k, coated less black, and its variance.
 * Correlations of the coefficients are not printed: taken as independent. */
static double published_difference(const struct aid_table *t, const double *terms, double *variance)
{
    static const char *const columns[] = {"eta0", "a1", "a2"};
    static const char *const us[] = {"u_eta0", "u_a1", "u_a2"};
    double difference = 0.0;
    *variance = 0.0;
    for (size_t j = 0; j < 3; j++) {
        difference += terms[j] * (aid_table_number(t, 1, columns[j]) -
                                  aid_table_number(t, 0, columns[j]));
        for (size_t i = 0; i < 2; i++) /* printed at 95 % */
            *variance += pow(terms[j] * aid_table_number(t, i, us[j]) / 1.96, 2.0);
    }
    return difference;
}

/* The part of the difference's variance that comes from weather and formulas. */
static double common_variance(const struct prediction *one, const struct prediction *other,
                              size_t answer)
{
    double sum = 0.0;
    assert_int_equal(one->rows.n, other->rows.n);
    for (size_t i = 0; i < one->rows.n; i++)
        if (property_row((enum property)one->rows.rows[i].property)->common)
            sum += pow(other->d[i][answer] - one->d[i][answer], 2.0);
    return sum;
}

/* Two published plates of one design, black and semi-selective: the predicted difference of their
 * curves against the published one at three temperatures. Whatever is not printed is alike in both
 * and has the spread that the program gives to everybody who states no more. docs/validation.md
 * tells the history of this check and what it shows. Source: Del Col et al., Energy 58 (2013) 258,
 * table 3 (read second-hand). */
static void published_plates_differ_as_predicted(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        bool parts_explain; /* the spread of the parts alone, without weather and formulas */
    } rows[] = {{"difference at T* 0", true}, {"at 0.03", false}, {"at 0.06", true}};
    struct test_setup *setup = &s->reduction.setup;
    struct prediction coated;
    struct aid_table t;
    prediction_free(&s->prediction);
    reduction_free(&s->reduction);
    reduction_init(&s->reduction);
    prediction_init(&coated);
    assert_true(setup_parse("b.txt", black_plate, strlen(black_plate), setup, &faults));
    conditions_of(&s->reduction, PLATE_MEAN, &s->conditions);
    s->wish.range.x_high_m2K_W = 0.06;
    for (int k = 0; k < 3; k++)
        s->wish.x_m2K_W[k] = 0.03 * k;
    struct construction *c = &setup->construction;
    struct construction changed = *c;
    assert_true(construction_change(
        &changed, &setup->collector,
        "absorber absorptance = 0.87; absorber emittance = 0.35", &faults));
    assert_true(build_make(&s->build, c, setup, &s->conditions, PLATE_MEAN, &faults));
    assert_true(prediction_make(&s->prediction, &s->build, &s->wish, &faults));
    assert_true(build_make(&s->build, &changed, setup, &s->conditions, PLATE_MEAN, &faults));
    assert_true(prediction_make(&coated, &s->build, &s->wish, &faults));
    aid_table_read(&t, "testdata/published/published-coefficients.csv");
    for (size_t k = 0; k < 3; k++) {
        size_t answer = ANSWER_ETA + k;
        struct fit_condition at = {.x = s->wish.x_m2K_W[k], .g = 1000.0};
        double terms[3], variance;
        s->wish.form->terms(&at, terms);
        double published = published_difference(&t, terms, &variance);
        double predicted = coated.value[answer] - s->prediction.value[answer];
        double u = prediction_u_difference(&s->prediction, &coated, answer);
        double parts = u * u - common_variance(&s->prediction, &coated, answer);
        aid_near(rows[k].name, predicted, published, 1.96 * sqrt(variance + u * u));
        bool explained = fabs(predicted - published) <= 1.96 * sqrt(variance + parts);
        if (explained != rows[k].parts_explain)
            fail_msg("%s: parts alone allow %.4f", rows[k].name, 1.96 * sqrt(variance + parts));
    }
    aid_table_free(&t);
    prediction_free(&coated);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(conditions_are_taken_where_nothing_is_measured, begin, end),
        cmocka_unit_test_setup_teardown(a_build_is_what_is_stated, begin, end),
        cmocka_unit_test_setup_teardown(losses_add_up, begin, end),
        cmocka_unit_test_setup_teardown(the_spread_is_made_of_moves, begin, end),
        cmocka_unit_test_setup_teardown(moves_go_the_right_way, begin, end),
        cmocka_unit_test_setup_teardown(shared_properties_drop_out, begin, end),
        cmocka_unit_test_setup_teardown(what_was_moved_is_found, begin, end),
        cmocka_unit_test_setup_teardown(what_cannot_be_is_called_so, begin, end),
        cmocka_unit_test_setup_teardown(what_agrees_needs_no_cause, begin, end),
        cmocka_unit_test_setup_teardown(idle_is_on_the_hot_side, begin, end),
        cmocka_unit_test_setup_teardown(published_plates_differ_as_predicted, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
