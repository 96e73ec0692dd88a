/* The invented collectors: balance, stability, steady state. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "demo/collectors.h"
#include "demo/plant.h"
#include "aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;

static const struct plant_conditions mild = {.g_W_m2 = 947.3,
                                             .incidence_rad = 0.083,
                                             .t_ambient_degC = 23.7,
                                             .t_in_degC = 19.6,
                                             .flow_kg_s = 0.0397,
                                             .wind_m_s = 3.3};
static const struct plant_conditions hot = {.g_W_m2 = 871.9,
                                            .incidence_rad = 0.021,
                                            .t_ambient_degC = 26.1,
                                            .t_in_degC = 85.7,
                                            .flow_kg_s = 0.0411,
                                            .wind_m_s = 2.2};
/* At night, the collector a radiator. */
static const struct plant_conditions dark = {.g_W_m2 = 0.0,
                                             .incidence_rad = 0.0,
                                             .t_ambient_degC = 11.3,
                                             .t_in_degC = 57.9,
                                             .flow_kg_s = 0.0283,
                                             .wind_m_s = 3.9};

static const struct {
    const char *name;
    enum demo_collector collector;
    const struct plant_conditions *at;
} cases[] = {
    {"plate A, mild", DEMO_PLATE_A, &mild}, {"plate A, hot", DEMO_PLATE_A, &hot},
    {"plate B, hot", DEMO_PLATE_B, &hot},   {"plate B, dark", DEMO_PLATE_B, &dark},
    {"rig, mild", DEMO_RIG, &mild},         {"rig, dark", DEMO_RIG, &dark},
};
enum { CASES = sizeof cases / sizeof cases[0] };

static const struct plant *plant_of(size_t i)
{
    return &demo_collector_row(cases[i].collector)->plant;
}

static void integrate(const struct plant *plant, const struct fluid *fluid,
                      const struct plant_conditions *at, double dt_s, int steps,
                      struct plant_state *state, struct plant_energy *energy)
{
    for (int i = 0; i < steps; i++)
        assert_true(plant_step(plant, fluid, at, dt_s, state, energy, &faults));
}

static void long_constant_conditions_reach_the_steady_state(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    for (size_t i = 0; i < CASES; i++) {
        const struct plant *plant = plant_of(i);
        struct plant_result result;
        struct plant_state want, state;
        struct plant_energy energy = {0};
        assert_true(plant_steady(plant, &water, cases[i].at, &result, &want, &faults));
        plant_rest(&state, 41.7);
        integrate(plant, &water, cases[i].at, 1.0, 5400, &state, &energy);
        for (size_t k = 0; k < PLANT_CELLS; k++) {
            aid_near(cases[i].name, state.fluid_degC[k], want.fluid_degC[k], 1e-9);
            aid_near(cases[i].name, state.plate_degC[k], want.plate_degC[k], 1e-9);
        }
        aid_near(cases[i].name, result.t_out_degC, want.fluid_degC[PLANT_CELLS - 1], 0.0);
        double carried = energy.carried_J;
        integrate(plant, &water, cases[i].at, 1.0, 1, &state, &energy);
        aid_near(cases[i].name, energy.carried_J - carried, result.heat_W, 1e-6);
    }
}

static void energy_closes_while_everything_moves(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    for (size_t i = 0; i < CASES; i++) {
        const struct plant *plant = plant_of(i);
        struct plant_state state;
        struct plant_energy energy = {0};
        plant_rest(&state, 33.3);
        double start = plant_stored(plant, &water, &state);
        for (int t = 0; t < 1800; t++) {
            struct plant_conditions at = *cases[i].at;
            at.g_W_m2 += t % 300 < 140 ? 61.0 : 0.0;
            at.t_in_degC += 3.0 * sin(t / 77.0);
            at.wind_m_s += 0.9 * cos(t / 31.0);
            integrate(plant, &water, &at, 1.0, 1, &state, &energy);
        }
        double stored = plant_stored(plant, &water, &state) - start;
        double moved = energy.absorbed_J + fabs(energy.lost_J) + fabs(energy.carried_J);
        assert_true(moved > 1e5 && fabs(stored) > 1e3);
        aid_near(cases[i].name, energy.absorbed_J - energy.lost_J - energy.carried_J, stored,
                 1e-11 * moved);
    }
}

static double distance(const struct plant_state *a, const struct plant_state *b)
{
    double sum = 0.0;
    for (size_t i = 0; i < PLANT_CELLS; i++)
        sum += pow(a->fluid_degC[i] - b->fluid_degC[i], 2) +
               pow(a->plate_degC[i] - b->plate_degC[i], 2);
    return sqrt(sum);
}

/* Fourth order: half the step, a sixteenth of the error (Hairer, Norsett, Wanner, Solving Ordinary
 * Differential Equations I, II.1), as steps become short; 32 would be fifth order, 8 third. */
static void halving_the_step_divides_the_error_by_sixteen(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    const int steps_per_s[] = {4, 8, 128};
    for (size_t i = 0; i < CASES; i++) {
        struct plant_state state[3];
        for (size_t k = 0; k < 3; k++) {
            struct plant_energy energy = {0};
            plant_rest(&state[k], 37.1);
            integrate(plant_of(i), &water, cases[i].at, 1.0 / steps_per_s[k], 20 * steps_per_s[k],
                      &state[k], &energy);
        }
        double whole = distance(&state[0], &state[2]);
        double half = distance(&state[1], &state[2]);
        if (!(whole / half > 13.0 && whole / half < 20.0))
            fail_msg("%s: errors %.3g and %.3g, ratio %.2f", cases[i].name, whole, half,
                     whole / half);
    }
}

