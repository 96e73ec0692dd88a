/* The demo's descriptions, read as a user's: no fault, and the very errors from which its readings
 * were drawn.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "demo/sensors.h"
#include "demo/texts.h"
#include "demo/truth.h"
#include "domain/error_ageing.h"
#include "run/setup.h"
#include "aid_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define FIRST_DAY 20620 /* 2026-06-16 since 1970-01-01: date -ud 2026-06-16 +%s / 86400 */

static struct faults faults;

static void parse(const char *path, const struct text *text, struct test_setup *setup)
{
    faults_init(&faults);
    setup_init(setup);
    bool good = setup_parse(path, text->bytes, text->length, setup, &faults);
    if (!good || faults.n > 0)
        fail_msg("%s:%ld: %s", path, faults.items[0].line, faults.items[0].found);
}

static const struct error_source *row_of(const struct test_setup *setup, const char *section,
                                         const char *slot)
{
    char id[200];
    snprintf(id, sizeof id, "%s.%s", section, slot);
    for (size_t i = 0; i < setup->errors.n; i++)
        if (strcmp(setup->errors.rows[i].id, id) == 0)
            return &setup->errors.rows[i];
    return NULL;
}

/* One slot of one instrument: as large as the table says, or absent where that is 0. */
static size_t slot(const struct test_setup *setup, const struct sensor_row *sensor,
                   const char *name, enum error_kind kind, enum shift_target target, double u)
{
    char what[200];
    snprintf(what, sizeof what, "%s %s.%s", sensor->column, sensor->section, name);
    const struct error_source *row = row_of(setup, sensor->section, name);
    if ((row != NULL) != (u > 0.0))
        fail_msg("%s: %s", what, row != NULL ? "not drawn" : "not described");
    if (row == NULL)
        return 0;
    aid_near(what, row->u, u, 1e-9 * u);
    assert_int_equal(row->kind, kind);
    assert_int_equal(row->targets[0].what, target);
    assert_int_equal(row->targets[0].channel, sensor->channel);
    return 1;
}

/* What the kind knows beside what is written, as bounds. */
static size_t bounds(const struct test_setup *setup, const struct sensor_row *s)
{
    static const struct sensor_bounds none;
    const struct sensor_bounds *b = s->bounds != NULL ? s->bounds : &none;
    const enum error_kind whole = ERROR_CALIBRATION;
    double third = sqrt(3.0);
    return slot(setup, s, "ageing", whole, SHIFT_GAIN, b->ageing * SENSOR_YEARS / third) +
           slot(setup, s, "linearity", whole, SHIFT_GAIN, b->linearity / third) +
           slot(setup, s, "spectrum", whole, SHIFT_GAIN, b->spectrum / third) +
           slot(setup, s, "temperature", whole, SHIFT_GAIN, b->temperature / third) +
           slot(setup, s, "tilt", whole, SHIFT_GAIN, b->tilt / third) +
           slot(setup, s, "signal", whole, SHIFT_OFFSET, b->signal / third) +
           slot(setup, s, "direction", whole, SHIFT_DIRECTION, b->direction / third);
}

static void every_error_described_is_drawn_and_no_other(void **unused)
{
    (void)unused;
    static const struct {
        enum demo_collector collector;
        const char *path;
        size_t instruments;
    } cases[] = {{DEMO_PLATE_A, "plate-a.txt", 8},
                 {DEMO_PLATE_B, "plate-b.txt", 8},
                 {DEMO_RIG, "rig.txt", 5},
                 {DEMO_BUCKET, "bucket.txt", 5}};
    for (size_t c = 0; c < DEMO_COLLECTORS; c++) {
        struct text text = {0};
        struct test_setup setup;
        texts_description(cases[c].collector, &text);
        parse(cases[c].path, &text, &setup);
        assert_int_equal(setup.n_instruments, cases[c].instruments);
        assert_int_equal(setup.n_runs, 1);
        errors_age(setup.instruments, setup.n_instruments, FIRST_DAY, &setup.errors);
        size_t rows = 0;
        for (size_t i = 0; i < SENSOR_ROWS; i++) {
            const struct sensor_row *s = sensor_row(i);
            if ((s->owners & (1u << cases[c].collector)) == 0)
                continue;
            bool gain = s->gain.u > 0.0;
            rows += slot(&setup, s, "calibration", ERROR_CALIBRATION,
                         gain ? SHIFT_GAIN : SHIFT_OFFSET, gain ? s->gain.u : s->offset.u);
            rows += slot(&setup, s, "pair", ERROR_CALIBRATION, SHIFT_OFFSET, s->pair.u);
            rows += slot(&setup, s, "zero", ERROR_SESSION, SHIFT_OFFSET, s->zero.u);
            rows += slot(&setup, s, "drift", ERROR_SESSION, SHIFT_GAIN, s->drift.u);
            rows += bounds(&setup, s);
            /* Written with four digits. */
            const struct error_source *step = row_of(&setup, s->section, "resolution");
            assert_non_null(step);
            aid_near(s->column, step->u, sensor_step(i) / sqrt(12.0), 1e-4 * step->u);
            rows++;
            assert_string_equal(step->instrument_id, s->id);
        }
        /* Beside the instruments: area, specific heat, density; the heat capacity of a collector
         * that is tested by rules of our own. */
        assert_int_equal(setup.errors.n, rows + 3 + (setup.collector.capacity_J_m2K > 0 ? 1U : 0U));
        assert_true((setup.collector.capacity_J_m2K > 0) ==
                    (cases[c].collector != DEMO_PLATE_A && cases[c].collector != DEMO_PLATE_B));
        for (size_t i = 0; i < setup.errors.n; i++)
            if (strcmp(setup.errors.rows[i].id, "area") == 0)
                aid_near("area", setup.errors.rows[i].u, DEMO_AREA_U, 1e-12);
        setup_free(&setup);
        text_free(&text);
    }
}

static void the_class_needs_no_columns(void **unused)
{
    (void)unused;
    struct text text = {0};
    struct test_setup setup;
    texts_class(&text);
    parse("class.txt", &text, &setup);
    assert_int_equal(setup.n_instruments, 6);
    assert_true(setup.points.given);
    assert_false(setup.log.given);
    setup_free(&setup);
    text_free(&text);
}

static void the_loop_with_antifreeze_counts_its_mixture(void **unused)
{
    (void)unused;
    struct text text = {0};
    struct test_setup setup;
    texts_glycol(&text);
    parse("glycol.txt", &text, &setup);
    assert_int_equal(setup.n_instruments, 6);
    assert_int_equal(setup.fluid.kind, FLUID_GLYCOL);
    aid_near("fraction", setup.fluid.mixture.volume, DEMO_FRACTION, 1e-12);
    const struct error_source *row = row_of(&setup, "fluid", "fraction");
    assert_non_null(row);
    assert_int_equal(row->targets[0].what, SHIFT_FRACTION);
    aid_near("u", row->u, 0.02, 1e-12);
    setup_free(&setup);
    text_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_error_described_is_drawn_and_no_other),
        cmocka_unit_test(the_class_needs_no_columns),
        cmocka_unit_test(the_loop_with_antifreeze_counts_its_mixture),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
