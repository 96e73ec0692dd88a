#include "study/plan_errors.h"

#include "domain/error_expand.h"
#include "run/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LOOP_degC 20.0
#define FILL_S 120.0
enum { FILLS = 3 };

/* NULL if there is none. */
static struct error_source *row_of(const struct error_registry *registry, const char *id)
{
    for (size_t i = 0; i < registry->n; i++)
        if (text_same(registry->rows[i].id, id))
            return &registry->rows[i];
    return NULL;
}

/* A copy of the setup whose instruments and registry may change; all else is borrowed. */
static struct test_setup *copy_setup(const struct test_setup *setup, struct faults *faults)
{
    struct test_setup *copy = malloc(sizeof *copy);
    struct instrument *instruments = calloc(setup->n_instruments + 1, sizeof *instruments);
    if (copy == NULL || instruments == NULL) {
        free(copy);
        free(instruments);
        fault_memory(faults);
        return NULL;
    }
    *copy = *setup;
    if (setup->n_instruments > 0)
        memcpy(instruments, setup->instruments, setup->n_instruments * sizeof *instruments);
    copy->instruments = instruments;
    registry_init(&copy->errors);
    return copy;
}

static void free_copy(struct test_setup *copy)
{
    if (copy == NULL)
        return;
    registry_free(&copy->errors);
    free(copy->instruments);
    free(copy);
}

/* The rows of what a description states. What it warns of was said when it was read. */
static bool expand(const struct test_setup *setup, struct error_registry *registry,
                   struct faults *faults)
{
    struct faults *own = malloc(sizeof *own);
    if (own == NULL)
        return fault_memory(faults);
    faults_init(own);
    bool good =
        errors_expand(setup->instruments, setup->n_instruments, &setup->pipes, &setup->collector,
                      &setup->fluid_choice, &setup->fluid, setup->path, registry, own);
    free(own);
    return good || fault_memory(faults);
}

/* What was not touched is as the test has it: drift since a calibration is known by its first day.
 */
static void keep_untouched(const struct test_setup *setup, const struct error_registry *stated,
                           struct error_registry *registry)
{
    for (size_t i = 0; i < registry->n; i++) {
        const struct error_source *before = row_of(stated, registry->rows[i].id);
        const struct error_source *now = row_of(&setup->errors, registry->rows[i].id);
        if (before != NULL && now != NULL && before->u == registry->rows[i].u)
            registry->rows[i] = *now;
    }
}

/* Rows of the test that are no instrument's: wind and sky, the sun's place, references of checks.
 */
static bool add_others(const struct test_setup *setup, struct error_registry *registry,
                       struct faults *faults)
{
    struct error_registry stated;
    registry_init(&stated);
    bool good = expand(setup, &stated, faults);
    if (good)
        keep_untouched(setup, &stated, registry);
    for (size_t i = 0; good && i < setup->errors.n; i++)
        if (row_of(&stated, setup->errors.rows[i].id) == NULL &&
            row_of(registry, setup->errors.rows[i].id) == NULL)
            good = registry_add(registry, &setup->errors.rows[i], faults);
    registry_free(&stated);
    return good;
}

static size_t index_of(const struct test_setup *setup, enum channel channel)
{
    const struct instrument *found =
        instrument_of_channel(setup->instruments, setup->n_instruments, channel);
    return found == NULL ? CHECK_NO_PROBE : (size_t)(found - setup->instruments);
}

static size_t meter_of(const struct test_setup *setup)
{
    size_t flow = index_of(setup, CH_FLOW);
    return flow != CHECK_NO_PROBE ? flow : index_of(setup, CH_MASS_FLOW);
}

bool plan_check_possible(const struct test_setup *setup, enum check_kind kind)
{
    size_t in = index_of(setup, CH_INLET), out = index_of(setup, CH_OUTLET);
    size_t meter = meter_of(setup);
    if (kind == CHECK_BUCKET)
        return meter != CHECK_NO_PROBE && !setup->instruments[meter].checked_gain.given;
    return in != CHECK_NO_PROBE && out != CHECK_NO_PROBE && meter != CHECK_NO_PROBE &&
           !setup->instruments[in].checked_offset.given &&
           !setup->instruments[out].checked_offset.given;
}

