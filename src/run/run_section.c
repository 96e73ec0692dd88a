#include "run/run_section.h"

#include "run/draws.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const kinds[] = {"efficiency", "zero check", "thermometers together",
                                    "bucket and stopwatch", "modifier"};
static const char *const yes_no[] = {"yes", "no"};
static const char *const forms[] = {"automatic",    "mean",           "line",
                                    "second order", "line with wind", "second order with wind"};
static const char *const temperatures[] = {"mean", "inlet"};
static const char *const shapes[] = {"b0", "tangent", "table",
                                     "two planes"}; /* as enum fit_modifier_form */
static const char *const ways[] = {"up the slope", "level"};
static const char *const curves[] = {"near normal", "together"};
static const char *const scales[] = {"at least stated", "stated", "estimated"};

static const struct schema_row rows[] = {
    {.key = "kind",
     .kind = VALUE_CHOICE,
     .choices = kinds,
     .n_choices = LENGTH(kinds),
     .required = true,
     .offset = offsetof(struct run_section, kind_choice),
     .help = "what is to be found",
     .example = "efficiency"},
    {.key = "form",
     .kind = VALUE_CHOICE,
     .choices = forms,
     .n_choices = LENGTH(forms),
     .offset = offsetof(struct run_section, form_choice),
     .help = "of the efficiency curve",
     .example = "automatic",
     .by_default = "automatic: what the points can carry"},
    {.key = "shape",
     .kind = VALUE_CHOICE,
     .choices = shapes,
     .n_choices = LENGTH(shapes),
     .offset = offsetof(struct run_section, shape_choice),
     .help = "of a modifier: how it falls with the angle",
     .example = "b0",
     .by_default = "b0"},
    {.key = "tubes run",
     .kind = VALUE_CHOICE,
     .choices = ways,
     .n_choices = LENGTH(ways),
     .offset = offsetof(struct run_section, tubes_choice),
     .help = "of two planes: which way tubes, troughs or reflectors lie on the collector",
     .example = "level",
     .by_default = "up the slope"},
    {.key = "curve",
     .kind = VALUE_CHOICE,
     .choices = curves,
     .n_choices = LENGTH(curves),
     .offset = offsetof(struct run_section, curve_choice),
     .help = "of a modifier: of the points near the normal, which the others are compared with, or "
             "fitted together with the modifier from points at any angle",
     .example = "together",
     .by_default = "near normal"},
    {.key = "near normal",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {1.0 * M_PI / 180, RUN_NEAR_NORMAL_MOST_RAD, false},
     .offset = offsetof(struct run_section, near_rad),
     .help = "of a modifier: points no further off the normal make the curve, the others the "
             "modifier",
     .example = "15 deg",
     .by_default = "the limit of the rules; without one 20 deg"},
    {.key = "temperature",
     .kind = VALUE_CHOICE,
     .choices = temperatures,
     .n_choices = LENGTH(temperatures),
     .offset = offsetof(struct run_section, temperature_choice),
     .help = "to which the curve refers: mean of inlet and outlet, or inlet",
     .example = "mean",
     .by_default = "mean"},
    {.key = "scale",
     .kind = VALUE_CHOICE,
     .choices = scales,
     .n_choices = LENGTH(scales),
     .offset = offsetof(struct run_section, scale_choice),
     .help = "size of the readings' errors: as stated, from the scatter, or the larger",
     .example = "at least stated",
     .by_default = "at least stated"},
    {.key = "drop below",
     .kind = VALUE_NUMBER,
     .limits = {0.0, 100.0, false},
     .offset = offsetof(struct run_section, drop_below_t),
     .help = "t-ratio under which the curvature, or the wind, is left out",
     .example = "2",
     .by_default = "2"},
    {.key = "draw at",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_IRRADIANCE,
     .limits = {100.0, 1500.0, false},
     .offset = offsetof(struct run_section, draw_at),
     .help = "irradiance for which the curve is drawn",
     .example = "800 W/m2",
     .by_default = "1000 W/m2"},
    {.key = "budget at",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_INSULANCE,
     .limits = {RUN_BUDGET_LEAST_X, RUN_BUDGET_MOST_X, false},
     .offset = offsetof(struct run_section, budget_at),
     .help = "reduced temperature T* at which the sources of the curve's uncertainty are ranked",
     .example = "0.05 m2 K/W",
     .by_default = "the middle of the tested range"},
    {.key = "budget angle",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_ANGLE,
     .limits = {1.0 * M_PI / 180, RUN_BUDGET_MOST_RAD, false},
     .offset = offsetof(struct run_section, budget_angle),
     .help = "of a modifier: angle off the normal, of two planes across the tubes, at which the "
             "sources of its uncertainty are ranked",
     .example = "40 deg",
     .by_default = "50 deg, or where the points end"},
    {.key = "wind origin",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_SPEED,
     .limits = {0.0, 10.0, false},
     .offset = offsetof(struct run_section, wind_origin),
     .help = "from which the wind is counted in forms with wind; a1 holds there",
     .example = "0 m/s",
     .by_default = "3 m/s, as ISO 9806:2017 counts (from memory)"},
    {.key = "draws",
     .kind = VALUE_NUMBER,
     .limits = {0.0, DRAWS_MOST, false},
     .offset = offsetof(struct run_section, draws_number),
     .help = "of a Monte Carlo beside the linear intervals of a curve or modifier: 20000 or more, "
             "0 for "
             "none",
     .example = "100000",
     .by_default = "as many as the first digit of the uncertainties needs"},
    {.key = "seed",
     .kind = VALUE_NUMBER,
     .limits = {1.0, 1e9, false},
     .offset = offsetof(struct run_section, seed_number),
     .help = "of its random numbers: the same seed draws the same",
     .example = "1",
     .by_default = "1"},
    {.key = "leave out",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct run_section, leave_out),
     .help = "a point that is shown but not used, and why",
     .example = "2026-06-21T10:15:00Z, a ladder stood in the sun"},
    {.key = "from",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct run_section, check.from),
     .help = "of a check: where its stretch of the log begins, by the log's clock or with its zone",
     .example = "2026-06-19T22:00:00+01:00"},
    {.key = "to",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct run_section, check.to),
     .help = "where it ends",
     .example = "2026-06-19T22:20:00+01:00"},
    {.key = "thermometers",
     .kind = VALUE_LIST,
     .offset = offsetof(struct run_section, check.thermometers),
     .help = "of thermometers together: which hung in one bucket",
     .example = "inlet, outlet, air"},
    {.key = "reference",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct run_section, check.reference),
     .help = "the one of them that counts as right; any name if it is no instrument of this test",
     .example = "certified",
     .by_default = "the one of them that is three times as sure as any other, else their mean"},
    {.key = "reference error",
     .kind = VALUE_ERROR,
     .dimension = DIM_TEMPERATURE,
     .no_relative = true,
     .offset = offsetof(struct run_section, check.reference_error),
     .help = "of a reference that is no instrument of this test",
     .example = "0.05 K k=2"},
    {.key = "compared",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct run_section, check.compared),
     .help = "what they read at one moment, in the order of thermometers, instead of from and to",
     .example = "21.44 degC, 21.88 degC, 21.50 degC"},
    {.key = "fill",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct run_section, check.fill),
     .help = "of bucket and stopwatch: what came into the bucket, the time, what the meter "
             "showed",
     .example = "8.02 L, 300 s, 3609 pulses"},
    {.key = "bucket error",
     .kind = VALUE_ERROR,
     .offset = offsetof(struct run_section, check.bucket_error),
     .help = "of the bucket or the scale",
     .example = "0.5 % limit",
     .by_default = "0.5 % limit (kitchen scale; common practice, no source)"},
    {.key = "stopwatch error",
     .kind = VALUE_ERROR,
     .dimension = DIM_TIME,
     .no_relative = true,
     .offset = offsetof(struct run_section, check.stopwatch_error),
     .help = "of the time of one fill",
     .example = "0.3 s standard",
     .by_default = "0.3 s standard (start and stop by hand; our own figure)"},
    {.key = "water",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_TEMPERATURE,
     .limits = {-50.0, 150.0, false},
     .offset = offsetof(struct run_section, check.water_degC),
     .help = "temperature of the water in the bucket, where litres and kilograms meet",
     .example = "18 degC"},
    {.key = "left",
     .kind = VALUE_ERROR,
     .dimension = DIM_TEMPERATURE,
     .no_relative = true,
     .offset = offsetof(struct run_section, check.left),
     .help = "of a zero check or of thermometers together: what an offset may be at other "
             "temperatures",
     .example = "0.05 K standard",
     .by_default = "a fifth of what the check replaces (our own figure)"},
    {.key = "zero left",
     .kind = VALUE_ERROR,
     .dimension = DIM_IRRADIANCE,
     .no_relative = true,
     .offset = offsetof(struct run_section, check.zero_left),
     .help = "of a zero check: what the zero of the sun sensor may be on another day",
     .example = "1 W/m2 standard",
     .by_default = "half of what the check replaces (our own figure)"},
    {.key = "apply",
     .kind = VALUE_CHOICE,
     .choices = yes_no,
     .n_choices = LENGTH(yes_no),
     .offset = offsetof(struct run_section, check.apply),
     .help =
         "whether a check corrects the readings and replaces what is stated, or only says what it "
         "found",
     .example = "yes",
     .by_default = "yes"},
};

