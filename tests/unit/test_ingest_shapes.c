/* Rows read by their shapes against the reading of all other rows; their division against the
 * processor's. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "ingest/batch_shapes.h"
#include "ingest/rows.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_ingest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBERS = 5, ROWS_MOST = 40000 };

static struct faults faults;

/* A log's rows by chance: numbers of `digits` at most, a word of a column that is not used. */
static const struct shape_case {
    const char *name;
    const char *header;
    const char *format;
    const char *second; /* of two columns of the time */
    char separator;
    char decimal;
    const char *end;
    size_t digits;
    const char *words[3]; /* NULL: no such column */
    size_t widths;        /* of the numbers, before and behind the sign: so many kinds */
    size_t at_least;      /* rows in 100 that go by shape */
} cases[] = {
    {"plain", "Time,G tilt,T air,T in,T out,Flow", "ISO 8601", NULL, ',', '.', "\n", 7,
     {NULL, NULL, NULL}, 2, 80},
    {"decimal comma", "Time;G tilt;T air;T in;T out;Flow", "ISO 8601", NULL, ';', ',', "\r\n", 7,
     {NULL, NULL, NULL}, 2, 80},
    {"two columns", "Date\tTime\tG tilt\tT air\tT in\tT out\tFlow", "%d.%m.%Y %H:%M:%S", "Time",
     '\t', '.', "\n", 5, {NULL, NULL, NULL}, 2, 80},
    {"words", "Time,G tilt,T air,T in,T out,Flow,State", "ISO 8601", NULL, ',', '.', "\n", 7,
     {"OK", "12x", "a b"}, 1, 80},
    {"a quote in one of the words", "Time,G tilt,T air,T in,T out,Flow,State", "ISO 8601", NULL,
     ',', '.', "\n", 7, {"OK", "\"x\"", "OK"}, 1, 0},
    {"any numbers", "Time,G tilt,T air,T in,T out,Flow", "ISO 8601", NULL, ',', '.', "\n", 9,
     {NULL, NULL, NULL}, 0, 0},
};
enum { CASES = sizeof cases / sizeof cases[0], LOG_ROWS = 20000 };

static void put_stamp(struct text *out, const struct shape_case *form, int64_t second)
{
    int h = (int)(second / 3600 % 24), m = (int)(second / 60 % 60), s = (int)(second % 60);
    if (form->second != NULL)
        text_addf(out, "21.06.2026%c%02d:%02d:%02d", form->separator, h, m, s);
    else
        text_addf(out, "2026-06-%02dT%02d:%02d:%02d", 21 + (int)(second / 86400), h, m, s);
}

/* Of one of a few widths, so that shapes come again; or of any. */
static void put_number(struct text *out, const struct shape_case *form, uint64_t *seed)
{
    static const size_t ten_to[] = {1, 10, 100, 1000, 10000};
    if (form->widths == 0) {
        aid_put_number(out, seed, form->decimal, form->digits);
        return;
    }
    size_t width = aid_below(seed, form->widths), behind = 1 + width;
    if (aid_below(seed, 4) == 0)
        text_addf(out, "-");
    text_addf(out, "%zu%c%0*zu", aid_below(seed, ten_to[1 + width]), form->decimal, (int)behind,
              aid_below(seed, ten_to[behind]));
}

/* Rows a second apart, now and then a gap of two. */
static void write_log(struct text *out, const struct shape_case *form)
{
    uint64_t seed = 11;
    int64_t second = 36000;
    text_addf(out, "%s%s", form->header, form->end);
    for (size_t row = 0; row < LOG_ROWS; row++) {
        second += aid_below(&seed, 500) == 0 ? 2 : 1;
        put_stamp(out, form, second);
        for (size_t k = 0; k < NUMBERS; k++) {
            text_addf(out, "%c", form->separator);
            put_number(out, form, &seed);
        }
        if (form->words[0] != NULL)
            text_addf(out, "%c%s", form->separator, form->words[aid_below(&seed, 3)]);
        text_addf(out, "%s", form->end);
    }
}

struct log_rows {
    size_t n;
    size_t by_shape;
    int64_t time_us[ROWS_MOST];
    double value[NUMBERS][ROWS_MOST];
};

static void open_log(struct rows *rows, const struct row_form *form, const struct text *bytes)
{
    assert_true(rows_open_memory(rows, form, "a.csv", text_string(bytes), bytes->length, &faults));
}

