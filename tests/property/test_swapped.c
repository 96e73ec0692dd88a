/* Two collectors side by side whose flow meters change places: what a difference of 3 % between the
 * two meters does with and without that, whether the intervals hold the truth, and whether what is
 * solved of the meters is right. (aid_beside.h. 364 of 400 and more are asked of intervals of 95 %:
 * fewer have a chance of 3e-4 each.) */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "../unit/aid_beside.h"
#include "../unit/aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SEEDS = 400, HOLD_AT_LEAST = 364, SPOTS = 3 };
static const double spots[SPOTS] = {0.001, 0.03, 0.0585};

static struct beside beside;

/* Each meter right within 2.12 %: their difference has a standard deviation of 3 %. */
static const struct beside_case meters = {.eta0 = {0.765, 0.75},
                                          .a1 = {4.3, 4.3},
                                          .u_sun = 0.02,
                                          .u_flow = 0.0212,
                                          .noise_sun_W_m2 = 9,
                                          .noise_air_K = 0.2};

struct counts {
    size_t held[SPOTS], told[SPOTS], by_curves[SPOTS], meters_held;
    double half[SPOTS], half_by_curves[SPOTS], u_known;
};

/* What the first meter reads more than the other, solved. Out: u_known its standard uncertainty */
static bool meters_hold(double *u_known)
{
    struct difference_solved s = difference_solved(&beside.difference);
    assert_int_equal(s.n, 2);
    double u = s.items[0].row->a->u, variance = 0;
    double found = u * (s.items[0].value - s.items[1].value);
    for (int j = 0; j < 2; j++)
        for (int k = 0; k < 2; k++)
            variance += (j == k ? 1 : -1) * u * u * s.cov[j * 2 + k];
    *u_known = sqrt(variance);
    return fabs(found - (beside.flow[0] - beside.flow[1])) <= 1.959964 * sqrt(variance);
}

static void run(const struct beside_case *how, struct counts *counts)
{
    memset(counts, 0, sizeof *counts);
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        beside_draw(&beside, how, seed);
        for (int k = 0; k < SPOTS; k++) {
            struct difference_at at, by_curves;
            double truth = beside_truth(how, spots[k]);
            difference_look(&beside.difference, spots[k], 910, &at);
            difference_look_curves(&beside.difference, spots[k], 910, &by_curves);
            counts->held[k] += fabs(at.value - truth) <= at.half_95;
            counts->told[k] += fabs(at.value) > at.half_95;
            counts->by_curves[k] += fabs(by_curves.value - truth) <= by_curves.half_95;
            counts->half[k] += at.half_95 / SEEDS;
            counts->half_by_curves[k] += by_curves.half_95 / SEEDS;
        }
        double u_known = 0;
        if (how->swap_at > 0)
            counts->meters_held += meters_hold(&u_known);
        counts->u_known += u_known / SEEDS;
        beside_forget(&beside);
    }
    print_message("held %zu %zu %zu (curves %zu %zu %zu), told %zu %zu %zu, half %.4f %.4f %.4f "
                  "(curves %.4f %.4f %.4f), meters held %zu, within %.4f\n",
                  counts->held[0], counts->held[1], counts->held[2], counts->by_curves[0],
                  counts->by_curves[1], counts->by_curves[2], counts->told[0], counts->told[1],
                  counts->told[2], counts->half[0], counts->half[1], counts->half[2],
                  counts->half_by_curves[0], counts->half_by_curves[1], counts->half_by_curves[2],
                  counts->meters_held, counts->u_known);
}

static void a_swap_at_half_time_takes_the_meters_out(void **state)
{
    (void)state;
    struct beside_case swapped = meters, good = meters;
    struct counts without, with, perfect;
    swapped.swap_at = 8;
    good.u_flow = 1e-6;
    run(&meters, &without);
    run(&swapped, &with);
    run(&good, &perfect);
    for (int k = 0; k < SPOTS; k++) {
        assert_true(without.held[k] >= HOLD_AT_LEAST && with.held[k] >= HOLD_AT_LEAST);
        assert_true(with.by_curves[k] >= HOLD_AT_LEAST);
        /* Nearly what two meters that agree would give. */
        assert_true(with.half[k] < 1.15 * perfect.half[k]);
    }
    assert_true(without.half[0] > 0.04 && with.half[0] < 0.25 * without.half[0]);
    assert_true(without.told[0] < 80 && with.told[0] > 320);
    assert_true(with.meters_held >= HOLD_AT_LEAST && with.u_known < 0.2 * meters.u_flow);
}

