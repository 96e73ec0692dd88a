/* Night: the zero of sun sensors out of a log, against the same worked out plainly over all rows.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "domain/error_expand.h"
#include "run/setup.h"
#include "tests/unit/aid_log.h"
#include "tests/unit/aid_near.h"
#include "window/night.h"

#include <math.h>
#include <string.h>

#define S INT64_C(1000000)
#define MIN (60 * S)
/* 20 June 2026, 0:00 UTC. */
#define START (INT64_C(1781913600) * S)

static struct faults faults;

/* Sunshine of a day from 4:00 to 20:00 UTC: half a sine, a zero of its own for each night, and a
 * waver; what dusk leaves between the two is a straight line over 40 min. */
static double sunshine(int64_t time_us, double zero_W_m2)
{
    double hour = (double)((time_us - START) % (24 * 60 * MIN)) / (60.0 * (double)MIN);
    double waver = 0.7 * sin((double)(time_us / S) / 37.0);
    double day = hour > 4 && hour < 20 ? 850 * sin((hour - 4) / 16 * 3.14159265358979) : 0;
    double dusk = hour >= 20 && hour < 20.667 ? 14 * (20.667 - hour) / 0.667 : 0;
    return day + dusk + zero_W_m2 + waver;
}

static void day_log(struct aid_log *log, int days, int step_s, double zero_W_m2)
{
    size_t n = (size_t)(days * 86400 / step_s);
    aid_log_init(log, n, START, step_s * S);
    for (size_t i = 0; i < n; i++) {
        int64_t time_us = log->time_us[i];
        /* The second night's zero lies 1.5 W/m2 lower; the change is at noon. */
        double second = time_us - START > 36 * 60 * MIN ? 1.5 : 0;
        log->value[CH_IRRADIANCE][i] = sunshine(time_us, zero_W_m2 - second);
    }
}

static void look(const struct aid_log *log, struct night *night, bool placed, uint32_t cut)
{
    night_init(night);
    if (placed)
        night_place(night, 46.5 * 3.14159265358979 / 180, 7.1 * 3.14159265358979 / 180, 620);
    aid_log_feed(log, night_sink(night), 500, cut);
}

/* Mean and scatter of the rows of [from, to), in two passes. */
static void plainly(const struct aid_log *log, int64_t from_us, int64_t to_us, size_t *n,
                    double *mean, double *scatter)
{
    double sum = 0, squares = 0;
    *n = 0;
    for (size_t i = 0; i < log->n; i++)
        if (log->time_us[i] >= from_us && log->time_us[i] < to_us &&
            log->flag[CH_IRRADIANCE][i] == FLAG_GOOD) {
            sum += log->value[CH_IRRADIANCE][i];
            ++*n;
        }
    *mean = sum / (double)*n;
    for (size_t i = 0; i < log->n; i++)
        if (log->time_us[i] >= from_us && log->time_us[i] < to_us &&
            log->flag[CH_IRRADIANCE][i] == FLAG_GOOD)
            squares += pow(log->value[CH_IRRADIANCE][i] - *mean, 2);
    *scatter = sqrt(squares / (double)(*n - 1));
}

/* Sun of that place on 20 June, 46.5 N 7.1 E: civil twilight ends at 20:07 and begins at 2:59 UTC,
 * worked out by hand from declination 23.43 degrees and equation of time -1.6 min (almanac), cos h
 * = (sin -6 - sin phi sin delta) / (cos phi cos delta), h = 128.5 degrees: whole pieces of ten
 * minutes within the two are from 20:10 to 2:50. The log begins at midnight: nights of 0:00 to 2:50
 * and of 20:10 to 24:00 and on to 2:50 of the next day. */
