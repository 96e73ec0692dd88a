/* Four short numbers at once, for ingest/batch_avx2.c: the common case of a log's row, where no
 * number has more than eight bytes. It gives what the general way there gives, to the bit.
 *
 * A number's last eight bytes are one of four lanes; what stands before it is made leading zeros.
 * Where the decimal signs stand hardly ever changes from row to row, so what follows from it is
 * kept until it does (struct batch_quad).
 *
 * In a header of its own because it must be inlined into the loop over rows.
 */
#ifndef INGEST_BATCH_QUADS_H
#define INGEST_BATCH_QUADS_H

#include "ingest/batch.h"
#include "ingest/batch_divide.h"

#include <immintrin.h>
#include <string.h>

#define QUADS_AVX2 __attribute__((target("avx2,fma,bmi,bmi2,popcnt")))

enum { QUAD_BYTES = 8 };

/* What follows from the places of the decimal signs, a bit for each byte of the four lanes. */
static inline void quad_settle(struct batch_quad *quad, uint32_t signs)
{
    static const double power[QUAD_BYTES] = {1e7, 1e6, 1e5, 1e4, 1e3, 1e2, 1e1, 1e0};
    quad->signs = signs;
    for (int lane = 0; lane < BATCH_QUAD; lane++) {
        int byte = lane % 2 * QUAD_BYTES; /* shuffles do not leave 16 bytes */
        int place = 0;
        while (place < QUAD_BYTES && (signs >> (lane * QUAD_BYTES + place) & 1U) == 0)
            place++;
        bool sign = place < QUAD_BYTES;
        quad->divisor[lane] = sign ? power[place] : 1.0;
        quad->inverse[lane] = 1.0 / quad->divisor[lane];
        quad->other[lane] = sign;
        for (int i = 0; i < QUAD_BYTES; i++)
            quad->order[lane * QUAD_BYTES + i] =
                (int8_t)(!sign || i > place ? byte + i : i > 0 ? byte + i - 1 : -1);
    }
}

/* Bytes of each field. */
static inline QUADS_AVX2 __m256i quad_lengths(const struct batch_quad *quad, const uint32_t *mark)
{
    const size_t *field = quad->field;
    __m128i before, end;
    if (quad->side_by_side) {
        before = _mm_loadu_si128((const __m128i *)(const void *)(mark + field[0] - 1));
        end = _mm_loadu_si128((const __m128i *)(const void *)(mark + field[0]));
    } else {
        const uint32_t *last = mark - 1;
        before = _mm_set_epi32((int)last[field[3]], (int)last[field[2]], (int)last[field[1]],
                               (int)last[field[0]]);
        end = _mm_set_epi32((int)mark[field[3]], (int)mark[field[2]], (int)mark[field[1]],
                            (int)mark[field[0]]);
    }
    __m128i n = _mm_sub_epi32(_mm_sub_epi32(end, before), _mm_set1_epi32(1));
    return _mm256_cvtepu32_epi64(n);
}

static inline QUADS_AVX2 __m128i quad_eight(const char *from)
{
    return _mm_loadl_epi64((const __m128i *)(const void *)from);
}

/* The last eight bytes of each field and what stands before it. */
static inline QUADS_AVX2 __m256i quad_load(const struct batch_quad *quad, const char *text,
                                           const uint32_t *mark)
{
    const size_t *field = quad->field;
    const char *from = text - QUAD_BYTES;
    __m128i low = _mm_unpacklo_epi64(quad_eight(from + mark[field[0]]),
                                     quad_eight(from + mark[field[1]]));
    __m128i high = _mm_unpacklo_epi64(quad_eight(from + mark[field[2]]),
                                      quad_eight(from + mark[field[3]]));
    return _mm256_inserti128_si256(_mm256_castsi128_si256(low), high, 1);
}

/* Four numbers of eight digits each, a digit a byte. */
static inline QUADS_AVX2 __m256d quad_join(__m256i digits)
{
    __m256i two = _mm256_maddubs_epi16(digits, _mm256_set1_epi16(1 << 8 | 10));
    __m256i four = _mm256_madd_epi16(two, _mm256_set1_epi32(1 << 16 | 100));
    __m256i eight = _mm256_add_epi64(_mm256_mul_epu32(four, _mm256_set1_epi64x(10000)),
                                     _mm256_srli_epi64(four, 32));
    /* Below 2^52 a whole number is the last bits of 2^52 + itself. */
    __m256d shift = _mm256_set1_pd(4503599627370496.0);
    __m256i shifted = _mm256_or_si256(eight, _mm256_castpd_si256(shift));
    return _mm256_sub_pd(_mm256_castsi256_pd(shifted), shift);
}

/* What is asked of all numbers of a row. */
struct quads_seen {
    __m256i digit;  /* the largest: more than 9 is none */
    __m256i number; /* ones while each lane had a digit and at most eight bytes */
};

