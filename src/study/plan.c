#include "study/plan.h"

#include "base/files.h"
#include "domain/surroundings.h"
#include "run/checks.h"
#include "run/reduction_document.h"
#include "run/setup_stage.h"
#include "study/plan_joint.h"
#include "study/plan_view.h"

#include <stdlib.h>

static bool any_there(const struct stated_list *files, const char *path, bool *there,
                      struct faults *faults)
{
    for (size_t i = 0; i < files->n; i++) {
        char *beside = path_beside(path, files->items[i].text, faults);
        if (beside == NULL)
            return false;
        *there |= file_exists(beside);
        free(beside);
    }
    return true;
}

/* Whether any file of readings is there. One that is missing beside others is an input fault,
 * later. */
static bool measured_yet(const struct test_setup *setup, bool *there, struct faults *faults)
{
    *there = false;
    bool good = any_there(&setup->log.files, setup->path, there, faults) &&
                any_there(&setup->points.files, setup->path, there, faults);
    for (size_t i = 0; good && i < setup->n_other_logs; i++)
        good = any_there(&setup->other_logs[i].files, setup->path, there, faults);
    return good;
}

static bool is_measured(const struct test_setup *setup, enum channel channel)
{
    return instrument_of_channel(setup->instruments, setup->n_instruments, channel) != NULL;
}

static bool any_stretch(const struct test_setup *setup)
{
    for (size_t i = 0; i < setup->n_runs; i++)
        if (run_is_check(&setup->runs[i]) && setup->runs[i].check.stretch)
            return true;
    return false;
}

/* What a reading of the test would add to the registry. Checks that were typed hold before any log.
 */
static bool expect(struct reduction *r, struct faults *faults)
{
    struct test_setup *setup = &r->setup;
    bool sky = is_measured(setup, CH_SKY) || is_measured(setup, CH_LONGWAVE);
    bool fixed = setup->site.tilt_rad.at.given && setup->site.azimuth_rad.at.given;
    return (any_stretch(setup) || checks_make(r, faults)) &&
           (!(fixed && site_has_place(&setup->site)) ||
            site_expand(&setup->site, true, true, &setup->errors, faults)) &&
           surroundings_expand(&setup->collector, &setup->site, is_measured(setup, CH_WIND), sky,
                               &setup->errors, faults);
}

static bool refuse_curves(const struct test_setup *setup, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(setup->path, 0, 0));
    if (setup_published(setup))
        fault_found(fault,
                    "curves from publications are all that it holds: there is no test to plan");
    else
        fault_found(fault, "no run asks for anything: there is no test to plan");
    fault_expected(fault, "'[run curve]' and below it 'kind = efficiency', and a section "
                          "[instrument NAME] for each instrument");
    return false;
}

bool plan_read(struct reduction *r, const char *path, bool ask_before, bool *before,
               struct faults *faults)
{
    bool there = false;
    r->setup.planned_too = true;
    if (!reduction_describe(r, path, faults))
        return false;
    if (setup_untested(&r->setup) || setup_published(&r->setup))
        return refuse_curves(&r->setup, faults);
    if (!measured_yet(&r->setup, &there, faults))
        return false;
    *before = ask_before || !there;
    return *before ? expect(r, faults) : reduction_read(r, faults);
}

/* Of two planes an angle alone says too little to plan for. */
static const struct run_section *find_joint(const struct test_setup *setup)
{
    for (size_t i = 0; i < setup->n_runs; i++)
        if (plan_is_joint(&setup->runs[i]) && setup->runs[i].shape != FIT_MODIFIER_TWO_PLANES)
            return &setup->runs[i];
    return NULL;
}

static const struct run_section *find_run(const struct test_setup *setup, enum run_kind kind,
                                          struct faults *faults)
{
    bool curve = kind != RUN_MODIFIER, together = false;
    for (size_t i = 0; i < setup->n_runs; i++)
        if (setup->runs[i].kind == kind && !plan_is_joint(&setup->runs[i]))
            return &setup->runs[i];
    const struct run_section *joint = find_joint(setup);
    if (joint != NULL)
        return joint;
    for (size_t i = 0; i < setup->n_runs; i++)
        together |= plan_is_joint(&setup->runs[i]);
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(setup->path, 0, 0));
    fault_found(fault, "no run of it asks for %s%s",
                curve ? "a curve" : "the incidence angle modifier",
                together ? " by itself (two planes together with the curve are not planned for)"
                         : "");
    fault_expected(fault, "a section [run NAME] with 'kind = %s'",
                   curve ? "efficiency" : "modifier");
    return NULL;
}

bool plan_run(const struct reduction *r, const struct plan_request *request, struct document *doc,
              struct faults *faults)
{
    struct plan_wish wish;
    if (!plan_wish_read(&wish, request->answer, 1000.0, faults))
        return false;
    const struct run_section *run =
        find_run(&r->setup, wish.about == PLAN_K ? RUN_MODIFIER : RUN_EFFICIENCY, faults);
    if (run == NULL || !plan_wish_read(&wish, request->answer, run->draw_at_W_m2, faults))
        return false;
    struct plan *plan = calloc(1, sizeof *plan);
    if (plan == NULL)
        return fault_memory(faults);
    struct plan_view view = {
        .plan = plan, .reduction = r, .before = request->before, .asked = request->asked};
    bool good = plan_find(plan, r, run, request->before, &wish, faults) &&
                reduction_facts(r, doc, faults) && reduction_bad_rows(r, doc, faults) &&
                plan_numbers(&view, doc, faults) && plan_doubts(&view, doc, faults) &&
                plan_answers(&view, doc, faults) && plan_details(&view, doc, faults) &&
                plan_tables(&view, doc, faults) && plan_figure(&view, doc, faults);
    plan_free(plan);
    free(plan);
    return good;
}