/* The next row in the usual way. Returns: false at the end */
static bool take_usual(struct rows *rows, struct log_rows *kept)
{
    enum row_status status = rows_next(rows, &faults);
    if (status != ROWS_ROW)
        return false;
    kept->time_us[kept->n] = rows->time_us;
    for (size_t k = 0; k < NUMBERS; k++)
        kept->value[k][kept->n] = rows->value_si[k];
    kept->n++;
    return true;
}

static void read_by_shape(const struct row_form *form, const struct text *bytes,
                          struct log_rows *kept)
{
    static struct batch_shapes shapes;
    struct rows rows;
    open_log(&rows, form, bytes);
    batch_shapes_init(&shapes, &rows);
    memset(kept, 0, sizeof *kept);
    while (take_usual(&rows, kept)) {
        struct batch_target target = {.time_us = kept->time_us + kept->n, .room = 1000,
                                      .last_us = kept->time_us[kept->n - 1],
                                      .gap_us = 1500000, .limit_us = INT64_MAX};
        for (size_t k = 0; k < NUMBERS; k++)
            target.value[k] = kept->value[k] + kept->n;
        assert_non_null(lines_peek(&rows.lines)); /* passes a CR's line feed */
        size_t taken = batch_shapes_rows(&shapes, &rows, &target, 0);
        kept->n += taken;
        kept->by_shape += taken;
    }
    rows_close(&rows);
}

static void compare(const char *name, const struct log_rows *a, const struct log_rows *b)
{
    assert_int_equal(a->n, b->n);
    for (size_t i = 0; i < a->n; i++) {
        if (a->time_us[i] != b->time_us[i])
            fail_msg("%s: row %zu has another time", name, i);
        for (size_t k = 0; k < NUMBERS; k++)
            if (memcmp(&a->value[k][i], &b->value[k][i], sizeof(double)) != 0 &&
                !(isnan(a->value[k][i]) && isnan(b->value[k][i])))
                fail_msg("%s: row %zu, number %zu is read as %.17g, not %.17g", name, i, k,
                         a->value[k][i], b->value[k][i]);
    }
}

/* In: form of aid_plan. Every number is in range, and shows its last bit. */
static void make_form(const struct shape_case *to, struct log_plan *plan, struct row_form *form)
{
    aid_plan(plan, "a.csv");
    plan->separator = to->separator;
    plan->decimal = to->decimal;
    assert_true(log_plan_set_time(plan, to->second != NULL ? "Date" : "Time", to->second,
                                  to->format, &faults));
    assert_true(row_form_init(form, plan, &faults));
    for (size_t k = 0; k < NUMBERS; k++) {
        form->scale[k].scale = 1.0;
        form->scale[k].offset = 0.0;
        form->scale[k].least_si = -INFINITY;
        form->scale[k].most_si = INFINITY;
    }
}

static bool is_able(const struct row_form *form, const struct text *bytes)
{
    static struct batch_shapes shapes;
    struct rows rows;
    open_log(&rows, form, bytes);
    batch_shapes_init(&shapes, &rows);
    rows_close(&rows);
    return shapes.able;
}

static void rows_by_shape_are_the_same_rows(void **state)
{
    (void)state;
    static struct log_rows usual, shaped;
    for (size_t i = 0; i < CASES; i++) {
        struct log_plan plan;
        struct row_form form;
        struct text bytes = {0};
        struct rows rows;
        faults_init(&faults);
        make_form(&cases[i], &plan, &form);
        write_log(&bytes, &cases[i]);
        memset(&usual, 0, sizeof usual);
        open_log(&rows, &form, &bytes);
        while (take_usual(&rows, &usual))
            ;
        rows_close(&rows);
        assert_int_equal(usual.n, LOG_ROWS);
        read_by_shape(&form, &bytes, &shaped);
        compare(cases[i].name, &shaped, &usual);
        if (is_able(&form, &bytes) && 100 * shaped.by_shape < cases[i].at_least * LOG_ROWS)
            fail_msg("%s: only %zu of %d rows went by shape", cases[i].name, shaped.by_shape,
                     LOG_ROWS);
        text_free(&bytes);
        log_plan_free(&plan);
    }
}

static const char before[] = "2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n";
static const char after[] = "2026-06-21T10:16:00,812.3,24.31,35.02,42.17,2.412\n"
                            "2026-06-21T10:16:01,812.3,24.31,35.02,42.17,2.412\n"
                            "2026-06-21T10:16:02,812.3,24.31,35.02,42.17,2.412\n"
                            "2026-06-21T10:16:03,812.3,24.31,35.02,42.17,2.412\n";