static void a_swap_that_is_not_at_half_time_does_it_too(void **state)
{
    (void)state;
    struct beside_case swapped = meters;
    struct counts with;
    swapped.swap_at = 5; /* on the first day, before the hottest temperature */
    run(&swapped, &with);
    for (int k = 0; k < SPOTS; k++)
        assert_true(with.held[k] >= HOLD_AT_LEAST && with.by_curves[k] >= HOLD_AT_LEAST);
    assert_true(with.half[0] < 0.02);
    assert_true(with.meters_held >= HOLD_AT_LEAST);
}

/* Windows at other times make no pairs: both curves in one fit. */
static void without_pairs_both_curves_are_one_fit(void **state)
{
    (void)state;
    struct beside_case half = meters, early = meters;
    struct counts at_half, at_early;
    half.swap_at = 8;
    early.swap_at = 6;
    half.late_us = early.late_us = 300000000;
    run(&half, &at_half);
    run(&early, &at_early);
    for (int k = 0; k < SPOTS; k++) {
        assert_true(at_half.held[k] >= HOLD_AT_LEAST && at_early.held[k] >= HOLD_AT_LEAST);
        assert_true(at_half.half[k] <= 1.02 * at_half.half_by_curves[k]);
    }
    /* The hottest temperature was only seen after the swap: by themselves the curves do not know
     * what to do with that. */
    assert_true(at_early.half[2] < 0.6 * at_early.half_by_curves[2]);
    assert_true(at_half.meters_held >= HOLD_AT_LEAST && at_early.meters_held >= HOLD_AT_LEAST);
}

/* By hand: one test's rows after swaps_apply. */
static void rows_are_split_at_the_swap(void **state)
{
    (void)state;
    struct beside_case swapped = meters;
    swapped.swap_at = 8;
    beside_draw(&beside, &swapped, 1);
    const struct tested *a = &beside.tests[0];
    const struct error_registry *errors = &a->reduction->setup.errors;
    const struct error_source *before = &errors->rows[3], *after = &errors->rows[5];
    assert_int_equal(errors->n, 6);
    assert_string_equal(before->id, "meter.calibration");
    assert_string_equal(before->instrument_id, "M-1");
    assert_string_equal(after->id, "meter.swapped in.calibration");
    assert_string_equal(after->instrument_id, "M-2");
    for (int i = 0; i < BESIDE_POINTS; i++) {
        const struct means *means = &a->reduction->means.items[i];
        assert_true(error_source_acts(before, means) == (i < 8));
        assert_true(error_source_acts(after, means) == (i >= 8));
    }
    /* A meter's gain moves eta0 by eta0 u, each of the two by its half of the windows. */
    double eta0 = a->e.curve.coef[0], d[2] = {0, 0};
    for (size_t k = 0; k < a->e.n_shares; k++)
        for (int j = 0; j < 2; j++)
            if (a->e.shares[k].row == (j == 0 ? before : after))
                d[j] = a->e.shares[k].d[0];
    aid_near_relative("both", d[0] + d[1], eta0 * 0.0212, 0.02);
    assert_true(d[0] > 0.4 * (d[0] + d[1]) && d[0] < 0.6 * (d[0] + d[1])); /* not one sunshine */
    beside_forget(&beside);
}

static int begin(void **state)
{
    (void)state;
    return beside_init(&beside) ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    beside_free(&beside);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_swap_at_half_time_takes_the_meters_out),
        cmocka_unit_test(a_swap_that_is_not_at_half_time_does_it_too),
        cmocka_unit_test(without_pairs_both_curves_are_one_fit),
        cmocka_unit_test(rows_are_split_at_the_swap),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
