/* The invented instruments and weather. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "demo/sensors.h"
#include "demo/weather.h"
#include "aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PI 3.14159265358979323846

static struct faults faults;

/* "1.2 % k=2" -> 0.006, read here anew. */
static double meant(const char *text, const char *unit_wanted, double si_per_unit)
{
    double number = NAN, k = NAN;
    char unit[16] = "", last[16] = "";
    assert_int_equal(sscanf(text, "%lf %15s %15s", &number, unit, last), 3);
    if (strcmp(last, "limit") == 0)
        k = sqrt(3.0);
    else
        assert_int_equal(sscanf(last, "k=%lf", &k), 1);
    if (strcmp(unit, "%") == 0)
        return number / 100.0 / k;
    assert_string_equal(unit, unit_wanted);
    return number * si_per_unit / k;
}

static void stated_text_and_drawn_figure_agree(void **unused)
{
    (void)unused;
    int checked = 0;
    for (size_t i = 0; i < SENSOR_ROWS; i++) {
        const struct sensor_row *row = sensor_row(i);
        const struct sensor_error *errors[] = {&row->gain, &row->offset, &row->zero, &row->pair};
        const char *unit = strcmp(row->unit, "degC") == 0 ? "K" : row->unit;
        assert_null(row->drift.text);
        for (size_t k = 0; k < 4; k++) {
            if (errors[k]->text == NULL) {
                assert_true(errors[k]->u == 0.0 || row->kind != NULL);
                continue;
            }
            aid_near(row->column, errors[k]->u, meant(errors[k]->text, unit, 1.0 / row->per_si),
                     1e-12);
            assert_int_equal(errors[k]->limit, strstr(errors[k]->text, "limit") != NULL);
            /* A share is a gain, a figure in the unit is an offset, a zero or a pair. */
            assert_int_equal(strstr(errors[k]->text, "%") != NULL, k == 0);
            checked++;
        }
        assert_true(row->gain.text == NULL || row->offset.text == NULL);
        assert_true((row->matched_to == NULL) == (row->pair.text == NULL));
    }
    assert_int_equal(checked, 15);
}

static void every_needed_channel_has_one_instrument(void **unused)
{
    (void)unused;
    const enum channel needed[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET, CH_FLOW};
    for (enum demo_collector c = DEMO_PLATE_A; c < DEMO_COLLECTORS; c++)
        for (size_t k = 0; k < 5; k++) {
            size_t n = 0;
            for (size_t i = 0; i < SENSOR_ROWS; i++)
                n +=
                    (sensor_row(i)->owners & (1u << c)) != 0 && sensor_row(i)->channel == needed[k];
            assert_int_equal(n, 1);
        }
    assert_int_equal(sensor_of(DEMO_PLATE_A, CH_IRRADIANCE),
                     sensor_of(DEMO_PLATE_B, CH_IRRADIANCE));
    assert_int_not_equal(sensor_of(DEMO_PLATE_A, CH_FLOW), sensor_of(DEMO_PLATE_B, CH_FLOW));
    assert_int_equal(sensor_of(DEMO_RIG, CH_WIND), SENSOR_ROWS);
}

enum { DRAWS = 4000 };

/* The scatter of n draws is known to about 1/sqrt(2n), 1.1 % here; five times that is allowed. */
static void scatter(const char *name, double sum, double squares, double want)
{
    double mean = sum / DRAWS;
    double u = sqrt(squares / DRAWS - mean * mean);
    aid_near(name, mean, 0.0, 5.0 * want / sqrt(DRAWS));
    aid_near(name, u, want, 5.0 * want / sqrt(2.0 * DRAWS));
}

/* Rectangular bounds, a third of the square each (JCGM 100:2008, 4.3.7). */
static double gain_of_kind(const struct sensor_row *row)
{
    const struct sensor_bounds *b = row->bounds;
    if (b == NULL)
        return 0;
    double ageing = b->ageing * SENSOR_YEARS;
    return sqrt((ageing * ageing + b->linearity * b->linearity + b->spectrum * b->spectrum +
                 b->temperature * b->temperature + b->tilt * b->tilt) /
                3.0);
}

