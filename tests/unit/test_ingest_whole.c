/* What a sun sensor's readings show as a whole: a pile at the end of its range, thousands read as
 * ones. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/ceiling.h"
#include "ingest/thousand.h"
#include "tests/unit/aid_log.h"

#include <math.h>
#include <string.h>

enum { ROWS = 3000 };

static double sun[ROWS];

/* One of three days of four hours about noon. */
static double parabola(size_t i, double most)
{
    double hour = (double)(i % 1000) / 250.0 - 2.0;
    return most * (1.0 - 0.035 * hour * hour);
}

static double rounded(double value, double step)
{
    return round(value / step) * step;
}

/* Invented sunshine and lamps. */
enum shape { CLEAR, NOISY, TRACKED, LAMP, LAMP_OF_TWO_LEVELS };

struct drawn {
    const char *name;
    enum shape shape;
    double noise, step; /* W/m2 */
    double clip;        /* INFINITY: none */
    double jitter;      /* about the clip */
    bool found;
};

static double reading(const struct drawn *of, size_t i, uint32_t *random)
{
    double warming = 1.0 - exp(-(double)(i % 1000) / 5.0);
    double level = of->shape == CLEAR || of->shape == NOISY ? parabola(i, 983.0)
                   : of->shape == TRACKED
                       ? 983.0 * (1.0 - 0.004 * pow((double)(i % 1000) / 250.0 - 2.0, 2))
                   : of->shape == LAMP ? 904.0 * warming
                                       : (i < 1000 ? 904.0 : 901.0) * warming;
    if (of->shape == NOISY && i % 1000 > 600 && i % 1000 < 680)
        level *= 0.6;
    double value = level + of->noise * aid_normal(random);
    if (value > of->clip)
        value = of->clip + of->jitter * aid_normal(random);
    return rounded(value, of->step);
}

static void a_pile_at_the_top_is_told(void **state)
{
    static const struct drawn rows[] = {
        {"clear days alike", CLEAR, 0.0, 0.1, INFINITY, 0.0, false},
        {"in whole W/m2", CLEAR, 0.0, 1.0, INFINITY, 0.0, false},
        {"in steps of 5 W/m2", CLEAR, 0.0, 5.0, INFINITY, 0.0, false},
        {"with noise", NOISY, 2.0, 0.1, INFINITY, 0.0, false},
        {"a rack that follows", TRACKED, 0.0, 0.1, INFINITY, 0.0, false},
        {"a rack that follows, with noise", TRACKED, 0.4, 0.1, INFINITY, 0.0, false},
        {"a lamp", LAMP, 1.5, 0.1, INFINITY, 0.0, false},
        {"a steady lamp", LAMP, 0.4, 0.1, INFINITY, 0.0, false},
        {"a lamp that hardly flickers", LAMP, 0.1, 0.1, INFINITY, 0.0, false},
        {"a lamp at two levels", LAMP_OF_TWO_LEVELS, 0.4, 0.1, INFINITY, 0.0, false},
        {"a lamp that is always the same", LAMP, 0.0, 1.0, INFINITY, 0.0, false},
        {"clipped exactly", NOISY, 2.0, 0.1, 930.0, 0.0, true},
        {"clipped, the last digit flickers", NOISY, 2.0, 0.1, 930.0, 0.1, true},
        {"clipped, in whole W/m2", CLEAR, 0.0, 1.0, 930.0, 0.1, true},
        {"clipped, flickers more", NOISY, 2.0, 0.1, 930.0, 0.4, true},
        {"clipped for the last sixth alone", NOISY, 2.0, 0.1, 979.0, 0.1, true},
        {"clipped rack that follows", TRACKED, 0.4, 0.1, 974.0, 0.1, true},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct ceiling ceiling = {0};
        double least, share;
        uint32_t random = 7919;
        for (size_t i = 0; i < ROWS; i++)
            sun[i] = i % 97 == 0 ? NAN : reading(&rows[r], i, &random);
        ceiling_take(&ceiling, sun, ROWS);
        bool found = ceiling_found(&ceiling, &least, &share);
        if (found != rows[r].found)
            fail_msg("%s: %s", rows[r].name, found ? "a pile" : "no pile");
        if (found && !(least <= rows[r].clip && least > rows[r].clip - 3.0 && share >= 0.1))
            fail_msg("%s: from %g, %g", rows[r].name, least, share);
    }
}

