/* The same question from the log on: 20 invented pairs of days, a day of the rig
 * (once more with its instruments checked) and an hour of the bucket, written as logs with
 * errors, noise and clouds of their own, read, cut into windows and fitted by the whole program;
 * the intervals against what a perfect bench would have found in the very windows.
 *
 * Bound. Were the true coverage 0.95, the number that hold would be binomial(20, 0.95): at least 15
 * are demanded, P(14 or fewer) = 3.3e-4; seventeen counts, 0.6 % for one of them by chance. A smoke
 * test for the chain (units, clock, windows, noise, session), not a measurement of the coverage:
 * that is test_coverage.c. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "demo/truth.h"
#include "demo/write.h"
#include "fit/combine.h"
#include "run/efficiency.h"
#include "run/reduction.h"
#include "tests/unit/aid_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SEEDS = 20, HOLD_AT_LEAST = 15, FIRST_SEED = 101 };

static struct faults faults;

static void no_fault(bool good)
{
    if (!good)
        fail_msg("%s", faults.n > 0 ? faults.items[0].found : "failed without a fault");
}

/* What a channel's mean would have been without the instrument's errors. */
static double true_mean(enum demo_collector collector, enum channel ch, const struct means *means,
                        const struct sensor_errors *errors, size_t day, double otherwise)
{
    size_t i = sensor_of(collector, ch);
    if (i == SENSOR_ROWS)
        return otherwise;
    return (means->mean[ch] - errors->offset[i] - errors->zero[i][day]) / (1.0 + errors->gain[i]);
}

/* What the sun from the side added to the sun sensor; angle and diffuse part without their errors.
 */
static double from_side(enum demo_collector collector, const struct sensor_errors *errors,
                        const struct means *means)
{
    if (!means->has[CH_INCIDENCE])
        return 0;
    return sensor_from_side(errors, sensor_of(collector, CH_IRRADIANCE), means->mean[CH_IRRADIANCE],
                            means->mean[CH_DIFFUSE], fmax(0, means->mean[CH_INCIDENCE]));
}

/* The window as a perfect bench would have seen the steady collector. */
static void perfect(enum demo_collector collector, const struct point_setup *setup,
                    const struct sensor_errors *errors, size_t day, struct means *means)
{
    double *mean = means->mean;
    for (int i = 0; i < CH_LOGGED; i++) {
        enum channel ch = (enum channel)i;
        if (means->has[ch])
            mean[ch] = true_mean(collector, ch, means, errors, day, mean[ch]);
    }
    mean[CH_IRRADIANCE] -= from_side(collector, errors, means);
    struct plant_conditions at = {
        .g_W_m2 = mean[CH_IRRADIANCE],
        .incidence_rad = means->has[CH_INCIDENCE] ? fmax(0, mean[CH_INCIDENCE]) : 0,
        .t_ambient_degC = mean[CH_AMBIENT],
        .t_in_degC = mean[CH_INLET],
        .flow_kg_s = mean[CH_FLOW] * fluid_density(setup->fluid, mean[CH_INLET]),
        .wind_m_s = means->has[CH_WIND] ? mean[CH_WIND] : 1.7};
    struct demo_truth truth;
    no_fault(demo_truth(collector, setup->fluid, &at, 1, &truth, &faults));
    mean[CH_OUTLET] = truth.t_out_degC;
    means->has[CH_HEAT] = false;
    means->drift_K_s = means->u_drift_K_s = 0;
}