static void errors_scatter_as_stated(void **unused)
{
    (void)unused;
    struct randoms randoms;
    assert_true(randoms_init(&randoms, &faults));
    double gain[SENSOR_ROWS][2] = {{0}}, own[SENSOR_ROWS][2] = {{0}}, zero[SENSOR_ROWS][2] = {{0}};
    double drift[SENSOR_ROWS][2] = {{0}};
    double area[2] = {0};
    size_t in = sensor_of(DEMO_PLATE_A, CH_INLET), out = sensor_of(DEMO_PLATE_A, CH_OUTLET);
    size_t in_b = sensor_of(DEMO_PLATE_B, CH_INLET), out_b = sensor_of(DEMO_PLATE_B, CH_OUTLET);
    size_t in_c = sensor_of(DEMO_BUCKET, CH_INLET), out_c = sensor_of(DEMO_BUCKET, CH_OUTLET);
    for (uint64_t d = 1; d <= DRAWS; d++) {
        struct sensor_errors errors;
        sensor_errors_draw(&errors, d, &randoms);
        for (size_t i = 0; i < SENSOR_ROWS; i++) {
            double shared = i == out     ? errors.offset[in]
                            : i == out_b ? errors.offset[in_b]
                            : i == out_c ? errors.offset[in_c]
                                         : 0.0;
            double offset = errors.offset[i] - shared;
            double apart = errors.zero[i][0] - errors.zero[i][1];
            gain[i][0] += errors.gain[i];
            gain[i][1] += errors.gain[i] * errors.gain[i];
            own[i][0] += offset;
            own[i][1] += offset * offset;
            zero[i][0] += apart;
            zero[i][1] += apart * apart;
            double turned = errors.drift[i][0] - errors.drift[i][1];
            drift[i][0] += turned;
            drift[i][1] += turned * turned;
            if (sensor_row(i)->offset.limit)
                assert_true(fabs(offset) <= sqrt(3.0) * sensor_row(i)->offset.u * (1.0 + 1e-12));
        }
        area[0] += errors.area[DEMO_RIG];
        area[1] += errors.area[DEMO_RIG] * errors.area[DEMO_RIG];
    }
    randoms_free(&randoms);
    for (size_t i = 0; i < SENSOR_ROWS; i++) {
        const struct sensor_row *row = sensor_row(i);
        scatter(row->column, gain[i][0], gain[i][1], hypot(row->gain.u, gain_of_kind(row)));
        scatter(row->column, own[i][0], own[i][1],
                row->matched_to != NULL ? row->pair.u
                : row->bounds != NULL   ? row->bounds->signal / sqrt(3.0)
                                        : row->offset.u);
        scatter(row->column, zero[i][0], zero[i][1], sqrt(2.0) * row->zero.u);
        scatter(row->column, drift[i][0], drift[i][1], sqrt(2.0) * row->drift.u);
    }
    scatter("area", area[0], area[1], DEMO_AREA_U);
}

static void draw_zero_has_no_error(void **unused)
{
    (void)unused;
    struct randoms randoms;
    assert_true(randoms_init(&randoms, &faults));
    struct sensor_errors errors;
    sensor_errors_draw(&errors, 0, &randoms);
    for (size_t i = 0; i < SENSOR_ROWS; i++)
        aid_near(sensor_row(i)->column, sensor_shown(&errors, i, 1, 37.31), 37.31, 0.0);
    randoms_free(&randoms);
}

static void a_sensor_lags_counts_in_steps_and_scatters(void **unused)
{
    (void)unused;
    struct randoms randoms;
    assert_true(randoms_init(&randoms, &faults));
    struct sensor_errors errors;
    sensor_errors_draw(&errors, 0, &randoms);
    randoms_seed(&randoms, 17, 0);
    for (size_t i = 0; i < SENSOR_ROWS; i++) {
        const struct sensor_row *row = sensor_row(i);
        struct sensor sensor;
        sensor_start(&sensor, i, 3.0);
        for (int k = 0; k < 50; k++)
            sensor_follow(&sensor, 7.0, row->lag_s / 50.0);
        aid_near(row->column, sensor.felt, 3.0 + 4.0 * (1.0 - exp(-1.0)), 1e-9);

        double truth = 11.37 / row->per_si, sum = 0.0, squares = 0.0;
        sensor_start(&sensor, i, truth);
        for (int k = 0; k < DRAWS; k++) {
            double number = sensor_read(&sensor, &errors, 0, &randoms);
            aid_near(row->column, remainder(number, row->step), 0.0, 1e-9);
            sum += number - 11.37;
            squares += (number - 11.37) * (number - 11.37);
        }
        double noise = hypot(sensor_noise(i, truth) * row->per_si, row->step / sqrt(12.0));
        aid_near(row->column, sqrt(squares / DRAWS), noise, 5.0 * noise / sqrt(2.0 * DRAWS));
        aid_near(row->column, sum / DRAWS, 0.0, 5.0 * noise / sqrt(DRAWS));
    }
    randoms_free(&randoms);
}