/* All thermometers show the same in one bucket. */
static void check_together(const struct test_setup *setup, const struct run_section *run,
                           struct check_result *result)
{
    static const enum channel probes[] = {CH_INLET, CH_OUTLET, CH_AMBIENT};
    double x[CHECK_PARTS], readings[CHECK_PARTS][CHECK_PROBES] = {{0}};
    memset(result, 0, sizeof *result);
    result->run = run;
    result->reference = CHECK_NO_PROBE;
    for (size_t i = 0; i < 3; i++)
        if (index_of(setup, probes[i]) != CHECK_NO_PROBE)
            result->probes[result->n_probes++].instrument = index_of(setup, probes[i]);
    for (size_t k = 0; k < CHECK_PARTS; k++) {
        x[k] = (double)k;
        for (size_t i = 0; i < result->n_probes; i++)
            readings[k][i] = LOOP_degC;
    }
    check_compare(setup, x, (const double(*)[CHECK_PROBES])readings, CHECK_PARTS, result);
}

/* Half an hour in the dark, the water as warm as the air. */
static void check_zero(const struct test_setup *setup, const struct run_section *run,
                       double flow_m3_s, struct check_result *result)
{
    struct check_parts parts = {.n = CHECK_PARTS};
    for (size_t k = 0; k < CHECK_PARTS; k++) {
        parts.time_s[k] = 90.0 * (double)k;
        parts.mean[k][CH_INLET] = parts.mean[k][CH_OUTLET] = parts.mean[k][CH_AMBIENT] = LOOP_degC;
        parts.mean[k][CH_FLOW] = flow_m3_s;
    }
    zero_check_find(setup, run, &parts, result);
}

/* Three fillings of two minutes, timed by hand. */
static void check_bucket(const struct test_setup *setup, struct run_section *run,
                         struct bucket_fill *fills, double flow_m3_s, struct check_result *result)
{
    const struct instrument *meter = &setup->instruments[meter_of(setup)];
    bool weighs = meter->channel == CH_MASS_FLOW;
    double flow = weighs ? flow_m3_s * fluid_density(&setup->fluid, LOOP_degC) : flow_m3_s;
    for (size_t i = 0; i < FILLS; i++) {
        fills[i] = (struct bucket_fill){.bucket = flow * FILL_S,
                                        .by_mass = weighs,
                                        .time_s = FILL_S,
                                        .pulses = NAN,
                                        .shown = NAN,
                                        .flow = flow};
        if (meter->m3_per_pulse.at.given) {
            fills[i].pulses = flow * FILL_S / meter->m3_per_pulse.value;
            fills[i].flow = NAN;
        }
    }
    run->check.fills = fills;
    run->check.n_fills = FILLS;
    bucket_find(setup, run, result);
}

/* Hands the copy's registry over. */
static bool take_registry(const struct test_setup *setup, struct test_setup *copy,
                          struct error_registry *registry, struct faults *faults)
{
    *registry = copy->errors;
    registry_init(&copy->errors);
    return add_others(setup, registry, faults);
}

static bool apply_check(const struct test_setup *setup, struct test_setup *copy,
                        const struct check_result *result, struct error_registry *registry,
                        struct faults *faults)
{
    if (!result->found) /* what the test states cannot be worked with: nothing changes */
        return expand(setup, registry, faults) && add_others(setup, registry, faults);
    return checks_apply(copy, result, 1, faults) && take_registry(setup, copy, registry, faults);
}

bool plan_errors_checked(const struct test_setup *setup, enum check_kind kind, double flow_m3_s,
                         struct error_registry *registry, struct faults *faults)
{
    static const enum run_kind runs[] = {[CHECK_ZERO] = RUN_ZERO_CHECK,
                                         [CHECK_TOGETHER] = RUN_TOGETHER,
                                         [CHECK_BUCKET] = RUN_BUCKET};
    registry_init(registry);
    struct bucket_fill fills[FILLS];
    struct run_section *run = calloc(1, sizeof *run);
    struct check_result *result = calloc(1, sizeof *result);
    struct test_setup *copy = copy_setup(setup, faults);
    bool good = run != NULL && result != NULL && copy != NULL;
    if (good) {
        run->kind = runs[kind];
        run->check.applied = true;
        strcpy(run->name, "planned");
        if (kind == CHECK_BUCKET)
            check_bucket(copy, run, fills, flow_m3_s, result);
        else if (kind == CHECK_ZERO)
            check_zero(copy, run, flow_m3_s, result);
        else
            check_together(copy, run, result);
        good = apply_check(setup, copy, result, registry, faults);
    } else
        fault_memory(faults);
    free_copy(copy);
    free(result);
    free(run);
    return good;
}

