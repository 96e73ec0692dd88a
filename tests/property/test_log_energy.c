/* A heat meter in logs from end to end: with fine steps it gives the efficiency of flow and rise;
 * without a flow, with coarse steps and errors drawn anew for every log, the intervals hold the
 * truth.
 *
 * Bound of the second. Were the true coverage 0.95, the number that hold would be binomial(60,
 * 0.95): at least 50 are demanded, P(49 or fewer) = 1.7e-4 (R 4.2, pbinom); three counts. A smoke
 * test of units, steps, windows and error rows, no measurement of the coverage. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "fit/combine.h"
#include "run/efficiency.h"
#include "run/reduction.h"
#include "run/setup_point.h"
#include "tests/unit/aid_folder.h"
#include "tests/unit/aid_log.h"
#include "window/derived.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DRAWS = 60, HOLD_AT_LEAST = 50, LEVELS = 4, ROWS_A_LEVEL = 160, STEP_S = 15, PATH = 400 };

#define ETA0 0.743
#define A1 5.61
#define AREA 2.05
#define G 921.0
#define T_AIR 22.7
#define FLOW (2.413e-3 / 60)

static struct faults faults;

static void no_fault(bool good)
{
    if (!good)
        fail_msg("%s", faults.n > 0 ? faults.items[0].found : "failed without a fault");
}

/* One value each for a whole log. */
struct errors {
    double sun, air_K, in_K, out_K, heat, area;
};

static struct errors draw_errors(uint32_t *state)
{
    return (struct errors){.sun = 0.006 * aid_normal(state),
                           .air_K = 0.15 * aid_normal(state),
                           .in_K = 0.05 * aid_normal(state),
                           .out_K = 0.05 * aid_normal(state),
                           .heat = 0.03 * (2 * aid_uniform(state) - 1),
                           .area = 0.003 * aid_normal(state)};
}

struct scene {
    const char *flow, *fluid; /* sections */
    const char *unit, *step;  /* of the heat meter */
    double step_J;
    double waver; /* of the sun, relative */
};

static FILE *open_in(const char *folder, const char *name)
{
    char path[PATH];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    return file;
}

static void write_description(const char *folder, const struct scene *scene)
{
    FILE *out = open_in(folder, "test.txt");
    fprintf(out,
            "[collector]\nname = Invented\ngross area = 2.05 m2\narea error = 0.3 %% standard\n"
            "[site]\nwind = 3 m/s\nwind error = 0.01 m/s limit\nsky = indoors\n%s"
            "[log]\nfile = log.csv\ntime = Time, ISO 8601, UTC\n"
            "[instrument sun]\nmeasures = irradiance\ncolumn = G\nunit = W/m2\n"
            "calibration = 1.2 %% k=2\n"
            "[instrument air]\nmeasures = ambient\ncolumn = Ta\nunit = degC\n"
            "calibration = 0.3 K k=2\n"
            "[instrument inlet]\nmeasures = inlet\ncolumn = Tin\nunit = degC\n"
            "calibration = 0.1 K k=2\n"
            "[instrument outlet]\nmeasures = outlet\ncolumn = Tout\nunit = degC\n"
            "calibration = 0.1 K k=2\n"
            "[instrument meter]\nmeasures = metered heat\ncolumn = E\nunit = %s\n"
            "resolution = %s\ncalibration = 3 %% limit\n%s"
            "[steady state]\nrules = homemade rig\n[run curve]\nkind = efficiency\nform = line\n",
            scene->fluid, scene->unit, scene->step, scene->flow);
    assert_int_equal(fclose(out), 0);
}

/* Water of constant flow that takes what the plate of `area` gives. */
static double outlet_of(const struct fluid *water, double area, double g, double t_in)
{
    double t_out = t_in + 8;
    for (int k = 0; k < 30; k++) {
        double heat = area * (ETA0 * g - A1 * (0.5 * (t_in + t_out) - T_AIR));
        t_out += (heat - derived_heat_W(water, FLOW, t_in, t_in, t_out)) / (FLOW * 4.15e6);
    }
    return t_out;
}

static void write_log(const char *folder, const struct scene *scene, const struct errors *e,
                      uint32_t *state)
{
    FILE *out = open_in(folder, "log.csv");
    struct fluid water;
    double energy_J = (871.3 + aid_uniform(state)) * scene->step_J;
    fluid_water(&water);
    fprintf(out, "Time,G,Ta,Tin,Tout,V,E\n");
    for (int i = 0; i < LEVELS * ROWS_A_LEVEL; i++) {
        int s = 32400 + STEP_S * i;
        double g = G * (1 + scene->waver * sin(i / 3.7));
        double t_in = 21.7 + 18.9 * (i / ROWS_A_LEVEL);
        double t_out = outlet_of(&water, AREA * (1 + e->area), g, t_in);
        energy_J += STEP_S * (1 + e->heat) * derived_heat_W(&water, FLOW, t_in, t_in, t_out);
        fprintf(out, "2026-06-20T%02d:%02d:%02d,%.3f,%.4f,%.4f,%.4f,%.6f,%.9f\n", s / 3600,
                s / 60 % 60, s % 60, g * (1 + e->sun) + 0.4 * aid_normal(state),
                T_AIR + e->air_K + 0.02 * aid_normal(state),
                t_in + e->in_K + 0.005 * aid_normal(state),
                t_out + e->out_K + 0.005 * aid_normal(state), FLOW * 6e4,
                floor(energy_J / scene->step_J) * scene->step_J / 3.6e6);
    }
    assert_int_equal(fclose(out), 0);
}

/* A written log, read, with its points. */
struct result {
    struct reduction *r;
    struct point_setup setup;
    struct point *points;
};