static void fit(const struct reduction *r, const struct means *means,
                const struct point_setup *setup, const char *form, struct efficiency *out)
{
    struct point *points = calloc(r->means.n, sizeof *points);
    assert_non_null(points);
    for (size_t i = 0; i < r->means.n; i++)
        no_fault(point_make(&points[i], &means[i], setup, &r->setup.errors, &faults));
    struct efficiency_request request = {
        .form = form, .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    no_fault(efficiency_fit(out, points, r->means.n, setup, &r->setup.errors, &request, &faults));
    free(points);
}

/* As the instruments read, before any check: its corrections taken back. */
static void as_read(const struct reduction *r, struct means *means)
{
    for (size_t i = 0; i < r->setup.n_instruments; i++) {
        const struct instrument *in = &r->setup.instruments[i];
        if (in->checked_gain.given)
            means->mean[in->channel] /= in->checked_gain.value;
        means->mean[in->channel] += in->checked_offset.value + in->checked_zero.value;
    }
}

struct row {
    const char *name;
    enum demo_collector collector;
    const char *file;
    const char *form;
    double curve_x; /* the curve's band is counted there, too */
};

static const struct row rows[] = {
    {"plate A", DEMO_PLATE_A, "plate-a.txt", "second order", 0.03},
    {"plate B", DEMO_PLATE_B, "plate-b.txt", "second order", 0.03},
    {"rig", DEMO_RIG, "rig.txt", "line", 0.02},
    {"rig, checked", DEMO_RIG, "rig-checked.txt", "line", 0.02},
    {"bucket", DEMO_BUCKET, "bucket.txt", "line", 0.02},
};
enum { CHECKED = 3 }; /* of the rows: "rig, checked" */
enum { ROWS = sizeof rows / sizeof rows[0], COUNTS = FIT_FORM_MAX_COEF + 1 };

struct tally {
    int held;
    double z, z2;
};

static void count(struct tally *tally, double off, double u, double half)
{
    tally->held += fabs(off) <= half;
    tally->z += off / u / SEEDS;
    tally->z2 += off / u * (off / u) / SEEDS;
}

static void tally_test(const struct row *row, const struct efficiency *e,
                       const struct efficiency *truth, struct tally *tally)
{
    for (size_t j = 0; j < e->form->n_coef; j++) {
        double u, dof;
        efficiency_combined(e, j, &u, &dof);
        count(&tally[j], e->curve.coef[j] - truth->curve.coef[j], u, fit_coverage_95(dof) * u);
    }
    struct fit_condition at = {.x = row->curve_x, .g = 940};
    double t[FIT_FORM_MAX_COEF];
    e->form->terms(&at, t);
    struct fit_parts parts = efficiency_parts(e);
    struct fit_band band;
    fit_band_curve(&parts, t, &band);
    count(&tally[FIT_FORM_MAX_COEF], band.value - fit_form_value(e->form, truth->curve.coef, &at),
          band.u, band.half_95);
}

/* What is counted of one row of the table. */
struct counted {
    struct tally tally[COUNTS];
    double birge2;
    int seen;
    struct tally offset, gain; /* what checks found, against what was drawn */
};
static struct counted counted[ROWS];

static void take_errors(uint64_t seed, struct sensor_errors *errors)
{
    struct randoms randoms;
    no_fault(randoms_init(&randoms, &faults));
    sensor_errors_draw(errors, seed, &randoms);
    randoms_free(&randoms);
}

/* The drawn offset of the outlet against the inlet, and the meter's factor of the evening. */
static void tally_checks(const struct reduction *r, enum demo_collector collector,
                         const struct sensor_errors *errors, struct counted *out)
{
    size_t in = sensor_of(collector, CH_INLET), at = sensor_of(collector, CH_OUTLET);
    size_t flow = sensor_of(collector, CH_FLOW);
    for (size_t i = 0; i < r->setup.n_instruments; i++) {
        const struct instrument *found = &r->setup.instruments[i];
        const struct checked *offset = &found->checked_offset, *gain = &found->checked_gain;
        double u = hypot(offset->u, offset->u_stays), u_gain = hypot(gain->u, gain->u_stays);
        if (offset->given && found->channel == CH_OUTLET)
            count(&out->offset, offset->value - (errors->offset[at] - errors->offset[in]), u,
                  1.96 * u);
        if (gain->given)
            count(&out->gain,
                  gain->value * (1 + errors->gain[flow] + errors->drift[flow][1]) - 1, u_gain,
                  1.96 * u_gain);
    }
}

static void one_test(const struct row *row, const char *folder, uint64_t seed, struct counted *out)
{
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    char path[400];
    snprintf(path, sizeof path, "%s/demo/%s", folder, row->file);
    reduction_init(r);
    no_fault(reduction_describe(r, path, &faults) && reduction_read(r, &faults));
    struct point_setup setup = {.fluid = &r->setup.fluid,
                                .area_m2 = r->setup.collector.area_m2,
                                .longitude_rad = NAN,
                                .capacity_J_m2K = r->setup.collector.capacity_J_m2K};
    struct sensor_errors errors;
    take_errors(seed, &errors);
    struct means *means = calloc(r->means.n + 1, sizeof *means);
    assert_non_null(means);
    for (size_t i = 0; i < r->means.n; i++) {
        means[i] = r->means.items[i];
        as_read(r, &means[i]);
        perfect(row->collector, &setup, &errors, means[i].session != means[0].session, &means[i]);
    }
    struct efficiency e, truth;
    fit(r, r->means.items, &setup, row->form, &e);
    fit(r, means, &setup, row->form, &truth);
    tally_test(row, &e, &truth, out->tally);
    tally_checks(r, row->collector, &errors, out);
    out->birge2 += e.curve.chi2 / (double)e.curve.dof / SEEDS;
    out->seen++;
    efficiency_free(&truth);
    efficiency_free(&e);
    free(means);
    reduction_free(r);
    free(r);
    faults_init(&faults); /* its warnings are not the next one's */
}

/* Every log is written once and read by all rows. */
static void logs_are_written_and_reduced(void **unused)
{
    (void)unused;
    for (uint64_t seed = FIRST_SEED; seed < FIRST_SEED + SEEDS; seed++) {
        char *folder = aid_folder();
        assert_non_null(folder);
        char path[400];
        snprintf(path, sizeof path, "%s/demo", folder);
        no_fault(demo_write_seeded(path, seed, &faults));
        for (size_t i = 0; i < ROWS; i++)
            one_test(&rows[i], folder, seed, &counted[i]);
        aid_remove(folder);
        free(folder);
    }
}

static void intervals_hold_the_truth(void **state)
{
    const struct row *row = *state;
    const struct counted *c = &counted[row - rows];
    const struct fit_form *form = fit_form_find(row->form);
    assert_int_equal(c->seen, SEEDS);
    printf("    Birge ratio %.2f\n", sqrt(c->birge2));
    for (size_t j = 0; j < COUNTS; j++) {
        if (j >= form->n_coef && j < FIT_FORM_MAX_COEF)
            continue;
        const char *what = j < FIT_FORM_MAX_COEF ? form->symbols[j] : "curve";
        printf("    %-6s held in %d of %d, mean z %.2f, rms z %.2f\n", what, c->tally[j].held,
               SEEDS, c->tally[j].z, sqrt(c->tally[j].z2));
        if (c->tally[j].held < HOLD_AT_LEAST)
            fail_msg("%s, %s: the interval held in %d of %d tests, at least %d wanted", row->name,
                     what, c->tally[j].held, SEEDS, HOLD_AT_LEAST);
    }
}

/* The demo's offsets do not change with temperature, so what is left for that is not used up: they
 * hold more often than they say. */
static void checks_find_what_was_drawn(void **unused)
{
    (void)unused;
    const struct {
        const char *name;
        const struct tally *tally;
    } found[] = {{"offset", &counted[CHECKED].offset}, {"gain", &counted[CHECKED].gain}};
    for (size_t i = 0; i < 2; i++) {
        const struct tally *t = found[i].tally;
        printf("    %-6s held in %d of %d, mean z %.2f, rms z %.2f\n", found[i].name, t->held,
               SEEDS, t->z, sqrt(t->z2));
        assert_true(t->z2 > 0);
        if (t->held < HOLD_AT_LEAST)
            fail_msg("%s held in %d of %d", found[i].name, t->held, SEEDS);
    }
}

int main(void)
{
    struct CMUnitTest tests[2 + ROWS] = {cmocka_unit_test(logs_are_written_and_reduced),
                                         [1 + ROWS] = cmocka_unit_test(checks_find_what_was_drawn)};
    for (size_t i = 0; i < ROWS; i++)
        tests[1 + i] = (struct CMUnitTest){.name = rows[i].name,
                                           .test_func = intervals_hold_the_truth,
                                           .initial_state = (void *)(uintptr_t)&rows[i]};
    faults_init(&faults);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
