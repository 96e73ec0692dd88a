/* Error sources: the kinds of instrument, their expansion into rows, and what a row shifts. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "domain/error_slots.h"
#include "domain/instrument_kind.h"
#include "run/advice.h"
#include "run/setup.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "tests/unit/aid_near.h"

static struct faults faults;
static struct test_setup setup;

static void kinds_are_whole(void **state)
{
    (void)state;
    assert_int_equal(instrument_kinds_n, INSTRUMENT_KINDS);
    for (size_t i = 0; i < instrument_kinds_n; i++) {
        const struct instrument_kind *kind = &instrument_kinds[i];
        assert_string_equal(kind->name, instrument_kind_names[i]);
        assert_true(kind->channels != 0 && kind->channels < 1U << CH_LOGGED);
        assert_true(kind->cure == NULL ||
                    (strlen(kind->cure) > 0 && strlen(kind->cure) < ERROR_LABEL_SIZE));
        assert_true(kind->figures[0].value > 0.0);
        for (size_t j = 0; j < KIND_FIGURES && kind->figures[j].value > 0.0; j++) {
            const struct kind_figure *figure = &kind->figures[j];
            bool marked = strstr(figure->source, "[memory]") != NULL ||
                          strstr(figure->source, "common practice, no source") != NULL;
            if (!marked || strlen(kind->name) + strlen(figure->source) + 3 > ERROR_LABEL_SIZE)
                fail_msg("'%s': source of figure %zu", kind->name, j);
        }
    }
}

/* What can be done about an error is said only where it can be done. */
static void each_cure_fits_its_channel(void **state)
{
    (void)state;
    static const struct {
        enum error_slot slot;
        enum channel channel;
        const char *has, *has_not;
    } rows[] = {
        {SLOT_CALIBRATION, CH_INLET, "thermometers together", "shade"},
        {SLOT_CALIBRATION, CH_OUTLET, "stirred bucket", "waterproof"},
        {SLOT_CALIBRATION, CH_AMBIENT, "if it is waterproof", "all of them"},
        {SLOT_AGEING, CH_AMBIENT, "in the shade", "pump"},
        {SLOT_CALIBRATION, CH_FLOW, "bucket and stopwatch", "calibrated"},
        {SLOT_CALIBRATION, CH_MASS_FLOW, "bucket and stopwatch", "calibrated"},
        {SLOT_CALIBRATION, CH_IRRADIANCE, "calibrated", "bucket"},
        {SLOT_CALIBRATION, CH_METERED, "flow beside it", "side by side"},
        {SLOT_CALIBRATION, CH_WIND, "calibrated", "bucket"},
        {SLOT_CALIBRATION, CH_SKY, "calibrated", "bucket"},
        {SLOT_AGEING, CH_IRRADIANCE, "state 'calibrated'", "bucket"},
        {SLOT_OFFSET, CH_INLET, "thermometers together", "fan"},
        {SLOT_OFFSET, CH_AMBIENT, "fan", "bucket"},
        {SLOT_OFFSET, CH_FLOW, "stop the pump", "cover it"},
        {SLOT_OFFSET, CH_WIND, "side by side", "cover it"},
        {SLOT_ZERO, CH_IRRADIANCE, "in the dark", "bucket"},
        {SLOT_ZERO, CH_DIFFUSE, "cover it", "bucket"},
        {SLOT_ZERO, CH_WIND, "compare it", "cover it"},
        {SLOT_ZERO, CH_OUTLET, "in the dark each day", "cover it"},
        {SLOT_ZERO, CH_FLOW, "bucket", "cover it"},
        {SLOT_THERMAL, CH_IRRADIANCE, "dome", "bucket"},
        {SLOT_DRIFT, CH_IRRADIANCE, "more days", "bucket"},
        {SLOT_DRIFT, CH_AMBIENT, "fan", "bucket"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *cure = error_slot_cure(rows[i].slot, rows[i].channel);
        if (strstr(cure, rows[i].has) == NULL || strstr(cure, rows[i].has_not) != NULL)
            fail_msg("row %zu: '%s'", i, cure);
    }
    for (int slot = 0; slot < SLOT_COUNT; slot++)
        for (int channel = 0; channel < CH_LOGGED; channel++)
            assert_true(strlen(error_slot_cure((enum error_slot)slot, (enum channel)channel)) <
                        ERROR_LABEL_SIZE);
}

/* Of a row of a table who reads a log knows nothing, and of a column's gain who typed. */
static void advice_is_for_the_reader_of_it(void **state)
{
    (void)state;
    for (int advice = 0; advice < ADVICE_COUNT; advice++) {
        const char *of_log = advice_words((enum advice)advice, true);
        const char *typed = advice_words((enum advice)advice, false);
        assert_null(strstr(of_log, "row"));
        assert_null(strstr(of_log, "mistyped"));
        assert_null(strstr(of_log, "heads"));
        assert_null(strstr(typed, "gain"));
        assert_null(strstr(typed, "log"));
        assert_string_not_equal(of_log, typed);
    }
}

/* ISO 9060:2018, the list of classification limits, from memory; the factor's is common practice.
 */
static void pyranometers_have_the_parts_of_their_class(void **state)
{
    (void)state;
    static const enum error_slot slots[] = {
        SLOT_CALIBRATION, SLOT_AGEING, SLOT_LINEARITY, SLOT_DIRECTION, SLOT_SPECTRUM,
        SLOT_TEMPERATURE, SLOT_TILT,   SLOT_SIGNAL,    SLOT_THERMAL,   SLOT_ZERO};
    static const struct {
        const char *name;
        double value[10];
    } rows[] = {
        {"pyranometer class A",
         {0.008, 0.008, 0.005, 10, 0.005, 0.010, 0.005, 2, 7, 2}},
        {"pyranometer class B",
         {0.010, 0.015, 0.010, 20, 0.010, 0.020, 0.020, 5, 15, 4}},
        {"pyranometer class C",
         {0.015, 0.030, 0.030, 30, 0.050, 0.040, 0.050, 10, 30, 8}},
    };
    for (size_t i = 0; i < 3; i++) {
        const struct instrument_kind *kind = &instrument_kinds[i];
        assert_string_equal(kind->name, rows[i].name);
        for (size_t j = 0; j < 10; j++) {
            const struct kind_figure *figure = &kind->figures[j];
            assert_int_equal(figure->slot, slots[j]);
            assert_int_equal(figure->target, j == 3   ? SHIFT_DIRECTION
                                             : j >= 7 ? SHIFT_OFFSET
                                                      : SHIFT_GAIN);
            assert_int_equal(figure->shape, j == 0 ? SHAPE_STANDARD : SHAPE_LIMIT);
            aid_near(rows[i].name, figure->value, rows[i].value[j], 0);
        }
        assert_true(kind->figures[10].value <= 0);
    }
}

static void shapes_divide_as_they_should(void **state)
{
    (void)state;
    static const struct {
        enum figure_shape shape;
        double u;
    } rows[] = {{SHAPE_STANDARD, 0.75},
                {SHAPE_LIMIT, 0.4330127018922193},
                {SHAPE_STEP, 0.21650635094610965}};
    for (size_t i = 0; i < 3; i++) {
        struct kind_figure figure = {SLOT_CALIBRATION, SHIFT_OFFSET, 0.75, rows[i].shape, ""};
        aid_near("figure", figure_u(&figure), rows[i].u, 1e-15);
    }
}

static const struct error_source *row_of(const char *id)
{
    for (size_t i = 0; i < setup.errors.n; i++)
        if (strcmp(setup.errors.rows[i].id, id) == 0)
            return &setup.errors.rows[i];
    fail_msg("no row '%s'", id);
    return NULL;
}

/* Worked by hand from testdata/good/description/full.txt. */
static void a_description_becomes_rows(void **state)
{
    (void)state;
    static const struct {
        const char *id;
        enum error_kind kind;
        enum shift_target what;
        enum channel channel;
        double u;
        size_t n_targets;
    } rows[] = {
        {"sun.calibration", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.006, 1},
        {"sun.ageing", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.0092376043070340121, 1},
        {"sun.linearity", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.0028867513459481287, 1},
        {"sun.direction", ERROR_CALIBRATION, SHIFT_DIRECTION, CH_IRRADIANCE, 5.7735026918962576, 1},
        {"sun.spectrum", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.0028867513459481287, 1},
        {"sun.temperature", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.0057735026918962574, 1},
        {"sun.tilt", ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, 0.0028867513459481287, 1},
        {"sun.signal", ERROR_CALIBRATION, SHIFT_OFFSET, CH_IRRADIANCE, 1.1547005383792515, 1},
        {"sun.thermal", ERROR_CALIBRATION, SHIFT_OFFSET, CH_IRRADIANCE, 4.0414518843273806, 1},
        {"sun.zero", ERROR_SESSION, SHIFT_OFFSET, CH_IRRADIANCE, 1.1547005383792515, 1},
        {"air.calibration", ERROR_CALIBRATION, SHIFT_OFFSET, CH_AMBIENT, 0.28867513459481287, 1},
        {"air.zero", ERROR_SESSION, SHIFT_OFFSET, CH_AMBIENT, 0.57735026918962573, 1},
        {"cold.offset", ERROR_CALIBRATION, SHIFT_OFFSET, CH_INLET, 0.1, 2},
        {"cold.resolution", ERROR_READING, SHIFT_OFFSET, CH_INLET, 0.0028867513459481290, 1},
        {"hot.pair", ERROR_CALIBRATION, SHIFT_OFFSET, CH_OUTLET, 0.02, 1},
        {"hot.resolution", ERROR_READING, SHIFT_OFFSET, CH_OUTLET, 0.0028867513459481290, 1},
        {"hot.reading", ERROR_READING, SHIFT_OFFSET, CH_OUTLET, 0.02, 1},
        {"meter.calibration", ERROR_CALIBRATION, SHIFT_GAIN, CH_FLOW, 0.011547005383792515, 1},
        {"meter.zero", ERROR_SESSION, SHIFT_OFFSET, CH_FLOW, 2.886751345948129e-07, 1},
        {"meter.reading", ERROR_READING, SHIFT_GAIN, CH_FLOW, 0.0034641016151377548, 1},
        {"area", ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, 0.0030070326520292978, 1},
        {"capacity", ERROR_CALIBRATION, SHIFT_CAPACITY, CH_IRRADIANCE, 3000,
         1}, /* without the fluid */
        {"fluid.cp", ERROR_CALIBRATION, SHIFT_CP, CH_IRRADIANCE, 0.001, 1},
        {"fluid.density", ERROR_CALIBRATION, SHIFT_DENSITY, CH_IRRADIANCE, 0.0003, 1},
    };
    faults_init(&faults);
    setup_init(&setup);
    assert_true(setup_read("testdata/good/description/full.txt", &setup, &faults));
    assert_int_equal(setup.errors.n, sizeof rows / sizeof rows[0]);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct error_source *row = row_of(rows[i].id);
        aid_near_relative(rows[i].id, row->u, rows[i].u, 1e-12);
        assert_int_equal(row->kind, rows[i].kind);
        assert_int_equal(row->targets[0].what, rows[i].what);
        if (rows[i].what == SHIFT_GAIN || rows[i].what == SHIFT_OFFSET)
            assert_int_equal(row->targets[0].channel, rows[i].channel);
        assert_int_equal(row->n_targets, rows[i].n_targets);
        assert_true(isinf(row->dof));
        assert_true(strlen(row->label) > 0 && strlen(row->origin) > 0);
    }
    assert_string_equal(row_of("sun.calibration")->instrument_id, "S-0117");
    assert_string_equal(row_of("sun.calibration")->origin, "stated: 1.2 % k=2");
    assert_true(row_of("hot.reading")->per_sample);
    assert_false(row_of("meter.reading")->per_sample);
    assert_int_equal(row_of("cold.offset")->targets[1].channel, CH_OUTLET);
    setup_free(&setup);
}

