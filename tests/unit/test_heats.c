/* A heat meter beside flow and rise: the two heats, their ratio and its uncertainty by hand, and
 * which slip is told of which ratio. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "run/heats.h"
#include "run/setup_heat.h"
#include "run/setup_point.h"
#include "tests/unit/aid_near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;

static const char head[] = "[collector]\ngross area = 2.05 m2\n"
                           "[log]\nfile = log.csv\ntime = t, ISO 8601, UTC\n"
                           "[run c]\nkind = efficiency\n";
static const char sensors[] =
    "[instrument sun]\nmeasures = irradiance\ncolumn = G\nunit = W/m2\ncalibration = 1.2 % k=2\n"
    "[instrument air]\nmeasures = ambient\ncolumn = ta\nunit = degC\ncalibration = 0.3 K k=2\n"
    "[instrument cold]\nmeasures = inlet\ncolumn = ti\nunit = degC\ncalibration = 0.1 K k=2\n"
    "[instrument hot]\nmeasures = outlet\ncolumn = to\nunit = degC\ncalibration = 0.1 K k=2\n";
static const char flow[] =
    "[instrument flow]\nmeasures = flow\ncolumn = V\nunit = L/min\ncalibration = 1 % k=2\n";
static const char heat[] = "[instrument heat]\nmeasures = metered heat\ncolumn = E\nunit = kWh\n"
                           "resolution = 0.001 kWh\ncalibration = 3 % limit\n";

static struct reduction *reduction_of(const char *a, const char *b, const char *c)
{
    char text[4096];
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    int n = snprintf(text, sizeof text, "%s%s%s%s%s", head, sensors, a, b, c);
    assert_true(n > 0 && (size_t)n < sizeof text);
    reduction_init(r);
    faults_init(&faults);
    if (!setup_parse("test.txt", text, (size_t)n, &r->setup, &faults))
        fail_msg("%s", faults.n > 0 ? faults.items[0].found : "no setup");
    return r;
}

static void free_reduction(struct reduction *r)
{
    reduction_free(r);
    free(r);
}

static struct means window_of(double rise_K, double flow_m3_s, double heat_W)
{
    struct means m;
    memset(&m, 0, sizeof m);
    strcpy(m.name, "w");
    m.readings = 40;
    m.drift_K_s = NAN;
    m.sun.diffuse_share = NAN;
    static const enum channel channels[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET};
    const double values[] = {913, 21.3, 40.2, 40.2 + rise_K};
    for (int k = 0; k < 4; k++) {
        m.has[channels[k]] = true;
        m.mean[channels[k]] = values[k];
    }
    m.has[CH_FLOW] = flow_m3_s > 0;
    m.mean[CH_FLOW] = flow_m3_s;
    m.has[CH_METERED] = heat_W > 0;
    m.mean[CH_METERED] = heat_W;
    return m;
}

/* Water at 40.2 degC: 992.16 kg/m3; 4179.2 J/(kg K) to 48.2 degC, 4178.8 to 44.2 degC (IAPWS-95,
 * from memory). 4e-5 m3/s and 8 K are 1326.8 W, 4 K 663.3 W. The meter shows 2 % more. In the
 * ratio: meter 3 % / sqrt 3, flow 0.5 %, each thermometer 0.05 K of a mean rise of 6 K, cp 0.05 %,
 * density 0.03 %: 1.02 sqrt(1.732^2 + 0.5^2 + 2 0.8333^2 + 0.05^2 + 0.03^2) % = 2.197 %. */
static void heats_and_their_ratio_are_as_by_hand(void **unused)
{
    (void)unused;
    struct reduction *r = reduction_of(flow, heat, "");
    struct heats heats;
    assert_false(setup_heat_by_meter(&r->setup));
    const double rises[] = {8, 4}, by_flow[] = {1326.8, 663.3};
    for (int k = 0; k < 2; k++) {
        struct means m = window_of(rises[k], 4e-5, 1.02 * by_flow[k]);
        assert_true(means_list_add(&r->means, &m, &faults));
    }
    struct means none = window_of(8, 4e-5, 0);
    assert_true(means_list_add(&r->means, &none, &faults));
    assert_true(heats_find(r, &heats, &faults));
    assert_int_equal(heats.n, 3);
    assert_int_equal(heats.both, 2);
    assert_int_equal(heats.beyond, 0);
    for (int k = 0; k < 2; k++) {
        aid_near("flow and rise", heats.pairs[k].flow_W, by_flow[k], 5e-4 * by_flow[k]);
        aid_near("meter", heats.pairs[k].meter_W, 1.02 * by_flow[k], 1e-9);
        double of_rise = sqrt(0.5) * 0.1 / rises[k];
        double share = sqrt(0.005 * 0.005 + of_rise * of_rise + 0.0005 * 0.0005 + 0.0003 * 0.0003);
        aid_near("u of flow and rise", heats.pairs[k].u_flow_W, share * by_flow[k], 0.2);
        aid_near("u of meter", heats.pairs[k].u_meter_W, 1.02 * by_flow[k] * 0.03 / sqrt(3), 1e-6);
        aid_near("u of the difference", heats.pairs[k].u_difference_W,
                 hypot(heats.pairs[k].u_flow_W, heats.pairs[k].u_meter_W), 1e-6);
    }
    assert_true(isfinite(heats.pairs[2].flow_W) && isnan(heats.pairs[2].meter_W));
    aid_near("ratio", heats.ratio, 1.02, 5e-4);
    aid_near("u of the ratio", heats.u_ratio, 0.02197, 1e-4);
    aid_near("rise", heats.rise_K, 6, 1e-9);
    aid_near("water for water", heats.water, 1, 1e-12);
    assert_false(heats_differ(&heats));
    heats_free(&heats);
    heats_free(&heats);
    free_reduction(r);
}