const struct schema run_schema = {
    "run", true, "What is to be found, from the points or by a check of the instruments.", rows,
    LENGTH(rows)};

const char *run_form_word(enum run_form form)
{
    return forms[form];
}

const char *run_kind_word(enum run_kind kind)
{
    return kinds[kind];
}

bool run_gives_curve(const struct run_section *run)
{
    return run->kind == RUN_EFFICIENCY ||
           (run->kind == RUN_MODIFIER && run->curve == CURVE_TOGETHER);
}

bool run_is_check(const struct run_section *run)
{
    return run->kind != RUN_EFFICIENCY && run->kind != RUN_MODIFIER;
}

void run_section_free(struct run_section *run)
{
    check_keys_free(&run->check);
    stated_list_free(&run->leave_out);
    free(run->left_out);
    run->left_out = NULL;
    run->n_left_out = 0;
}

/* `POINT NAME, reason` */
static bool split_left_out(const struct stated_text *item, struct place at, struct left_out *out,
                           struct faults *faults)
{
    char copy[VALUE_SIZE];
    strcpy(copy, item->text);
    char *comma = strchr(copy, ',');
    if (comma != NULL)
        *comma = '\0';
    const char *point = text_trim(copy);
    const char *reason = comma != NULL ? text_trim(comma + 1) : "";
    if (*point == '\0' || *reason == '\0') {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' does not say why the point is left out", item->text);
        fault_expected(fault, "the point's name, a comma and the reason");
        return false;
    }
    strcpy(out->point, point);
    strcpy(out->reason, reason);
    out->at = at;
    return true;
}

