/* Derived channels and the timeline. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_log.h"
#include "window/derived.h"
#include "window/timeline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)

static struct faults *faults;
static struct fluid *fluid;

static int set_up(void **state)
{
    (void)state;
    faults = calloc(1, sizeof *faults);
    fluid = calloc(1, sizeof *fluid);
    if (faults == NULL || fluid == NULL)
        return 1;
    faults_init(faults);
    /* Density falls and specific heat rises in a straight line: integrals can be done by hand. */
    static const double t[] = {0.0, 100.0}, rho[] = {1000.0, 950.0}, cp[] = {4000.0, 4200.0};
    return !fluid_table(fluid, "test fluid", t, rho, cp, 2, "table.csv", faults);
}

static int tear_down(void **state)
{
    (void)state;
    free(fluid);
    free(faults);
    return 0;
}

static void near(const char *name, double found, double expected, double tolerance)
{
    if (!(fabs(found - expected) <= tolerance))
        fail_msg("%s: found %.15g, expected %.15g", name, found, expected);
}

/* rho * V * integral of cp, by hand. */
static double heat_by_hand(double flow_m3_s, double t_meter, double t_in, double t_out)
{
    double mass_kg_s = (1000.0 - 0.5 * t_meter) * flow_m3_s;
    return mass_kg_s * (4000.0 * (t_out - t_in) + (t_out * t_out - t_in * t_in));
}

/* Keeps the heat of every row. */
struct kept {
    size_t n;
    double heat_W[10000];
    uint8_t flag[10000];
    bool had_heat;
    bool finished;
};

static bool keep(void *state, const struct block *block, struct faults *unused)
{
    struct kept *kept = state;
    (void)unused;
    kept->had_heat = block->present[CH_HEAT];
    assert_true(block->present[CH_INLET]);
    for (size_t i = 0; i < block->n && kept->had_heat; i++, kept->n++) {
        kept->heat_W[kept->n] = block->value[CH_HEAT][i];
        kept->flag[kept->n] = block->flag[CH_HEAT][i];
    }
    return true;
}

static bool keep_finish(void *state, struct faults *unused)
{
    (void)unused;
    ((struct kept *)state)->finished = true;
    return true;
}

static struct kept *derive(const struct aid_log *log, bool meter_at_outlet, int64_t transit_us,
                           size_t most_rows)
{
    struct kept *kept = calloc(1, sizeof *kept);
    struct derived derived;
    assert_non_null(kept);
    struct sink sink = {kept, keep, keep_finish};
    assert_true(derived_init(&derived, fluid, meter_at_outlet, transit_us, &sink, 1, faults));
    aid_log_feed(log, derived_sink(&derived), most_rows, 6);
    assert_true(kept->finished);
    derived_free(&derived);
    derived_free(&derived);
    return kept;
}

static void rising_log(struct aid_log *log, size_t n)
{
    aid_log_init(log, n, 17 * S, 2 * S);
    for (size_t i = 0; i < n; i++) {
        log->value[CH_INLET][i] = 30.0 + 0.01 * (double)i;
        log->value[CH_OUTLET][i] = 40.0 + 0.02 * (double)i;
        log->value[CH_FLOW][i] = 3e-5 + 1e-9 * (double)i;
    }
}

/* Inlet delayed by 7 s: 3.5 rows. */
static void heat_takes_the_inlet_of_one_transit_ago(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        bool outlet;
        int64_t transit_us;
        double rows; /* of delay */
        size_t missing;
    } rows[] = {
        {"no transit, inlet meter", false, 0, 0.0, 0},
        {"no transit, outlet meter", true, 0, 0.0, 0},
        {"7 s, inlet meter", false, 7 * S, 3.5, 4},
        {"8 s, outlet meter", true, 8 * S, 4.0, 4},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct aid_log log;
        rising_log(&log, 900);
        struct kept *kept = derive(&log, rows[k].outlet, rows[k].transit_us, 37);
        assert_int_equal(kept->n, 900);
        for (size_t i = 0; i < kept->n; i++) {
            if (i < rows[k].missing) {
                assert_int_equal(kept->flag[i], FLAG_MISSING);
                assert_true(isnan(kept->heat_W[i]));
                continue;
            }
            double t_in = log.value[CH_INLET][i], t_out = log.value[CH_OUTLET][i];
            double expected = heat_by_hand(log.value[CH_FLOW][i], rows[k].outlet ? t_out : t_in,
                                           t_in - 0.01 * rows[k].rows, t_out);
            assert_int_equal(kept->flag[i], FLAG_GOOD);
            near(rows[k].name, kept->heat_W[i], expected, 1e-6 * expected);
        }
        free(kept);
        aid_log_free(&log);
    }
}

static void bad_inputs_give_no_heat(void **state)
{
    (void)state;
    struct aid_log log;
    rising_log(&log, 300);
    log.flag[CH_FLOW][50] = FLAG_NOT_A_NUMBER;
    log.flag[CH_OUTLET][60] = FLAG_OUT_OF_RANGE;
    log.flag[CH_INLET][70] = FLAG_MISSING;
    log.value[CH_OUTLET][80] = 101.0; /* past the fluid's table */
    log.gap[200] = true;
    for (size_t i = 200; i < 300; i++)
        log.time_us[i] += 100 * S;
    struct kept *kept = derive(&log, false, 3 * S, 41); /* rows i-2 and i-1 are needed */
    for (size_t i = 2; i < 300; i++) {
        uint8_t expected = FLAG_GOOD;
        if (i == 50 || i == 60 || (i >= 70 && i <= 72) || i == 200 || i == 201)
            expected = FLAG_MISSING;
        if (i == 80)
            expected = FLAG_OUT_OF_RANGE;
        if (kept->flag[i] != expected)
            fail_msg("row %zu: flag %d, expected %d", i, kept->flag[i], expected);
        assert_int_equal(isnan(kept->heat_W[i]), expected != FLAG_GOOD);
    }
    free(kept);
    aid_log_free(&log);
}

