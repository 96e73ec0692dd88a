#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_world.h"

#include "demo/texts.h"
#include "domain/error_ageing.h"

#include <math.h>
#include <string.h>

#define FIRST_DAY 20620 /* of the demo's plates: 2026-06-16 */

/* Streams of one seed, apart from those of the demo. */
enum { STREAM_CALIBRATION = 1000, STREAM_SESSION, STREAM_READING, STREAM_WINDOW };

static void no_fault(struct world *world, bool good)
{
    if (!good)
        fail_msg("%s",
                 world->faults.n > 0 ? world->faults.items[0].found : "failed without a fault");
}

static bool point_setup_of(struct world *world, enum temperature_basis basis, bool glycol)
{
    struct text text;
    text_init(&text);
    if (glycol)
        texts_glycol(&text);
    else
        texts_description(world->collector, &text);
    bool good =
        setup_parse("world.txt", text_string(&text), text.length, &world->setup, &world->faults);
    text_free(&text);
    world->right = (struct point_setup){
        .fluid = &world->setup.fluid,
        .area_m2 = demo_collector_row(world->collector)->gross_m2,
        .meter_at_outlet = world->setup.fluid_choice.meter_at.index == METER_AT_OUTLET,
        .basis = basis,
        .longitude_rad = NAN};
    return good;
}

static void init(struct world *world, enum demo_collector collector, enum temperature_basis basis,
                 bool glycol)
{
    memset(world, 0, sizeof *world);
    faults_init(&world->faults);
    setup_init(&world->setup);
    world->collector = collector;
    world->n = demo_point_count(collector);
    no_fault(world, point_setup_of(world, basis, glycol));
    errors_age(world->setup.instruments, world->setup.n_instruments, FIRST_DAY,
               &world->setup.errors);
    no_fault(world, randoms_init(&world->randoms, &world->faults));
    no_fault(world, demo_points(collector, &world->setup.fluid, 0, world->exact, &world->faults));
    assert_true(world->setup.errors.n > 5 && world->setup.errors.n <= WORLD_ROWS);
}

void world_init(struct world *world, enum demo_collector collector, enum temperature_basis basis)
{
    init(world, collector, basis, false);
}

void world_init_glycol(struct world *world)
{
    init(world, DEMO_PLATE_A, BASIS_MEAN, true);
}

void world_free(struct world *world)
{
    setup_free(&world->setup);
    randoms_free(&world->randoms);
}

/* A bound ("limit") and one step of a display are rectangular, everything else normal. So is a heat
 * capacity known to one half of itself: a normal error would make it negative in 2 % of worlds,
 * which nobody can state. */
static double drawn(struct world *world, const struct error_source *row)
{
    bool rectangular = row->rectangular || row->targets[0].what == SHIFT_CAPACITY;
    double z = rectangular ? sqrt(3.0) * (2.0 * randoms_uniform(&world->randoms) - 1.0)
                           : randoms_normal(&world->randoms);
    return row->u * z;
}

static void add_kind(struct world *world, enum error_kind kind, size_t day, struct shifts *shifts)
{
    for (size_t i = 0; i < world->setup.errors.n; i++) {
        const struct error_source *row = &world->setup.errors.rows[i];
        if (row->kind != kind)
            continue;
        double value = kind == ERROR_CALIBRATION ? world->calibration[i]
                       : kind == ERROR_SESSION   ? world->session[i][day]
                                                 : drawn(world, row);
        shifts_add(shifts, row, value);
    }
}

/* A collector that loses more gives cooler water: the outlet for which the efficiency is lower by
 * the share lost. */
static void lose(struct world *world, const struct shifts *shifts, struct means *means)
{
    const double *mean = means->mean;
    double above_K = 0.5 * (mean[CH_INLET] + mean[CH_OUTLET]) - mean[CH_AMBIENT];
    double lost_W =
        world->right.area_m2 *
        (shifts->loss_W_m2 +
         shifts->loss_W_m2K *
             (world->right.basis == BASIS_INLET ? mean[CH_INLET] - mean[CH_AMBIENT] : above_K));
    double flow_W_K = fluid_density(world->right.fluid, mean[CH_INLET]) * mean[CH_FLOW] *
                      fluid_cp(world->right.fluid, mean[CH_OUTLET]);
    means->mean[CH_OUTLET] -= lost_W / flow_W_K;
}

