#include "run/checks.h"

#include "run/check_stretch.h"
#include "run/setup_log.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static size_t count_checks(const struct test_setup *setup)
{
    size_t n = 0;
    for (size_t k = 0; k < setup->n_runs; k++)
        n += run_is_check(&setup->runs[k]);
    return n;
}

/* What the first reading of the log leaves. */
struct looking {
    struct stretch *stretches; /* one a run, used where it has a stretch */
    size_t n;
    struct log_set logs;
    struct faults *faults; /* said again by the reading that follows */
};

static bool looking_init(struct looking *looking, size_t n, struct faults *faults)
{
    memset(looking, 0, sizeof *looking);
    log_set_init(&looking->logs);
    looking->stretches = calloc(n + 1, sizeof *looking->stretches);
    looking->faults = malloc(sizeof *looking->faults);
    if (looking->stretches == NULL || looking->faults == NULL)
        return fault_memory(faults);
    faults_init(looking->faults);
    return true;
}

static void looking_free(struct looking *looking)
{
    log_set_free(&looking->logs);
    free(looking->stretches);
    free(looking->faults);
}

static bool look(struct reduction *r, struct looking *looking, struct faults *faults)
{
    for (size_t k = 0; k < r->setup.n_runs; k++)
        if (run_is_check(&r->setup.runs[k]) && r->setup.runs[k].check.stretch)
            stretch_init(&looking->stretches[looking->n++], &r->setup, &r->setup.runs[k]);
    if (looking->n == 0)
        return true;
    if (!log_set_plan(&looking->logs, &r->setup, r->threads, faults))
        return false;
    stretches_read(looking->stretches, looking->n, &r->setup, &looking->logs, r->progress,
                   looking->faults);
    return true;
}

static void find(struct reduction *r, const struct looking *looking)
{
    const struct stretch *stretch = looking->stretches;
    for (size_t k = 0; k < r->setup.n_runs; k++) {
        const struct run_section *run = &r->setup.runs[k];
        struct check_parts parts;
        if (!run_is_check(run))
            continue;
        if (run->check.stretch)
            stretch_parts(stretch++, &parts);
        struct check_result *result = &r->checks[r->n_checks++];
        if (run->kind == RUN_ZERO_CHECK)
            zero_check_find(&r->setup, run, &parts, result);
        else if (run->kind == RUN_TOGETHER)
            together_find(&r->setup, run, run->check.stretch ? &parts : NULL, result);
        else
            bucket_find(&r->setup, run, result);
    }
}

static bool exclude_stretches(struct test_setup *setup, size_t n, struct faults *faults)
{
    struct log_section *log = &setup->log;
    struct exclusion *grown =
        realloc(log->exclusions, (log->n_exclusions + n) * sizeof *log->exclusions);
    if (grown == NULL)
        return fault_memory(faults);
    log->exclusions = grown;
    for (size_t k = 0; k < setup->n_runs; k++) {
        const struct run_section *run = &setup->runs[k];
        if (!run_is_check(run) || !run->check.stretch)
            continue;
        struct exclusion *exclusion = &log->exclusions[log->n_exclusions++];
        exclusion->start_us = run->check.start_us;
        exclusion->end_us = run->check.end_us;
        snprintf(exclusion->reason, sizeof exclusion->reason, "%s '%s'", run_kind_word(run->kind),
                 run->name);
    }
    return true;
}

bool checks_make(struct reduction *r, struct faults *faults)
{
    size_t n = count_checks(&r->setup);
    if (n == 0)
        return true;
    r->checks = calloc(n, sizeof *r->checks);
    if (r->checks == NULL)
        return fault_memory(faults);
    struct looking looking;
    bool good = looking_init(&looking, n, faults) && look(r, &looking, faults);
    if (good && faults_errors(looking.faults) == 0) {
        find(r, &looking);
        good = (looking.n == 0 || exclude_stretches(&r->setup, looking.n, faults)) &&
               checks_apply(&r->setup, r->checks, r->n_checks, faults);
        /* Kept for their files' hashes. */
        struct log_set logs = r->checks_logs;
        r->checks_logs = looking.logs;
        looking.logs = logs;
    }
    looking_free(&looking);
    return good;
}

static bool same_files(const struct log_account *before, const struct log_account *now,
                       struct faults *faults)
{
    for (size_t i = 0; i < before->n_files; i++) {
        const struct log_file *file = &before->files[i];
        if (i < now->n_files && text_same(file->sha256, now->files[i].sha256))
            continue;
        struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(file->path, 0, 0));
        fault_found(fault, "changed while it was read");
        fault_hint(fault, "wait until the logger has written it, or copy it first");
        return false;
    }
    return true;
}

bool checks_same_log(const struct log_set *before, const struct log_set *now,
                     struct faults *faults)
{
    for (size_t i = 0; i < before->n; i++)
        if (!same_files(&before->account[i], &now->account[i], faults))
            return false;
    return true;
}

static bool refuse_point(const struct reduction *r, const struct means *means,
                         const struct run_section *run, const char *what, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, r->setup.points.head);
    fault_found(fault, "what [run %s] found cannot be taken off point '%s': %s", run->name,
                means->name, what);
    fault_expected(fault, "readings of each point as they were taken, or 'corrected = yes'");
    return false;
}

static bool correct(const struct reduction *r, struct means *means, struct faults *faults)
{
    for (size_t i = 0; i < r->n_checks; i++) {
        const struct check_result *result = &r->checks[i];
        if (!result->found || !result->run->check.applied)
            continue;
        if (means->reduced || means->has[CH_HEAT])
            return refuse_point(r, means, result->run,
                                means->reduced ? "it holds no temperatures"
                                               : "it holds a heat that was formed before",
                                faults);
        for (size_t k = 0; k < result->n_probes; k++) {
            size_t in = result->probes[k].instrument;
            if (in != CHECK_NO_PROBE)
                means->mean[r->setup.instruments[in].channel] -= result->probes[k].offset_K;
        }
        if (result->zero.found)
            means->mean[CH_IRRADIANCE] -= result->zero.value_W_m2;
        if (result->run->kind == RUN_BUCKET) {
            means->mean[CH_FLOW] *= result->meter.gain;
            means->mean[CH_MASS_FLOW] *= result->meter.gain;
        }
    }
    return true;
}

bool checks_correct_points(struct reduction *r, struct faults *faults)
{
    if (r->n_checks == 0 || r->setup.points.corrected.index == POINTS_CORRECTED)
        return true;
    for (size_t i = 0; i < r->means.n; i++)
        if (!correct(r, &r->means.items[i], faults))
            return false;
    return true;
}
