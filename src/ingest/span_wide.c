#include "ingest/span_wide.h"

#if defined __x86_64__ && defined __GNUC__ && !defined ETABENCH_PLAIN

#include <immintrin.h>
#include <stdbool.h>

#define AVX2 __attribute__((target("avx2")))

enum { CHAINS = 4, STEP = CHAINS * SPAN_WIDE };

static inline bool is_able(void)
{
    return __builtin_cpu_supports("avx2") != 0;
}

static AVX2 size_t range(const double *value, size_t n, struct span_tally *tally)
{
    __m256d least[CHAINS], most[CHAINS];
    double low[SPAN_WIDE], high[SPAN_WIDE];
    size_t i = 0;
    for (size_t k = 0; k < CHAINS; k++) {
        least[k] = _mm256_set1_pd(tally->least);
        most[k] = _mm256_set1_pd(tally->most);
    }
    for (; i + STEP <= n; i += STEP)
        for (size_t k = 0; k < CHAINS; k++) {
            __m256d a = _mm256_loadu_pd(value + i + SPAN_WIDE * k);
            least[k] = _mm256_min_pd(a, least[k]);
            most[k] = _mm256_max_pd(a, most[k]);
        }
    for (size_t k = 1; k < CHAINS; k++) {
        least[0] = _mm256_min_pd(least[k], least[0]);
        most[0] = _mm256_max_pd(most[k], most[0]);
    }
    _mm256_storeu_pd(low, least[0]);
    _mm256_storeu_pd(high, most[0]);
    for (size_t k = 0; k < SPAN_WIDE; k++) {
        tally->least = low[k] < tally->least ? low[k] : tally->least;
        tally->most = high[k] > tally->most ? high[k] : tally->most;
    }
    return i;
}

/* Four columns of four rows -> four rows of four columns, one added after the other. */
static inline AVX2 __m256d add_four(__m256d sum, const double *const value[SPAN_WIDE], size_t i)
{
    __m256d a = _mm256_loadu_pd(value[0] + i), b = _mm256_loadu_pd(value[1] + i);
    __m256d c = _mm256_loadu_pd(value[2] + i), d = _mm256_loadu_pd(value[3] + i);
    __m256d ab_even = _mm256_unpacklo_pd(a, b), ab_odd = _mm256_unpackhi_pd(a, b);
    __m256d cd_even = _mm256_unpacklo_pd(c, d), cd_odd = _mm256_unpackhi_pd(c, d);
    sum = _mm256_add_pd(sum, _mm256_permute2f128_pd(ab_even, cd_even, 0x20));
    sum = _mm256_add_pd(sum, _mm256_permute2f128_pd(ab_odd, cd_odd, 0x20));
    sum = _mm256_add_pd(sum, _mm256_permute2f128_pd(ab_even, cd_even, 0x31));
    return _mm256_add_pd(sum, _mm256_permute2f128_pd(ab_odd, cd_odd, 0x31));
}

/* Of `fours` times four columns: a constant of the caller, so that all sums stay in registers. */
static inline AVX2 size_t sum_fours(const double *const *value, size_t fours, size_t first,
                                    size_t end, double *sum)
{
    __m256d total[SPAN_FOURS_MOST];
    size_t i = first;
    for (size_t k = 0; k < fours; k++)
        total[k] = _mm256_loadu_pd(sum + SPAN_WIDE * k);
    for (; i + SPAN_WIDE <= end; i += SPAN_WIDE)
        for (size_t k = 0; k < fours; k++)
            total[k] = add_four(total[k], value + SPAN_WIDE * k, i);
    for (size_t k = 0; k < fours; k++)
        _mm256_storeu_pd(sum + SPAN_WIDE * k, total[k]);
    return i;
}

static AVX2 size_t sums(const double *const *value, size_t fours, size_t first, size_t end,
                        double *sum)
{
    return fours == 2 ? sum_fours(value, 2, first, end, sum)
                      : sum_fours(value, SPAN_FOURS_MOST, first, end, sum);
}

size_t span_range_wide(const double *value, size_t n, struct span_tally *tally)
{
    return is_able() ? range(value, n, tally) : 0;
}

size_t span_sum_wide(const double *const *value, size_t fours, size_t first, size_t end,
                     double *sum)
{
    return is_able() ? sums(value, fours, first, end, sum) : first;
}

#else

size_t span_range_wide(const double *value, size_t n, struct span_tally *tally)
{
    (void)value, (void)n, (void)tally;
    return 0;
}

size_t span_sum_wide(const double *const *value, size_t fours, size_t first, size_t end,
                     double *sum)
{
    (void)value, (void)fours, (void)end, (void)sum;
    return first;
}

#endif