/* The wind of full.txt states nothing: one warning, and it is not a failure. */
static void an_instrument_without_error_is_warned_of(void **state)
{
    (void)state;
    faults_init(&faults);
    setup_init(&setup);
    assert_true(setup_read("testdata/good/description/full.txt", &setup, &faults));
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults.items[0].kind, FAULT_WARNING);
    assert_string_equal(faults.items[0].found, "no error is stated for 'wind': it counts as exact");
    assert_int_equal(faults_status(&faults), 0);
    setup_free(&setup);
}

static void a_row_moves_its_targets(void **state)
{
    (void)state;
    struct error_source row = {
        .n_targets = 2, .targets = {{SHIFT_OFFSET, CH_INLET, 1.0}, {SHIFT_OFFSET, CH_OUTLET, 0.5}}};
    struct shifts shifts = {0};
    shifts_add(&shifts, &row, 0.3);
    shifts_add(&shifts, &row, -0.1);
    aid_near("inlet", shifts.offset[CH_INLET], 0.2, 1e-15);
    aid_near("outlet", shifts.offset[CH_OUTLET], 0.1, 1e-15);
    aid_near("flow", shifts.gain[CH_FLOW], 0.0, 0.0);
    static const enum shift_target plain[] = {SHIFT_AREA, SHIFT_CP, SHIFT_DENSITY,
                                              SHIFT_FRACTION};
    for (size_t i = 0; i < 4; i++) {
        struct error_source one = {.n_targets = 1, .targets = {{plain[i], CH_IRRADIANCE, 1.0}}};
        shifts_add(&shifts, &one, 0.01 * (double)(i + 1));
    }
    aid_near("area", shifts.area, 0.01, 1e-15);
    aid_near("cp", shifts.cp, 0.02, 1e-15);
    aid_near("density", shifts.density, 0.03, 1e-15);
    aid_near("fraction", shifts.fraction, 0.04, 1e-15);
    aid_near("gain of the sun", shifts.gain[CH_IRRADIANCE], 0.0, 0.0);
}

static void channels_are_in_order(void **state)
{
    (void)state;
    for (int i = 0; i < CH_COUNT; i++) {
        const struct channel_row *row = channel_row((enum channel)i);
        assert_int_equal(row->id, i);
        assert_true(row->least_si < row->most_si);
        assert_true(i >= CH_LOGGED || channel_find(row->word) == row);
    }
    size_t n;
    const char *const *words = channel_words(&n);
    assert_int_equal(n, CH_LOGGED);
    for (size_t i = 0; i < n; i++)
        assert_string_equal(words[i], channel_row((enum channel)i)->word);
    assert_null(channel_find("heat"));
    assert_ptr_equal(channel_find("INLET"), channel_row(CH_INLET));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kinds_are_whole),
        cmocka_unit_test(each_cure_fits_its_channel),
        cmocka_unit_test(advice_is_for_the_reader_of_it),
        cmocka_unit_test(pyranometers_have_the_parts_of_their_class),
        cmocka_unit_test(shapes_divide_as_they_should),
        cmocka_unit_test(a_description_becomes_rows),
        cmocka_unit_test(an_instrument_without_error_is_warned_of),
        cmocka_unit_test(a_row_moves_its_targets),
        cmocka_unit_test(channels_are_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