/* Without a flow, or where it is so stated, the efficiency is Q / (A G); mass flow is not known,
 * and what moves the fluid's properties moves nothing. */
static void the_efficiency_of_a_heat_meter_is_its_heat(void **unused)
{
    (void)unused;
    static const struct {
        const char *name, *flow, *fluid;
        double flow_m3_s;
    } rows[] = {{"no flow", "", "", 0},
                {"stated", flow, "[fluid]\nheat from = heat meter\n", 4e-5}};
    for (size_t i = 0; i < 2; i++) {
        struct reduction *r = reduction_of(rows[i].flow, heat, rows[i].fluid);
        struct means m = window_of(8, rows[i].flow_m3_s, 1234.5);
        struct point_setup setup = setup_point(&r->setup, BASIS_MEAN);
        struct point_value value;
        struct shifts shifts;
        memset(&shifts, 0, sizeof shifts);
        assert_true(setup_heat_by_meter(&r->setup));
        setup.capacity_J_m2K = 0;
        assert_int_equal(point_evaluate(&m, &setup, NULL, &value), POINT_OK);
        aid_near(rows[i].name, value.eta, 1234.5 / 2.05 / 913, 1e-12);
        aid_near(rows[i].name, value.x, (44.2 - 21.3) / 913, 1e-12);
        assert_true((i == 0) == (isnan(value.mass_kg_s) != 0));
        shifts.cp = shifts.density = 0.01;
        shifts.gain[CH_FLOW] = 0.02;
        assert_int_equal(point_evaluate(&m, &setup, &shifts, &value), POINT_OK);
        aid_near(rows[i].name, value.eta, 1234.5 / 2.05 / 913, 1e-12);
        shifts.gain[CH_METERED] = 0.03;
        shifts.offset[CH_METERED] = 5;
        assert_int_equal(point_evaluate(&m, &setup, &shifts, &value), POINT_OK);
        aid_near(rows[i].name, value.eta, (1234.5 * 1.03 + 5) / 2.05 / 913, 1e-12);
        m.has[CH_METERED] = false;
        assert_int_equal(point_evaluate(&m, &setup, NULL, &value), POINT_MISSING);
        free_reduction(r);
    }
}

static void a_ratio_tells_its_slip(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double ratio, u, water;
        enum heats_cause cause;
        double would_be;
    } rows[] = {
        {"MJ for kWh", 3.66, 0.04, 1, HEATS_UNIT, 3.6},
        {"kWh for MJ", 0.271, 0.004, 1, HEATS_UNIT, 1 / 3.6},
        {"gallons for litres", 3.80, 0.02, 1, HEATS_FLOW_UNIT, 3.78541},
        {"litres for gallons", 0.2655, 0.002, 1, HEATS_FLOW_UNIT, 1 / 3.78541},
        {"kBTU for kWh", 3.40, 0.03, 1, HEATS_UNIT, 3.41214},
        {"L/h for L/min", 59.1, 1.1, 1, HEATS_FLOW_UNIT, 60},
        {"Wh for kWh", 1013, 12, 1, HEATS_UNIT, 1000},
        {"exchanged", -0.98, 0.02, 1, HEATS_EXCHANGED, -1},
        {"set for water, of glycol", 1.063, 0.008, 1.068, HEATS_FOR_WATER, 1.068},
        {"glycol, but too far", 1.14, 0.008, 1.068, HEATS_NONE, 1},
        {"set for glycol, of water", 0.936, 0.008, 1, HEATS_FOR_GLYCOL, 0.936},
        {"more, of water", 1.071, 0.01, 1, HEATS_NONE, 1},
        {"half", 0.52, 0.01, 1, HEATS_NONE, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct heats heats = {.ratio = rows[i].ratio, .u_ratio = rows[i].u, .water = rows[i].water};
        struct heats_guess guess = heats_guess(&heats);
        if (guess.cause != rows[i].cause || !heats_differ(&heats))
            fail_msg("%s: %d", rows[i].name, guess.cause);
        aid_near(rows[i].name, guess.ratio, rows[i].would_be, 1e-9);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heats_and_their_ratio_are_as_by_hand),
        cmocka_unit_test(the_efficiency_of_a_heat_meter_is_its_heat),
        cmocka_unit_test(a_ratio_tells_its_slip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
