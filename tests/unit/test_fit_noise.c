/* fit/noise: series of known noise under a drift and a slow wave. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#include "aid_near.h"
#include "fit/noise.h"

enum { TRIALS = 300, WINDOWS = 16, LENGTH = 60 };

struct series {
    const char *name;
    double phi, drift, wave; /* drift per reading and wave's amplitude in noise SDs */
    double spread;           /* relative standard deviation of the predicted variance, at most */
};

/* Noise of SD 1.7 about 900. The wave's period is 300 readings: its variance is up to 4.5 times
 * that of the noise, and lag 16 lets through (2 pi 16/300)^4 = 1.3 % of it. */
static const struct series all_series[] = {
    {"white", 0.0, 0.0, 0.0, 0.12},
    {"white, drift, wave", 0.0, 0.05, 3.0, 0.12},
    {"phi 0.5", 0.5, 0.0, 0.0, 0.25},
    {"phi 0.5, drift, wave", 0.5, 0.05, 3.0, 0.25},
    {"phi 0.8", 0.8, 0.0, 0.0, 0.55},
    {"phi 0.8, drift, wave", 0.8, -0.05, 3.0, 0.55},
};

static const double sigma = 1.7;

/* One window into the accumulator.
 * Returns: the mean of its noise, which only the simulation knows */
static double feed(struct fit_noise *noise, const struct series *sr, gsl_rng *rng, double start)
{
    double e = gsl_ran_gaussian(rng, sigma), sum = 0.0;
    double fresh = sigma * sqrt(1.0 - sr->phi * sr->phi);
    for (int i = 0; i < LENGTH; i++) {
        double wave = sr->wave * sigma * sin(2.0 * M_PI * i / 300.0 + start);
        fit_noise_add(noise, 900.0 + sr->drift * sigma * i + wave + e);
        sum += e;
        e = sr->phi * e + gsl_ran_gaussian(rng, fresh);
    }
    return sum / LENGTH;
}

/* Variance of the mean of n readings of correlation phi^k, term by term. */
static double true_variance(double phi)
{
    double sum = 0.0;
    for (int i = 0; i < LENGTH; i++) {
        for (int k = 0; k < LENGTH; k++)
            sum += pow(phi, abs(i - k));
    }
    return sigma * sigma * sum / (LENGTH * LENGTH);
}

/* Predicted variance of a window's mean against the exact one, and the simulated means against
 * both. The estimator is biased by the order of 1/(effective readings): 10 % at most is allowed
 * for 16 windows of 60, and 2 % more for the wave. 4,800 means know their variance to 2 %
 * (standard), so 8 % is four standard deviations. */
static void check_series(const struct series *sr, gsl_rng *rng)
{
    double sum = 0.0, sum2 = 0.0, seen = 0.0, phi = 0.0, exact = true_variance(sr->phi);
    for (unsigned long trial = 1; trial <= TRIALS; trial++) {
        struct fit_noise noise;
        struct fit_noise_result result;
        gsl_rng_set(rng, 7919 * trial);
        fit_noise_init(&noise);
        for (int w = 0; w < WINDOWS; w++) {
            double mean = feed(&noise, sr, rng, 1.3 * w);
            seen += mean * mean / (TRIALS * WINDOWS);
            fit_noise_gap(&noise);
        }
        assert_int_equal(fit_noise_estimate(&noise, &result), FIT_OK);
        double ratio = pow(fit_noise_of_mean(&result, LENGTH), 2.0) / exact;
        sum += ratio / TRIALS;
        sum2 += ratio * ratio / TRIALS;
        phi += result.phi / TRIALS;
    }
    double spread = sqrt(sum2 - sum * sum);
    printf("  %-20s predicted/exact variance %.3f +- %.3f, phi %.3f\n", sr->name, sum, spread, phi);
    aid_near(sr->name, sum, 1.0, 0.12);
    aid_near_relative(sr->name, seen, exact, 0.08);
    aid_near(sr->name, phi, sr->phi, 0.03);
    if (spread > sr->spread)
        fail_msg("%s: spread %.3f, at most %.3f", sr->name, spread, sr->spread);
}

static void test_variance_of_mean(void **state)
{
    (void)state;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(rng);
    for (size_t k = 0; k < sizeof all_series / sizeof all_series[0]; k++)
        check_series(&all_series[k], rng);
    gsl_rng_free(rng);
}