static bool settle_left_out(struct run_section *run, const char *file, struct faults *faults)
{
    bool good = true;
    run->left_out = calloc(run->leave_out.n + 1, sizeof *run->left_out);
    if (run->left_out == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < run->leave_out.n; i++) {
        const struct stated_text *item = &run->leave_out.items[i];
        struct place at = fault_at(file, item->at.line, item->at.column);
        if (split_left_out(item, at, &run->left_out[run->n_left_out], faults))
            run->n_left_out++;
        else
            good = false;
    }
    return good;
}

/* What is asked of the points is no matter of a check. */
static bool refuse_curve_keys(const struct run_section *run, const char *file,
                              struct faults *faults)
{
    const struct {
        const char *key;
        const struct stated *at;
        const char *of;
    } keys[] = {
        {"form", &run->form_choice.at, "efficiency"},
        {"temperature", &run->temperature_choice.at, "efficiency"},
        {"shape", &run->shape_choice.at, "modifier"},
        {"near normal", &run->near_rad.at, "modifier"},
        {"curve", &run->curve_choice.at, "modifier"},
        {"tubes run", &run->tubes_choice.at, "modifier"},
        {"scale", &run->scale_choice.at, "efficiency"},
        {"drop below", &run->drop_below_t.at, "efficiency"},
        {"draw at", &run->draw_at.at, "efficiency"},
        {"budget at", &run->budget_at.at, "efficiency"},
        {"budget angle", &run->budget_angle.at, "modifier"},
        {"wind origin", &run->wind_origin.at, "efficiency"},
        {"draws", &run->draws_number.at, "efficiency"},
        {"seed", &run->seed_number.at, "efficiency"},
        {"leave out", run->leave_out.n > 0 ? &run->leave_out.items[0].at : NULL, "efficiency"},
    };
    bool good = true;
    for (size_t i = 0; i < LENGTH(keys); i++) {
        if (keys[i].at == NULL || !keys[i].at->given)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT,
                                        fault_at(file, keys[i].at->line, keys[i].at->column));
        fault_found(fault, "'%s' is no key of the kind '%s'", keys[i].key, kinds[run->kind]);
        fault_hint(fault, "it belongs to a run of kind '%s'", keys[i].of);
        good = false;
    }
    return good;
}

/* Which way tubes lie matters to the one shape that knows them. */
static bool refuse_tubes(const struct run_section *run, const char *file, struct faults *faults)
{
    const struct stated *at = &run->tubes_choice.at;
    if (run->kind != RUN_MODIFIER || run->shape == FIT_MODIFIER_TWO_PLANES || !at->given)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
    fault_found(fault, "'tubes run' says nothing to the shape '%s'", shapes[run->shape]);
    fault_hint(fault, "it belongs to 'shape = two planes'");
    return false;
}

