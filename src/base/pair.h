/* Pairs of doubles, worked on at once: by SSE2, which each 64-bit x86 has, elsewhere one after the
 * other. Both give the same bits.
 */
#ifndef BASE_PAIR_H
#define BASE_PAIR_H

#ifdef __SSE2__

#include <emmintrin.h>

typedef __m128d pair;

static inline pair pair_of(double low, double high) { return _mm_set_pd(high, low); }
static inline pair pair_load(const double *two) { return _mm_loadu_pd(two); }
static inline void pair_store(pair a, double *two) { _mm_storeu_pd(two, a); }
static inline double pair_low(pair a) { return _mm_cvtsd_f64(a); }
static inline pair pair_add(pair a, pair b) { return _mm_add_pd(a, b); }
static inline pair pair_lows(pair a, pair b) { return _mm_unpacklo_pd(a, b); }
static inline pair pair_highs(pair a, pair b) { return _mm_unpackhi_pd(a, b); }
static inline pair pair_least(pair a, pair b) { return _mm_min_pd(a, b); }
static inline pair pair_most(pair a, pair b) { return _mm_max_pd(a, b); }

#else

typedef struct {
    double low;
    double high;
} pair;

static inline pair pair_of(double low, double high) { return (pair){low, high}; }
static inline pair pair_load(const double *two) { return (pair){two[0], two[1]}; }
static inline void pair_store(pair a, double *two) { two[0] = a.low, two[1] = a.high; }
static inline double pair_low(pair a) { return a.low; }
static inline pair pair_add(pair a, pair b) { return (pair){a.low + b.low, a.high + b.high}; }
/* The low ones of both; the high ones. */
static inline pair pair_lows(pair a, pair b) { return (pair){a.low, b.low}; }
static inline pair pair_highs(pair a, pair b) { return (pair){a.high, b.high}; }
/* b where they are equal, as SSE2 has it. */
static inline pair pair_least(pair a, pair b)
{
    return (pair){a.low < b.low ? a.low : b.low, a.high < b.high ? a.high : b.high};
}
static inline pair pair_most(pair a, pair b)
{
    return (pair){a.low > b.low ? a.low : b.low, a.high > b.high ? a.high : b.high};
}

#endif

#endif