/* Later rows are looked at seldom, and count for those between. */
static void a_pile_in_a_long_log(void **state)
{
    static const struct drawn of = {"", NOISY, 2.0, 0.1, 930.0, 0.1, true};
    struct ceiling whole = {0}, early = {0};
    double least, share, early_share;
    uint32_t random = 104729;
    (void)state;
    for (size_t day = 0; day < 40; day++) {
        for (size_t i = 0; i < ROWS; i++)
            sun[i] = reading(&of, i, &random);
        ceiling_take(&whole, sun, ROWS);
        if (day < 5)
            ceiling_take(&early, sun, ROWS);
    }
    assert_true(ceiling_found(&whole, &least, &share));
    assert_true(ceiling_found(&early, &least, &early_share));
    assert_true(fabs(share - early_share) < 0.02);
    assert_true(whole.bright > 40 * ROWS * 9 / 10 && whole.bright < 40 * ROWS * 11 / 10);
}

static void thousands_read_as_ones_are_told(void **state)
{
    static const struct {
        const char *name;
        const char *unit;
        double gain;
        double value[12]; /* as the log's numbers are read */
        bool found;
        unsigned rows;
        unsigned line;
    } rows[] = {
        {"twice over a thousand",
         "W/m2",
         1.0,
         {991, 998, 1.006, 1.011, 1.002, 997, 989, 996, 1.003, 1.001, 994, 991},
         true,
         5,
         4},
        {"by a thousand in full digits",
         "W/m2",
         1.0,
         {998, 999, 1.000, 1.002, 1.000, 999, 998, 999, 1.000, 1.001, 999, 998},
         true,
         5,
         4},
        {"with a gain",
         "W/m2",
         1.02,
         {991, 998, 1.006, 1.011, 1.002, 997, 989, 996, 1.003, 1.001, 994, 991},
         true,
         5,
         4},
        {"once",
         "W/m2",
         1.0,
         {991, 998, 1.006, 1.011, 1.002, 997, 989, 986, 977, 981, 984, 991},
         false,
         0,
         0},
        {"with a thousand in full",
         "W/m2",
         1.0,
         {991, 998, 1.006, 1.011, 1.002, 997, 989, 996, 1.003, 1.001, 1004, 991},
         false,
         0,
         0},
        {"a lamp switched off twice",
         "W/m2",
         1.0,
         {991, 998, 1.0, 1.1, 1.0, 0.9, 996, 996, 1.0, 1.1, 994, 991},
         false,
         0,
         0},
        {"a lamp of 960 switched off",
         "W/m2",
         1.0,
         {961, 962, 1.123, 1.117, 1.121, 961, 962, 963, 1.124, 1.118, 962, 961},
         false,
         0,
         0},
        {"kilowatts",
         "kW/m2",
         1.0,
         {0.991, 0.998, 1.006, 1.011, 1.002, 0.997, 0.989, 0.996, 1.003, 1.001, 0.994, 0.991},
         false,
         0,
         0},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct log_column column = {.channel = CH_IRRADIANCE,
                                    .unit = unit_find(rows[r].unit, DIM_IRRADIANCE),
                                    .gain = rows[r].gain};
        struct thousand thousand;
        struct row_place place[12];
        double value_si[12], most_si = 0.0;
        for (unsigned i = 0; i < 12; i++) {
            place[i] = (struct row_place){0, i + 2};
            value_si[i] = log_column_si(&column, rows[r].value[i]);
            most_si = fmax(most_si, value_si[i]);
        }
        thousand_init(&thousand, &column);
        thousand_take(&thousand, value_si, place, 12, most_si);
        bool found = thousand_found(&thousand, most_si);
        if (found != rows[r].found ||
            (found && (thousand.rows != rows[r].rows || thousand.first.line != rows[r].line)))
            fail_msg("%s: %s, %u rows from line %u", rows[r].name, found ? "found" : "not found",
                     (unsigned)thousand.rows, (unsigned)thousand.first.line);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pile_at_the_top_is_told),
        cmocka_unit_test(a_pile_in_a_long_log),
        cmocka_unit_test(thousands_read_as_ones_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
