/* What the checks found goes into the instruments and into the registry of errors. */
#include "run/check.h"

#include "domain/error_expand.h"
#include "domain/instrument_signal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void by_words(const struct check_result *result, char out[CHECKED_TEXT])
{
    snprintf(out, CHECKED_TEXT, "%s '%.*s'", run_kind_word(result->run->kind), NAME_SIZE / 2,
             result->run->name);
}

static void stays_words(const struct stated_error *stated, const char *by_default,
                        char out[CHECKED_TEXT])
{
    if (stated->at.given)
        snprintf(out, CHECKED_TEXT, "stated: %.80s", stated->text);
    else
        snprintf(out, CHECKED_TEXT, "%s", by_default);
}

static void apply_probe(struct test_setup *setup, const struct check_result *result,
                        const struct check_probe *probe)
{
    if (probe->instrument == CHECK_NO_PROBE)
        return;
    struct instrument *in = &setup->instruments[probe->instrument];
    struct checked *checked = &in->checked_offset;
    *checked = (struct checked){.given = true,
                                .value = probe->offset_K,
                                .u = probe->u_K,
                                .dof = probe->dof,
                                .u_stays = probe->u_left_K};
    by_words(result, checked->by);
    stays_words(&result->run->check.left, "a fifth of what it replaces, and one step (our figure)",
                checked->stays);
    instrument_correct(in, 1.0, -probe->offset_K);
    memset(&in->matched_to, 0, sizeof in->matched_to);
    memset(&in->pair, 0, sizeof in->pair);
}

static void apply_zero(struct test_setup *setup, const struct check_result *result)
{
    const struct check_zero *zero = &result->zero;
    struct instrument *in = &setup->instruments[zero->instrument];
    struct checked *checked = &in->checked_zero;
    *checked = (struct checked){.given = true,
                                .value = zero->value_W_m2,
                                .u = zero->u_W_m2,
                                .dof = zero->dof,
                                .u_stays = zero->u_left_W_m2};
    by_words(result, checked->by);
    stays_words(&result->run->check.zero_left, "half of what it replaces (our figure)",
                checked->stays);
    instrument_correct(in, 1.0, -zero->value_W_m2);
}

static void apply_meter(struct test_setup *setup, const struct check_result *result)
{
    const struct check_meter *meter = &result->meter;
    struct instrument *in = &setup->instruments[meter->instrument];
    struct checked *checked = &in->checked_gain;
    *checked = (struct checked){.given = true,
                                .value = meter->gain,
                                .u = meter->u,
                                .dof = meter->dof,
                                .u_stays = meter->u_left};
    by_words(result, checked->by);
    snprintf(checked->stays, sizeof checked->stays,
             "the bucket, and a fifth of what it replaces (our figure)");
    if (in->m3_per_pulse.at.given) {
        in->m3_per_pulse.value *= meter->gain;
        return;
    }
    instrument_correct(in, meter->gain, 0.0);
}

/* All probes that were referred to one thing share its error. */
static bool add_common(struct test_setup *setup, const struct check_result *result,
                       struct faults *faults)
{
    const struct run_section *run = result->run;
    struct error_source row = {.kind = ERROR_CALIBRATION, .u = result->u_common_K, .dof = INFINITY};
    snprintf(row.id, sizeof row.id, "check %.*s.reference", ERROR_ID_SIZE / 2, run->name);
    snprintf(row.label, sizeof row.label, "reference of the %s '%.*s'", run_kind_word(run->kind),
             NAME_SIZE / 2, run->name);
    snprintf(row.cure, sizeof row.cure, "compare them with a better thermometer");
    snprintf(row.origin, sizeof row.origin, "%s",
             result->reference == CHECK_NO_PROBE ? "mean of the thermometers, each as stated before"
             : result->probes[result->reference].instrument == CHECK_NO_PROBE
                 ? "stated as 'reference error'"
                 : "as stated of the reference");
    for (size_t i = 0; i < result->n_probes && row.n_targets < ERROR_TARGETS; i++) {
        size_t k = result->probes[i].instrument;
        if (k != CHECK_NO_PROBE)
            row.targets[row.n_targets++] =
                (struct error_target){SHIFT_OFFSET, setup->instruments[k].channel, 1.0};
    }
    return !(row.u > 0) || row.n_targets == 0 || registry_add(&setup->errors, &row, faults);
}

static void apply_one(struct test_setup *setup, const struct check_result *result)
{
    for (size_t i = 0; i < result->n_probes; i++)
        apply_probe(setup, result, &result->probes[i]);
    if (result->zero.found)
        apply_zero(setup, result);
    if (result->run->kind == RUN_BUCKET)
        apply_meter(setup, result);
}

static bool counts(const struct check_result *result)
{
    return result->found && result->run->check.applied;
}

bool checks_apply(struct test_setup *setup, const struct check_result *results, size_t n,
                  struct faults *faults)
{
    bool any = false;
    for (size_t i = 0; i < n; i++) {
        if (!counts(&results[i]))
            continue;
        any = true;
        apply_one(setup, &results[i]);
    }
    if (!any)
        return true;
    size_t said = faults->n, dropped = faults->dropped;
    registry_free(&setup->errors);
    if (!errors_expand(setup->instruments, setup->n_instruments, &setup->pipes, &setup->collector,
                       &setup->fluid_choice, &setup->fluid, setup->path, &setup->errors, faults))
        return false;
    faults->n = said; /* its warnings were given when the description was read */
    faults->dropped = dropped;
    for (size_t i = 0; i < n; i++)
        if (counts(&results[i]) && !add_common(setup, &results[i], faults))
            return false;
    return true;
}
