#include "ingest/batch_avx2.h"

#if defined __x86_64__ && defined __GNUC__ && !defined ETABENCH_PLAIN

#include "ingest/batch_quads.h"
#include "ingest/batch_time.h"

#include <immintrin.h>
#include <string.h>

#define AVX2 QUADS_AVX2

enum { WIDTH = 16, DIGITS_MOST = 15, DIGITS_LOW = 8 };

/* Row p takes the byte at p out and moves those before it up; row 16 moves nothing. */
#define OUT(p)                                                                                     \
    {                                                                                              \
        0 - (0 <= p), 1 - (1 <= p), 2 - (2 <= p), 3 - (3 <= p), 4 - (4 <= p), 5 - (5 <= p),        \
            6 - (6 <= p), 7 - (7 <= p), 8 - (8 <= p), 9 - (9 <= p), 10 - (10 <= p),                \
            11 - (11 <= p), 12 - (12 <= p), 13 - (13 <= p), 14 - (14 <= p), 15 - (15 <= p)         \
    }
static const int8_t sign_out[WIDTH + 1][WIDTH] = {
    OUT(0), OUT(1), OUT(2),  OUT(3),  OUT(4),  OUT(5),  OUT(6),  OUT(7),  OUT(8),
    OUT(9), OUT(10), OUT(11), OUT(12), OUT(13), OUT(14), OUT(15), OUT(-1)};

/* By the place of the decimal sign in 16 bytes: what the digits are to be divided by. */
static const double power_at[WIDTH + 1] = {1e15, 1e14, 1e13, 1e12, 1e11, 1e10, 1e9, 1e8, 1e7,
                                           1e6,  1e5,  1e4,  1e3,  1e2,  1e1,  1e0, 1e0};

/* From byte n on, n below 32: 16 - n zeros, then ones. */
static const int8_t ones[3 * WIDTH] = {
    0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  0,  -1, -1, -1, -1, -1, -1, -1, -1,
    -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1};

static const double zero[2] = {0.0, -0.0};

bool batch_avx2_able(void)
{
    return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
           __builtin_cpu_supports("bmi") &&
           __builtin_cpu_supports("bmi2") && __builtin_cpu_supports("popcnt");
}

void batch_avx2_settle(struct batch_quad *quad)
{
    quad_settle(quad, 0);
}

static inline AVX2 uint32_t ends_in(const char *bytes, __m256i separator)
{
    __m256i v = _mm256_loadu_si256((const __m256i *)(const void *)bytes);
    __m256i control = _mm256_cmpeq_epi8(_mm256_min_epu8(v, _mm256_set1_epi8('\r')), v);
    __m256i quote = _mm256_cmpeq_epi8(v, _mm256_set1_epi8('"'));
    __m256i any = _mm256_or_si256(_mm256_cmpeq_epi8(v, separator), _mm256_or_si256(control, quote));
    return (uint32_t)_mm256_movemask_epi8(any);
}

AVX2 size_t batch_avx2_marks(const char *text, size_t from, size_t to, char separator,
                             uint32_t *mark)
{
    __m256i ends = _mm256_set1_epi8(separator);
    size_t n = 0;
    for (size_t at = from; at < to; at += BATCH_MARKED) {
        uint64_t bits = ends_in(text + at, ends) | (uint64_t)ends_in(text + at + 32, ends) << 32;
        size_t here = (size_t)_mm_popcnt_u64(bits);
        /* Eight at a time, whether there are so many or not: what is too much is overwritten. */
        for (size_t done = 0; done < here; done += 8)
            for (size_t i = 0; i < 8; i++) {
                mark[n + done + i] = (uint32_t)at + (uint32_t)_tzcnt_u64(bits);
                bits = _blsr_u64(bits);
            }
        n += here;
    }
    return n;
}

/* The numbers of a row, taken apart. */
struct digits {
    __m128i of[BATCH_NUMBERS];   /* a digit a byte, the last one in the last */
    double power[BATCH_NUMBERS]; /* of ten, that divides them */
    double sign[BATCH_NUMBERS];  /* 0 or -0 */
};

/* What is asked of all numbers of a row, each joined to the others bit by bit. */
struct digits_seen {
    __m128i digit; /* the largest: more than 9 is none */
    size_t bytes;  /* without the sign */
    size_t digits; /* less one: negative if there are none */
};

