/* What the Monte Carlo of a test costs: 40 points of water at 6 temperatures on 3 days, second order, with
 * 14 errors of calibration (cp and density of the fluid among them), 2 of the day and 5 of each reading.
 * Prints on one line the seconds of one processor for DRAWS draws, and for as many refits alone.
 *
 *   draws [DRAWS]      100,000 unless stated
 */
#include "base/randoms.h"
#include "fit/redraw.h"
#include "run/efficiency_draws.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { POINTS = 40, LEVELS = 6, SETS = 1000 };

static const struct {
    enum error_kind kind;
    enum shift_target what;
    enum channel channel;
    double u;
    bool rectangular;
} sources[] = {
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.011, false},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_IRRADIANCE, 3.1, true},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.004, true},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.003, true},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_INLET, 0.041, false},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_OUTLET, 0.041, false},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_AMBIENT, 0.17, true},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_FLOW, 0.0053, false},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_FLOW, 0.002, true},
    {ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, 0.002, true},
    {ERROR_CALIBRATION, SHIFT_CP, CH_IRRADIANCE, 0.001, true},
    {ERROR_CALIBRATION, SHIFT_DENSITY, CH_IRRADIANCE, 0.0005, true},
    {ERROR_CALIBRATION, SHIFT_LOSS, CH_IRRADIANCE, 2.3, false},
    {ERROR_CALIBRATION, SHIFT_LOSS_SLOPE, CH_IRRADIANCE, 0.07, false},
    {ERROR_SESSION, SHIFT_OFFSET, CH_IRRADIANCE, 1.3, false},
    {ERROR_SESSION, SHIFT_GAIN, CH_FLOW, 0.002, false},
};

static struct fluid water;
static struct point_setup setup;
static struct error_registry registry;
static struct means means[POINTS];
static struct point points[POINTS];
static struct fit_point moved[SETS][POINTS];
static struct efficiency e;
static struct faults faults;

static void need(bool good)
{
    if (good)
        return;
    fprintf(stderr, "draws: %s\n", faults.n > 0 ? faults.items[0].found : "failed");
    exit(1);
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void add_rows(void)
{
    registry_init(&registry);
    for (size_t k = 0; k < sizeof sources / sizeof sources[0]; k++) {
        struct error_source row = {.kind = sources[k].kind,
                                   .u = sources[k].u,
                                   .dof = INFINITY,
                                   .rectangular = sources[k].rectangular,
                                   .n_targets = 1,
                                   .targets = {{sources[k].what, sources[k].channel, 1}}};
        snprintf(row.id, sizeof row.id, "row %zu", k);
        need(registry_add(&registry, &row, &faults));
    }
}

/* The rise that gives the efficiency of a plate. */
static void make_point(size_t i)
{
    struct means *m = &means[i];
    double g = 861 + 7.3 * (double)(i % 11), rise_K = 7;
    snprintf(m->name, sizeof m->name, "%zu", i + 1);
    m->session = (int64_t)(3 * i / POINTS);
    m->drift_K_s = NAN;
    m->readings = 60;
    m->has[CH_IRRADIANCE] = m->has[CH_AMBIENT] = m->has[CH_INLET] = m->has[CH_OUTLET] = true;
    m->has[CH_FLOW] = true;
    m->mean[CH_IRRADIANCE] = g;
    m->mean[CH_AMBIENT] = 23.7 + 0.31 * (double)(i % 5);
    m->mean[CH_FLOW] = 4.1e-5;
    for (int step = 0; step < 30; step++) {
        struct point_value value;
        m->mean[CH_INLET] =
            m->mean[CH_AMBIENT] + 60.0 * (double)(i % LEVELS) / (LEVELS - 1) - rise_K / 2;
        m->mean[CH_OUTLET] = m->mean[CH_INLET] + rise_K;
        need(point_evaluate(m, &setup, NULL, &value) == POINT_OK);
        rise_K *= (0.763 - 3.87 * value.x - 0.0137 * g * value.x * value.x) / value.eta;
    }
    m->mean[CH_OUTLET] += 0.02 * ((double)(i * 7 % 5) - 2); /* some scatter */
    m->u[CH_IRRADIANCE] = 1.5;
    m->u[CH_AMBIENT] = m->u[CH_INLET] = m->u[CH_OUTLET] = 0.02;
    m->u[CH_FLOW] = 0.002 * m->mean[CH_FLOW];
    need(point_make(&points[i], m, &setup, &registry, &faults));
}

/* Points that moved as far as draws move them. */
static double time_refits(size_t n)
{
    struct randoms randoms;
    double coef[EFFICIENCY_COEFS], sum = 0;
    need(randoms_init(&randoms, &faults));
    randoms_seed(&randoms, 417, 0);
    for (size_t k = 0; k < SETS; k++) {
        double common = 0.012 * randoms_normal(&randoms);
        for (size_t i = 0; i < POINTS; i++) {
            moved[k][i] = e.used[i];
            moved[k][i].eta += common + 0.004 * randoms_normal(&randoms);
            moved[k][i].at.x *= 1 + 0.01 * randoms_normal(&randoms);
        }
    }
    randoms_free(&randoms);
    double start = seconds();
    for (size_t i = 0; i < n; i++) {
        need(fit_redraw(&e.curve, moved[i % SETS], coef) == FIT_OK);
        sum += coef[0];
    }
    double took = seconds() - start;
    need(isfinite(sum));
    return took;
}

static double time_draws(size_t n)
{
    struct draws draws;
    struct draws_request request = {.draws = n, .seed = 1, .threads = 1};
    double start = seconds();
    need(efficiency_draw(&e, points, &setup, &registry, &request, 900, &draws, &faults));
    double took = seconds() - start;
    need(draws.n == n && draws.usable);
    return took;
}

int main(int argc, char **argv)
{
    size_t n = argc > 1 ? strtoull(argv[1], NULL, 10) : 100000;
    struct efficiency_request request = {
        .form = "second order", .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    faults_init(&faults);
    fluid_water(&water);
    setup = (struct point_setup){.fluid = &water, .area_m2 = 2.05, .longitude_rad = NAN};
    add_rows();
    for (size_t i = 0; i < POINTS; i++)
        make_point(i);
    need(efficiency_fit(&e, points, POINTS, &setup, &registry, &request, &faults));
    printf("%.3f %.3f\n", time_draws(n), time_refits(n));
    efficiency_free(&e);
    registry_free(&registry);
    return 0;
}
