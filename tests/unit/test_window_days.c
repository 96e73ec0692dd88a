/* Days: which candidates count for a day, in slots of 30 s. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "window/days.h"

/* A stretch that is warmed from 38.2 degC. */
static struct candidate stretch(double g_W_m2, double rise_K)
{
    struct candidate candidate;
    candidate_clear(&candidate);
    candidate.mean[CH_IRRADIANCE] = g_W_m2;
    candidate.mean[CH_INLET] = 38.2;
    candidate.mean[CH_OUTLET] = 38.2 + rise_K;
    candidate.mean[CH_HEAT] = 140 * rise_K;
    return candidate;
}

static void refused_time_is_counted_by_what_the_day_had(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double g_W_m2, rise_K;
        enum verdict_state strong, warmed, flow;
        double sunny_s, dim_s, flow_s;
        size_t windows;
    } rows[] = {
        {"a window", 812, 6.3, VERDICT_MET, VERDICT_MET, VERDICT_MET, 0, 0, 0, 1},
        {"sun", 812, 6.3, VERDICT_MET, VERDICT_MET, VERDICT_NOT_MET, 30, 0, 30, 0},
        {"sun, cooled", 812, -6.3, VERDICT_MET, VERDICT_NOT_MET, VERDICT_MET, 30, 0, 0, 0},
        {"dim, warmed", 81, 6.3, VERDICT_NOT_MET, VERDICT_MET, VERDICT_MET, 0, 30, 0, 0},
        {"night", 0, 0.1, VERDICT_NOT_MET, VERDICT_NOT_MET, VERDICT_MET, 0, 0, 0, 0},
        {"limits off, sun", 412, 0.1, VERDICT_OFF, VERDICT_OFF, VERDICT_NOT_MET, 30, 0, 30, 0},
        {"limits off, dim", 389, 1.2, VERDICT_OFF, VERDICT_OFF, VERDICT_NOT_MET, 0, 30, 0, 0},
        {"limits off, night", 0, 0.9, VERDICT_OFF, VERDICT_OFF, VERDICT_NOT_MET, 0, 0, 0, 0},
    };
    struct faults faults;
    faults_init(&faults);
    struct days days = {0};
    size_t n = sizeof rows / sizeof rows[0];
    for (size_t i = 0; i < n; i++) {
        struct candidate candidate = stretch(rows[i].g_W_m2, rows[i].rise_K);
        struct verdicts verdicts = {.not_met = 0};
        verdicts.state[RULE_IRRADIANCE_LEAST] = (uint8_t)rows[i].strong;
        verdicts.state[RULE_RISE_LEAST] = (uint8_t)rows[i].warmed;
        verdicts.state[RULE_FLOW_DEVIATION] = (uint8_t)rows[i].flow;
        for (int id = 0; id < RULE_LIMITS; id++)
            verdicts.not_met |= (uint32_t)(verdicts.state[id] == VERDICT_NOT_MET) << id;
        for (int twice = 0; twice < 2; twice++)
            assert_true(
                days_candidate(&days, 20620 + (int64_t)i, 15, &candidate, &verdicts, &faults));
    }
    assert_int_equal(days.n, n);
    for (size_t i = 0; i < n; i++) {
        const struct day_found *day = &days.items[i];
        assert_true(day->day == 20620 + (int64_t)i);
        assert_int_equal(day->windows, 2 * rows[i].windows);
        aid_near(rows[i].name, day->window_rise_K, 12.6 * (double)rows[i].windows, 1e-12);
        aid_near(rows[i].name, day->sunny.seconds, rows[i].sunny_s, 1e-12);
        aid_near(rows[i].name, day->dim.seconds, rows[i].dim_s, 1e-12);
        aid_near(rows[i].name, day->sunny.rise_K_s, rows[i].sunny_s * rows[i].rise_K, 1e-9);
        aid_near(rows[i].name, day->window_heat.heat, 15 * 140 * day->window_rise_K, 1e-9);
        aid_near(rows[i].name, day->window_heat.sun, 15 * 812 * (double)day->windows, 1e-9);
        aid_near(rows[i].name, day->dim.heat.heat, rows[i].dim_s * 140 * rows[i].rise_K, 1e-9);
        aid_near(rows[i].name, day->dim.heat.sun, rows[i].dim_s * rows[i].g_W_m2, 1e-9);
        aid_near(rows[i].name, day->sunny.failed_s[RULE_FLOW_DEVIATION], rows[i].flow_s, 1e-12);
    }
    days_free(&days);
    days_free(&days);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refused_time_is_counted_by_what_the_day_had),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
