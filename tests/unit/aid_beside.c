#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_beside.h"

#include "run/swaps.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double A2 = 0.01, AREA_M2 = 2.05, FLOW_M3_S = 4.0e-5, U_PAIR_K = 0.02, U_AIR_K = 0.15,
                    U_ZERO_W_M2 = 2, NOISE_FLUID_K = 0.01, NOISE_FLOW = 0.001;

/* What both share in one draw. */
struct common {
    double sun, air_K, zero_W_m2[BESIDE_DAYS];
    double g_W_m2[BESIDE_POINTS], noise_W_m2[BESIDE_POINTS], noise_K[BESIDE_POINTS],
        hour[BESIDE_POINTS];
};

bool beside_init(struct beside *beside)
{
    memset(beside, 0, sizeof *beside);
    faults_init(&beside->faults);
    fluid_water(&beside->water);
    beside->run.form = FORM_SECOND_ORDER;
    return randoms_init(&beside->randoms, &beside->faults);
}

void beside_free(struct beside *beside)
{
    randoms_free(&beside->randoms);
}

static int64_t start_us(int i)
{
    return (20620 + i / 8) * INT64_C(86400000000) + (9 + i % 8 / 2) * INT64_C(3600000000) +
           i % 2 * INT64_C(720000000);
}

static void add_row(struct beside *beside, struct tested *tested, const char *id,
                    const char *serial, enum error_kind kind, enum shift_target what,
                    enum channel channel, double u)
{
    struct error_source row = {.kind = kind,
                               .u = u,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{.what = what, .channel = channel, .weight = 1}}};
    snprintf(row.id, sizeof row.id, "%s", id);
    snprintf(row.instrument_id, sizeof row.instrument_id, "%s", serial);
    assert_true(registry_add(&tested->reduction->setup.errors, &row, &beside->faults));
}

static void add_instrument(struct tested *tested, const char *name, enum channel channel)
{
    struct test_setup *setup = &tested->reduction->setup;
    struct instrument *instrument = &setup->instruments[setup->n_instruments++];
    snprintf(instrument->name, sizeof instrument->name, "%s", name);
    snprintf(instrument->column.text, sizeof instrument->column.text, "%s column", name);
    instrument->column.at.given = instrument->measures.at.given = true;
    instrument->channel = channel;
}

/* The log is known by its file's digest. */
static void describe(struct beside *beside, struct tested *tested, const struct beside_case *how,
                     int k)
{
    struct reduction *r = tested->reduction = malloc(sizeof *tested->reduction);
    assert_non_null(r);
    reduction_init(r);
    r->setup.instruments = calloc(3, sizeof *r->setup.instruments);
    r->logs.account[0].files = calloc(1, sizeof *r->logs.account[0].files);
    assert_true(r->setup.instruments != NULL && r->logs.account[0].files != NULL);
    r->logs.n = r->logs.account[0].n_files = 1;
    snprintf(r->logs.account[0].files[0].sha256, HASH_HEX_SIZE, "%s",
             how->other_log && k == 1 ? "b" : "a");
    add_instrument(tested, "sun", CH_IRRADIANCE);
    add_instrument(tested, "air", CH_AMBIENT);
    add_instrument(tested, "meter", CH_FLOW);
    snprintf(r->setup.instruments[2].column.text, VALUE_SIZE, "flow %d", k + 1);
    snprintf(r->setup.instruments[2].id.text, VALUE_SIZE, "M-%d", k + 1);
    snprintf(r->setup.instruments[2].swap_id, VALUE_SIZE, "M-%d", 2 - k);
    r->setup.instruments[2].swapped = how->swap_at > 0;
    r->setup.instruments[2].swap_us = start_us(how->swap_at) - 1000000;
    add_row(beside, tested, "sun.calibration", "S-1", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE,
            how->u_sun);
    add_row(beside, tested, "sun.zero", "S-1", ERROR_SESSION, SHIFT_OFFSET, CH_IRRADIANCE,
            U_ZERO_W_M2);
    add_row(beside, tested, "air.calibration", "T-1", ERROR_CALIBRATION, SHIFT_OFFSET, CH_AMBIENT,
            U_AIR_K);
    add_row(beside, tested, "meter.calibration", k == 0 ? "M-1" : "M-2", ERROR_CALIBRATION,
            SHIFT_GAIN, CH_FLOW, how->u_flow);
    add_row(beside, tested, "outlet.pair", k == 0 ? "P-1" : "P-2", ERROR_CALIBRATION, SHIFT_OFFSET,
            CH_OUTLET, U_PAIR_K);
}

static void draw_common(struct beside *beside, const struct beside_case *how,
                        struct common *common)
{
    struct randoms *r = &beside->randoms;
    common->sun = how->u_sun * randoms_normal(r);
    common->air_K = U_AIR_K * randoms_normal(r);
    for (int day = 0; day < BESIDE_DAYS; day++)
        common->zero_W_m2[day] = U_ZERO_W_M2 * randoms_normal(r);
    for (int i = 0; i < BESIDE_POINTS; i++) {
        common->g_W_m2[i] = 910 + 35 * randoms_normal(r);
        common->noise_W_m2[i] = how->noise_sun_W_m2 * randoms_normal(r);
        common->noise_K[i] = how->noise_air_K * randoms_normal(r);
        common->hour[i] = how->hour * randoms_normal(r);
    }
}

/* Of a shared sensor's noise, what a later window has of the earlier one's. */
static double shared_noise(struct beside *beside, const struct beside_case *how, int k,
                           double noise, double sd)
{
    double rho = k == 0 ? 1 : how->other_log ? 0 : 1 - (double)how->late_us / 600e6;
    return rho * noise + sqrt(1 - rho * rho) * sd * randoms_normal(&beside->randoms);
}