static void without_a_flow_there_is_no_heat(void **state)
{
    (void)state;
    struct aid_log log;
    rising_log(&log, 30);
    log.present[CH_FLOW] = false;
    struct kept *kept = derive(&log, false, 0, 8);
    assert_false(kept->had_heat);
    free(kept);
    aid_log_free(&log);
}

/* Every bin against the rows that lie in it, for logs that make the width double 0 to 9 times. */
static void bins_are_those_of_a_plain_search(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t n;
        int64_t step_us;
        int64_t width_us;
    } rows[] = {
        {"fits", 2048, S, S},
        {"one more", 2049, S, 2 * S},
        {"fast", 9999, 100000, S},
        {"a day", 9000, 10 * S, 64 * S},
        {"slow", 5000, 120 * S, 512 * S},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct aid_log log;
        struct timeline timeline;
        uint32_t seed = 31;
        aid_log_init(&log, rows[k].n, 5 * S + 7, rows[k].step_us);
        for (size_t i = 0; i < log.n; i++) {
            log.value[CH_IRRADIANCE][i] = 500.0 * aid_uniform(&seed);
            bool bad = aid_uniform(&seed) < 0.3;
            log.flag[CH_IRRADIANCE][i] = bad ? FLAG_OUT_OF_RANGE : FLAG_GOOD;
        }
        log.gap[log.n / 2] = true;
        assert_true(timeline_init(&timeline, faults));
        aid_log_feed(&log, timeline_sink(&timeline), 700, 9);
        if (timeline.width_us != rows[k].width_us)
            fail_msg("%s: width %lld us", rows[k].name, (long long)timeline.width_us);
        assert_true(timeline.rows == log.n);
        size_t at = 0;
        for (size_t b = 0; b < timeline.n; b++) {
            double low = INFINITY, high = -INFINITY, sum = 0.0;
            size_t good = 0, first = at;
            bool gap = false;
            for (; at < log.n && log.time_us[at] < timeline_bin_start_us(&timeline, b + 1); at++) {
                double value = log.value[CH_IRRADIANCE][at];
                gap = gap || log.gap[at];
                if (log.flag[CH_IRRADIANCE][at] != FLAG_GOOD)
                    continue;
                low = fmin(low, value);
                high = fmax(high, value);
                sum += value;
                good++;
            }
            const struct timeline_bin *bin = &timeline.bins[b];
            const struct timeline_cell *cell = &bin->cell[CH_IRRADIANCE];
            assert_true(bin->rows == at - first);
            assert_int_equal(bin->gap, gap);
            assert_true(cell->good == good && cell->bad == at - first - good);
            assert_int_equal((cell->flags >> FLAG_OUT_OF_RANGE) & 1u, cell->bad > 0);
            if (good == 0) {
                assert_true(isnan(timeline_mean(&timeline, b, CH_IRRADIANCE)));
                continue;
            }
            assert_true(cell->least == low && cell->most == high);
            near("mean", timeline_mean(&timeline, b, CH_IRRADIANCE), sum / (double)good, 1e-9);
        }
        assert_int_equal(at, log.n); /* no row lies past the last bin */
        assert_true(timeline.present[CH_IRRADIANCE] && !timeline.present[CH_WIND]);
        timeline_free(&timeline);
        timeline_free(&timeline);
        aid_log_free(&log);
    }
}

/* A year between two rows: the width doubles many times at once. */
static void a_long_gap_only_widens(void **state)
{
    (void)state;
    struct aid_log log;
    struct timeline timeline;
    aid_log_init(&log, 100, 0, S);
    aid_log_set(&log, CH_AMBIENT, 12.5);
    for (size_t i = 50; i < 100; i++)
        log.time_us[i] += INT64_C(365) * 86400 * S;
    log.gap[50] = true;
    assert_true(timeline_init(&timeline, faults));
    aid_log_feed(&log, timeline_sink(&timeline), 20, 9);
    assert_true(timeline.n > TIMELINE_BINS / 2 - 1 && timeline.n <= TIMELINE_BINS);
    uint64_t rows = 0;
    for (size_t b = 0; b < timeline.n; b++)
        rows += timeline.bins[b].rows;
    assert_true(rows == 100);
    near("mean", timeline_mean(&timeline, timeline.n - 1, CH_AMBIENT), 12.5, 1e-12);
    timeline_free(&timeline);
    aid_log_free(&log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(heat_takes_the_inlet_of_one_transit_ago, set_up, tear_down),
        cmocka_unit_test_setup_teardown(bad_inputs_give_no_heat, set_up, tear_down),
        cmocka_unit_test_setup_teardown(without_a_flow_there_is_no_heat, set_up, tear_down),
        cmocka_unit_test_setup_teardown(bins_are_those_of_a_plain_search, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_long_gap_only_widens, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