/* What the sun from the side adds: all sunshine as beam, 0 at the normal, the whole at 90 degrees
 * of a beam of 1000 W/m2 or more. */
static double from_side(const struct shifts *shifts, const struct means *means)
{
    double angle = means->mean[CH_INCIDENCE];
    if (!means->has[CH_INCIDENCE])
        return shifts->direction_W_m2;
    return shifts->direction_W_m2 * sin(angle) *
           fmin(1, means->mean[CH_IRRADIANCE] / (1000 * cos(angle)));
}

/* What the instruments show of exact means. */
static void show(struct world *world, const struct shifts *shifts, struct means *means)
{
    lose(world, shifts, means);
    double side_W_m2 = from_side(shifts, means);
    for (int ch = 0; ch < CH_LOGGED; ch++)
        means->mean[ch] = means->mean[ch] * (1.0 + shifts->gain[ch]) + shifts->offset[ch] +
                          means->u[ch] * randoms_normal(&world->randoms);
    means->mean[CH_IRRADIANCE] += side_W_m2;
    if (means->u_drift_K_s > 0)
        means->drift_K_s += means->u_drift_K_s * randoms_normal(&world->randoms);
}

void world_expose(struct world *world)
{
    struct site none;
    memset(&none, 0, sizeof none);
    no_fault(world, surroundings_expand(&world->setup.collector, &none, false, false,
                                        &world->setup.errors, &world->faults));
    assert_true(world->setup.errors.n <= WORLD_ROWS);
}

void world_drift(struct world *world, double drift_K_s, double u_drift_K_s)
{
    world->right.capacity_J_m2K = world->setup.collector.capacity_J_m2K;
    assert_true(world->right.capacity_J_m2K > 0);
    for (size_t k = 0; k < world->n; k++) {
        world->exact[k].drift_K_s = (1.0 - 0.07 * (double)(4 * k / world->n)) * drift_K_s;
        world->exact[k].u_drift_K_s = u_drift_K_s;
    }
}

/* The stated area and the believed fluid are off by what was drawn. */
static void believe(struct world *world, const struct shifts *shifts)
{
    const struct fluid_mixture *mixture = &world->setup.fluid.mixture;
    world->fluid = world->setup.fluid;
    if (world->setup.fluid.kind == FLUID_GLYCOL) /* the very mixture, not its first derivative */
        fluid_glycol(&world->fluid, mixture->glycol, mixture->by_mass,
                     (mixture->by_mass ? mixture->mass : mixture->volume) + shifts->fraction);
    fluid_scale(&world->fluid, 1.0 + shifts->cp, 1.0 + shifts->density);
    world->believed = world->right;
    world->believed.fluid = &world->fluid;
    world->believed.area_m2 *= 1.0 + shifts->area;
    if (world->right.capacity_J_m2K > 0)
        world->believed.capacity_J_m2K += shifts->capacity_J_m2K;
}

static void make(struct world *world, const struct point_setup *setup, const struct means *means,
                 struct point *point)
{
    no_fault(world, point_make(point, means, setup, &world->setup.errors, &world->faults));
}