/* A row behind a plain one; what is taken of it and one more behind it. */
static void other_rows_are_left(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        size_t taken;
    } rows_of[] = {{"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,2.412\n", 2},
                   {"2026-06-21T10:15:59,-12.3,-4.31,5,142.17,.5\r\n", 2},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,0.0002412\n", 2},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,10.0002412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,-\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,.\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,-.\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17, 2\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,3e1,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,3.0.1,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,3-1,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,--31,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,+31,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,\"35.02\",42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,535.02,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,-9999,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,2.412,7\n", 0},
                   {"2026-06-21T10:15:59,812.3,24.31,35.02,42.17,2.412\r", 0},
                   {"2026-06-21T10:15:5,9,812.3,24.31,35.02,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:5x,812.3,24.31,35.02,42.17,2.412\n", 0},
                   {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", 0},
                   {"2026-06-21T11:15:59,812.3,24.31,35.02,42.17,2.412\n", 0},
                   {"#026-06-21T10:15:59,812.3,24.31,35.02,42.17,2.412\n", 0},
                   {"\n", 0}};
    static struct batch_shapes shapes;
    struct log_plan plan;
    struct row_form form;
    faults_init(&faults);
    aid_plan(&plan, "a.csv");
    assert_true(row_form_init(&form, &plan, &faults));
    for (size_t i = 0; i < sizeof rows_of / sizeof rows_of[0]; i++) {
        struct text bytes = {0};
        struct rows rows;
        int64_t time_us[2];
        double value[NUMBERS][2];
        text_addf(&bytes, "Time,G tilt,T air,T in,T out,Flow\n%s%s%s", before, rows_of[i].line,
                  after);
        open_log(&rows, &form, &bytes);
        assert_int_equal(rows_next(&rows, &faults), ROWS_ROW);
        batch_shapes_init(&shapes, &rows);
        struct batch_target target = {.time_us = time_us, .room = 2, .last_us = rows.time_us,
                                      .gap_us = 60000000, .limit_us = INT64_MAX};
        for (size_t k = 0; k < NUMBERS; k++)
            target.value[k] = value[k];
        size_t taken = batch_shapes_rows(&shapes, &rows, &target, 0);
        if (taken != (shapes.able ? rows_of[i].taken : 0))
            fail_msg("'%s': %zu rows were taken", rows_of[i].line, taken);
        rows_close(&rows);
        text_free(&bytes);
    }
    log_plan_free(&plan);
}

#if defined __x86_64__ && defined __GNUC__

#include "ingest/batch_divide.h"

/* Whole numbers below 10^8 by powers of ten up to 10^8, four or eight at a time. */
__attribute__((target("avx2,fma"))) static void divide_four(const double *a, const double *by,
                                                            const double *one_by, double *out)
{
    _mm256_storeu_pd(out, batch_divide_four(_mm256_loadu_pd(a), by, one_by));
}

__attribute__((target("avx512f"))) static void divide_eight(const double *a, const double *by,
                                                            const double *one_by, double *out)
{
    _mm512_storeu_pd(out, batch_divide_eight(_mm512_loadu_pd(a), by, one_by));
}

enum { DIVIDED = 200000, WIDE_MOST = 8 };

static void compare_quotients(size_t wide, void (*divide)(const double *, const double *,
                                                          const double *, double *))
{
    uint64_t seed = 29;
    for (size_t i = 0; i < DIVIDED; i++) {
        double a[WIDE_MOST], by[WIDE_MOST], one_by[WIDE_MOST], out[WIDE_MOST];
        for (size_t k = 0; k < wide; k++) {
            a[k] = (double)aid_below(&seed, 100000000);
            by[k] = pow(10.0, (double)aid_below(&seed, 9));
            one_by[k] = 1.0 / by[k];
        }
        divide(a, by, one_by, out);
        for (size_t k = 0; k < wide; k++)
            if (out[k] != a[k] / by[k])
                fail_msg("%.17g / %g, %zu at a time: %.17g", a[k], by[k], wide, out[k]);
    }
}

static void quotients_are_those_of_the_processor(void **state)
{
    (void)state;
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"))
        compare_quotients(4, divide_four);
    if (__builtin_cpu_supports("avx512f"))
        compare_quotients(8, divide_eight);
}

#else

static void quotients_are_those_of_the_processor(void **state)
{
    (void)state;
    skip();
}

#endif

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_by_shape_are_the_same_rows),
        cmocka_unit_test(other_rows_are_left),
        cmocka_unit_test(quotients_are_those_of_the_processor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