static void the_longest_step_is_stable_and_a_longer_one_refused(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    for (size_t i = 0; i < CASES; i++) {
        double longest_s = plant_longest_step(plant_of(i), &water, cases[i].at->flow_kg_s);
        assert_true(longest_s > 1.0);
        struct plant_result result;
        struct plant_state state;
        struct plant_energy energy = {0};
        assert_true(plant_steady(plant_of(i), &water, cases[i].at, &result, NULL, &faults));
        plant_rest(&state, 29.9);
        integrate(plant_of(i), &water, cases[i].at, longest_s, 5000, &state, &energy);
        aid_near(cases[i].name, state.fluid_degC[PLANT_CELLS - 1], result.t_out_degC, 1e-9);

        const double refused_s[] = {1.001 * longest_s, 0.0, -1.0, NAN};
        for (size_t k = 0; k < 4; k++) {
            struct plant_state before = state;
            faults_init(&faults);
            assert_false(plant_step(plant_of(i), &water, cases[i].at, refused_s[k], &state, &energy,
                                    &faults));
            assert_int_equal(faults.n, 1);
            assert_non_null(strstr(faults.items[0].found, "is not stable"));
            assert_memory_equal(&before, &state, sizeof state);
        }
        faults_init(&faults);
    }
}

/* With a loss in proportion and a constant specific heat, cell by cell
 *     theta_i = theta_(i-1)/(1 + a F' U/(m cp)),  theta = T_f - T_a - S/U,  F' = h/(h + U):
 * own algebra from the definition of F' (Duffie and Beckman, Solar Engineering of Thermal
 * Processes, ch. 6). */
static void steady_state_agrees_with_the_closed_form(void **unused)
{
    (void)unused;
    const double t[] = {0.0, 120.0}, density[] = {991.0, 991.0}, cp[] = {4171.3, 4171.3};
    struct fluid plain;
    assert_true(fluid_table(&plain, "plain", t, density, cp, 2, "none", &faults));
    for (size_t i = 0; i < CASES; i++) {
        struct plant plant = *plant_of(i);
        const struct plant_conditions *at = cases[i].at;
        plant.loss_rise_W_m2K2 = 0.0;
        double u = plant.loss_W_m2K + plant.loss_wind_J_m3K * (at->wind_m_s - 3.0);
        double s = plant.tau_alpha * at->g_W_m2 * plant_modifier(&plant, at->incidence_rad);
        double f = plant.bond_W_m2K / (plant.bond_W_m2K + u);
        double share = plant.aperture_m2 / PLANT_CELLS * f * u / (at->flow_kg_s * cp[0]);
        double theta = at->t_in_degC - at->t_ambient_degC - s / u;
        double want = at->t_ambient_degC + s / u + theta * pow(1.0 + share, -PLANT_CELLS);
        struct plant_result result;
        assert_true(plant_steady(&plant, &plain, at, &result, NULL, &faults));
        aid_near(cases[i].name, result.t_out_degC, want, 1e-9);
        aid_near(cases[i].name, result.heat_W, at->flow_kg_s * cp[0] * (want - at->t_in_degC),
                 1e-6);
        aid_near(cases[i].name, result.t_mean_degC, 0.5 * (want + at->t_in_degC), 1e-9);
    }
}

static void the_modifier_is_one_at_normal_and_never_negative(void **unused)
{
    (void)unused;
    const double pi = 3.14159265358979323846;
    const struct plant *plant = &demo_collector_row(DEMO_PLATE_A)->plant;
    aid_near("normal", plant_modifier(plant, 0.0), 1.0, 0.0);
    aid_near("60 degrees", plant_modifier(plant, pi / 3.0), 1.0 - plant->b0, 1e-12);
    aid_near("89 degrees", plant_modifier(plant, 89.0 * pi / 180.0), 0.0, 0.0);
}

static void water_that_would_boil_is_refused(void **unused)
{
    (void)unused;
    struct fluid water;
    fluid_water(&water);
    struct plant_conditions at = hot;
    at.t_in_degC = water.most_degC - 0.5;
    at.g_W_m2 = 3900.0;
    struct plant_result result = {.t_out_degC = 7.7};
    faults_init(&faults);
    assert_false(plant_steady(&demo_collector_row(DEMO_PLATE_B)->plant, &water, &at, &result, NULL,
                              &faults));
    assert_int_equal(faults.n, 1);
    assert_non_null(strstr(faults.items[0].found, "leaves the range of 'water'"));
    aid_near("untouched", result.t_out_degC, 7.7, 0.0);
    faults_init(&faults);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(long_constant_conditions_reach_the_steady_state),
        cmocka_unit_test(energy_closes_while_everything_moves),
        cmocka_unit_test(halving_the_step_divides_the_error_by_sixteen),
        cmocka_unit_test(the_longest_step_is_stable_and_a_longer_one_refused),
        cmocka_unit_test(steady_state_agrees_with_the_closed_form),
        cmocka_unit_test(the_modifier_is_one_at_normal_and_never_negative),
        cmocka_unit_test(water_that_would_boil_is_refused),
    };
    faults_init(&faults);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