/* Nor the modifier's a matter of a curve. */
static bool refuse_modifier_keys(const struct run_section *run, const char *file,
                                 struct faults *faults)
{
    const struct {
        const char *key;
        const struct stated *at;
    } keys[] = {{"shape", &run->shape_choice.at},
                {"tubes run", &run->tubes_choice.at},
                {"curve", &run->curve_choice.at},
                {"near normal", &run->near_rad.at},
                {"budget angle", &run->budget_angle.at}};
    bool good = true;
    for (size_t i = 0; i < LENGTH(keys); i++) {
        if (!keys[i].at->given)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT,
                                        fault_at(file, keys[i].at->line, keys[i].at->column));
        fault_found(fault, "'%s' is no key of the kind 'efficiency'", keys[i].key);
        fault_hint(fault, "it belongs to a run of kind 'modifier'");
        good = false;
    }
    return good;
}

/* What the points near the normal make is only what the others are compared with. */
static bool refuse_budget_at(const struct run_section *run, const char *file,
                             struct faults *faults)
{
    const struct stated *at = &run->budget_at.at;
    if (run->kind != RUN_MODIFIER || run->curve == CURVE_TOGETHER || !at->given)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
    fault_found(fault, "'budget at' says nothing to a modifier: its curve is no result of the run");
    fault_hint(fault, "'budget angle' ranks the sources of the modifier; 'budget at' belongs to a "
                      "run of kind 'efficiency', or to 'curve = together'");
    return false;
}

static bool refuse_number(const struct stated_number *number, const char *file,
                          const char *expected, struct faults *faults)
{
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(file, number->at.line, number->at.column));
    fault_found(fault, "'%.10g' is no number of this kind", number->value);
    fault_expected(fault, "%s", expected);
    return false;
}

static bool settle_draws(struct run_section *run, const char *file, struct faults *faults)
{
    const struct stated_number *draws = &run->draws_number, *seed = &run->seed_number;
    run->draws_asked = draws->at.given;
    run->draws = draws->at.given ? draws->value : 0;
    run->seed = seed->at.given ? seed->value : 1;
    bool whole = run->draws == floor(run->draws) && (run->draws == 0 || run->draws >= DRAWS_FEWEST);
    bool good = whole || refuse_number(draws, file, "a whole number of at least 20000, or 0 for no "
                                                    "Monte Carlo", faults);
    return (run->seed == floor(run->seed) ||
            refuse_number(seed, file, "a whole number from 1 on", faults)) && good;
}

bool run_section_settle(struct run_section *run, const char *file, const struct zone *zone,
                        struct faults *faults)
{
    static const enum check_kind checks[] = {CHECK_NONE, CHECK_ZERO, CHECK_TOGETHER, CHECK_BUCKET,
                                              CHECK_NONE};
    if (!run->kind_choice.at.given)
        return false;
    run->kind = (enum run_kind)run->kind_choice.index;
    run->form = (enum run_form)run->form_choice.index;
    run->temperature = (enum run_temperature)run->temperature_choice.index;
    run->scale = (enum run_scale)run->scale_choice.index;
    run->shape = (enum fit_modifier_form)run->shape_choice.index;
    run->tubes_level = run->tubes_choice.index == 1;
    run->curve = (enum run_curve)run->curve_choice.index;
    run->near_normal_rad = run->near_rad.at.given ? run->near_rad.value : RUN_NEAR_NORMAL_RAD;
    run->drop_below = run->drop_below_t.at.given ? run->drop_below_t.value : 2.0;
    run->draw_at_W_m2 = run->draw_at.at.given ? run->draw_at.value : 1000.0;
    run->wind_origin_m_s = run->wind_origin.at.given ? run->wind_origin.value : 3.0;
    bool good = settle_draws(run, file, faults);
    good &= settle_left_out(run, file, faults);
    struct place head = fault_at(file, run->head.line, run->head.column);
    if (run->kind == RUN_EFFICIENCY)
        good = refuse_modifier_keys(run, file, faults) && good;
    good = refuse_budget_at(run, file, faults) && good;
    good = refuse_tubes(run, file, faults) && good;
    if (run_is_check(run))
        good = refuse_curve_keys(run, file, faults) && good;
    run->check.zone = zone;
    return check_settle(&run->check, checks[run->kind], run->name, head, faults) && good;
}