static struct result read_log(const char *folder)
{
    struct result out = {.r = malloc(sizeof *out.r)};
    char path[PATH];
    assert_non_null(out.r);
    snprintf(path, sizeof path, "%s/test.txt", folder);
    faults_init(&faults);
    reduction_init(out.r);
    no_fault(reduction_describe(out.r, path, &faults) && reduction_read(out.r, &faults));
    out.setup = setup_point(&out.r->setup, BASIS_MEAN);
    out.points = calloc(out.r->means.n + 1, sizeof *out.points);
    assert_non_null(out.points);
    for (size_t i = 0; i < out.r->means.n; i++)
        no_fault(point_make(&out.points[i], &out.r->means.items[i], &out.setup,
                            &out.r->setup.errors, &faults));
    return out;
}

static void free_result(struct result *out)
{
    free(out->points);
    reduction_free(out->r);
    free(out->r);
}

static const char flow_section[] = "[instrument flow]\nmeasures = flow\ncolumn = V\nunit = L/min\n"
                                   "calibration = 0.8 % k=2\n";

/* A joule a step: the two heats of a window differ by the row by which the first edge comes after
 * the window's begin, of 40, at a sun that wavers by 0.2 %: by 0.002 / 39 at most, and by a step of
 * 0.6 MJ. */
static void fine_steps_give_the_efficiency_of_flow_and_rise(void **unused)
{
    (void)unused;
    static const struct errors none;
    const struct scene scene = {flow_section, "", "kWh", "0.000001 kWh", 3.6, 0.002};
    uint32_t state = 4711;
    char *folder = aid_folder();
    assert_non_null(folder);
    write_description(folder, &scene);
    write_log(folder, &scene, &none, &state);
    struct result flow = read_log(folder);
    assert_false(flow.setup.heat_by_meter);
    struct point_setup meter = flow.setup;
    meter.heat_by_meter = true;
    assert_true(flow.r->means.n >= 10);
    double most = 0;
    for (size_t i = 0; i < flow.r->means.n; i++) {
        struct point_value value;
        assert_int_equal(point_evaluate(&flow.r->means.items[i], &meter, NULL, &value), POINT_OK);
        /* The thermometers' noise is in flow and rise alone: 0.005 K each, in 40 rows, 4 of it. */
        const struct means *m = &flow.r->means.items[i];
        double rise = m->mean[CH_OUTLET] - m->mean[CH_INLET];
        double noise = 4 * hypot(m->u[CH_INLET], m->u[CH_OUTLET]) / rise;
        double off = fabs(value.eta / flow.points[i].value.eta - 1);
        most = fmax(most, off);
        if (!(off < 0.002 / 39 + 6e-6 + noise))
            fail_msg("window %zu: off by %g, noise %g", i, off, noise);
    }
    printf("    %zu windows, off by %.2g at most\n", flow.r->means.n, most);
    free_result(&flow);
    aid_remove(folder);
    free(folder);
}

struct tally {
    int held;
    double z, z2;
};

static void count(struct tally *tally, double off, double u, double half)
{
    tally->held += fabs(off) <= half;
    tally->z += off / u / DRAWS;
    tally->z2 += off / u * (off / u) / DRAWS;
}

static void tally_log(struct result *log, struct tally *tally)
{
    struct efficiency e;
    struct efficiency_request request = {
        .form = "line", .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    no_fault(efficiency_fit(&e, log->points, log->r->means.n, &log->setup, &log->r->setup.errors,
                            &request, &faults));
    const double truth[] = {ETA0, A1};
    for (size_t j = 0; j < 2; j++) {
        double u, dof;
        efficiency_combined(&e, j, &u, &dof);
        count(&tally[j], e.curve.coef[j] - truth[j], u, fit_coverage_95(dof) * u);
    }
    struct fit_condition at = {.x = 0.031, .g = G};
    double t[FIT_FORM_MAX_COEF];
    struct fit_band band;
    e.form->terms(&at, t);
    struct fit_parts parts = efficiency_parts(&e);
    fit_band_curve(&parts, t, &band);
    count(&tally[2], band.value - (ETA0 - A1 * at.x), band.u, band.half_95);
    efficiency_free(&e);
}

/* Steps of 0.02 kWh, one in one to two minutes; every log with errors of its own. */
static void intervals_hold_the_truth_without_a_flow(void **unused)
{
    (void)unused;
    static const char *const what[] = {"eta0", "a1", "curve"};
    const struct scene scene = {"", "", "kWh", "0.02 kWh", 72e3, 0.004};
    struct tally tally[3] = {0};
    char *folder = aid_folder();
    uint32_t state = 20260620;
    assert_non_null(folder);
    write_description(folder, &scene);
    for (int draw = 0; draw < DRAWS; draw++) {
        struct errors e = draw_errors(&state);
        write_log(folder, &scene, &e, &state);
        struct result log = read_log(folder);
        assert_true(log.setup.heat_by_meter);
        assert_true(log.r->means.n >= 8);
        tally_log(&log, tally);
        free_result(&log);
    }
    for (size_t j = 0; j < 3; j++) {
        printf("    %-6s held in %d of %d, mean z %.2f, rms z %.2f\n", what[j], tally[j].held,
               DRAWS, tally[j].z, sqrt(tally[j].z2));
        if (tally[j].held < HOLD_AT_LEAST || !(tally[j].z2 > 0))
            fail_msg("%s held in %d of %d", what[j], tally[j].held, DRAWS);
    }
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fine_steps_give_the_efficiency_of_flow_and_rise),
        cmocka_unit_test(intervals_hold_the_truth_without_a_flow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