void world_draw(struct world *world, uint64_t seed)
{
    const struct error_registry *errors = &world->setup.errors;
    randoms_seed(&world->randoms, seed, STREAM_CALIBRATION);
    for (size_t i = 0; i < errors->n; i++)
        world->calibration[i] = drawn(world, &errors->rows[i]) * !world->calibrated_well;
    randoms_seed(&world->randoms, seed, STREAM_SESSION);
    for (size_t i = 0; i < errors->n; i++)
        for (size_t day = 0; day < WORLD_DAYS; day++)
            world->session[i][day] = drawn(world, &errors->rows[i]);
    randoms_seed(&world->randoms, seed, STREAM_READING);
    for (size_t k = 0; k < world->n; k++) {
        struct shifts shifts = {0};
        add_kind(world, ERROR_CALIBRATION, 0, &shifts);
        if (k == 0)
            believe(world, &shifts);
        add_kind(world, ERROR_SESSION, demo_point_day(world->collector, k), &shifts);
        add_kind(world, ERROR_READING, 0, &shifts);
        world->means[k] = world->exact[k];
        show(world, &shifts, &world->means[k]);
        make(world, &world->believed, &world->means[k], &world->points[k]);
    }
    randoms_seed(&world->randoms, seed, STREAM_WINDOW);
}

void world_draw_demo(struct world *world, uint64_t seed)
{
    no_fault(world, demo_points(world->collector, &world->setup.fluid, seed, world->means,
                                &world->faults));
    world->believed = world->right;
    for (size_t k = 0; k < world->n; k++)
        make(world, &world->believed, &world->means[k], &world->points[k]);
}

void world_window(struct world *world, size_t k, bool calibrated, struct means *means,
                  struct point *point)
{
    struct shifts shifts = {0};
    if (calibrated)
        add_kind(world, ERROR_CALIBRATION, 0, &shifts);
    for (size_t i = 0; i < world->setup.errors.n; i++) /* a session not among the fitted ones */
        if (world->setup.errors.rows[i].kind == ERROR_SESSION)
            shifts_add(&shifts, &world->setup.errors.rows[i],
                       drawn(world, &world->setup.errors.rows[i]));
    add_kind(world, ERROR_READING, 0, &shifts);
    *means = world->exact[k];
    show(world, &shifts, means);
    make(world, calibrated ? &world->believed : &world->right, means, point);
}

static void fit(struct world *world, const struct point *points, const struct point_setup *setup,
                const char *form, struct efficiency *out)
{
    struct efficiency_request request = {
        .form = form, .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    no_fault(world, efficiency_fit(out, points, world->n, setup, &world->setup.errors, &request,
                                   &world->faults));
}

void world_fit(struct world *world, const char *form, struct efficiency *out)
{
    fit(world, world->points, &world->believed, form, out);
}

double world_truth(struct world *world, const char *form, double *coef)
{
    struct point points[DEMO_POINTS_MAX];
    struct efficiency e;
    for (size_t k = 0; k < world->n; k++)
        make(world, &world->right, &world->exact[k], &points[k]);
    fit(world, points, &world->right, form, &e);
    memcpy(coef, e.curve.coef, e.form->n_coef * sizeof *coef);
    double chi2 = e.curve.chi2;
    efficiency_free(&e);
    return chi2;
}

/* Efficiency minus curve of noise-free means with another outlet. */
static double above_curve(struct world *world, const struct fit_form *form, const double *coef,
                          struct means *means, double t_out_degC)
{
    struct point_value value;
    means->mean[CH_OUTLET] = t_out_degC;
    assert_int_equal(point_evaluate(means, &world->right, NULL, &value), POINT_OK);
    struct fit_condition at = {.x = value.x, .g = value.g_W_m2};
    return value.eta - fit_form_value(form, coef, &at);
}

/* The excess is all but linear in the outlet: a few secant steps reach rounding. */
void world_obey(struct world *world, const char *form, const double *coef)
{
    const struct fit_form *by = fit_form_find(form);
    assert_non_null(by);
    for (size_t k = 0; k < world->n; k++) {
        struct means *means = &world->exact[k];
        double at = means->mean[CH_OUTLET];
        for (int step = 0; step < 6; step++) {
            double here = above_curve(world, by, coef, means, at);
            double slope = (above_curve(world, by, coef, means, at + 0.01) - here) / 0.01;
            at -= here / slope;
        }
        assert_true(fabs(above_curve(world, by, coef, means, at)) < 1e-13);
    }
}