static inline AVX2 void take_apart(struct digits *row, size_t i, const char *from, const char *to,
                                   __m128i decimal, struct digits_seen *seen)
{
    bool negative = *from == '-';
    size_t n = (size_t)(to - from) - negative;
    __m128i v = _mm_loadu_si128((const __m128i *)(const void *)(to - WIDTH));
    uint32_t signs = (uint32_t)_mm_movemask_epi8(_mm_cmpeq_epi8(v, decimal)) | 1U << WIDTH;
    uint32_t before = (WIDTH - (uint32_t)n) % 32;
    uint32_t whole = _tzcnt_u32(signs >> before); /* digits before the sign */
    uint32_t place = (whole + before) % 32;
    size_t digits = n - (whole < n);
    place = place > WIDTH ? WIDTH : place;
    __m128i order = _mm_loadu_si128((const __m128i *)(const void *)sign_out[place]);
    __m128i keep = _mm_loadu_si128((const __m128i *)(const void *)(ones + digits % 32));
    v = _mm_shuffle_epi8(_mm_sub_epi8(v, _mm_set1_epi8('0')), order);
    v = _mm_and_si128(v, keep);
    row->of[i] = v;
    row->power[i] = power_at[place];
    row->sign[i] = zero[negative];
    seen->digit = _mm_max_epu8(seen->digit, v);
    seen->bytes |= n;
    seen->digits |= digits - 1;
}

/* Two numbers of eight digits each. */
static inline AVX2 __m128d join(__m128i digits)
{
    __m128i two = _mm_maddubs_epi16(digits, _mm_set1_epi16(1 << 8 | 10));
    __m128i four = _mm_madd_epi16(two, _mm_set1_epi32(1 << 16 | 100));
    __m128i narrow = _mm_packs_epi32(four, four);
    return _mm_cvtepi32_pd(_mm_madd_epi16(narrow, _mm_set1_epi32(1 << 16 | 10000)));
}

/* Two doubles that were just stored one by one: one load of both would wait for the stores. */
static inline AVX2 __m128d two_of(const double *at)
{
    return _mm_loadh_pd(_mm_load_sd(at), at + 1);
}

static inline AVX2 __m128d number_of(const struct digits *row, size_t i, bool wide)
{
    __m128d whole = join(_mm_unpackhi_epi64(row->of[i], row->of[i + 1]));
    if (wide) {
        __m128d high = join(_mm_unpacklo_epi64(row->of[i], row->of[i + 1]));
        whole = _mm_add_pd(_mm_mul_pd(high, _mm_set1_pd(1e8)), whole);
    }
    __m128d power = two_of(row->power + i), sign = two_of(row->sign + i);
    return _mm_xor_pd(_mm_div_pd(whole, power), sign);
}

/* As row_scaled. */
static inline AVX2 __m128d scaled(const struct batch *batch, size_t i, __m128d number)
{
    __m128d raw = _mm_add_pd(_mm_mul_pd(_mm_loadu_pd(batch->gain + i), number),
                             _mm_loadu_pd(batch->add + i));
    return _mm_add_pd(_mm_mul_pd(raw, _mm_loadu_pd(batch->scale + i)),
                      _mm_loadu_pd(batch->offset + i));
}

/* Ones for each that is in range and no missing marker. */
static inline AVX2 __m128d which_good(const struct batch *batch, const struct row_form *form,
                                      size_t i, __m128d number, __m128d value)
{
    __m128d good = _mm_and_pd(_mm_cmpge_pd(value, _mm_loadu_pd(batch->least_si + i)),
                              _mm_cmple_pd(value, _mm_loadu_pd(batch->most_si + i)));
    for (size_t k = 0; k < form->n_numbers; k++)
        good = _mm_andnot_pd(_mm_cmpeq_pd(number, _mm_set1_pd(form->number_marker[k])), good);
    return good;
}

/* Returns: false if one of the numbers is none, or too long. */
static inline AVX2 bool split_row(const struct batch *batch, char decimal, const char *text,
                                  const uint32_t *mark, struct digits *row, bool *wide)
{
    struct digits_seen seen = {_mm_setzero_si128(), 0, 0};
    __m128i nine = _mm_set1_epi8(9), sign = _mm_set1_epi8(decimal);
    size_t n = batch->n_numbers;
    for (size_t i = 0; i < n; i++) {
        const uint32_t *end = mark + batch->number_field[i];
        take_apart(row, i, text + end[-1] + 1, text + end[0], sign, &seen);
    }
    if (n % 2 == 1) {
        row->of[n] = _mm_setzero_si128();
        row->power[n] = 1.0;
        row->sign[n] = 0.0;
    }
    __m128i fine = _mm_cmpeq_epi8(_mm_max_epu8(seen.digit, nine), nine);
    *wide = seen.digits >= DIGITS_LOW;
    return seen.bytes <= DIGITS_MOST && seen.digits < DIGITS_MOST + 1 &&
           _mm_movemask_epi8(fine) == 0xFFFF;
}