static void with_a_place_the_whole_night_counts(void **unused)
{
    (void)unused;
    struct aid_log log;
    struct night night;
    day_log(&log, 2, 20, -3.1);
    look(&log, &night, true, 7);
    const struct night_found *found = &night.channel[0].found;
    size_t n[3];
    double mean[3], scatter[3];
    plainly(&log, START, START + 170 * MIN, &n[0], &mean[0], &scatter[0]);
    plainly(&log, START + 1210 * MIN, START + (1440 + 170) * MIN, &n[1], &mean[1], &scatter[1]);
    plainly(&log, START + (1440 + 1210) * MIN, START + 2880 * MIN, &n[2], &mean[2], &scatter[2]);
    assert_int_equal(found->nights, 3);
    assert_int_equal(found->all.n, n[0] + n[1] + n[2]);
    double all = (mean[0] * (double)n[0] + mean[1] * (double)n[1] + mean[2] * (double)n[2]) /
                 (double)(n[0] + n[1] + n[2]);
    aid_near("mean", found->all.mean, all, 1e-9);
    aid_near("least", found->least, fmin(mean[2], fmin(mean[0], mean[1])), 1e-9);
    aid_near("most", found->most, fmax(mean[2], fmax(mean[0], mean[1])), 1e-9);
    assert_true(found->all.first_us == START);
    double squares = 0;
    for (int k = 0; k < 3; k++)
        squares += scatter[k] * scatter[k] * (double)(n[k] - 1) +
                   (double)n[k] * (mean[k] - all) * (mean[k] - all);
    aid_near("scatter", night_scatter(&found->all), sqrt(squares / (double)(found->all.n - 1)),
             1e-9);
    aid_log_free(&log);
}

/* Without a place the lowest whole hour of each stretch, of those that begin every ten minutes. */
static void without_a_place_the_darkest_hour_counts(void **unused)
{
    (void)unused;
    struct aid_log log;
    struct night night;
    day_log(&log, 2, 20, -3.1);
    look(&log, &night, false, 3);
    const struct night_found *found = &night.channel[0].found;
    static const int stretch[][2] = {{0, 240}, {1200, 1440 + 240}, {2640, 2880}};
    double sum = 0;
    for (int k = 0; k < 3; k++) {
        double lowest = INFINITY;
        for (int minute = stretch[k][0]; minute + 60 <= stretch[k][1]; minute += 10) {
            size_t n;
            double mean, scatter;
            plainly(&log, START + minute * MIN, START + (minute + 60) * MIN, &n, &mean, &scatter);
            lowest = fmin(lowest, mean);
        }
        sum += lowest;
    }
    assert_int_equal(found->nights, 3);
    assert_int_equal(found->all.n, 3 * 180);
    aid_near("mean", found->all.mean, sum / 3, 1e-9);
    aid_log_free(&log);
}

/* However the log is cut into blocks. */
static void blocks_do_not_matter(void **unused)
{
    (void)unused;
    struct aid_log log;
    day_log(&log, 2, 20, -3.1);
    for (int placed = 0; placed < 2; placed++) {
        struct night first, other;
        look(&log, &first, placed, 1);
        look(&log, &other, placed, 99);
        assert_memory_equal(&first.channel[0].found, &other.channel[0].found,
                            sizeof first.channel[0].found);
    }
    aid_log_free(&log);
}

enum spoiling { NOTHING, DAY_ONLY, FIFTY_MINUTES, A_LAMP, BAD_READINGS, A_HOLE, FAR_ZERO, SLOW };

/* What counts as night and what does not: number of nights without and with a place, and readings
 * of the first case where they are to be counted (else 0). */
static void what_counts_as_night(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        enum spoiling spoiling;
        uint64_t nights, nights_placed;
        uint64_t readings;
    } rows[] = {
        {"as it is", NOTHING, 2, 2, 360},
        {"a log of the day", DAY_ONLY, 0, 0, 0},
        {"50 min of darkness", FIFTY_MINUTES, 0, 0, 0},
        {"a lamp of 20 W/m2 at night", A_LAMP, 0, 2, 0},
        {"a third of the readings bad", BAD_READINGS, 2, 2, 240},
        {"80 min without a row in the second night", A_HOLE, 3, 3, 540},
        {"a zero of 22 W/m2", FAR_ZERO, 0, 2, 0},
        {"a row every 15 min", SLOW, 2, 2, 12},
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct aid_log log;
        day_log(&log, 1, rows[r].spoiling == SLOW ? 900 : 20, -3.1);
        size_t n = log.n;
        for (size_t i = 0; i < n; i++) {
            double *g = &log.value[CH_IRRADIANCE][i];
            double hour = (double)(log.time_us[i] - START) / (60.0 * (double)MIN);
            if (rows[r].spoiling == A_LAMP && (hour < 4 || hour > 20))
                *g += 20;
            if (rows[r].spoiling == FAR_ZERO)
                *g += 25.1;
            if (rows[r].spoiling == BAD_READINGS && i % 3 == 1) {
                *g = NAN;
                log.flag[CH_IRRADIANCE][i] = FLAG_STUCK;
            }
        }
        if (rows[r].spoiling == A_HOLE)
            aid_log_remove(&log, 21 * 180 + 90, 240);
        if (rows[r].spoiling == DAY_ONLY) {
            aid_log_remove(&log, 20 * 180, n - 20 * 180);
            aid_log_remove(&log, 0, 5 * 180);
        }
        if (rows[r].spoiling == FIFTY_MINUTES) {
            aid_log_remove(&log, 20 * 180 + 150, n - 20 * 180 - 150);
            aid_log_remove(&log, 0, 3 * 180 + 90);
        }
        struct night night;
        look(&log, &night, false, 5);
        const struct night_found *found = &night.channel[0].found;
        uint64_t readings = found->all.n;
        uint64_t nights = found->nights;
        look(&log, &night, true, 5);
        if (nights != rows[r].nights || night.channel[0].found.nights != rows[r].nights_placed ||
            (rows[r].readings > 0 && readings != rows[r].readings))
            fail_msg("%s: %d nights, %d with a place, %d readings", rows[r].name, (int)nights,
                     (int)night.channel[0].found.nights, (int)readings);
        aid_log_free(&log);
    }
}