/* Four temperatures a day, two windows each. */
static double x_of(int i)
{
    return 0.0007 + 0.0197 * (i % 8 / 2);
}

static void set_time(struct means *means, int i, int64_t late_us)
{
    means->timed = true;
    means->start_us = start_us(i) + late_us;
    means->end_us = means->start_us + 600000000;
    means->session = 20620 + i / 8;
    snprintf(means->name, sizeof means->name, "%d", i);
}

/* The outlet of an efficiency; both temperatures lie about the mean. */
static void set_fluid(const struct beside *beside, struct means *means, double eta, double x,
                      double g_W_m2, double air_degC)
{
    double middle = air_degC + x * g_W_m2, rise = 8;
    for (int k = 0; k < 12; k++)
        rise = eta * AREA_M2 * g_W_m2 /
               (FLOW_M3_S * fluid_density(&beside->water, middle - 0.5 * rise) *
                fluid_cp(&beside->water, middle));
    means->mean[CH_INLET] = middle - 0.5 * rise;
    means->mean[CH_OUTLET] = middle + 0.5 * rise;
}

static void set_means(struct beside *beside, const struct beside_case *how,
                      const struct common *common, int k, int i, double pair_K,
                      struct means *means)
{
    bool swapped = how->swap_at > 0 && i >= how->swap_at;
    double flow = beside->flow[swapped ? 1 - k : k];
    struct randoms *r = &beside->randoms;
    double g = common->g_W_m2[i], x = x_of(i) + 0.0002 * randoms_normal(r), air = 23.7;
    double eta = how->eta0[k] - how->a1[k] * x - A2 * g * x * x + common->hour[i];
    memset(means, 0, sizeof *means);
    set_time(means, i, k == 0 ? 0 : how->late_us);
    set_fluid(beside, means, eta, x, g, air);
    means->mean[CH_IRRADIANCE] =
        g * (1 + common->sun) + common->zero_W_m2[i / 8] +
        shared_noise(beside, how, k, common->noise_W_m2[i], how->noise_sun_W_m2);
    means->mean[CH_AMBIENT] = air + common->air_K +
                              shared_noise(beside, how, k, common->noise_K[i], how->noise_air_K);
    means->mean[CH_INLET] += NOISE_FLUID_K * randoms_normal(r);
    means->mean[CH_OUTLET] += pair_K + NOISE_FLUID_K * randoms_normal(r);
    means->mean[CH_FLOW] = FLOW_M3_S * (1 + flow + NOISE_FLOW * randoms_normal(r));
    means->u[CH_IRRADIANCE] = how->noise_sun_W_m2;
    means->u[CH_AMBIENT] = how->noise_air_K;
    means->u[CH_INLET] = means->u[CH_OUTLET] = NOISE_FLUID_K;
    means->u[CH_FLOW] = NOISE_FLOW * FLOW_M3_S;
    means->has[CH_IRRADIANCE] = means->has[CH_AMBIENT] = means->has[CH_INLET] =
        means->has[CH_OUTLET] = means->has[CH_FLOW] = true;
    means->drift_K_s = NAN;
}

static void fit(struct beside *beside, struct tested *tested)
{
    const struct error_registry *errors = &tested->reduction->setup.errors;
    struct efficiency_request request = {
        .form = "second order", .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    for (int i = 0; i < BESIDE_POINTS; i++)
        assert_true(point_make(&tested->points[i], &tested->reduction->means.items[i],
                               &tested->setup, errors, &beside->faults));
    assert_true(efficiency_fit(&tested->e, tested->points, BESIDE_POINTS, &tested->setup, errors,
                               &request, &beside->faults));
}

void beside_draw(struct beside *beside, const struct beside_case *how, uint64_t seed)
{
    struct common common;
    randoms_seed(&beside->randoms, 31, seed);
    draw_common(beside, how, &common);
    for (int k = 0; k < 2; k++)
        beside->flow[k] = how->u_flow * randoms_normal(&beside->randoms);
    for (int k = 0; k < 2; k++) {
        struct tested *tested = &beside->tests[k];
        memset(tested, 0, sizeof *tested);
        tested->run = &beside->run;
        describe(beside, tested, how, k);
        tested->setup =
            (struct point_setup){.fluid = &beside->water, .area_m2 = AREA_M2, .longitude_rad = NAN};
        tested->points = calloc(BESIDE_POINTS, sizeof *tested->points);
        struct means *means = calloc(BESIDE_POINTS, sizeof *means);
        assert_true(tested->points != NULL && means != NULL);
        tested->reduction->means = (struct means_list){means, BESIDE_POINTS, BESIDE_POINTS};
        double pair_K = U_PAIR_K * randoms_normal(&beside->randoms);
        for (int i = 0; i < BESIDE_POINTS; i++)
            set_means(beside, how, &common, k, i, pair_K, &means[i]);
        assert_true(swaps_apply(tested->reduction, &beside->faults));
        fit(beside, tested);
    }
    assert_true(difference_init(&beside->difference, &beside->tests[0], &beside->tests[1],
                                &beside->faults));
}

void beside_forget(struct beside *beside)
{
    difference_free(&beside->difference);
    tested_free(&beside->tests[0]);
    tested_free(&beside->tests[1]);
}

double beside_truth(const struct beside_case *how, double x)
{
    return how->eta0[0] - how->eta0[1] - (how->a1[0] - how->a1[1]) * x;
}
