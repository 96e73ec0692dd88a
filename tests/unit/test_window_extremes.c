/* Extremes of several lanes side by side, against a plain search. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_log.h"
#include "window/extremes.h"

#include <math.h>

static struct faults faults;

/* Lane k of row i: few distinct values, so that ties are common, other ones in each lane. */
static void fill_lanes(double (*value)[EXTREMES_LANES], size_t n)
{
    uint32_t seed = 3;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < EXTREMES_LANES; k++)
            value[i][k] = floor(9.0 * aid_uniform(&seed)) - 4.0 * (double)k +
                          (i > 400 ? 0.01 * (double)i : 0.0);
}

static void same_as_plain_search(const struct extremes *extremes,
                                 double (*value)[EXTREMES_LANES], size_t first, size_t last)
{
    struct extremes_range range;
    extremes_get(extremes, &range);
    for (size_t k = 0; k < EXTREMES_LANES; k++) {
        double low = INFINITY, high = -INFINITY;
        for (size_t i = first; i <= last; i++) {
            low = fmin(low, value[i][k]);
            high = fmax(high, value[i][k]);
        }
        assert_true(range.least[k] == low);
        assert_true(range.most[k] == high);
    }
}

static void extremes_are_those_of_a_plain_search(void **state)
{
    (void)state;
    static const size_t spans[] = {1, 2, 3, 8, 17, 64};
    enum { N = 700 };
    static double value[N][EXTREMES_LANES];
    fill_lanes(value, N);
    for (size_t s = 0; s < sizeof spans / sizeof spans[0]; s++) {
        struct extremes extremes;
        assert_true(extremes_init(&extremes, spans[s], &faults));
        for (size_t i = 0; i < N; i++) {
            extremes_push(&extremes, value[i]);
            same_as_plain_search(&extremes, value, i + 1 > spans[s] ? i + 1 - spans[s] : 0, i);
        }
        extremes_free(&extremes);
        extremes_free(&extremes);
    }
}

/* NaN is no value, but the one before it is as old as if it were. */
static void extremes_pass_over_what_is_none(void **state)
{
    (void)state;
    double some[EXTREMES_LANES], none[EXTREMES_LANES];
    struct extremes extremes;
    struct extremes_range range;
    for (size_t k = 0; k < EXTREMES_LANES; k++) {
        some[k] = -7.25 - (double)k;
        none[k] = k == 2 ? 3.5 : NAN;
    }
    for (size_t span = 1; span <= 2; span++) {
        assert_true(extremes_init(&extremes, span, &faults));
        extremes_push(&extremes, none);
        extremes_clear(&extremes);
        extremes_push(&extremes, some);
        extremes_push(&extremes, none);
        extremes_get(&extremes, &range);
        assert_true(range.most[1] == (span > 1 ? -8.25 : -INFINITY));
        assert_true(range.least[1] == (span > 1 ? -8.25 : INFINITY));
        assert_true(range.most[2] == 3.5);
        assert_true(range.least[2] == (span > 1 ? -9.25 : 3.5));
        extremes_free(&extremes);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(extremes_are_those_of_a_plain_search),
        cmocka_unit_test(extremes_pass_over_what_is_none),
    };
    faults_init(&faults);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