struct day {
    double least_g, most_g, most_incidence, most_share, mean_wind;
    int dark_s, bright_s;
};

static struct day watch(enum weather_day which, uint64_t draw)
{
    struct day day = {.least_g = INFINITY};
    struct weather weather;
    assert_true(weather_init(&weather, which, draw, &faults));
    for (int t = 35400; t < 54000; t++) {
        struct weather_now now;
        weather_next(&weather, t, &now);
        assert_true(isfinite(now.g_W_m2) && now.wind_m_s >= 0.0);
        assert_true(now.g_W_m2 > now.diffuse_W_m2 && now.diffuse_W_m2 > 50.0);
        assert_true(now.t_ambient_degC > 17.0 && now.t_ambient_degC < 32.0);
        day.least_g = fmin(day.least_g, now.g_W_m2);
        day.most_g = fmax(day.most_g, now.g_W_m2);
        day.most_incidence = fmax(day.most_incidence, now.incidence_rad);
        day.mean_wind += now.wind_m_s / 18600.0;
        day.dark_s += now.g_W_m2 < 800.0;
        day.bright_s += now.g_W_m2 > 850.0;
        if (now.g_W_m2 > 850.0)
            day.most_share = fmax(day.most_share, now.diffuse_W_m2 / now.g_W_m2);
    }
    weather_free(&weather);
    weather_free(&weather);
    return day;
}

static void days_are_clear_with_a_few_clouds(void **unused)
{
    (void)unused;
    for (enum weather_day d = WEATHER_FIRST; d < WEATHER_DAYS; d++)
        for (uint64_t draw = 1; draw < 9; draw++) {
            struct day day = watch(d, draw);
            assert_true(day.least_g < 600.0 && day.most_g > 950.0 && day.most_g < 1100.0);
            assert_true(day.most_incidence < 10.0 * PI / 180.0);
            assert_true(day.most_incidence > 5.0 * PI / 180.0);
            assert_true(day.most_share < 0.20);
            assert_true(day.dark_s > 240 && day.dark_s < 1500);
            assert_true(day.bright_s > 15000);
            aid_near("wind", day.mean_wind, d >= WEATHER_GARDEN ? 1.7 : 3.0, 0.25);
        }
}

static void the_same_draw_gives_the_same_day_and_another_does_not(void **unused)
{
    (void)unused;
    struct weather a, b, c;
    assert_true(weather_init(&a, WEATHER_SECOND, 7, &faults));
    assert_true(weather_init(&b, WEATHER_SECOND, 7, &faults));
    assert_true(weather_init(&c, WEATHER_SECOND, 8, &faults));
    int differ = 0;
    for (int t = 40000; t < 40600; t++) {
        struct weather_now x, y, z;
        weather_next(&a, t, &x);
        weather_next(&b, t, &y);
        weather_next(&c, t, &z);
        assert_memory_equal(&x, &y, sizeof x);
        differ += memcmp(&x, &z, sizeof x) != 0;
    }
    assert_int_equal(differ, 600);
    weather_free(&a);
    weather_free(&b);
    weather_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stated_text_and_drawn_figure_agree),
        cmocka_unit_test(every_needed_channel_has_one_instrument),
        cmocka_unit_test(errors_scatter_as_stated),
        cmocka_unit_test(draw_zero_has_no_error),
        cmocka_unit_test(a_sensor_lags_counts_in_steps_and_scatters),
        cmocka_unit_test(days_are_clear_with_a_few_clouds),
        cmocka_unit_test(the_same_draw_gives_the_same_day_and_another_does_not),
    };
    faults_init(&faults);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