static inline QUADS_AVX2 __m256d quad_numbers(struct batch_quad *quad, const char *text,
                                              const uint32_t *mark, char decimal,
                                              struct quads_seen *seen)
{
    const __m256i zero = _mm256_setzero_si256(), eight = _mm256_set1_epi64x(QUAD_BYTES);
    __m256i n = quad_lengths(quad, mark);
    __m256i shift = _mm256_slli_epi64(_mm256_sub_epi64(eight, n), 3);
    __m256i v = _mm256_xor_si256(quad_load(quad, text, mark), _mm256_set1_epi8('0'));
    v = _mm256_and_si256(v, _mm256_sllv_epi64(_mm256_set1_epi64x(-1), shift));
    /* A minus, if it is the first byte, becomes a leading zero. */
    __m256i first = _mm256_sllv_epi64(_mm256_set1_epi64x(0xFF), shift);
    __m256i minus = _mm256_cmpeq_epi8(v, _mm256_set1_epi8('-' ^ '0'));
    minus = _mm256_and_si256(minus, first);
    v = _mm256_andnot_si256(minus, v);
    __m256i plus = _mm256_cmpeq_epi64(minus, zero);
    __m256i points = _mm256_cmpeq_epi8(v, _mm256_set1_epi8((char)(decimal ^ '0')));
    uint32_t signs = (uint32_t)_mm256_movemask_epi8(points);
    if (signs != quad->signs)
        quad_settle(quad, signs);
    v = _mm256_shuffle_epi8(v, _mm256_loadu_si256((const __m256i *)(const void *)quad->order));
    /* At least a digit beside the signs: n - other > (minus ? 1 : 0). */
    __m256i other = _mm256_loadu_si256((const __m256i *)(const void *)quad->other);
    __m256i least = _mm256_add_epi64(_mm256_add_epi64(other, _mm256_set1_epi64x(1)), plus);
    __m256i fine = _mm256_andnot_si256(_mm256_cmpgt_epi64(n, eight), _mm256_cmpgt_epi64(n, least));
    seen->digit = _mm256_max_epu8(seen->digit, v);
    seen->number = _mm256_and_si256(seen->number, fine);
    __m256d value = batch_divide_four(quad_join(v), quad->divisor, quad->inverse);
    __m256d sign = _mm256_andnot_pd(_mm256_castsi256_pd(plus), _mm256_set1_pd(-0.0));
    return _mm256_xor_pd(value, sign);
}

/* As row_scaled. */
static inline QUADS_AVX2 __m256d quad_scaled(const struct batch_quad *quad, __m256d number)
{
    __m256d raw = _mm256_add_pd(_mm256_mul_pd(_mm256_loadu_pd(quad->gain), number),
                                _mm256_loadu_pd(quad->add));
    return _mm256_add_pd(_mm256_mul_pd(raw, _mm256_loadu_pd(quad->scale)),
                         _mm256_loadu_pd(quad->offset));
}

/* Ones for each that is in range and no missing marker. */
static inline QUADS_AVX2 __m256d quad_good(const struct batch_quad *quad,
                                           const struct row_form *form, __m256d number,
                                           __m256d value)
{
    __m256d least = _mm256_loadu_pd(quad->least_si), most = _mm256_loadu_pd(quad->most_si);
    __m256d good = _mm256_and_pd(_mm256_cmp_pd(value, least, _CMP_GE_OQ),
                                 _mm256_cmp_pd(value, most, _CMP_LE_OQ));
    for (size_t k = 0; k < form->n_numbers; k++) {
        __m256d marker = _mm256_set1_pd(form->number_marker[k]);
        good = _mm256_andnot_pd(_mm256_cmp_pd(number, marker, _CMP_EQ_OQ), good);
    }
    return good;
}

static inline QUADS_AVX2 void quad_store(const struct batch_quad *quad, __m256d value,
                                         const struct batch_target *target, size_t at)
{
    const size_t *column = quad->column;
    __m128d low = _mm256_castpd256_pd128(value), high = _mm256_extractf128_pd(value, 1);
    _mm_storel_pd(target->value[column[0]] + at, low);
    _mm_storeh_pd(target->value[column[1]] + at, low);
    _mm_storel_pd(target->value[column[2]] + at, high);
    _mm_storeh_pd(target->value[column[3]] + at, high);
}

/* Reads the numbers of a row into row `at` of the target.
 * Returns: false if one is not good, or too long for this; then what is in that row is no matter */
static inline QUADS_AVX2 bool quads_take(struct batch *batch, const struct row_form *form,
                                         const char *text, const uint32_t *mark,
                                         const struct batch_target *target, size_t at)
{
    struct quads_seen seen = {_mm256_setzero_si256(), _mm256_set1_epi8(-1)};
    __m256d good = _mm256_castsi256_pd(seen.number);
    for (size_t k = 0; k < batch->n_quads; k++) {
        struct batch_quad *quad = &batch->quad[k];
        __m256d number = quad_numbers(quad, text, mark, form->plan->decimal, &seen);
        __m256d value = quad_scaled(quad, number);
        good = _mm256_and_pd(good, quad_good(quad, form, number, value));
        quad_store(quad, value, target, at);
    }
    __m256i nine = _mm256_set1_epi8(9);
    __m256i digits = _mm256_cmpeq_epi8(_mm256_max_epu8(seen.digit, nine), nine);
    __m256i numbers = _mm256_and_si256(digits, seen.number);
    __m256i all = _mm256_and_si256(numbers, _mm256_castpd_si256(good));
    return _mm256_movemask_epi8(all) == -1;
}

#endif