/* A long series: SD and correlation themselves, and how wrong lag 1 alone is: a factor
 * (6 - 8 phi + 2 phi^2)/6 in variance. 40,000 readings of phi = 0.8 are worth about 4,400, so the
 * SD is known to 1.1 %; four times that is allowed. */
static void test_long_series(void **state)
{
    (void)state;
    const struct series sr = {"long", 0.8, 0.0, 0.0, 0.0};
    struct fit_noise noise;
    struct fit_noise_result result;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(rng);
    gsl_rng_set(rng, 20011);
    fit_noise_init(&noise);
    double e = 0.0;
    for (int i = 0; i < 40000; i++) {
        e = sr.phi * e + gsl_ran_gaussian(rng, sigma * 0.6);
        fit_noise_add(&noise, 37.0 - 0.01 * i + e);
    }
    gsl_rng_free(rng);
    assert_int_equal(fit_noise_estimate(&noise, &result), FIT_OK);
    aid_near_relative("s", result.s, sigma, 0.045);
    aid_near("phi", result.phi, 0.8, 0.02);
    aid_near_relative("lag 1 alone", result.s_neighbour, sigma * sqrt(0.88 / 6.0), 0.03);
    assert_true(result.plateau);
    assert_int_equal(result.lag, 16);
}

/* A straight line is no noise, however steep; nor is a constant. */
static void test_no_noise(void **state)
{
    (void)state;
    for (int slope = 0; slope < 3; slope++) {
        struct fit_noise noise;
        struct fit_noise_result result;
        fit_noise_init(&noise);
        for (int i = 0; i < 50; i++)
            fit_noise_add(&noise, 3.25 + 0.5 * slope * i);
        assert_int_equal(fit_noise_estimate(&noise, &result), FIT_OK);
        aid_near("s", result.s, 0.0, 0.0);
        aid_near("u of mean", fit_noise_of_mean(&result, 50.0), 0.0, 0.0);
    }
}

/* Correlation longer than the lags show is flagged. A random walk is the extreme. */
static void test_too_long_correlation(void **state)
{
    (void)state;
    struct fit_noise noise;
    struct fit_noise_result result;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(rng);
    gsl_rng_set(rng, 4421);
    fit_noise_init(&noise);
    double walk = 0.0;
    for (int i = 0; i < 3000; i++)
        fit_noise_add(&noise, walk += gsl_ran_gaussian(rng, 0.3));
    gsl_rng_free(rng);
    assert_int_equal(fit_noise_estimate(&noise, &result), FIT_OK);
    assert_false(result.plateau);
}

static double wiggle(int i)
{
    return 20.0 + 0.3 * sin(2.9 * i) + 0.2 * cos(7.7 * i * i);
}

/* A gap, a reading that is not a number, and a merge all give the same as separate stretches. */
static void test_gap_and_merge(void **state)
{
    (void)state;
    struct fit_noise whole, broken, first, second;
    fit_noise_init(&whole);
    fit_noise_init(&broken);
    fit_noise_init(&first);
    fit_noise_init(&second);
    for (int i = 0; i < 90; i++) {
        if (i == 41) {
            fit_noise_gap(&whole);
            fit_noise_add(&broken, i % 2 ? NAN : INFINITY);
        }
        fit_noise_add(&whole, wiggle(i));
        fit_noise_add(&broken, wiggle(i));
        fit_noise_add(i < 41 ? &first : &second, wiggle(i));
    }
    fit_noise_merge(&first, &second);
    const double counts[FIT_NOISE_LAGS] = {86.0, 82.0, 74.0, 58.0, 26.0}; /* 41 + 49 - 4 L */
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++) {
        aid_near("count", whole.count[k], counts[k], 0.0);
        aid_near("merged count", first.count[k], counts[k], 0.0);
        aid_near_relative("broken", broken.sum_d2[k], whole.sum_d2[k], 1e-15);
        aid_near_relative("merged", first.sum_d2[k], whole.sum_d2[k], 1e-12);
    }
    aid_near("readings", first.n_readings, 90.0, 0.0);
}

/* A stretch at once is the same to the bit as its readings one by one, whatever its length and
 * wherever one of them is no number. */