static void the_place_of_the_first_reading_is_kept(void **unused)
{
    (void)unused;
    enum { N = 400 };
    int64_t time_us[N];
    double value[N];
    uint8_t flag[N] = {0};
    struct row_place place[N];
    struct night night;
    struct block block = {.n = N, .time_us = time_us, .place = place};
    for (int i = 0; i < N; i++) {
        time_us[i] = START + i * 20 * S;
        value[i] = i < 31 ? 240 : -1.7;
        place[i] = (struct row_place){(uint32_t)(i >= 30), (uint32_t)(17 + i)};
    }
    block.present[CH_GLOBAL] = true;
    block.value[CH_GLOBAL] = value;
    block.flag[CH_GLOBAL] = flag;
    night_init(&night);
    struct sink sink = night_sink(&night);
    faults_init(&faults);
    assert_true(sink.take(sink.state, &block, &faults) && sink.finish(sink.state, &faults));
    assert_int_equal(night.channel[0].found.nights, 0);
    const struct night_found *found = &night.channel[2].found;
    assert_int_equal(found->nights, 1);
    /* The piece of ten minutes that begins in row 30 holds a bright row: the next begins in row 60.
     */
    assert_int_equal(found->all.place.line, 17 + 60);
    assert_int_equal(found->all.place.file, 1);
}

/* By hand: a limit stands for itself; two standard uncertainties otherwise; all are added. Of a
 * class they are signal processing, zero a and zero b; a stated zero takes the place of the last
 * two. */
static void what_is_stated_of_a_zero(void **unused)
{
    (void)unused;
    static const struct {
        const char *name, *keys;
        double most;
    } rows[] = {
        {"nothing", "calibration = 1.2 % k=2\n", 0},
        {"class A", "kind = pyranometer class A\n", 2 + 7 + 2},
        {"class B", "kind = pyranometer class B\n", 5 + 15 + 4},
        {"a limit", "kind = pyranometer class A\nzero = 2.5 W/m2 limit\n", 2 + 2.5},
        {"k=2", "zero = 3 W/m2 k=2\n", 3},
        {"standard and limit", "zero = 1.5 W/m2 standard\noffset = 2 W/m2 limit\n", 5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[1000];
        struct test_setup setup;
        faults_init(&faults);
        setup_init(&setup);
        int n = snprintf(text, sizeof text,
                         "[collector]\ngross area = 2.05 m2\n[points]\nfile = p.csv\n[run a]\n"
                         "kind = efficiency\n[instrument sun]\nmeasures = irradiance\n%s",
                         rows[i].keys);
        if (!setup_parse("t.txt", text, (size_t)n, &setup, &faults))
            fail_msg("%s: %s", rows[i].name, faults.items[0].found);
        aid_near(rows[i].name, error_of_zero_most(&setup.instruments[0]), rows[i].most, 1e-9);
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(with_a_place_the_whole_night_counts),
        cmocka_unit_test(without_a_place_the_darkest_hour_counts),
        cmocka_unit_test(blocks_do_not_matter),
        cmocka_unit_test(what_counts_as_night),
        cmocka_unit_test(the_place_of_the_first_reading_is_kept),
        cmocka_unit_test(what_is_stated_of_a_zero),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