/* Reads the numbers of a row, of whatever length, into row `at` of the target.
 * Returns: false if one is not good. */
static AVX2 bool take_numbers(const struct batch *batch, const struct row_form *form,
                                     const char *text, const uint32_t *mark,
                                     const struct batch_target *target, size_t at)
{
    struct digits row;
    bool wide;
    size_t n = batch->n_numbers;
    if (!split_row(batch, form->plan->decimal, text, mark, &row, &wide))
        return false;
    __m128d good = _mm_castsi128_pd(_mm_set1_epi8(-1));
    for (size_t i = 0; i < n; i += 2) {
        __m128d number = number_of(&row, i, wide);
        __m128d value = scaled(batch, i, number);
        good = _mm_and_pd(good, which_good(batch, form, i, number, value));
        _mm_storel_pd(target->value[batch->column[i]] + at, value);
        if (i + 1 < n)
            _mm_storeh_pd(target->value[batch->column[i + 1]] + at, value);
    }
    return _mm_movemask_pd(good) == 3;
}

/* Returns: false if the time cannot be read, stands for two instants or does not follow on. */
static inline bool take_time(const struct batch *batch, struct rows *rows, const char *text,
                             const uint32_t *mark, const struct batch_target *target)
{
    bool two = batch->n_times == 2;
    const uint32_t *end = mark + batch->time_field[0];
    const uint32_t *end_last = two ? mark + batch->time_field[1] : end;
    struct batch_stamp stamp = {text + end[-1] + 1, end[0] - end[-1] - 1, text + end_last[-1] + 1,
                                end_last[0] - end_last[-1] - 1, two};
    return (batch_seconds(rows, &stamp) || batch_whole(rows, &stamp)) &&
           batch_follows(rows, target);
}

/* Bytes of the line end of a row with as many fields as the header, 0 if it is no such row. */
static inline size_t tail_of(const char *text, const uint32_t *mark, size_t n, char separator)
{
    unsigned other = 0;
    char first = text[mark[-1] + 1];
    for (size_t i = 0; i + 1 < n; i++)
        other |= (unsigned)(text[mark[i]] ^ separator);
    if (other != 0 || first == '#' || first == ' ' || first == '\t')
        return 0;
    if (text[mark[n - 1]] == '\n')
        return 1;
    bool both = text[mark[n - 1]] == '\r' && mark[n] == mark[n - 1] + 1 && text[mark[n]] == '\n';
    return both ? 2 : 0;
}

AVX2 size_t batch_avx2_rows(struct batch *batch, struct rows *rows, struct batch_target *target,
                            size_t taken)
{
    const char *text = rows->lines.buffer;
    const struct row_form *form = rows->form;
    size_t n = batch->n_fields, at = taken;
    for (; at < target->room && batch->n_marks - batch->next > n; at++) {
        const uint32_t *mark = batch->mark + batch->next;
        size_t tail = tail_of(text, mark, n, form->plan->separator);
        if (tail == 0 || !take_time(batch, rows, text, mark, target) ||
            !((batch->n_quads > 0 && quads_take(batch, form, text, mark, target, at)) ||
              take_numbers(batch, form, text, mark, target, at)))
            break;
        target->time_us[at] = target->last_us = rows->time_us;
        batch->next += n - 1 + tail;
    }
    return at - taken;
}

#else

bool batch_avx2_able(void)
{
    return false;
}

void batch_avx2_settle(struct batch_quad *quad)
{
    (void)quad;
}

size_t batch_avx2_marks(const char *text, size_t from, size_t to, char separator, uint32_t *mark)
{
    (void)text, (void)from, (void)to, (void)separator, (void)mark;
    return 0;
}

size_t batch_avx2_rows(struct batch *batch, struct rows *rows, struct batch_target *target,
                       size_t taken)
{
    (void)batch, (void)rows, (void)target, (void)taken;
    return 0;
}

#endif