static void test_stretch(void **state)
{
    (void)state;
    enum { MOST = 80 };
    double value[MOST];
    struct fit_noise single, whole;
    fit_noise_init(&single);
    fit_noise_init(&whole);
    for (int n = 0; n <= MOST; n++)
        for (int bad = -1; bad < n; bad += 7) {
            for (int i = 0; i < n; i++) {
                value[i] = i == bad ? NAN : wiggle(i + n);
                fit_noise_add(&single, value[i]);
            }
            fit_noise_gap(&single);
            fit_noise_stretch(&whole, value, (size_t)n);
        }
    assert_memory_equal(whole.sum_d2, single.sum_d2, sizeof single.sum_d2);
    assert_memory_equal(whole.count, single.count, sizeof single.count);
    aid_near("readings", whole.n_readings, single.n_readings, 0.0);
    assert_true(whole.count[FIT_NOISE_LAGS - 1] > 0.0);
    assert_int_equal(whole.filled, 0);
}

/* Second differences by hand: 1, 4, 2, 9 gives -5 and 9. */
static void test_by_hand(void **state)
{
    (void)state;
    const double values[4] = {1.0, 4.0, 2.0, 9.0};
    struct fit_noise noise;
    struct fit_noise_result result;
    fit_noise_init(&noise);
    for (int i = 0; i < 4; i++)
        fit_noise_add(&noise, values[i]);
    aid_near("sum", noise.sum_d2[0], 106.0, 0.0);
    aid_near("count", noise.count[0], 2.0, 0.0);
    aid_near("lag 2", noise.count[1], 0.0, 0.0);
    assert_int_equal(fit_noise_estimate(&noise, &result), FIT_TOO_FEW);
    assert_true(isnan(result.s));
}

/* Ten readings: only lag 1 has eight differences, so nothing is known of the correlation. */
static void test_short_series(void **state)
{
    (void)state;
    struct fit_noise noise;
    struct fit_noise_result result;
    fit_noise_init(&noise);
    for (int i = 0; i < 10; i++)
        fit_noise_add(&noise, wiggle(i));
    assert_int_equal(fit_noise_estimate(&noise, &result), FIT_OK);
    assert_int_equal(result.lag, 1);
    assert_false(result.plateau);
    aid_near("phi", result.phi, 0.0, 0.0);
    aid_near_relative("s", result.s, result.s_neighbour, 1e-14);
}

/* By hand for n = 3: 3 / (1 + 2 (2/3 phi + 1/3 phi^2)). */
static void test_effective(void **state)
{
    (void)state;
    double phi = 0.37;
    aid_near("three", fit_noise_effective(phi, 3.0),
             3.0 / (1.0 + 2.0 * (2.0 * phi + phi * phi) / 3.0), 1e-13);
    aid_near("independent", fit_noise_effective(0.0, 23.0), 23.0, 0.0);
    aid_near("one", fit_noise_effective(0.8, 1.0), 1.0, 0.0);
    aid_near_relative("many", fit_noise_effective(0.8, 1e6), 1e6 / 9.0, 1e-4);
}

/* Second differences at lag 1 of a series that swings by a: 4 a, at lag 2: 0; of noise sigma both sqrt(6)
 * sigma. So their mean squares are as 6 to 16 (a/sigma)^2 + 6, which is a tenth at a = 1.84 sigma. */
static void test_alternating(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double swing; /* in noise SDs */
        bool alternates;
    } rows[] = {{"noise alone", 0, false}, {"half of it", 0.9, false}, {"twice as much", 3.7, true}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct fit_noise noise;
        fit_noise_init(&noise);
        for (int i = 0; i < 2000; i++)
            fit_noise_add(&noise, 43.1 + 0.001 * i + (i % 2 == 0 ? 1 : -1) * rows[r].swing * sigma +
                                      gsl_ran_gaussian(rng, sigma));
        double swing = fit_noise_swing(&noise);
        if ((swing > 0.0) != rows[r].alternates)
            fail_msg("%s", rows[r].name);
        if (rows[r].alternates)
            aid_near_relative(rows[r].name, swing, /* from one side to the other, and the noise */
                              sigma * sqrt(4.0 * rows[r].swing * rows[r].swing + 6.0 / 4.0), 0.02);
    }
    gsl_rng_free(rng);
    struct fit_noise few;
    fit_noise_init(&few);
    for (int i = 0; i < 34; i++)
        fit_noise_add(&few, i % 2);
    assert_true(fit_noise_swing(&few) == 0.0); /* 30 differences at lag 2 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_alternating),
        cmocka_unit_test(test_variance_of_mean),
        cmocka_unit_test(test_long_series),
        cmocka_unit_test(test_no_noise),
        cmocka_unit_test(test_too_long_correlation),
        cmocka_unit_test(test_gap_and_merge),
        cmocka_unit_test(test_stretch),
        cmocka_unit_test(test_by_hand),
        cmocka_unit_test(test_short_series),
        cmocka_unit_test(test_effective),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