static void replace(struct instrument *in, size_t kind)
{
    in->kind.at.given = true;
    in->kind.index = kind;
    in->calibration.at.given = in->offset.at.given = in->zero.at.given = false;
    in->ageing.at.given = in->calibrated.at.given = false;
    in->reading.at.given = in->resolution.at.given = in->matched_to.at.given = false;
    in->checked_offset.given = in->checked_zero.given = in->checked_gain.given = false;
}

bool plan_errors_replaced(const struct test_setup *setup, enum channel channel, size_t kind,
                          struct error_registry *registry, struct faults *faults)
{
    registry_init(registry);
    struct test_setup *copy = copy_setup(setup, faults);
    if (copy == NULL)
        return false;
    for (size_t i = 0; i < copy->n_instruments; i++) {
        struct instrument *in = &copy->instruments[i];
        bool pair = channel == CH_INLET && in->channel == CH_OUTLET;
        if (in->channel == channel || pair)
            replace(in, kind);
    }
    bool good = expand(copy, &copy->errors, faults) && take_registry(setup, copy, registry, faults);
    free_copy(copy);
    return good;
}

static bool is_factor(const struct error_source *row)
{
    const char *slot = strrchr(row->id, '.');
    return row->targets[0].what == SHIFT_GAIN && slot != NULL && text_same(slot, ".calibration");
}

double plan_cured_u(const struct error_source *row)
{
    const struct error_target *target = &row->targets[0];
    double cured = 0.2 * row->u;
    if (target->what == SHIFT_AREA)
        cured = 0.001;
    else if (target->what == SHIFT_FRACTION)
        cured = 0.006;
    else if (is_factor(row) && target->channel == CH_IRRADIANCE)
        cured = row->u > 0.02 ? 0.012 : 0.007;
    else if (is_factor(row) && (target->channel == CH_FLOW || target->channel == CH_MASS_FLOW))
        cured = 0.0025;
    return fmin(cured, row->u);
}

bool plan_by_calibration(const struct error_source *row)
{
    return row->kind == ERROR_CALIBRATION && row->targets[0].what == SHIFT_GAIN &&
           row->targets[0].channel == CH_IRRADIANCE &&
           (text_starts(row->cure, "have it calibrated") || text_starts(row->cure, "compare it"));
}

enum channel plan_matter(const struct error_source *row)
{
    enum shift_target what = row->targets[0].what;
    if (what != SHIFT_GAIN && what != SHIFT_OFFSET && what != SHIFT_MOUNTING &&
        what != SHIFT_PIPE && what != SHIFT_DIRECTION)
        return CH_COUNT;
    enum channel channel = row->targets[0].channel;
    return channel == CH_OUTLET ? CH_INLET : channel == CH_MASS_FLOW ? CH_FLOW : channel;
}

bool plan_cured_together(const struct error_source *a, const struct error_source *b)
{
    if (plan_by_calibration(a) && plan_by_calibration(b))
        return true;
    return text_same(a->cure, b->cure) && a->targets[0].what == b->targets[0].what &&
           plan_matter(a) == plan_matter(b);
}

static bool copy_rows(const struct error_registry *from, struct error_registry *to,
                      bool with_sessions, struct faults *faults)
{
    registry_init(to);
    for (size_t i = 0; i < from->n; i++)
        if ((with_sessions || from->rows[i].kind != ERROR_SESSION) &&
            !registry_add(to, &from->rows[i], faults))
            return false;
    return true;
}

bool plan_errors_cured(const struct test_setup *setup, size_t row, struct error_registry *registry,
                       struct faults *faults)
{
    if (!copy_rows(&setup->errors, registry, true, faults))
        return false;
    for (size_t i = 0; i < registry->n; i++)
        if (i != row && plan_cured_together(&registry->rows[i], &registry->rows[row]))
            registry->rows[i].u = plan_cured_u(&registry->rows[i]);
    registry->rows[row].u = plan_cured_u(&registry->rows[row]);
    return true;
}

bool plan_errors_many_days(const struct test_setup *setup, struct error_registry *registry,
                           struct faults *faults)
{
    return copy_rows(&setup->errors, registry, false, faults);
}
